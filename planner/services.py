"""Ask for a plan, work it out, and plan again."""

import time
from collections.abc import Callable, Sequence
from typing import Any

from django.conf import settings
from django.utils import timezone

from planner.assumptions import settle_assumptions
from planner.cables_in_place import leave_cables
from planner.engine import ENGINE_VERSION, CaseFault, answer_case, plan_with
from planner.loaders import build_case, digest_of
from planner.models import PlanRun
from planner.pins import pin_id, pins_words
from shopapp.accounts.models import User
from shopapp.boats.models import Boat
from shopapp.errors import FactRefused, MoveRefused
from shopapp.work.models import RowState
from shopapp.work.services import ring

JsonDict = dict[str, Any]
IN_REQUEST_SECONDS = 2.0
WORKER_SECONDS = 60.0
# A worker's lease must outlast its search, or another would begin the same one.
SHARE_OF_LEASE = 0.8
OPTIONS = 4
EXTRA_SWITCHES = 3
KIND = "plan"


def start_plan(
    *, boat: Boat, wishes: JsonDict, by: User | None, again_of: PlanRun | None = None
) -> PlanRun:
    """Keep the case as the records stand, and plan it.

    What takes longer than two seconds is left to the worker. Raises `FactRefused` where a wish
    names what is gone.
    """
    case = build_case(boat=boat, wishes=wishes).case
    return keep_and_plan(boat=boat, wishes=wishes, case=case, by=by, again_of=again_of)


def plan_unkept(
    *, boat: Boat, wishes: JsonDict, seconds: float = WORKER_SECONDS
) -> tuple[JsonDict, JsonDict]:
    """The case as the records stand and its answer, kept nowhere: to count what many boats need.

    Raises `FactRefused` where a wish names what is gone, or where the records cannot be planned.
    """
    case = build_case(boat=boat, wishes=wishes).case
    try:
        answer = plan_with(case, wishes.get("pins", []), options=1, should_stop=stop_after(seconds))
    except CaseFault as fault:
        raise FactRefused(fault_words(fault)) from fault
    return case, leave_cables(case, answer)


def start_what_if(
    *, run: PlanRun, pins: Sequence[JsonDict], by: User | None, option: int = 1
) -> PlanRun:
    """Plan the same case once more, held to some pins, to be set beside option `option`.

    The records are not read again, so that the pins alone make the difference. Raises
    `FactRefused` for a pin that this case does not know.
    """
    kept = {
        name: run.wishes[name]
        for name in ("enquiry", "requests", "switches", "options")
        if name in run.wishes
    }
    wishes = kept | {"pins": list(pins), "what_if_of": {"run": run.pk, "option": option}}
    check_pins(run.case, pins)
    return keep_and_plan(boat=run.boat, wishes=wishes, case=run.case, by=by, again_of=None)


def check_pins(case: JsonDict, pins: Sequence[JsonDict]) -> None:
    """Read the pins without planning; `FactRefused` with the number of the first bad one."""
    for place in range(len(pins)):
        try:
            plan_with(case, pins[: place + 1], options=1, should_stop=lambda: True)
        except CaseFault as fault:
            raise FactRefused(f"{_plain(fault.message)}.", field=pin_id(place)) from fault


def _plain(message: str) -> str:
    return f"{message[:1].upper()}{message[1:]}"


def keep_and_plan(
    *, boat: Boat, wishes: JsonDict, case: JsonDict, by: User | None, again_of: PlanRun | None
) -> PlanRun:
    """Keep a case and plan it; what takes longer than two seconds is left to the worker."""
    words = [request["words"] for request in case["job"]["requests"]]
    words += [f"what if: {said}" for said in pins_words(case, wishes.get("pins", []))]
    run = PlanRun.objects.create(
        shop_id=boat.shop_id,
        boat=boat,
        wishes=wishes | {"words": words},
        case=case,
        case_digest=digest_of(case),
        asked_by=by,
        again_of=again_of,
    )
    advance_plan(run.pk, seconds=IN_REQUEST_SECONDS, last=False)
    run.refresh_from_db()
    return run


