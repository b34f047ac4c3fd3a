"""Write merged fields to a step's row through the job's own service."""

from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError

from shopapp.accounts.models import User
from shopapp.errors import FactRefused
from shopapp.jobs.forms.work import ReadingField
from shopapp.jobs.models import WorkStep
from shopapp.jobs.services.steps import (
    ANSWERS,
    Answer,
    answer_step,
    complete_answer,
    note_on_step,
    take_back,
)
from shopapp.tablet.models import Entry

MOST_CAUTIONS = 60


def write_step(
    *, step: WorkStep, entry: Entry, values: dict[str, str], taken: dict[str, str], by: User
) -> None:
    """Bring the step to `values`; `taken` names what this entry changed of them.

    Whoever answers first stays its author; what is added beside it later is merged. `by` lets the
    entry into the job.
    """
    state = values.get("state", "")
    if not state:
        _open_again(step, entry, values, taken, by)
        return
    if state not in ANSWERS:
        raise FactRefused("Say “did it”, “could not” or “skipped”.", field="state")
    answer = Answer(
        state=state,
        reading=read_figure(values.get("reading", "")),
        found=values.get("found", ""),
        note=values.get("note", ""),
        seen=step.done_at,
    )
    if "state" in taken:
        answer_step(
            step=step,
            by=entry.by,
            answer=answer,
            at=_at(step, entry.made_at),
            cautions=_cautions(entry),
            let_in=by,
        )
    elif {"reading", "found", "note"} & set(taken):
        complete_answer(step=step, by=entry.by, answer=answer, let_in=by)


def _cautions(entry: Entry) -> list[str] | None:
    """The cautions that lay on the tablet when the entry was made; None where it does not say."""
    known = entry.body.get("cautions")
    return [str(one) for one in known[:MOST_CAUTIONS]] if isinstance(known, list) else None


def _at(step: WorkStep, at: datetime) -> datetime:
    """When it was answered; never the very moment of the answer that stood before."""
    return at if step.done_at != at else at.replace(microsecond=(at.microsecond + 1) % 1_000_000)


def _open_again(step: WorkStep, entry: Entry, values: dict, taken: dict, by: User) -> None:
    if "state" in taken and step.state != WorkStep.State.TODO:
        take_back(step=step, by=entry.by, seen=step.done_at, let_in=by)
    elif "note" in taken:
        note_on_step(step=step, by=entry.by, note=values["note"], let_in=by)


def read_figure(text: str) -> Decimal | None:
    """A reading as it was typed; FactRefused beside `reading` where it is no figure."""
    try:
        return ReadingField(required=False).clean(text)
    except ValidationError as error:
        raise FactRefused(" ".join(error.messages), field="reading") from error
