"""Open a job of an accepted option: steps, pick list, reservations, papers."""

import hashlib
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from planner.orders import links_of
from planner.sheet import step_rows
from planner.telling import in_names
from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import Part
from shopapp.jobs.models import Document, Job, PickLine, PickList, Quote, QuoteOption, WorkStep
from shopapp.jobs.services.checks import judge_job
from shopapp.jobs.services.moves import move_job, opened
from shopapp.jobs.services.naming import with_unit_names
from shopapp.jobs.services.numbers import next_number
from shopapp.jobs.services.papers import request_document
from shopapp.jobs.services.wording import plain_title
from shopapp.stock.models import KitPart
from shopapp.stock.services import reserve

JsonDict = dict[str, Any]
Wanted = tuple[Part, int, bool, str]
KEY_LIMIT = 120
SPARE_CABLE_FT = 5
SPARES = [
    ({"cap", "caps"}, "spare cap"),
    ({"label", "labels"}, "label stock"),
    ({"terminator", "terminators"}, "spare terminator"),
]


def open_job(*, quote: Quote, option: QuoteOption, by: User | None) -> Job:
    """The job of an accepted option, whole, inside the caller's transaction.

    The case and the plan are frozen with it, the new units under their short
    names. Short stock makes short lines and a job that waits, never a refusal.
    """
    case = quote.run.case
    plan = with_unit_names(case, option.plan)
    job = Job.objects.create(
        shop=quote.shop,
        number=next_number(shop=quote.shop, series="J"),
        quote=quote,
        option=option,
        boat=quote.boat,
        customer=quote.customer,
        title=plain_title(option.title),
        asked_for=quote.enquiry.words if quote.enquiry else quote.title,
        minutes_planned=option.minutes,
        case=case,
        plan=plan,
        ports=links_of(case=case, plan=plan),
    )
    judge_job(job=job)
    opened(job=job, by=by, note=f"Opened from quote {quote}.")
    WorkStep.objects.bulk_create(work_steps(job))
    short = _lay_pick_list(job, option)
    note = "Parts are short." if short else "All parts are reserved."
    move_job(job=job, after="waiting" if short else "ready", note=note)
    for kind in (Document.DocumentKind.WORK_ORDER, Document.DocumentKind.PICK_LIST):
        request_document(kind=kind, by=by, job=job)
    return job


def work_steps(job: Job) -> list[WorkStep]:
    """The steps of a job's plan as rows, unsaved, models and parts called by their names."""
    rows = step_rows(job.case, job.plan)
    return [_step(job, position, row) for position, row in enumerate(rows, start=1)]


def _step(job: Job, position: int, row: JsonDict) -> WorkStep:
    expect = row["expect"] or {}
    return WorkStep(
        job=job,
        key=short_key(row["step_key"]),
        position=position,
        kind=row["kind"],
        title=row["title"][:200],
        detail=row["detail"],
        caution=row["caution"],
        unit_key=row["unit"] or "",
        minutes=row["minutes"],
        asks=asks_of(row),
        expect_label=(expect.get("label") or "")[:120],
        expect_unit=(expect.get("unit") or "")[:12],
        expect_low=_number(expect.get("low")),
        expect_high=_number(expect.get("high")),
        expect_text=in_names(job.case, expect.get("text") or "")[:200],
    )


def asks_of(row: JsonDict) -> str:
    """What a step asks of the technician."""
    expect = row["expect"] or {}
    if row["kind"] == "fit":
        return WorkStep.Asks.SERIAL
    if row["kind"] == "update":
        return WorkStep.Asks.RELEASE
    if row["kind"] == "reading" or expect.get("unit"):
        return WorkStep.Asks.READING
    return WorkStep.Asks.TICK


def short_key(key: str) -> str:
    """A step's key as it is kept: a long one ends in its own mark."""
    if len(key) <= KEY_LIMIT:
        return key
    mark = hashlib.sha256(key.encode()).hexdigest()[:16]
    return f"{key[: KEY_LIMIT - 17]}-{mark}"


