"""The planner room."""

from importlib import import_module

from django.apps import AppConfig


class PlannerConfig(AppConfig):
    """The planner as a Django app; its engine knows nothing of Django."""

    name = "planner"

    def ready(self) -> None:
        """Make plans known to the workers, and the models that a wish may name pickable."""
        import_module("planner.picks")
        import_module("planner.statements.guards")
        import_module("planner.statements.picks")
        import_module("planner.work")
