"""Past visits of the demo: fault finding over two years, with problems that recur."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Unit
from shopapp.demo.reading import save_all
from shopapp.jobs.models import Counter, Job, Move, Problem, WorkStep

DAYS_BACK = 730


@dataclass(frozen=True, slots=True)
class Recurring:
    """A combination that fails again and again on the demo's boats."""

    model: str
    counterpart: str
    symptom: str
    words: str
    cause: str
    share: float


RECURRING = (
    Recurring(
        "sweep-18",
        "lantern-10-3",
        "no_radar",
        "Radar picture drops out after some minutes; comes back after a restart.",
        "",
        0.6,
    ),
    Recurring(
        "lantern-9-2",
        "knot-5",
        "not_seen",
        "The display is missing in the others' list until power is cycled.",
        "adapter lead: bent pin",
        0.35,
    ),
    Recurring(
        "drover-80",
        "lantern-12-3",
        "reboots",
        "Display restarts when the motor goes to full.",
        "shared feed sags under load",
        0.5,
    ),
)
NOISE = (
    ("slow", "Screens frozen, a second cable lay between the two switches.", "loop"),
    ("no_power", "Dead at the dock. Fuse open.", "fuse"),
    ("water", "Water behind the bezel.", "gasket not seated"),
    ("update_stuck", "Update stopped at half; second card went through.", ""),
    ("no_sonar", "No sonar picture after winter.", "plug not home"),
    ("other", "Owner could not find the chart card menu.", ""),
)
CURES = {
    "adapter lead: bent pin": "new adapter lead",
    "shared feed sags under load": "own feed from the bus bar",
    "loop": "second cable taken off",
    "fuse": "new fuse, feed measured",
    "gasket not seated": "gasket seated, unit dried",
}
VISIT_STEPS = (
    ("caution", "Batteries and chargers off, shore power off", True),
    ("check", "Find the fault, one change at a time", False),
    ("check", "Each display lists all others", False),
)


@dataclass(slots=True)
class Visit:
    """One past visit to be written."""

    boat: Boat
    day: date
    unit: Unit | None = None
    counterpart_id: int | None = None
    symptom: str = ""
    words: str = ""
    cause: str = ""
    switch_id: int | None = None
    networked: int = 0


def make_visits(*, shop: Shop, people: dict[str, User], today: date, random: Random) -> None:
    """Closed visits in batches of boats, the older ones first by number."""
    boats = list(Boat.objects.of(shop).order_by("pk").only("pk", "customer", "shop"))
    for start in range(0, len(boats), 2000):
        batch = boats[start : start + 2000]
        visits = sorted(plan_visits(batch, today, random), key=lambda visit: visit.day)
        write_visits(shop, people, visits, random)


def plan_visits(boats: list[Boat], today: date, random: Random) -> Iterator[Visit]:
    """Recurring problems where their combination is aboard, some noise everywhere."""
    aboard: dict[int, list[Unit]] = {boat.pk: [] for boat in boats}
    for unit in Unit.objects.filter(boat__in=boats).select_related("model").order_by("pk"):
        aboard[unit.boat_id].append(unit)
    for boat in boats:
        units = {unit.model.code: unit for unit in aboard[boat.pk]}
        for trouble in RECURRING:
            there = trouble.model in units and trouble.counterpart in units
            if there and random.random() < trouble.share:
                visit = recurring_visit(boat, units, trouble, a_day(today, random))
                yield with_network(visit, aboard[boat.pk])
        for _ in range(random.choice((0, 0, 1, 1, 2))):
            visit = noise_visit(boat, aboard[boat.pk], a_day(today, random), random)
            yield with_network(visit, aboard[boat.pk])


def a_day(today: date, random: Random) -> date:
    """A day of the last two years, not of the last two weeks."""
    return today - timedelta(days=random.randrange(14, DAYS_BACK))


def recurring_visit(boat: Boat, units: dict[str, Unit], trouble: Recurring, day: date) -> Visit:
    """A visit for a combination known to fail."""
    unit, other = units[trouble.model], units[trouble.counterpart]
    return Visit(boat, day, unit, other.model_id, trouble.symptom, trouble.words, trouble.cause)


def with_network(visit: Visit, units: list[Unit]) -> Visit:
    """The visit with the switch and the number of units on the network."""
    networked = [unit for unit in units if unit.networked]
    switches = [unit.model_id for unit in networked if unit.model.kind == "switch"]
    visit.switch_id = switches[0] if switches else None
    visit.networked = len(networked) - len(switches)
    return visit