def _number(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _lay_pick_list(job: Job, option: QuoteOption) -> bool:
    """Write the pick list and reserve its parts; whether anything but a spare is short."""
    pick_list = PickList.objects.create(job=job)
    wanted = list(whole_kits(parts_wanted(option)))
    wanted += list(spares_for(shop=job.shop, parts=[part for part, *_ in wanted]))
    rows: dict[int, list[PickLine]] = {}
    # Rows are locked in the order of the parts, so that two jobs never wait for each other.
    for number, (part, count, spare, note) in sorted(
        enumerate(wanted), key=lambda item: (item[1][0].pk, item[0])
    ):
        rows[number] = pick_lines(pick_list, part, count, spare=spare, note=note)
    lines = [line for number in sorted(rows) for line in rows[number]]
    for position, line in enumerate(lines, start=1):
        line.position = position
    PickLine.objects.bulk_create(lines)
    return any(line.short and not line.spare for line in lines)


def pick_lines(
    pick_list: PickList, part: Part, count: int, *, spare: bool, note: str
) -> list[PickLine]:
    """Lines of one part, unsaved: a line a shelf for what could be reserved, one for the rest."""
    facts = {"pick_list": pick_list, "part": part, "spare": spare, "note": note[:120]}
    lines = [
        PickLine(stock=stock, wanted=taken, reserved=taken, **facts)
        for stock, taken in reserve(part=part, count=count, ref=pick_list.job.number)
    ]
    short = count - sum(line.reserved for line in lines)
    if short:
        lines.append(PickLine(wanted=short, reserved=0, **facts))
    return [line.settle_state() for line in lines]


def parts_wanted(option: QuoteOption) -> Iterator[Wanted]:
    """The parts of an option's charged lines, one entry a part, in the order of the sheet."""
    rows = option.lines.filter(part__isnull=False, left_out=False).select_related("part")
    counts: dict[int, int] = {}
    first: dict[int, tuple[Part, str]] = {}
    for row in rows:
        first.setdefault(row.part_id, (row.part, row.why))
        counts[row.part_id] = counts.get(row.part_id, 0) + row.quantity
    for pk, (part, why) in first.items():
        yield part, counts[pk], False, why


def whole_kits(wanted: Iterable[Wanted]) -> Iterator[Wanted]:
    """What is wanted, a kit as the parts that it holds; one query more."""
    rows = list(wanted)
    held: dict[int, list[KitPart]] = {}
    kits = KitPart.objects.filter(kit__in=[part for part, *_ in rows]).select_related("part")
    for row in kits:
        held.setdefault(row.kit_id, []).append(row)
    for part, count, spare, note in rows:
        if part.pk not in held:
            yield part, count, spare, note
        for row in held.get(part.pk, []):
            yield row.part, count * row.count, spare, f"of kit {part.number}"


def spares_for(*, shop: Shop, parts: list[Part]) -> Iterator[Wanted]:
    """What every tote takes along: one of each fuse value, caps, label stock, one 5 ft cable, one
    terminator (common practice, no source).

    Only parts that the shop keeps; one query.
    """
    fuses = {part.pk: part for part in parts if part.kind == Part.PartKind.FUSE}
    for part in fuses.values():
        yield part, 1, True, "spare fuse of this value"
    kinds = [Part.PartKind.SMALL, Part.PartKind.SUPPLY, Part.PartKind.CABLE]
    kept = Part.objects.of(shop).current().filter(kind__in=kinds, kit_parts=None)
    rows = list(kept.order_by("number"))
    for words, note in SPARES:
        found = next((part for part in rows if _is_called(part, words)), None)
        if found is not None:
            yield found, 1, True, note
    cable = next((part for part in rows if part.cable_ft == SPARE_CABLE_FT), None)
    if cable is not None:
        yield cable, 1, True, "spare patch cable"


def _is_called(part: Part, words: set[str]) -> bool:
    return part.cable_ft is None and bool(words & set(part.name.lower().split()))
