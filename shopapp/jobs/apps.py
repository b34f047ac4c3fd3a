"""The jobs room."""

from importlib import import_module

from django.apps import AppConfig
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.module_loading import import_string

from shopapp.work.chores import Chore, register_chore
from shopapp.work.registry import Kind, register

EXPIRE_EVERY_SECONDS = 600


class JobsConfig(AppConfig):
    """The jobs room as a Django app."""

    name = "shopapp.jobs"

    def ready(self) -> None:
        """Make papers, letters and the clock's duties known, and listen to the stock room."""
        import_module("shopapp.jobs.receivers")
        register(
            Kind("document", self._documents, _render, "papers", _with_subject, _paper_address)
        )
        register(Kind("letter", self._letters, _send, "letters", _to_list, _letter_address))
        register_chore(Chore("expire quotes", EXPIRE_EVERY_SECONDS, _expire))

    def _documents(self) -> object:
        return self.get_model("Document").objects.all()

    def _letters(self) -> object:
        return self.get_model("Letter").objects.all()


def _with_subject(rows: QuerySet) -> QuerySet:
    return rows.select_related("job", "quote", "survey", "order", "sheet")


def _paper_address(row: Model) -> str:
    if row.job_id:
        return f"{reverse('jobs:job', args=[row.job_id])}#papers-head"
    if row.survey_id:
        return reverse("jobs:survey", args=[row.survey_id])
    if row.order_id:
        return reverse("jobs:order", args=[row.order_id])
    if row.sheet_id:
        return reverse("fleet:weekly")
    return reverse("jobs:quote", args=[row.quote_id])


def _to_list(rows: QuerySet) -> QuerySet:
    return rows.defer("body")


def _letter_address(row: Model) -> str:
    return reverse(row.page, args=[row.pk])


def _render(pk: int) -> bool:
    # Named, not imported: the printer takes 20 MB, and web pages never print.
    return import_string("shopapp.jobs.documents.making.render")(pk)


def _send(pk: int) -> bool:
    return import_string("shopapp.jobs.mailing.send_letter")(pk)


def _expire() -> int:
    return import_string("shopapp.jobs.services.sending.expire_quotes")()
