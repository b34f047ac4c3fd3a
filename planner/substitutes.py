"""Would another model do? The same case planned again without one model, or with another allowed.

The case is the one that the job was planned with, so that the model alone makes the difference.
Where that case does not know the model, the records as they stand are read for it.
"""

from collections import Counter
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from planner.loaders import build_case
from planner.models import PlanRun
from planner.pages import conflict_page
from planner.plans import plan_columns
from planner.services import keep_and_plan
from planner.telling import given_up_words, part_name
from planner.verdicts import DOES_NOT, NOT_KNOWN, TONES, verdict_of
from shopapp.accounts.models import User
from shopapp.errors import FactRefused
from shopapp.work.models import RowState

JsonDict = dict[str, Any]
KEPT = ("enquiry", "requests", "switches", "options")


def plan_instead(
    *, run: PlanRun, model: str, other: str = "", option: int = 1, by: User | None
) -> PlanRun:
    """Plan `run`'s case with no new unit of `model`; with `other`, that one may take its place.

    What takes longer than two seconds is left to the worker. FactRefused where no wish of the
    case asks for `model`, or `other` is no longer in the catalogue.
    """
    wishes = {name: run.wishes[name] for name in KEPT if name in run.wishes}
    if other:
        wishes["requests"] = _allowing(wishes.get("requests", []), model, other)
    case = _case_for(run, wishes, model, other)
    known = model in case["catalogue"]["models"]
    wishes |= {
        "pins": [{"pin": "forbid_model", "model": model}] if known else [],
        "what_if_of": {"run": run.pk, "option": option},
        "instead": {"of": model, "by": other},
    }
    return keep_and_plan(boat=run.boat, wishes=wishes, case=case, by=by, again_of=None)


def tried_instead(*, run: PlanRun, model: str) -> dict[str, PlanRun]:
    """What has been planned in place of `model`: other model ("" for none) -> its newest run."""
    rows = PlanRun.objects.filter(
        boat=run.boat_id, wishes__what_if_of__run=run.pk, wishes__instead__of=model
    )
    return {row.wishes["instead"]["by"]: row for row in rows.order_by("requested_at", "pk")}


def _case_for(run: PlanRun, wishes: JsonDict, model: str, other: str) -> JsonDict:
    if other and other not in run.case["catalogue"]["models"]:
        case = build_case(boat=run.boat, wishes=wishes).case
    else:
        case = deepcopy(run.case)
    _allow(case, model, other)
    return case


def _allowing(requests: list[JsonDict], model: str, other: str) -> list[JsonDict]:
    """The wishes with `other` where `model` was named: the short one is not asked for again."""
    return [
        wish | {"models": [code for code in wish["models"] if code != model] + [other]}
        if model in (wish.get("models") or [])
        else wish
        for wish in requests
    ]


def _allow(case: JsonDict, model: str, other: str) -> None:
    """Every wish that may be met by `model` may be met by `other`; `FactRefused` where none may."""
    found = False
    for request in case["job"]["requests"]:
        for key in ("add", "by"):
            codes = request.get(key)
            if isinstance(codes, list) and {model, other} & set(codes):
                found = True
                request[key] = [*codes, other] if other and other not in codes else codes
    switches = case["job"]["switches"]
    if model in switches["models"]:
        found = True
        switches["models"] = sorted({*switches["models"], *([other] if other else [])})
    if not found:
        raise FactRefused("No wish of this plan asks for that model.", field="other")


@dataclass(frozen=True)
class Proof:
    """What planning without a model came to; amounts are signed, against the plan that was sold."""

    run: PlanRun
    pending: bool
    feasible: bool
    word: str = ""
    tone: str = "unknown"
    cents: int = 0
    minutes: int = 0
    less: tuple[str, ...] = ()
    more: tuple[str, ...] = ()
    given_up: tuple[str, ...] = ()
    why_not: tuple[str, ...] = ()

    @property
    def less_cents(self) -> int:
        """By how much it is cheaper."""
        return max(0, -self.cents)

    @property
    def less_minutes(self) -> int:
        """Minutes of work that fall away."""
        return max(0, -self.minutes)

    @property
    def right(self) -> bool:
        """Whether the planner found it right for the job; what is not known never is."""
        return self.feasible and self.word not in {DOES_NOT, NOT_KNOWN}


def proof_of(
    *, run: PlanRun, sold: JsonDict, sold_case: JsonDict, strategies: Sequence[str] = ()
) -> Proof:
    """Set a finished planning beside the plan that was sold; `strategies` chose that one."""
    if run.answer is None:
        return Proof(run=run, pending=run.row_state != RowState.FAILED, feasible=False)
    if not run.feasible:
        return Proof(run=run, pending=False, feasible=False, why_not=_clashes(run))
    plan = _column(run, strategies)
    verdict = verdict_of(case=run.case, plan=plan, assumptions=run.assumptions)
    less, more = Counter(sold["parts"]), Counter(plan["parts"])
    return Proof(
        run=run,
        pending=False,
        feasible=True,
        word=verdict.word,
        tone=TONES[verdict.word],
        cents=plan["total_cents"] - sold["total_cents"],
        minutes=plan["labour_minutes"] - sold["labour_minutes"],
        less=_counted(sold_case, less - more),
        more=_counted(run.case, more - less),
        given_up=tuple(given_up_words(run.case, plan)),
    )


def _column(run: PlanRun, strategies: Sequence[str]) -> JsonDict:
    columns = plan_columns(run.answer)
    same = (one for one in columns if set(one.strategies) & set(strategies))
    return next(same, columns[0]).plan


def _counted(case: JsonDict, parts: Counter[str]) -> tuple[str, ...]:
    return tuple(f"{count} × {part_name(case, part)}" for part, count in sorted(parts.items()))


def _clashes(run: PlanRun) -> tuple[str, ...]:
    return tuple(clash.text for clash in conflict_page(run)["clash"])
