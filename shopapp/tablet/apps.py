"""The tablet's room: what a technician takes along, and what comes back."""

from django.apps import AppConfig
from django.utils.module_loading import import_string

from shopapp.work.registry import Kind, register


class TabletConfig(AppConfig):
    """Wiring of the room."""

    name = "shopapp.tablet"
    label = "tablet"

    def ready(self) -> None:
        """Tell the workers of the answers that are worked out before leaving."""
        register(Kind("foreseen", self._foreseen, _advance))

    def _foreseen(self) -> object:
        return self.get_model("Foreseen").objects.all()


def _advance(pk: int) -> bool:
    # Named, not imported: the models are not loaded yet.
    return import_string("shopapp.tablet.services.foreseeing.advance_foreseen")(pk)
