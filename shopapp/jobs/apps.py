"""The jobs room."""

from django.apps import AppConfig
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.module_loading import import_string

from shopapp.work.registry import Kind, register


class JobsConfig(AppConfig):
    """The jobs room as a Django app."""

    name = "shopapp.jobs"

    def ready(self) -> None:
        """Make documents known to the workers."""
        register(
            Kind("document", self._documents, _render, "papers", _with_subject, _paper_address)
        )

    def _documents(self) -> object:
        return self.get_model("Document").objects.all()


def _with_subject(rows: QuerySet) -> QuerySet:
    return rows.select_related("job", "quote")


def _paper_address(row: Model) -> str:
    if row.job_id:
        return f"{reverse('jobs:job', args=[row.job_id])}#papers-head"
    return reverse("jobs:quote", args=[row.quote_id])


def _render(pk: int) -> bool:
    # Named, not imported: the printer takes 20 MB, and web pages never print.
    return import_string("shopapp.jobs.documents.making.render")(pk)
