"""The jobs room."""

from django.apps import AppConfig
from django.utils.module_loading import import_string

from shopapp.work.registry import Kind, register


class JobsConfig(AppConfig):
    """The jobs room as a Django app."""

    name = "shopapp.jobs"

    def ready(self) -> None:
        """Make documents known to the workers."""
        register(Kind("document", self._documents, _render))

    def _documents(self) -> object:
        return self.get_model("Document").objects.all()


def _render(pk: int) -> bool:
    # Named, not imported: the printer takes 20 MB, and web pages never print.
    return import_string("shopapp.jobs.documents.making.render")(pk)
