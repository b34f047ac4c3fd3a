"""The units that a verdict is asked for, and the bench that they are set up on."""

from collections.abc import Sequence
from typing import Any

from planner.engine.facts import Case
from planner.engine.faults import CaseFault
from planner.engine.shapes import Spot

JsonDict = dict[str, Any]
MOST_UNITS = 24
BENCH_CABLE = "judge:cable"
_PLACE = "bench"
_OFFNET_CENTS = 10**9


def read_units(facts: Case, units: Sequence[JsonDict]) -> list[JsonDict]:
    """The units with their ids, then each switch between them that is not one of them."""
    spots = Spot(list(units), "$.units").list()
    if not spots:
        raise CaseFault("$.units", "at least one unit was expected")
    stem = _free_stem(facts)
    found: list[JsonDict] = []
    behind: list[str] = []
    for number, spot in enumerate(spots, 1):
        model = facts.models[spot.get("model").one_of(facts.models, "model")]
        release = spot.get("release").value if spot.has("release") else None
        if release is not None:
            spot.get("release").one_of(model.releases, "release of this model")
        found.append({"id": f"{stem}-{number}", "model": model.id, "release": release})
        if spot.has("behind") and spot.get("behind").value is not None:
            switch = spot.get("behind")
            if facts.models[switch.one_of(facts.models, "model")].kind != "switch":
                raise switch.fault(f"{switch.value!r} is not a switch")
            behind.append(switch.text())
    own = {unit["model"] for unit in found}
    for number, name in enumerate(dict.fromkeys(n for n in behind if n not in own), 1):
        found.append({"id": f"{stem}-switch-{number}", "model": name, "release": None})
    if len(found) > MOST_UNITS:
        raise CaseFault("$.units", f"too many: at most {MOST_UNITS} units and switches at once")
    return found


def _free_stem(facts: Case) -> str:
    """A name that no statement begins with."""
    stem = "unit"
    while any(statement.id.startswith(f"{stem}-") for statement in facts.statements):
        stem += "_"
    return stem


def bench_device(name: str, model: str, release: str | None) -> JsonDict:
    """One networked unit on the bench."""
    return {
        "id": name,
        "model": model,
        "location": _PLACE,
        "release": release,
        "networked": True,
        "adapters": 0,
    }


def bench_case(catalogue: JsonDict, devices: list[JsonDict]) -> JsonDict:
    """The units on a bench: free cables enough, nothing to buy but a switch as a last resort."""
    if not isinstance(catalogue, dict) or not isinstance(catalogue.get("models"), dict):
        raise CaseFault("$.catalogue.models", "an object was expected")
    cables = {BENCH_CABLE: {"feet": 1, "price_cents": 0}}
    known = catalogue["models"]
    switches = sorted(n for n, m in known.items() if isinstance(m, dict) and _is_switch(m))
    return {
        "format": "refit-case/1",
        "catalogue": catalogue | {"cables": cables},
        "boat": {
            "locations": [_PLACE],
            "routes": [],
            "slack_ft": 0,
            "dc_limit_ma": None,
            "devices": devices,
            "cables": [
                {"id": f"judge:{n}", "cable": BENCH_CABLE, "between": [_PLACE, _PLACE]}
                for n in range(len(devices) + 1)
            ],
        },
        "job": {
            "requests": [],
            "switches": {"models": switches, "locations": [_PLACE], "max_new": 1},
            "penalties": {"offnet_cents": _OFFNET_CENTS, "lost_cents": 10 * _OFFNET_CENTS},
        },
    }


def _is_switch(model: JsonDict) -> bool:
    return model.get("kind") == "switch" and model.get("price_cents") is not None
