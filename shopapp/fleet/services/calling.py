"""What came of a call: tries, answers and ends, each written down; nothing skips a step."""

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.fleet.models import CampaignBoat, CampaignEntry

State, Finding, Way = CampaignBoat.State, CampaignBoat.Finding, CampaignEntry.Way
OPEN = (State.NOT_TOLD, State.TOLD, State.CHECKED)
TRIES_BEFORE_LOST, WAYS_BEFORE_LOST = 3, 2  # common practice, no source


@dataclass(frozen=True)
class Answer:
    """What may be said of a boat: from which states, into which, and what must come with it."""

    words: str
    since: tuple[str, ...]
    after: str = ""
    note: str = ""
    way: bool = False


ANSWERS: dict[str, Answer] = {
    "none": Answer("Not reached", OPEN, way=True),
    "told": Answer("Told; thinks it over", (State.NOT_TOLD, State.TOLD), State.TOLD, way=True),
    "yes": Answer("Told and says yes", OPEN, State.TOLD, way=True),
    "has_it": Answer(
        "Looked aboard: it is affected", OPEN, State.CHECKED, "Say what was read or seen aboard."
    ),
    "free": Answer(
        "Looked aboard: it is free of it", OPEN, "", "Say what was read or seen aboard."
    ),
    "done": Answer("Done without a job of ours", OPEN, State.DONE, "Say who did it, and when."),
    "declined": Answer(
        "Declined in writing", OPEN, State.DECLINED, "Say where the writing is kept."
    ),
    "sold": Answer("Sold", OPEN, State.SOLD, "Say to whom, as far as it is known."),
    "lost": Answer("Unreachable", OPEN, State.LOST, "Say what was tried."),
    "again": Answer(
        "Take it up again", ("declined", "sold", "lost", "done"), State.NOT_TOLD, "Say why."
    ),
}


def answers_for(row: CampaignBoat) -> list[tuple[str, str]]:
    """What may be said of this boat now, with its words."""
    if row.finding == Finding.CLEARED:
        return []
    return [(key, one.words) for key, one in ANSWERS.items() if row.state in one.since]


@transaction.atomic
def note_answer(
    *,
    row: CampaignBoat,
    said: str,
    by: User,
    seen: str,
    way: str = "",
    name: str = "",
    note: str = "",
) -> CampaignBoat:
    """Write down a try or an answer, and move the boat.

    StaleRecord where somebody moved it since the page was read (`seen` is its state then);
    FactRefused where something must be said that was not.
    """
    row = CampaignBoat.objects.select_for_update(of=("self",)).get(pk=row.pk)
    answer = ANSWERS[said]
    _check_running(row)
    _check_allowed(row, answer, seen)
    _check_said(answer, said, way, name, note)
    if said == "lost":
        check_tried_enough(row)
    before = row.state
    row.tries += bool(way)
    row.state = _after(row, answer, said)
    if said == "yes":
        row.agreed = name.strip()[:120]
    _ends(row, before, note)
    _finds(row, said)
    row.save()
    CampaignEntry.objects.create(
        row=row, way=way, before=before, after=row.state, by=by, note=_words(answer, name, note)
    )
    return row


def _after(row: CampaignBoat, answer: Answer, said: str) -> str:
    if said == "yes" and row.state == State.CHECKED:
        return State.CHECKED
    return answer.after or row.state


def _words(answer: Answer, name: str, note: str) -> str:
    who = f" ({name.strip()})" if name.strip() else ""
    return f"{answer.words}{who}. {note.strip()}".strip()[:300]


def _ends(row: CampaignBoat, before: str, note: str) -> None:
    now = timezone.now()
    if row.state == State.TOLD and row.told_at is None:
        row.told_at = now
    ended = row.state in CampaignBoat.ENDED
    row.ended_at = now if ended else None
    row.ended_note = note.strip()[:300] if ended else ""
    if before in CampaignBoat.ENDED and not ended:
        row.agreed = ""


def _finds(row: CampaignBoat, said: str) -> None:
    if said == "has_it":
        row.finding, row.why = Finding.AFFECTED, ""
    elif said == "free":
        row.finding, row.why = Finding.CLEARED, "looked at aboard"


def _check_running(row: CampaignBoat) -> None:
    if row.campaign.closed_at:
        raise MoveRefused("This campaign is closed.", todo="Look at the page anew.")


def _check_allowed(row: CampaignBoat, answer: Answer, seen: str) -> None:
    if row.state != seen:
        raise StaleRecord(
            f"Somebody else brought it to “{row.get_state_display()}” while you looked at it.",
            todo="Load the page again; nothing was written.",
        )
    if row.state not in answer.since or row.finding == Finding.CLEARED:
        raise MoveRefused(
            f"It is “{row.get_state_display()}”: “{answer.words}” cannot be said of it now.",
            todo="Load the page again to see what can be said.",
        )


def _check_said(answer: Answer, said: str, way: str, name: str, note: str) -> None:
    if answer.way and not way:
        raise FactRefused("Say how you tried to reach them.", field="way")
    if said == "yes" and not name.strip():
        raise FactRefused("Write the name of who said yes.", field="name")
    if answer.note and not note.strip():
        raise FactRefused(answer.note, field="note")


def check_tried_enough(row: CampaignBoat) -> None:
    """FactRefused until somebody tried three times and in two ways."""
    ways = row.entries.exclude(way="").order_by().values_list("way", flat=True)
    tries, kinds = len(ways), len(set(ways))
    if tries < TRIES_BEFORE_LOST or kinds < WAYS_BEFORE_LOST:
        raise FactRefused(
            f"So far {tries} {'try' if tries == 1 else 'tries'} in {kinds} "
            f"{'way' if kinds == 1 else 'ways'}.",
            field="said",
            todo="Unreachable is who was tried three times, in two ways.",
        )
