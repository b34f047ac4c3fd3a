"""A sent quote and an open job with steps, ports and a pick list, for the tests of papers."""

from datetime import date
from decimal import Decimal

from django.utils import timezone

from planner import engine
from shopapp.accounts.models import User
from shopapp.boats.models import Bank, Location
from shopapp.catalog.models import Part
from shopapp.customers.models import Approver, Phone
from shopapp.jobs.models import Job, PickLine, PickList, Quote, WorkStep
from shopapp.stock.models import StockItem
from tests.factories.jobs import make_quote

READINGS = [
    ("reading:ohms", "Backbone resistance, power off, white to blue", "Ω", "55", "65"),
    ("reading:volts", "Volts at the display's plug, loaded", "V", "12.2", "13.4"),
    ("reading:ground", "Negative from plug to battery", "Ω", None, "0.2"),
]


def sent_quote(by: User) -> Quote:
    """A quote with a link, sent today."""
    quote = make_quote(by)
    quote.token = f"token-of-quote-{quote.pk}"
    quote.sent_at = timezone.now()
    quote.state = Quote.State.SENT
    quote.save()
    Phone.objects.create(customer=quote.customer, number="555 0100", label="mobile")
    return quote


def open_job(by: User, *, quote: Quote | None = None, more_steps: int = 0) -> Job:
    """A job of the quote's first option: steps by the planner, readings, parts, one short."""
    quote = quote or sent_quote(by)
    option = quote.options.first()
    case, plan = quote.run.case, option.plan
    job = Job.objects.create(
        shop=quote.shop,
        number=f"J-{quote.pk:04d}",
        quote=quote,
        option=option,
        boat=quote.boat,
        customer=quote.customer,
        title=quote.title,
        asked_for="I want to see the chart from the bow seat.",
        must_not_change="The radio stays where it is.",
        technician=by,
        planned_on=date(2026, 12, 3),
        minutes_planned=option.minutes,
        case=case,
        plan=plan,
        ports=engine.assign_ports(case, plan),
    )
    _lay_steps(job, more_steps)
    _lay_pick_list(job)
    Approver.objects.create(
        customer=job.customer, name="Ivo Farrow", relation="son", up_to_cents=50000
    )
    Bank.objects.create(boat=job.boat, name="House", use="house", chemistry="agm", fuse_a=100)
    Location.objects.create(boat=job.boat, name="bow", room_note="through the locker")
    return job


def _lay_steps(job: Job, more: int) -> None:
    rows = [
        WorkStep(
            job=job,
            position=position,
            key=row["step_key"],
            kind=row["kind"],
            title=row["title"],
            detail=row["detail"],
            caution=row["caution"],
            unit_key=row["unit"] or "",
            minutes=row["minutes"],
            expect_text=(row["expect"] or {}).get("text") or "",
        )
        for position, row in enumerate(engine.order_of_work(job.case, job.plan), start=1)
    ]
    for number, (key, label, unit, low, high) in enumerate(READINGS, start=len(rows) + 1):
        rows.append(
            WorkStep(
                job=job,
                position=number,
                key=key,
                kind="reading",
                title=label,
                asks=WorkStep.Asks.READING,
                expect_unit=unit,
                expect_low=low and Decimal(low),
                expect_high=high and Decimal(high),
            )
        )
    rows += [
        WorkStep(
            job=job,
            position=len(rows) + n,
            key=f"more:{n}",
            kind="fit",
            title=f"Further step number {n}",
            detail="Photograph and label every plug first. Cap what stays behind.",
            minutes=10,
        )
        for n in range(1, more + 1)
    ]
    WorkStep.objects.bulk_create(rows)


def _lay_pick_list(job: Job) -> None:
    parts = {part.number: part for part in Part.objects.of(job.shop)}
    pick_list = PickList.objects.create(job=job)
    for position, (number, count) in enumerate(sorted(job.plan["parts"].items()), start=1):
        part = parts[_sold_as(number)]
        stock = StockItem.objects.create(shop=job.shop, part=part, place="Shelf B4", on_hand=9)
        PickLine.objects.create(
            pick_list=pick_list,
            position=position,
            part=part,
            wanted=count + (position == 1),
            reserved=count,
            stock=stock,
        )
    PickLine.objects.create(
        pick_list=pick_list, position=90, part=parts["CAP-1"], wanted=2, reserved=2, spare=True
    )


def _sold_as(number: str) -> str:
    return {"disp-r": "EQ-R", "sw-b": "EQ-SW"}.get(number, number)
