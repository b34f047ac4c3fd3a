"""Save a form through a service, and keep what was typed where the service refuses."""

from collections.abc import Callable

from django import forms

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Quote
from shopapp.ui.forms import DeskLook


class Versioned(DeskLook):
    """A form that carries the version of the quote that the person looks at."""

    status = 200

    def freshen(self, version: int) -> None:
        """Carry the present version, so that saving again after a look is taken."""
        self.data = self.data.copy()
        self.data["version"] = str(version)


class VersionForm(Versioned, forms.Form):
    """Nothing but the version: for single buttons."""

    version = forms.IntegerField(widget=forms.HiddenInput)


def saved(form: Versioned, quote_pk: int, act: Callable[[], object]) -> bool:
    """Whether the service took the form; else its words stand on the form, with the status."""
    if not form.is_valid():
        form.status = 422
        return False
    try:
        act()
    except FactRefused as error:
        form.refuse(error)
        form.status = error.status
    except MoveRefused as error:
        form.add_error(None, f"{error.message} {error.todo}".strip())
        form.freshen(Quote.objects.values_list("version", flat=True).get(pk=quote_pk))
        form.status = error.status
    else:
        return True
    return False