def advance_plan(pk: int, *, seconds: float | None = None, last: bool = True) -> bool:
    """Claim one plan and work it out; whether this call finished it.

    With `last` the best found in time is kept, though it is not proven; without, an unproven
    answer leaves the plan for the worker.
    """
    mark = PlanRun.objects.claim(pk)
    if mark is None:
        return False
    run = PlanRun.objects.get(pk=pk)
    limit = worker_seconds() if seconds is None else seconds
    try:
        answer = _answer(run, limit)
    except CaseFault as fault:
        PlanRun.objects.fail(pk, mark, reason=fault_words(fault))
        return False
    if not (last or answer.get("proven", True)):
        PlanRun.objects.give_back(pk, mark, reason="")
        ring(KIND, pk)
        return False
    return PlanRun.objects.finish(
        pk,
        mark,
        answer=answer,
        engine_version=ENGINE_VERSION,
        assumptions=settle_assumptions(
            case=run.case, answer=answer, unknowns=run.case.get("unknowns", [])
        ),
    )


def worker_seconds() -> float:
    """How long the worker may search, in seconds."""
    return min(WORKER_SECONDS, SHARE_OF_LEASE * settings.WORK_LEASE_SECONDS)


def _answer(run: PlanRun, seconds: float) -> JsonDict:
    limits = {"options": run.wishes.get("options", OPTIONS), "should_stop": stop_after(seconds)}
    pins = run.wishes.get("pins")
    answer = plan_with(run.case, pins, **limits) if pins else answer_case(run.case, **limits)
    return leave_cables(run.case, answer)


def stop_after(seconds: float) -> Callable[[], bool]:
    """A question for the engine, which has no clock: is the time up?"""
    end = time.monotonic() + seconds
    return lambda: time.monotonic() > end


def fault_words(fault: CaseFault) -> str:
    """What a person can do about records that no plan can be made from."""
    return (
        f"The records cannot be planned with: {fault.message} (at {fault.path}). "
        "Put that record right, then plan again."
    )


def plan_again(*, run: PlanRun, by: User | None, drop: tuple[str, ...] = ()) -> PlanRun:
    """Plan the same wishes, less those dropped, with the records as they stand now."""
    wishes = wishes_without(run.wishes, drop)
    return start_plan(boat=run.boat, wishes=wishes, by=by, again_of=run)


def wishes_without(wishes: JsonDict, drop: tuple[str, ...]) -> JsonDict:
    """The wishes with some dropped, pins too; dropping `max_new` allows three switches more.

    Raises `FactRefused` for anything that is no wish: statements and the DC limit stand.
    """
    pins = wishes.get("pins", [])
    known = {wish["id"] for wish in wishes.get("requests", [])}
    known |= {pin_id(place) for place in range(len(pins))}
    unknown = [name for name in drop if name not in known and name != "max_new"]
    if unknown:
        raise FactRefused(
            f"{', '.join(unknown)} is no wish of this plan and cannot be dropped.",
            todo="A statement is changed among the statements, the DC limit on the boat's page.",
        )
    switches = dict(wishes.get("switches", {}))
    if "max_new" in drop:
        switches["max_new"] = switches.get("max_new", 0) + EXTRA_SWITCHES
    kept = [wish for wish in wishes.get("requests", []) if wish["id"] not in drop]
    fresh = wishes | {"requests": kept, "switches": switches}
    if pins:
        fresh["pins"] = [pin for place, pin in enumerate(pins) if pin_id(place) not in drop]
    return fresh


def try_again(*, run: PlanRun) -> None:
    """A failed plan is asked for once more, with its own case."""
    if not PlanRun.objects.ask_again(run.pk):
        raise MoveRefused("Only a failed plan can be tried again.", todo="Look at the page anew.")
    advance_plan(run.pk, seconds=IN_REQUEST_SECONDS, last=False)


def stop_plan(*, run: PlanRun, by: User) -> None:
    """End the wait for a plan; a worker that is at it finds its claim gone."""
    stopped = (
        PlanRun.objects.filter(pk=run.pk)
        .unfinished()
        .update(
            row_state=RowState.FAILED,
            lease_owner=None,
            lease_until=None,
            reason=f"Stopped by {by}.",
            finished_at=timezone.now(),
        )
    )
    if not stopped:
        raise MoveRefused("This plan is finished already.", todo="Look at the page anew.")
