"""From an unknown of the planner to a question with a place in the boat's record."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from planner.loaders.weakness import weak_facts
from shopapp.boats.models import Bank, Boat, Unit
from shopapp.jobs.models import SurveyItem
from shopapp.jobs.surveying.aboard import Aboard

JsonDict = dict[str, Any]
Form = SurveyItem.Form
YES_NO = [["yes", "Yes"], ["no", "No"]]
PLAN = "What the plan rests on"


@dataclass(frozen=True, slots=True)
class Point:
    """One question of a sheet, unsaved; the fields are those of `SurveyItem`."""

    key: str
    question: str
    slot: str
    subject: int
    fact: str
    form: str
    group: str = PLAN
    why: str = ""
    worth: str = ""
    decides: bool = False
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()


def points_of(entry: JsonDict, aboard: Aboard, worth: str = "") -> list[Point]:
    """The questions that settle an unknown; none where it is not settled aboard."""
    kind, _, rest = entry["key"].partition(":")
    ask = _ASKS.get(kind)
    why = entry.get("changes", "")
    decides = bool(entry.get("decides") or entry.get("missing"))
    found = list(ask(entry, rest, aboard)) if ask else []
    return [replace(point, why=why, worth=worth, decides=decides) for point in found]


Asked = Iterator[Point]


def _unit(entry: JsonDict, rest: str, aboard: Aboard) -> Unit | None:
    names = entry.get("units") or [rest]
    return aboard.units.get(names[0])


def about_unit(unit: Unit, fact: str, aboard: Aboard) -> Point:
    """The question for one fact of a unit."""
    key, where = f"unit:{unit.pk}:{fact}", f"{unit.name}, {unit.model.name}"
    if unit.location:
        where = f"{where}, {unit.location.name}"
    if fact == "release":
        names = [one.name for one in unit.model.releases.all()]
        asked, choices = f"{where}: release on its system page", _same(names)
    elif fact == "model":
        asked = f"{where}: model on its label"
        choices = tuple((one.code, one.name) for one in aboard.siblings(unit))
    elif fact == "location":
        asked, choices = f"{where}: where is it fitted", _same(list(aboard.locations))
    elif fact == "state":
        states = [one for one in Unit.State.choices if one[0] != Unit.State.UNKNOWN]
        asked, choices = f"{where}: is it still aboard", tuple(states)
    else:
        return _figure_of_unit(unit, fact, key, where)
    return Point(key, asked, "unit", unit.pk, fact, Form.CHOICE, choices=choices)


def _figure_of_unit(unit: Unit, fact: str, key: str, where: str) -> Point:
    if fact == "networked":
        asked = f"{where}: is a network cable in its port"
        choices = (("yes", "Yes"), ("no", "No"))
        return Point(key, asked, "unit", unit.pk, fact, Form.CHOICE, choices=choices)
    if fact == "adapters":
        asked = f"{where}: adapter leads on its network port, how many"
        return Point(key, asked, "unit", unit.pk, fact, Form.NUMBER, unit="pieces")
    if fact == "fuse_ma":
        asked = f"{where}: fuse, the figure printed on the fuse itself"
        return Point(key, asked, "unit", unit.pk, fact, Form.NUMBER, unit="A")
    words = fact.replace("_", " ")
    return Point(key, f"{where}: {words}", "unit", unit.pk, fact, Form.WORDS)


def _same(names: list[str]) -> tuple[tuple[str, str], ...]:
    return tuple((name, name) for name in names)


def _of_unit(fact: str) -> Callable[[JsonDict, str, Aboard], Asked]:
    def ask(entry: JsonDict, rest: str, aboard: Aboard) -> Asked:
        unit = _unit(entry, rest, aboard)
        if unit is not None:
            yield about_unit(unit, fact, aboard)

    return ask


def _weak(entry: JsonDict, rest: str, aboard: Aboard) -> Asked:
    unit = _unit(entry, rest, aboard)
    if unit is None:
        return
    rows, today = aboard.of_unit(unit), aboard.now.date()
    for weak in weak_facts(rows=rows, has_release=unit.release_id is not None, today=today):
        yield about_unit(unit, weak.fact, aboard)


def _disputed(entry: JsonDict, rest: str, aboard: Aboard) -> Asked:
    name, _, fact = rest.rpartition(":")
    unit = aboard.units.get(name)
    if unit is not None:
        yield about_unit(unit, fact, aboard)


def _of_boat(
    fact: str, asked: str, form: str, unit: str = "", choices: tuple[tuple[str, str], ...] = ()
) -> Callable[[JsonDict, str, Aboard], Asked]:
    def ask(_entry: JsonDict, _rest: str, aboard: Aboard) -> Asked:
        pk = aboard.boat.pk
        yield Point(f"boat:{fact}", asked, "boat", pk, fact, form, unit=unit, choices=choices)

    return ask


def _chemistry(_entry: JsonDict, rest: str, aboard: Aboard) -> Asked:
    bank = aboard.banks.get(rest)
    if bank is not None:
        choices = tuple(one for one in Bank.Chemistry.choices if one[0])
        asked = f"{bank.name} bank: kind of battery on its label"
        key = f"bank:{bank.pk}:chemistry"
        yield Point(key, asked, "bank", bank.pk, "chemistry", Form.CHOICE, choices=choices)


def _route(entry: JsonDict, _rest: str, aboard: Aboard) -> Asked:
    for pair in entry.get("routes", ()):
        point = about_route(frozenset(pair), aboard)
        if point is not None:
            yield point


def about_route(pair: frozenset[str], aboard: Aboard) -> Point | None:
    """The question for the real length of a way; None where no such way is on record."""
    route = aboard.routes.get(pair)
    if route is None:
        return None
    asked = f"{route.a.name} to {route.b.name}: length by tape along the real way"
    return Point(f"route:{route.pk}:feet", asked, "route", route.pk, "feet", Form.NUMBER, unit="ft")


def _cable(_entry: JsonDict, rest: str, aboard: Aboard) -> Asked:
    cable = aboard.cables.get(rest)
    if cable is None:
        return
    there = {end.side for end in cable.ends.all()}
    side = next((one for one in "ba" if one not in there), None)
    if side is not None:
        asked = f"Cable {cable.label}: follow it, where does its other end lie"
        choices = tuple((f"@{name}", f"loose at {name}") for name in aboard.locations)
        choices += tuple((unit.name, f"in {unit.name}") for unit in aboard.units.values())
        fact = f"end_{side}"
        key = f"cable:{cable.pk}:{fact}"
        yield Point(key, asked, "cable", cable.pk, fact, Form.CHOICE, choices=choices)


def _vapour(_entry: JsonDict, rest: str, aboard: Aboard) -> Asked:
    place = aboard.locations.get(rest.rpartition(":")[0])
    if place is not None:
        asked = f"{place.name}: can petrol vapour gather there"
        key = f"location:{place.pk}:vapour"
        choices = (("yes", "Yes"), ("no", "No"))
        yield Point(key, asked, "location", place.pk, "vapour", Form.CHOICE, choices=choices)


_FUELS = tuple(one for one in Boat.Fuel.choices if one[0])
_VOLTS = tuple((text, f"{text} V") for text in ("12", "24", "36", "48"))
_ASKS: dict[str, Callable[[JsonDict, str, Aboard], Asked]] = {
    "aboard": _of_unit("state"),
    "release": _of_unit("release"),
    "networked": _of_unit("networked"),
    "adapters": _of_unit("adapters"),
    "fuse": _of_unit("fuse_ma"),
    "weak": _weak,
    "disputed": _disputed,
    "fuel": _of_boat("fuel", "Fuel: look at the fill", Form.CHOICE, choices=_FUELS),
    "dc_volts": _of_boat("dc_volts", "DC system: volts", Form.CHOICE, choices=_VOLTS),
    "dc_limit": _of_boat(
        "dc_limit_ma", "Feed of the electronics: its main fuse", Form.NUMBER, unit="A"
    ),
    "banks": _of_boat("batteries", "Batteries: how many, kind, age, charger", Form.WORDS),
    "chemistry": _chemistry,
    "route": _route,
    "cable": _cable,
    "vapour": _vapour,
}


def ask_of_boat(kind: str, aboard: Aboard) -> list[Point]:
    """The question for a fact of the boat itself; none where none is laid down."""
    ask = _ASKS.get(kind)
    return list(ask({}, "", aboard)) if ask else []
