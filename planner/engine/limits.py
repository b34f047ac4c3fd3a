"""How large a case may be: what the planner takes on within its time and memory.

The lengths of lists are the schema's too. Beyond them, what would be weighed against each other
is counted before anything is made of it.
"""

from math import comb

from planner.engine.facts import MAX_NEW, Case, Device, Model
from planner.engine.faults import CaseFault
from planner.engine.shapes import Spot

# As many more new switches are tried as giving up their limit allows.
EXTRA_SWITCHES = 3
MOST = {
    "models": 5000,
    "parts": 2000,
    "releases": 200,
    "updates": 500,
    "statements": 3000,
    "before": 300,
    "locations": 60,
    "routes": 500,
    "devices": 100,
    "cables": 1000,
    "requests": 100,
    "names": 500,
    MAX_NEW: 20,
    "choices": 20_000,
    "selections": 50_000,
    "placements": 500_000,
}


def too_large(path: str, found: int, what: str, most: int) -> CaseFault:
    """The fault for a case that is too large."""
    return CaseFault(path, f"this case is too large: {found} {what}, at most {most} are planned")


def check_lengths(top: Spot) -> None:
    """Refuse a document whose lists are too long, before they are read."""
    catalogue, boat, job = (top.get(key) for key in ("catalogue", "boat", "job"))
    _most(catalogue.get("models"), "models", "models")
    for table in ("adapters", "leads", "fuses", "cables"):
        _most(catalogue.get(table), "parts", table)
    for _, model in catalogue.get("models").items():
        for key, most in (
            ("releases", "releases"),
            ("updates", "updates"),
            ("successors", "names"),
        ):
            _most(model.get(key), most, key)
    _most(catalogue.get("statements"), "statements", "statements")
    for key in ("locations", "routes", "devices", "cables"):
        _most(boat.get(key), key, key)
    _most(job.get("requests"), "requests", "requests")


def _most(spot: Spot, limit: str, what: str) -> None:
    if isinstance(spot.value, dict | list) and len(spot.value) > MOST[limit]:
        raise too_large(spot.path, len(spot.value), what, MOST[limit])


def check_size(case: Case) -> None:
    """Refuse a case with more to weigh against each other than the planner takes on."""
    before = sum(1 for statement in case.statements if statement.rule.verb == "before")
    if before > MOST["before"]:
        raise too_large("$.catalogue.statements", before, "orders of updates", MOST["before"])
    if case.max_new > MOST[MAX_NEW]:
        raise too_large("$.job.switches.max_new", case.max_new, "new switches", MOST[MAX_NEW])
    choices = sum(_choices(case, device) for device in case.devices)
    choices += sum(_stands(case.models[name]) for request in case.adds for name in request.models)
    if choices > MOST["choices"]:
        raise too_large("$.boat.devices", choices, "things that could become of units",
                        MOST["choices"])  # fmt: skip
    selections = _selections(case)
    if selections > MOST["selections"]:
        raise too_large("$.job.switches", selections, "ways to choose the switches",
                        MOST["selections"])  # fmt: skip
    placements = _placements(case)
    if placements > MOST["placements"]:
        raise too_large("$.job.switches.locations", placements, "ways to place new switches",
                        MOST["placements"])  # fmt: skip


def _stands(model: Model) -> int:
    return max(1, len(model.releases))


def _choices(case: Case, device: Device) -> int:
    old = case.models[device.model]
    names = case.switch_models if old.kind == "switch" else old.successors
    wanted = [m for r in case.requests if r.device == device.id for m in r.models]
    others = {*names, *wanted} - {device.model}
    return 1 + 2 * sum(_stands(case.models[name]) for name in (device.model, *others))


def _placements(case: Case) -> int:
    """The ways to place as many new switches as may ever be tried, of as many kinds as can be."""
    places, new = len(case.switch_locations), case.max_new + EXTRA_SWITCHES
    kinds = min(new, sum(_stands(case.models[name]) for name in case.switch_models))
    if not places or not kinds:
        return 0
    each, more = divmod(new, kinds)
    return comb(places + each, each + 1) ** more * comb(places + each - 1, each) ** (kinds - more)


def _selections(case: Case) -> int:
    """Every state of the switches aboard times every group of new ones."""
    kinds = sum(_stands(case.models[name]) for name in case.switch_models)
    total = 1
    if kinds and case.switch_locations:
        most = case.max_new + EXTRA_SWITCHES
        total = comb(kinds + most, most) if case.max_new <= MOST[MAX_NEW] else MOST["selections"]
    for device in case.switches:
        others = sum(_stands(case.models[n]) for n in case.switch_models if n != device.model)
        total *= 1 + _stands(case.models[device.model]) + others
    return total
