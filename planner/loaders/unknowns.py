"""What the records do not know: candidates for a quote's assumptions, in plain words.

Ages after which evidence goes soft are common practice, no source. Which of the candidates a
plan rests on is settled when the plan is there; see `planner.assumptions`.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from planner.loaders.aboard import ends_by_cable, networked_taken
from planner.loaders.narrowing import selectors_of
from planner.loaders.records import Records
from planner.loaders.weakness import weak_facts
from shopapp.boats.models import Bank, Boat, Evidence, Sureness, Unit

Unknown = dict[str, Any]
DECIDING_FACTS = frozenset({"release", "model", "networked"})


def unknown(
    key: str,
    taken: str,
    changes: str,
    confirm_by: str,
    *,
    when: str,
    decides: bool = False,
    missing: bool = False,
    **about: Any,
) -> Unknown:
    """One candidate.

    `when` says which plans rest on it: "unit", "replaced", "route", "always", "placing",
    "more_draw", "part", "update" or "model"; `missing` makes a plan that rests on it "not known".
    """
    return {
        "key": key,
        "taken": taken,
        "changes": changes,
        "text": f"{taken} {changes}",
        "confirm_by": confirm_by,
        "when": when,
        "decides": decides,
        "missing": missing,
        **about,
    }


def unknowns_of(*, records: Records, case: dict[str, Any], today: date) -> list[Unknown]:
    """All that these records do not know and a plan could rest on."""
    watched = _watched_models(case)
    found = [entry for unit in records.units for entry in _of_unit(records, unit, watched, today)]
    found += _of_boat(records.boat)
    found += _of_banks(records.banks)
    found += _of_routes(records)
    found += _of_cables(records)
    found += _of_catalogue(records)
    found += _of_disputes(records)
    return found


def _watched_models(case: dict[str, Any]) -> set[str]:
    """Models whose release some statement of the case asks about."""
    watched = set()
    for statement in case["catalogue"]["statements"]:
        rule = statement["rule"]
        for key, selector in selectors_of(rule).items():
            watched |= set(selector.get("min_release", {}))
            if key == "same_release":
                watched |= set(selector.get("models", case["catalogue"]["models"]))
    return watched


def _of_unit(records: Records, unit: Unit, watched: set[str], today: date) -> Iterator[Unknown]:
    about = {"when": "unit", "units": [unit.name]}
    if unit.state == Unit.State.UNKNOWN:
        yield unknown(
            f"aboard:{unit.name}",
            f"{unit.name} is still aboard: its state is not known.",
            "If it is gone, the plan changes.",
            "Look aboard, or ask the customer for a photo.",
            decides=True,
            missing=True,
            **about,
        )
    releases = records.releases.get(unit.model_id, [])
    if releases and unit.release_id is None:
        yield unknown(
            f"release:{unit.name}",
            f"{unit.name} is on release {releases[0].name}, the oldest of its model: "
            "its release is not known.",
            "A later one can make updates needless; another one can change what works with it.",
            "Photo of its system page before parts are ordered.",
            decides=True,
            missing=True,
            **about,
        )
    if unit.networked is None:
        yield _network_not_known(unit, networked=networked_taken(unit, records.cabled_units))
    yield from _of_fittings(records, unit)
    yield from _of_weakness(records, unit, watched, today)


def _network_not_known(unit: Unit, *, networked: bool) -> Unknown:
    where = "on" if networked else "off"
    why = "a network cable is noted in it" if networked else "no network cable is noted in it"
    return unknown(
        f"networked:{unit.name}",
        f"{unit.name} is {where} the network: nobody noted which, and {why}.",
        "It changes which rules the network must meet, and the price.",
        "Look for the cable in its port, or a photo of its back.",
        when="unit",
        units=[unit.name],
        decides=True,
        missing=True,
    )


def _of_fittings(records: Records, unit: Unit) -> Iterator[Unknown]:
    noted = {row.fact for row in records.evidence if row.unit_id == unit.pk}
    if unit.model.adapter_id and not unit.adapters and "adapters" not in noted:
        yield unknown(
            f"adapters:{unit.name}",
            f"No adapter lead is on {unit.name}: none is noted.",
            "Where there is one, it need not be bought.",
            "Look at its network port.",
            when="unit",
            units=[unit.name],
        )
    if unit.fuse_ma is None:
        yield unknown(
            f"fuse:{unit.name}",
            f"The fuse of {unit.name} is the one that its model calls for: nobody noted it.",
            "Another rating must be changed with the unit, whatever its plug.",
            "Read the number printed on the fuse.",
            when="replaced",
            units=[unit.name],
        )


def _of_weakness(records: Records, unit: Unit, watched: set[str], today: date) -> Iterator[Unknown]:
    rows = [row for row in records.evidence if row.unit_id == unit.pk]
    has_release = unit.release_id is not None
    weak = weak_facts(rows=rows, has_release=has_release, today=today)
    if not weak:
        return
    facts = ", ".join(f"{entry.words} ({entry.why})" for entry in weak)
    names = {entry.fact for entry in weak}
    on_release = "release" in names and unit.model.code in watched
    decides = on_release or any(entry.told for entry in weak if entry.fact in DECIDING_FACTS)
    changes = "updates, parts or the verdict" if decides else "updates or minutes"
    yield unknown(
        f"weak:{unit.name}",
        f"{unit.name} is as noted, on weak or old evidence: {facts}.",
        f"If it differs, {changes} can change.",
        "Photo of its label and system page before parts are ordered.",
        when="unit",
        units=[unit.name],
        decides=decides,
    )


def _of_boat(boat: Boat) -> Iterator[Unknown]:
    if not boat.fuel:
        yield unknown(
            "fuel",
            "The boat's fuel is not known; every place is treated as one where petrol "
            "vapour may gather.",
            "With petrol aboard, a unit in a vapour space must be ignition-protected "
            "(33 CFR 183.410) or be put elsewhere.",
            "Ask the customer, look at the fill.",
            when="placing",
            decides=True,
            missing=True,
        )
    if boat.dc_volts is None:
        yield unknown(
            "dc_volts",
            "The DC system is 12 V: its volts are not known.",
            "On another voltage a new unit may need a converter, or may not work.",
            "Read the bank's label or measure.",
            when="placing",
            decides=True,
            missing=True,
        )
    if boat.dc_limit_ma is None:
        yield unknown(
            "dc_limit",
            "The electronics feed carries the added current: its limit is not known, "
            "so no limit was taken.",
            "If the feed is too small, it must be made larger or the plan must shrink.",
            "Read the main fuse and the gauge of the feed.",
            when="more_draw",
            decides=True,
            missing=True,
        )


def _of_banks(banks: list[Bank]) -> Iterator[Unknown]:
    if not banks:
        yield unknown(
            "banks",
            "A bank holds through the updates: no battery bank is noted.",
            "Updates wait until volts are held, by a charger or a proven bank.",
            "Look at the batteries and their labels.",
            when="update",
        )
    for bank in banks:
        if not bank.chemistry:
            yield unknown(
                f"chemistry:{bank.name}",
                f"The {bank.name} bank is treated with the cautions of every chemistry: "
                "its own is not known.",
                "Which volts are enough for an update differs between lead and lithium.",
                "Read the battery's label.",
                when="update",
            )


def _of_routes(records: Records) -> Iterator[Unknown]:
    told = {
        row.route_id
        for row in records.evidence
        if row.route_id and row.how in {"customer", "assumed"}
    }
    for route in records.routes:
        if route.sureness == Sureness.LOW or route.pk in told:
            yield unknown(
                f"route:{route.a}:{route.b}",
                f"The way from {route.a} to {route.b} is {route.feet} ft long: a rough guess.",
                "A longer way needs a longer cable and more minutes.",
                "Measure with a tape along the route.",
                when="route",
                routes=[[route.a.name, route.b.name]],
            )


def _of_cables(records: Records) -> Iterator[Unknown]:
    for label, ends in ends_by_cable(records).items():
        if len(ends) < 2:
            yield unknown(
                f"cable:{label}",
                f"Cable {label} cannot be used again: where its other end lies is not noted.",
                "Where it fits, one cable and its pulling are saved.",
                "Follow the cable.",
                when="always",
            )


def _of_catalogue(records: Records) -> Iterator[Unknown]:
    for part in records.parts:
        if part.price_cents is None and part.kind in {"adapter", "lead"}:
            yield unknown(
                f"price:{part.number}",
                f"{part.name} ({part.number}) counts as nothing: it has no price.",
                "The total rises by its price.",
                "Ask the supplier.",
                when="part",
                parts=[part.number],
            )
    for code, model in records.models.items():
        releases = records.releases.get(model.pk)
        if releases and model.ships_with_id is None:
            yield unknown(
                f"ships:{code}",
                f"A new {model.name} comes with release {releases[0].name}, the oldest: "
                "what it ships with is not known.",
                "A later one can make its updates needless.",
                "Ask the supplier.",
                when="model",
                models=[code],
                decides=True,
                missing=True,
            )


def _of_disputes(records: Records) -> Iterator[Unknown]:
    disputed = [row for row in records.evidence if row.standing == Evidence.Standing.DISPUTED]
    names = {unit.pk: unit.name for unit in records.units}
    for row in _first_of_each(disputed):
        name = names.get(row.unit_id)
        if row.unit_id and name is None:
            continue
        subject = name or _subject_words(row)
        deciding = row.unit_id is not None and row.fact in DECIDING_FACTS
        yield unknown(
            f"disputed:{subject}:{row.fact}",
            f"The record of {subject} holds ({row.fact.replace('_', ' ')}), though "
            f"{row.get_how_display()} says {row.value or 'nothing'}.",
            "If the other observation is right, the plan can change.",
            "Settle it on the boat's page: look once more.",
            when="unit" if name else "always",
            decides=deciding,
            missing=deciding,
            units=[name] if name else [],
        )


def _first_of_each(rows: Iterable[Evidence]) -> list[Evidence]:
    found: dict[tuple[Any, ...], Evidence] = {}
    for row in rows:
        keys = tuple(getattr(row, f"{subject}_id") for subject in Evidence.SUBJECTS)
        found.setdefault((*keys, row.fact), row)
    return list(found.values())


def _subject_words(row: Evidence) -> str:
    for subject in Evidence.SUBJECTS:
        key = getattr(row, f"{subject}_id")
        if key:
            return f"{subject} {key}"
    return "the boat"
