"""From a measurement that a check waits for to questions with a place in the boat's record."""

from collections.abc import Iterator
from dataclasses import replace

from shopapp.boats.models import Backbone, Bank, Location, Unit
from shopapp.boats.models.units import GAUGES, INSULATIONS_C
from shopapp.boats.services.backbone import DROP_TO, drop_fact
from shopapp.jobs.models import SurveyItem
from shopapp.jobs.surveying.aboard import Aboard
from shopapp.jobs.surveying.points import Point, about_route, about_unit, ask_of_boat

Form = SurveyItem.Form
YES_NO = (("yes", "Yes"), ("no", "No"))
GROUP = "What the checks wait for"
WAY = " – "
WHY = "A check of power, backbone, runs or places is not known until it is measured."
Measure = dict[str, str]


def points_of_measure(measure: Measure, aboard: Aboard) -> list[Point]:
    """The questions that settle a measurement; none where it is not settled aboard."""
    kind, _, rest = measure["key"].partition(":")
    ask = _SECTIONS.get(measure["section"])
    found = ask(kind, rest, measure, aboard) if ask else ()
    return [replace(point, group=GROUP, why=WHY) for point in found]


def _ask_unit(kind: str, rest: str, _measure: Measure, aboard: Aboard) -> Iterator[Point]:
    if rest in aboard.units:
        yield from _of_unit(kind, aboard.units[rest], aboard)


def _ask_place(kind: str, rest: str, measure: Measure, aboard: Aboard) -> Iterator[Point]:
    if kind == "way":
        yield from _of_way(measure["place"], aboard)
    elif kind == "run":
        yield from _where_banks_are(aboard)
    elif rest in aboard.locations:
        yield from _of_place(kind, aboard.locations[rest])


def _ask_bank(kind: str, rest: str, _measure: Measure, aboard: Aboard) -> Iterator[Point]:
    for bank in aboard.banks.values():
        yield from _of_bank(kind, rest, bank)


def _ask_boat(kind: str, _rest: str, _measure: Measure, aboard: Aboard) -> Iterator[Point]:
    yield from ask_of_boat(kind, aboard)


def _ask_backbone(kind: str, rest: str, _measure: Measure, aboard: Aboard) -> Iterator[Point]:
    yield from _of_backbone(kind, rest, aboard)


_SECTIONS = {
    "units": _ask_unit,
    "places": _ask_place,
    "banks": _ask_bank,
    "boat": _ask_boat,
    "backbone": _ask_backbone,
}


def _of_unit(kind: str, unit: Unit, aboard: Aboard) -> Iterator[Point]:
    where = f"{unit.name}, {unit.model.name}"
    if kind == "fuse":
        yield about_unit(unit, "fuse_ma", aboard)
    for fact, asked, form, measured_in, choices in _UNIT_ASKS.get(kind, ()):
        offered = _banks(aboard) if fact == "bank" else choices
        yield Point(
            f"unit:{unit.pk}:{fact}", f"{where}: {asked}", "unit", unit.pk, fact, form,
            unit=measured_in, choices=offered,
        )  # fmt: skip


def _banks(aboard: Aboard) -> tuple[tuple[str, str], ...]:
    return tuple((name, name) for name in aboard.banks)


def _of_place(kind: str, place: Location) -> Iterator[Point]:
    for fact, asked, form, measured_in, choices in _PLACE_ASKS.get(kind, ()):
        yield Point(
            f"location:{place.pk}:{fact}", f"{place.name}: {asked}", "location", place.pk, fact,
            form, unit=measured_in, choices=choices,
        )  # fmt: skip


def _of_bank(kind: str, key: str, bank: Bank) -> Iterator[Point]:
    if str(bank.pk) != key:
        return
    for fact, asked, form, measured_in, choices in _BANK_ASKS.get(kind, ()):
        yield Point(
            f"bank:{bank.pk}:{fact}", f"{bank.name} bank: {asked}", "bank", bank.pk, fact, form,
            unit=measured_in, choices=choices,
        )  # fmt: skip


def _of_way(place: str, aboard: Aboard) -> Iterator[Point]:
    """The way between two places; where no way is on record, what the tape says in words."""
    ends = [name for name in aboard.locations if name in place.split(WAY)]
    if len(ends) != 2:
        return
    point = about_route(frozenset(ends), aboard)
    if point is None:
        fact = f"way {WAY.join(ends)}"[:40]
        asked = f"{ends[0]} to {ends[1]}: feet by tape along the real way"
        key = f"boat:{aboard.boat.pk}:{fact}"
        point = Point(key, asked, "boat", aboard.boat.pk, fact, Form.WORDS)
    yield point


def _of_backbone(kind: str, rest: str, aboard: Aboard) -> Iterator[Point]:
    for row in aboard.backbones.values():
        if kind in _BACKBONE_ASKS and rest == str(row.pk):
            fact, asked, form, measured_in = _BACKBONE_ASKS[kind]
            yield _about_backbone(row, fact, asked, form, measured_in)
        if kind == "drop":
            drops = [drop for tee in row.tees.all() for drop in tee.drops.all()]
            for fact in {drop_fact(drop) for drop in drops} & {f"{DROP_TO}{rest}"[:40]}:
                asked = f"length of the {fact}"
                yield _about_backbone(row, fact, asked, Form.NUMBER, "m")


