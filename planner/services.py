"""Ask for a plan, work it out, and plan again."""

import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.utils import timezone

from planner.assumptions import settle_assumptions
from planner.engine import ENGINE_VERSION, CaseFault, answer_case
from planner.loaders import build_case, digest_of
from planner.models import PlanRun
from planner.rewiring import leave_cables
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
    built = build_case(boat=boat, wishes=wishes)
    run = PlanRun.objects.create(
        shop_id=boat.shop_id,
        boat=boat,
        wishes=wishes | {"words": [r["words"] for r in built.case["job"]["requests"]]},
        case=built.case,
        case_digest=digest_of(built.case),
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
    options = run.wishes.get("options", OPTIONS)
    answer = answer_case(run.case, options=options, should_stop=stop_after(seconds))
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
    """The wishes with some dropped; dropping `max_new` allows three switches more.

    Raises `FactRefused` for anything that is no wish: statements and the DC limit stand.
    """
    known = {wish["id"] for wish in wishes.get("requests", [])}
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
    return wishes | {"requests": kept, "switches": switches}


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
