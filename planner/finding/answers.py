"""Asking the fault finder: the answer for pages and JSON, and the table for a tablet offline."""

import math
from typing import Any

from planner.engine.finding.finder import Finder, NetworkFault, read_network, tell
from planner.engine.finding.looks import CLASSES, read_seen
from planner.engine.finding.words import cause_words
from shopapp.errors import FactRefused

JsonDict = dict[str, Any]


def ask_finder(*, network: JsonDict, seen: JsonDict) -> JsonDict:
    """Causes, next looks, all looks and what was seen in words; FactRefused names what is wrong."""
    try:
        finder = Finder(read_network(network))
        read = read_seen(seen, finder.looks)
    except NetworkFault as fault:
        raise FactRefused(fault.message, field=fault.field) from fault
    told = tell(finder, read)
    told["seen"] = [
        {
            "look": key,
            "question": finder.looks[key].question,
            "value": value,
            "words": finder.looks[key].answers[value],
            "odd": finder.healthy[key] not in {None, value},
        }
        for key, value in read.items()
    ]
    told["looks"] = [
        look.as_dict() | {"at_first": look.at_first, "kind": look.kind}
        for look in finder.looks.values()
    ]
    return told


def table_of(network: JsonDict) -> JsonDict:
    """All that a tablet needs to run the finder with no signal: what each fault shows otherwise."""
    try:
        finder = Finder(read_network(network))
    except NetworkFault as fault:
        raise FactRefused(fault.message, field=fault.field) from fault
    return {
        "healthy": finder.healthy,
        "classes": {kind: _finite(bounds) for kind, bounds in CLASSES.items()},
        "looks": {
            key: look.as_dict() | {"at_first": look.at_first} for key, look in finder.looks.items()
        },
        "causes": [
            {
                "key": cause.key,
                "kind": cause.kind,
                "scope": cause.scope,
                "weight": cause.weight,
                "words": cause_words([cause], finder.network),
                "otherwise": finder.otherwise(cause),
            }
            for cause in finder.causes
        ],
    }


def _finite(bounds: list[tuple[float, str]]) -> list[tuple[float | None, str]]:
    """For JSON, which knows no infinity: the last class has no bound."""
    return [(bound if math.isfinite(bound) else None, name) for bound, name in bounds]


def look_of_reading(network: JsonDict, *, unit: str, unit_of_measure: str) -> str:
    """The look that a step's reading answers: ohms of a backbone, volts at a unit; "" for none."""
    if unit_of_measure == "Ω":
        lines = [line for line in network["backbones"] if line["terminators"]]
        return f"ohms:{lines[0]['id']}:{lines[0]['terminators'][0]}" if lines else ""
    cabled = {end["unit"] for cable in network["cables"] for end in cable["ends"]}
    return f"volts:{unit}" if unit_of_measure == "V" and unit in cabled else ""