def _about_backbone(
    row: Backbone, fact: str, asked: str, form: str, measured_in: str
) -> Point:  # fmt: skip
    key = f"backbone:{row.pk}:{fact}"
    question = f"{row.name}: {asked}"
    return Point(key, question, "backbone", row.pk, fact, form, unit=measured_in)


def _where_banks_are(aboard: Aboard) -> Iterator[Point]:
    """The way of a new feed begins at the bank: where is it?"""
    places = tuple((name, name) for name in aboard.locations)
    for bank in aboard.banks.values():
        if bank.location_id is None:
            yield Point(
                f"bank:{bank.pk}:location", f"{bank.name} bank: where does it stand", "bank",
                bank.pk, "location", Form.CHOICE, choices=places,
            )  # fmt: skip


Ask = tuple[str, str, str, str, tuple[tuple[str, str], ...]]
_NONE: tuple[tuple[str, str], ...] = ()
_GAUGES = tuple((awg, f"{awg} AWG") for awg in GAUGES)
_DEGREES = tuple((str(c), f"{c} °C") for c in INSULATIONS_C)
_CHEMISTRIES = tuple(one for one in Bank.Chemistry.choices if one[0])
_EXPOSURES = tuple(one for one in Location.Exposure.choices if one[0])
_UNIT_ASKS: dict[str, tuple[Ask, ...]] = {
    "awg": (("wire_awg", "gauge printed on its wire", Form.CHOICE, "", _GAUGES),),
    "run": (("wire_run_ft", "wire from the source to it, one way", Form.NUMBER, "ft", _NONE),),
    "insulation": (
        ("wire_insulation_c", "insulation printed on its wire", Form.CHOICE, "", _DEGREES),
        ("wire_engine_space", "wire through an engine space", Form.CHOICE, "", YES_NO),
    ),
    "engine_space": (
        ("wire_engine_space", "wire through an engine space", Form.CHOICE, "", YES_NO),
    ),
    "fuse_place": (
        ("fuse_inches", "from the source to its fuse", Form.NUMBER, "in", _NONE),
        ("wire_sheathed", "wire in a sheath or enclosure all the way", Form.CHOICE, "", YES_NO),
    ),
    "bank": (("bank", "which bank feeds it", Form.CHOICE, "", _NONE),),
    "cutoff": (("cutoff", "cut-off switch that takes it off; “none”", Form.WORDS, "", _NONE),),
}
_PLACE_ASKS: dict[str, tuple[Ask, ...]] = {
    "vapour": (("vapour", "can petrol vapour gather there", Form.CHOICE, "", YES_NO),),
    "exposure": (("exposure", "dry, splashed or wet", Form.CHOICE, "", _EXPOSURES),),
    "heat": (("hottest_c", "how hot it gets, closed up, engine warm", Form.NUMBER, "°C", _NONE),),
    "compass": (("compass_cm", "to the nearest compass", Form.NUMBER, "cm", _NONE),),
    "aerial": (("aerial_cm", "to the nearest antenna", Form.NUMBER, "cm", _NONE),),
    "beam": (("in_beam", "in a radar's beam", Form.CHOICE, "", YES_NO),),
    "opening": (
        ("opening_width_mm", "opening in the dash, width, 0 for none", Form.NUMBER, "mm", _NONE),
        ("opening_height_mm", "opening in the dash, height, 0 for none", Form.NUMBER, "mm", _NONE),
    ),
    "depth": (("depth_mm", "room behind the panel", Form.NUMBER, "mm", _NONE),),
}
_BACKBONE_ASKS: dict[str, tuple[str, str, str, str]] = {
    "ohms": ("measured_ohms", "ohms white to blue, power off", Form.NUMBER, "Ω"),
    "bus_volts": ("feed_volts", "volts at its feed, electronics on", Form.NUMBER, "V"),
    "bus_fuse": ("feed_fuse_ma", "fuse of its feed, the figure printed on it", Form.NUMBER, "A"),
    "bone": ("laid", "its tees, cable and drops, end to end", Form.WORDS, ""),
}
_BANK_ASKS: dict[str, tuple[Ask, ...]] = {
    "block": (("block_a", "rating marked on its fuse block", Form.NUMBER, "A", _NONE),),
    "cutoff": (("cutoff_a", "rating marked on its cut-off switch", Form.NUMBER, "A", _NONE),),
    "capacity": (("capacity_ah", "capacity printed on it", Form.NUMBER, "Ah", _NONE),),
    "charger": (("charger", "charger that can be on, which; “none”", Form.WORDS, "", _NONE),),
    "rested": (("rested_mv", "volts after an hour's rest", Form.NUMBER, "V", _NONE),),
    "chemistry": (("chemistry", "kind of battery on its label", Form.CHOICE, "", _CHEMISTRIES),),
}
