"""From a measurement that a check waits for to questions with a place in the boat's record."""

from collections.abc import Iterator
from dataclasses import replace

from shopapp.boats.models import Bank, Location, Unit
from shopapp.boats.models.units import GAUGES, INSULATIONS_C
from shopapp.jobs.models import SurveyItem
from shopapp.jobs.surveying.aboard import Aboard
from shopapp.jobs.surveying.points import Point, about_unit, ask_of_boat

Form = SurveyItem.Form
YES_NO = (("yes", "Yes"), ("no", "No"))
GROUP = "What the checks wait for"
WHY = "A check of power, backbone, runs or places is not known until it is measured."
Measure = dict[str, str]


def points_of_measure(measure: Measure, aboard: Aboard) -> list[Point]:
    """The questions that settle a measurement; none where it is not settled aboard."""
    kind, _, rest = measure["key"].partition(":")
    found: list[Point] = []
    if measure["section"] == "units" and rest in aboard.units:
        found = list(_of_unit(kind, aboard.units[rest], aboard))
    elif measure["section"] == "places" and rest in aboard.locations:
        found = list(_of_place(kind, aboard.locations[rest]))
    elif measure["section"] == "places" and kind == "run":
        found = list(_where_banks_are(aboard))
    elif measure["section"] == "banks":
        found = [point for bank in aboard.banks.values() for point in _of_bank(kind, rest, bank)]
    elif measure["section"] == "boat":
        found = ask_of_boat(kind, aboard)
    return [replace(point, group=GROUP, why=WHY) for point in found]


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
_BANK_ASKS: dict[str, tuple[Ask, ...]] = {
    "block": (("block_a", "rating marked on its fuse block", Form.NUMBER, "A", _NONE),),
    "cutoff": (("cutoff_a", "rating marked on its cut-off switch", Form.NUMBER, "A", _NONE),),
    "capacity": (("capacity_ah", "capacity printed on it", Form.NUMBER, "Ah", _NONE),),
    "charger": (("charger", "charger that can be on, which; “none”", Form.WORDS, "", _NONE),),
    "rested": (("rested_mv", "volts after an hour's rest", Form.NUMBER, "V", _NONE),),
    "chemistry": (("chemistry", "kind of battery on its label", Form.CHOICE, "", _CHEMISTRIES),),
}
