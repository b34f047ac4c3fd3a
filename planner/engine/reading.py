"""From a JSON document to the facts of a case; the first fault found is raised."""

import re
from typing import Any

from planner.engine.facts import (
    DC_LIMIT,
    KINDS,
    MAX_NEW,
    CableAboard,
    CableSold,
    Case,
    Device,
    Fuse,
    Model,
    Rates,
    Request,
    Statement,
    Update,
)
from planner.engine.limits import check_lengths, check_size
from planner.engine.rule_reading import check_no_circle, read_rule
from planner.engine.shapes import Spot, pair_of, shown

FORMAT = "refit-case/1"
REQUEST_VERBS = ("add", "network", "keep", "remove", "replace")
_RESERVED = re.compile(rf"(?:{DC_LIMIT}|{MAX_NEW}|new[0-9]+)\Z")


def check_case(case: dict[str, Any]) -> None:
    """Check a whole case; raises `CaseFault` at the first fault."""
    read_case(case)


def read_case(document: Any) -> Case:
    """Read a whole case into facts, each list in one canonical order."""
    top = Spot(document)
    top.mapping()
    if top.get("format").value != FORMAT:
        raise top.get("format").fault(f"{FORMAT!r} was expected")
    check_lengths(top)
    catalogue = _read_catalogue(top.get("catalogue"))
    boat = _read_boat(top.get("boat"), catalogue)
    ids: set[str] = {statement.id for statement in catalogue["statements"]}
    for device in top.get("boat").get("devices").list():
        _claim(device.get("id"), ids)
    job = _read_job(top.get("job"), catalogue["models"], boat, ids)
    case = Case(**catalogue, **boat, **job)
    check_size(case)
    return case


def _claim(spot: Spot, taken: set[str]) -> str:
    name = spot.text()
    if _RESERVED.match(name):
        raise spot.fault(f"{shown(name)} is a name that the planner keeps for itself")
    if name in taken:
        raise spot.fault(f"{shown(name)} is used twice")
    taken.add(name)
    return name


def _read_catalogue(spot: Spot) -> dict[str, Any]:
    taken: set[str] = set()
    adapters = _read_prices(spot.get("adapters"), taken)
    leads = _read_prices(spot.get("leads"), taken)
    fuses = tuple(
        Fuse(key, part.get("ma").amount(), part.get("price_cents").amount())
        for key, part in _parts(spot.get("fuses"), taken)
    )
    cables = tuple(
        CableSold(key, part.get("feet").amount(), part.get("price_cents").amount())
        for key, part in _parts(spot.get("cables"), taken)
    )
    models = _read_models(spot.get("models"), taken, adapters, leads)
    return {
        "models": models,
        "adapters": adapters,
        "leads": leads,
        "fuses": tuple(sorted(fuses, key=lambda fuse: fuse.id)),
        "cables_sold": tuple(sorted(cables, key=lambda cable: cable.id)),
        "rates": _read_rates(spot.get("rates")),
        "statements": _read_statements(spot.get("statements"), models),
    }


def _parts(spot: Spot, taken: set[str]) -> list[tuple[str, Spot]]:
    found = []
    for key, part in spot.items():
        if not key:
            raise part.fault("a name must not be empty")
        if key in taken:
            raise part.fault(f"{shown(key)} already names another part or model")
        taken.add(key)
        found.append((key, part))
    return found


def _read_prices(spot: Spot, taken: set[str]) -> dict[str, int]:
    return {key: part.get("price_cents").amount() for key, part in _parts(spot, taken)}


def _read_models(
    spot: Spot, taken: set[str], adapters: dict[str, int], leads: dict[str, int]
) -> dict[str, Model]:
    places = _parts(spot, taken)
    models = {key: _read_model(key, place, adapters, leads) for key, place in places}
    for key, place in places:
        successors = place.get("successors")
        names = successors.names(models, "model")
        if models[key].kind != "switch" and any(models[n].kind == "switch" for n in names):
            raise successors.fault("a switch never takes the place of another kind")
    return dict(sorted(models.items()))


def _read_model(key: str, spot: Spot, adapters: dict[str, int], leads: dict[str, int]) -> Model:
    releases = _read_releases(spot.get("releases"))
    return Model(
        id=key,
        kind=spot.get("kind").one_of(KINDS, "kind"),
        ports=spot.get("ports").amount(),
        bridges=spot.get("bridges").flag(),
        adapter=spot.get("adapter").one_of_or_none(adapters, "adapter"),
        price_cents=spot.get("price_cents").amount_or_none(),
        fit_minutes=spot.get("fit_minutes").amount(),
        remove_minutes=spot.get("remove_minutes").amount(),
        mount=spot.get("mount").text_or_none(),
        lead=spot.get("lead").one_of_or_none(leads, "lead"),
        fuse_ma=spot.get("fuse_ma").amount_or_none(),
        draw_ma=spot.get("draw_ma").amount(),
        releases=releases,
        updates=_read_updates(spot.get("updates"), releases),
        ships_with=_read_release(spot.get("ships_with"), releases),
        successors=tuple(sorted({s.text() for s in spot.get("successors").list()})),
    )


def _read_releases(spot: Spot) -> tuple[str, ...]:
    seen: list[str] = []
    for release in spot.list():
        if release.text() in seen:
            raise release.fault(f"release {shown(release.value)} stands here twice")
        seen.append(release.text())
    return tuple(seen)


def _read_release(spot: Spot, releases: tuple[str, ...]) -> str | None:
    if not releases:
        if spot.value is not None:
            raise spot.fault("null was expected: this model has no firmware")
        return None
    if spot.value is None:
        raise spot.fault("a release was expected: this model has firmware")
    return spot.one_of(releases, "release of this model")


