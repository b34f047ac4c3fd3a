"""What else may be found aboard, and whether the accepted plan still stands then. Pure.

Worked out before anybody leaves, so that the answer is there without signal.
"""

from collections.abc import Callable, Iterator
from copy import deepcopy
from typing import Any

from planner.engine import CaseFault, plan_with
from planner.plans import model_name
from planner.telling import in_names

JsonDict = dict[str, Any]
Stop = Callable[[], bool]
STANDS, OTHER_UPDATES, OTHER_PARTS = "stands", "other_updates", "other_parts"
BREAKS, NOT_KNOWN = "breaks", "not_known"


def findings_of(case: JsonDict, plan: JsonDict) -> Iterator[JsonDict]:
    """Each other release, and each other model of its kind, that a unit which stays may be.

    Dicts with `unit`, `fact` ("release" or "model") and `value`.

    Releases first, since these are what records are wrong about most (common practice).
    """
    models = case["catalogue"]["models"]
    staying = {row["unit"] for row in plan["units"] if row["fate"] == "stays"}
    devices = [one for one in case["boat"]["devices"] if one["id"] in staying]
    for device in devices:
        for name in models[device["model"]]["releases"]:
            if name != device["release"]:
                yield {"unit": device["id"], "fact": "release", "value": name}
    for device in devices:
        kind = models[device["model"]]["kind"]
        for code in sorted(models):
            if code != device["model"] and models[code]["kind"] == kind:
                yield {"unit": device["id"], "fact": "model", "value": code}


def judge_finding(
    *, case: JsonDict, plan: JsonDict, finding: JsonDict, should_stop: Stop
) -> JsonDict:
    """Whether the plan stands where the finding is true: `verdict` and `text` beside it.

    `plan` is the plan as the planner called its units. "not_known" where time ran out or the
    records cannot be read so: never shown as fine.
    """
    found = _case_with(case, finding)
    try:
        answer = plan_with(found, _pins(case, plan), options=1, should_stop=should_stop)
    except CaseFault as fault:
        return finding | {"verdict": NOT_KNOWN, "text": f"Not worked out: {fault.message}."}
    if not answer.get("proven", True):
        return finding | {"verdict": NOT_KNOWN, "text": "Not worked out before leaving."}
    if not answer["feasible"]:
        return finding | {"verdict": BREAKS, "text": _breaks(found, finding)}
    return finding | _compared(found, plan, answer["options"][0])


def _case_with(case: JsonDict, finding: JsonDict) -> JsonDict:
    found = deepcopy(case)
    models = found["catalogue"]["models"]
    for device in found["boat"]["devices"]:
        if device["id"] == finding["unit"]:
            device[finding["fact"]] = finding["value"]
            if finding["fact"] == "model":
                releases = models[finding["value"]]["releases"]
                # Of a model that is not the one on record the oldest release is feared.
                device["release"] = releases[0] if releases else None
    return found


def _pins(case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """The plan's units held as they are: stays, goes or comes, on the network or off it."""
    devices = {one["id"] for one in case["boat"]["devices"]}
    adds = {one["id"] for one in case["job"]["requests"] if "add" in one}
    pins: list[JsonDict] = []
    for row in plan["units"]:
        if row["unit"] in devices:
            pins.append(_held(row))
        elif row["unit"] in adds:
            pin = {"pin": "unit", "unit": row["unit"], "model": row["model"]}
            pins.append(pin | {"networked": row["networked"]})
    bought = sum(1 for row in plan["units"] if row["unit"] not in devices | adds)
    pins.append({"pin": "new_switches", "at_most": bought})
    return pins


def _held(row: JsonDict) -> JsonDict:
    pin = {"pin": "unit", "unit": row["unit"], "fate": row["fate"]}
    if row["fate"] == "replaced":
        pin["model"] = row["model"]
    if row["fate"] in {"stays", "replaced"}:
        pin["networked"] = row["networked"]
    return pin


def _breaks(case: JsonDict, finding: JsonDict) -> str:
    return (
        f"With {_words(case, finding)} the plan does not work: not every unit can stay on the "
        "network as planned. Stop before you fit, and ask for a change order."
    )


def _words(case: JsonDict, finding: JsonDict) -> str:
    what = finding["value"]
    if finding["fact"] == "model":
        return f"{finding['unit']} being a {model_name(case, what)}"
    return f"{finding['unit']} on {what}"


def _compared(case: JsonDict, plan: JsonDict, now: JsonDict) -> JsonDict:
    parts = {
        number: now["parts"].get(number, 0) - plan["parts"].get(number, 0)
        for number in {**plan["parts"], **now["parts"]}
    }
    more = [f"{count} × {in_names(case, number)}" for number, count in parts.items() if count > 0]
    if more:
        text = (
            f"The plan then needs other parts: {', '.join(sorted(more))}. Ask for a change order."
        )
        return {"verdict": OTHER_PARTS, "text": text}
    steps = [(one["unit"], one["from"], one["to"]) for one in now["updates"]]
    if steps != [(one["unit"], one["from"], one["to"]) for one in plan["updates"]]:
        return {"verdict": OTHER_UPDATES, "text": _updates(steps)}
    return {"verdict": STANDS, "text": "The plan stands."}


def _updates(steps: list[tuple[str, str, str]]) -> str:
    if not steps:
        return "The plan stands; no update is needed any more."
    told = ", ".join(f"{unit} {before} to {after}" for unit, before, after in steps)
    return f"The parts stay the same, the updates do not: {told}. Ask for a change order."
