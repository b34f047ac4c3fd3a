"""Short names for the new units of a plan, so that labels, steps and records agree.

Pure. The planner calls new units `wish-1` or `new1`; aboard they are `d3` or `sw2`.
"""

from copy import deepcopy
from typing import Any

JsonDict = dict[str, Any]
STEMS = {
    "display": "d",
    "switch": "sw",
    "sounder": "sonar",
    "radar": "radar",
    "motor": "motor",
    "camera": "cam",
    "gateway": "gate",
    "other": "unit",
}


def with_unit_names(case: JsonDict, plan: JsonDict) -> JsonDict:
    """A copy of the plan in which every new unit bears a short name that is free aboard."""
    taken = {device["id"] for device in case["boat"]["devices"]}
    names: dict[str, str] = {}
    for unit in plan["units"]:
        if unit["fate"] == "added":
            stem = STEMS[case["catalogue"]["models"][unit["model"]]["kind"]]
            names[unit["unit"]] = _free(stem, taken)
    named = deepcopy(plan)
    for row in named["units"]:
        row["named"] = True  # its own name is shown from now on, not "new" and the model
    for row in [*named["units"], *named["updates"]]:
        row["unit"] = names.get(row["unit"], row["unit"])
    for link in named["links"]:
        link["between"] = [names.get(end, end) for end in link["between"]]
    return named


def _free(stem: str, taken: set[str]) -> str:
    number = 1
    while f"{stem}{number}" in taken:
        number += 1
    taken.add(f"{stem}{number}")
    return f"{stem}{number}"