def _read_updates(spot: Spot, releases: tuple[str, ...]) -> tuple[Update, ...]:
    found = [
        (
            place.get("from").one_of(releases, "release of this model"),
            place.get("to").one_of(releases, "release of this model"),
            place.get("minutes").amount(),
        )
        for place in spot.list()
    ]
    return tuple(Update(*update) for update in sorted(found))


def _read_rates(spot: Spot) -> Rates:
    return Rates(**{name: spot.get(name).amount() for name in Rates.__dataclass_fields__})


def _read_statements(spot: Spot, models: dict[str, Model]) -> tuple[Statement, ...]:
    releases = {key: model.releases for key, model in models.items()}
    taken: set[str] = set()
    found: list[tuple[str, Statement]] = []
    for place in spot.list():
        rule_spot = place.get("rule")
        statement = Statement(
            id=_claim(place.get("id"), taken),
            text=place.get("text").words(),
            source=place.get("source").words(),
            seen=place.get("seen").day(),
            rule=read_rule(rule_spot, releases),
        )
        found.append((rule_spot.path, statement))
    check_no_circle(found, models)
    return tuple(sorted((s for _, s in found), key=lambda statement: statement.id))


def _read_boat(spot: Spot, catalogue: dict[str, Any]) -> dict[str, Any]:
    locations: list[str] = []
    for place in spot.get("locations").list():
        if place.text() in locations:
            raise place.fault(f"location {shown(place.value)} stands here twice")
        locations.append(place.text())
    routes = [
        (*pair_of(place.get("between"), locations), place.get("feet").amount())
        for place in spot.get("routes").list()
    ]
    devices = [_read_device(p, catalogue["models"], locations) for p in spot.get("devices").list()]
    return {
        "locations": tuple(sorted(locations)),
        "routes": tuple(sorted(routes)),
        "slack_ft": spot.get("slack_ft").amount(),
        "dc_limit_ma": spot.get("dc_limit_ma").amount_or_none(),
        "devices": tuple(sorted(devices, key=lambda device: device.id)),
        "cables": _read_cables(
            spot.get("cables"), {c.id for c in catalogue["cables_sold"]}, locations
        ),
    }


def _read_device(spot: Spot, models: dict[str, Model], locations: list[str]) -> Device:
    model = models[spot.get("model").one_of(models, "model")]
    return Device(
        id=spot.get("id").text(),
        model=model.id,
        location=spot.get("location").one_of(locations, "location"),
        release=_read_release(spot.get("release"), model.releases),
        networked=spot.get("networked").flag(),
        adapters=spot.get("adapters").amount(),
    )


def _read_cables(spot: Spot, sold: set[str], locations: list[str]) -> tuple[CableAboard, ...]:
    taken: set[str] = set()
    found = []
    for place in spot.list():
        name = place.get("id").text()
        if name in taken:
            raise place.get("id").fault(f"{shown(name)} is used twice")
        taken.add(name)
        cable = place.get("cable").one_of(sold, "cable")
        found.append(CableAboard(name, cable, *pair_of(place.get("between"), locations)))
    return tuple(sorted(found, key=lambda cable: cable.id))


def _read_job(
    spot: Spot, models: dict[str, Model], boat: dict[str, Any], ids: set[str]
) -> dict[str, Any]:
    devices = {device.id: device for device in boat["devices"]}
    requests = []
    for place in spot.get("requests").list():
        name = _claim(place.get("id"), ids)
        requests.append(_read_request(name, place, models, devices, boat["locations"]))
    switches = spot.get("switches")
    allowed = switches.get("models")
    names = allowed.names(models, "model")
    if any(models[name].kind != "switch" for name in names):
        place = next(p for p in allowed.list() if models[p.value].kind != "switch")
        raise place.fault(f"{shown(place.value)} is not a switch")
    penalties = spot.get("penalties")
    return {
        "requests": tuple(sorted(requests, key=lambda request: request.id)),
        "switch_models": names,
        "switch_locations": switches.get("locations").names(boat["locations"], "location"),
        "max_new": switches.get("max_new").amount(),
        "offnet_cents": penalties.get("offnet_cents").amount(),
        "lost_cents": penalties.get("lost_cents").amount(),
    }


def _read_request(
    name: str,
    spot: Spot,
    models: dict[str, Model],
    devices: dict[str, Device],
    locations: tuple[str, ...],
) -> Request:
    verbs = [verb for verb in REQUEST_VERBS if spot.has(verb)]
    if len(verbs) != 1:
        raise spot.fault("exactly one of " + ", ".join(REQUEST_VERBS) + " was expected")
    verb = verbs[0]
    if verb == "add":
        wanted = _read_wanted(spot.get("add"), models)
        place = spot.get("location").one_of(locations, "location")
        return Request(name, verb, None, wanted, place, spot.get("networked").flag())
    device = spot.get(verb).one_of(devices, "device")
    if models[devices[device].model].kind == "switch":
        raise spot.get(verb).fault("a switch is never named by a request")
    wanted = _read_wanted(spot.get("by"), models) if verb == "replace" else ()
    return Request(name, verb, device, wanted, None, False)


def _read_wanted(spot: Spot, models: dict[str, Model]) -> tuple[str, ...]:
    names = spot.names(models, "model")
    if any(models[name].kind == "switch" for name in names):
        place = next(p for p in spot.list() if models[p.value].kind == "switch")
        raise place.fault("a switch is never named by a request")
    return names