def noise_visit(boat: Boat, units: list[Unit], day: date, random: Random) -> Visit:
    """A visit for something that happens anywhere; every third finds nothing wrong."""
    if not units or random.random() < 0.33:
        return Visit(boat, day)
    symptom, words, cause = random.choice(NOISE)
    return Visit(boat, day, random.choice(units), None, symptom, words, cause)


def at(day: date, hour: int) -> datetime:
    """An hour of the day, in UTC."""
    return datetime.combine(day, time(hour), UTC)


def write_visits(shop: Shop, people: dict[str, User], visits: list[Visit], random: Random) -> None:
    """Jobs, their steps, moves and problems, in bulk."""
    counter, _made = Counter.objects.get_or_create(shop=shop, series="J")
    technicians = [people["tobin"], people["iris"]]
    jobs = save_all(
        Job,
        (
            Job(
                shop=shop,
                number=f"J-{counter.last + place}",
                boat=visit.boat,
                customer_id=visit.boat.customer_id,
                title="Fault finding" if visit.symptom else "Yearly check",
                asked_for=visit.words,
                state=Job.State.CLOSED,
                handed_over_to="the owner",
                technician=random.choice(technicians),
                planned_on=visit.day,
                minutes_planned=60,
                opened_at=at(visit.day - timedelta(days=4), 14),
                started_at=at(visit.day, 13),
                done_at=at(visit.day, 16),
                closed_at=at(visit.day + timedelta(days=3), 15),
            )
            for place, visit in enumerate(visits, 1)
        ),
    )
    Counter.objects.filter(pk=counter.pk).update(last=counter.last + len(visits))
    write_steps(jobs)
    write_moves(jobs, people)
    write_problems(jobs, visits, random)


def write_steps(jobs: list[Job]) -> None:
    """The few steps of a visit, all done."""
    save_all(
        WorkStep,
        (
            WorkStep(
                job=job,
                key=f"visit-{position}",
                position=position,
                kind=kind,
                title=title,
                caution=caution,
                state=WorkStep.State.DONE,
                done_by=job.technician,
                done_at=job.started_at + timedelta(minutes=20 * position),
            )
            for job in jobs
            for position, (kind, title, caution) in enumerate(VISIT_STEPS, 1)
        ),
    )


def write_moves(jobs: list[Job], people: dict[str, User]) -> None:
    """From opened to closed, with who and when."""
    save_all(
        Move,
        (
            Move(job=job, before=before, after=after, by=by or job.technician, at=moment)
            for job in jobs
            for before, after, by, moment in (
                ("", "opened", people["wren"], job.opened_at),
                ("opened", "on_job", None, job.started_at),
                ("on_job", "done", None, job.done_at),
                ("done", "closed", people["marta"], job.closed_at),
            )
        ),
    )


def write_problems(jobs: list[Job], visits: list[Visit], random: Random) -> None:
    """What did not work, with the unit's model and release as they were."""
    save_all(
        Problem,
        (
            Problem(
                shop_id=job.shop_id,
                job=job,
                boat=visit.boat,
                unit=visit.unit,
                model_id=visit.unit.model_id,
                release_id=visit.unit.release_id,
                counterpart_id=visit.counterpart_id,
                switch_id=visit.switch_id,
                shape=shape_of(visit),
                networked_units=visit.networked,
                symptom=visit.symptom,
                words=visit.words,
                cause=visit.cause,
                minutes_lost=random.randrange(20, 120, 10),
                noted_by=job.technician,
                noted_at=job.done_at,
                solved_at=job.closed_at if visit.cause else None,
                **outcome(visit, random),
            )
            for job, visit in zip(jobs, visits, strict=True)
            if visit.symptom
        ),
    )


def shape_of(visit: Visit) -> str:
    """The shape of the network as the visit found it."""
    if visit.switch_id:
        return Problem.Shape.ONE_SWITCH
    return Problem.Shape.DIRECT if visit.networked > 1 else Problem.Shape.ALONE


def outcome(visit: Visit, random: Random) -> dict[str, Any]:
    """What cured it, who paid, and what came back of a claim; nothing while no cause is proven."""
    if not visit.cause:
        return {}
    payer = random.choice(("customer", "customer", "shop", "maker"))
    lost = random.randrange(0, 24000, 500) if payer in {"shop", "maker"} else 0
    claimed = lost + 12000 if payer == "maker" else 0
    return {
        "cure": CURES.get(visit.cause, "put right and tried"),
        "paid_by": payer,
        "lost_cents": lost,
        "claimed_cents": claimed,
        "recovered_cents": claimed * random.choice((0, 50, 80, 100)) // 100,
    }
