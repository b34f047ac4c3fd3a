"""The cautions of a plan: shown wherever the work can hurt, also where a fact is not known.

Common practice, no source, save where a rule is named.
"""

from collections.abc import Iterator

from planner.engine.step_rows import Step, Work, step
from planner.engine.words import Row

_NO_VAPOUR = ("diesel", "electric", "none")
_LEAD = ("lead", "agm", "gel", "flooded")
_HIGH = ("mast", "arch", "tower", "top", "bridge", "aloft", "spreader")


def cautions_for(work: Work) -> Iterator[Step]:
    """Every caution that this plan calls for, the general ones first."""
    yield from _general(work)
    yield from _of_the_boat(work)
    touched = work.touched()
    kinds = {work.case.models[row["model"]].kind for row in touched}
    kinds |= {
        work.model_before(work.devices[row["unit"]]).kind
        for row in touched
        if row["unit"] in work.devices
    }
    yield from _of_the_units(work, kinds)


def _general(work: Work) -> Iterator[Step]:
    volts = work.context.get("dc_volts")
    known = "" if volts else " The volts aboard are not known: measure them first."
    yield step(
        "caution",
        None,
        "Batteries, chargers and shore power off before any unit or wire is touched",
        "Backups and updates come first, with the power on. Then off: check with a meter that the "
        "feed is dead. Use insulated tools." + known,
        key="power-off",
    )
    yield step(
        "caution",
        None,
        "A fuse protects the wire",
        "Each feed is fused at its source (33 CFR 183.455). Never fit a larger fuse to stop one "
        "from blowing.",
        key="fuse",
    )
    if work.plan["updates"]:
        yield step(
            "caution",
            None,
            "An update needs steady power and has no way back",
            "Charger on and the bank well charged; waypoints and settings saved first. Lead-acid "
            "volts say nothing of a lithium bank: go by its own monitor.",
            key="update",
        )


def _of_the_boat(work: Work) -> Iterator[Step]:
    fuel = work.context.get("fuel")
    if fuel is None or str(fuel).lower() not in _NO_VAPOUR:
        unknown = "The fuel is not known: treat it as gasoline. " if fuel is None else ""
        yield step(
            "caution",
            None,
            "Gasoline vapour",
            unknown + "Run the blower, sniff and open up before any switch or drill. A unit in a "
            "vapour space must be ignition-protected or isolated (33 CFR 183.410).",
            key="fuel",
        )
    chemistry = work.context.get("chemistry")
    if chemistry is None or not str(chemistry).lower().startswith(_LEAD):
        unknown = "The bank is not known: treat it as lithium. " if chemistry is None else ""
        yield step(
            "caution",
            None,
            "Lithium bank",
            unknown + "Isolate it as its maker says, take off jewellery, cover the terminals, and "
            "never join unlike banks. It may cut off all at once.",
            key="chemistry",
        )


def _of_the_units(work: Work, kinds: set[str]) -> Iterator[Step]:
    if "radar" in kinds:
        yield step(
            "caution",
            None,
            "Radar to standby and locked off",
            "Before anybody is near it or aloft. Keep the distance of its guide, more with an "
            "implant.",
            key="radar",
        )
    if "radar" in kinds or _works_high(work):
        yield step(
            "caution",
            None,
            "Work aloft",
            "A trained rigger, two lines, a second person, nobody underneath.",
            key="aloft",
        )
    fitted = [row for row in work.rows if row["fate"] in ("added", "replaced")]
    if fitted:
        yield step(
            "caution",
            None,
            "Keep the compass distance",
            "Check the distance that each new unit's guide asks; swing the compass again after.",
            key="compass",
        )
    if any(_needs_holes(work, row) for row in fitted):
        yield step(
            "caution",
            None,
            "Know what is behind before drilling",
            "Tank, hose, wire or core may lie behind the panel.",
            key="drill",
        )


def _works_high(work: Work) -> bool:
    places = {row["location"].lower() for row in work.touched()}
    return any(word in place for place in places for word in _HIGH)


def _needs_holes(work: Work, row: Row) -> bool:
    device = work.devices.get(row["unit"])
    return device is None or not work.drops_in(row, device)
