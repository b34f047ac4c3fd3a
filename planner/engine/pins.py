"""Pins: what a person holds a plan to while asking "what if?", read and made into passes.

Shapes (every other key is ignored, null is the same as a key left out):

- `{"pin": "unit", "unit": id, "fate", "model", "networked", "release", "not": bool}`: the unit
  must (with `not`: must not) meet all the facts given. `unit` is a device, an existing switch or
  an `add` request. A replacement named by fate and model is allowed even if it is no successor.
- `{"pin": "forbid_model", "model": code}`: no new unit or switch of it is bought.
- `{"pin": "switch", "location": name, "model": code, "present": bool}`: a networked switch of
  that model (without one: of any) must, or must not, be at that place.
- `{"pin": "new_switches", "at_most": n}`: no more new switches than that.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from planner.engine.choices import ADDED, DISCONNECTED, REMOVED, REPLACED, STAYS
from planner.engine.facts import Case
from planner.engine.gates import Gate, Pass
from planner.engine.problem import NODE, Option, Problem
from planner.engine.selections import Placed, Selection
from planner.engine.shapes import Spot, shown

PINS = ("unit", "forbid_model", "switch", "new_switches")
_UNIT_FATES = (STAYS, REPLACED, REMOVED)
_SWITCH_FATES = (STAYS, REPLACED, DISCONNECTED)


@dataclass(frozen=True, slots=True)
class UnitPin:
    """Facts that one unit must meet, or with `inverted` must not meet all at once."""

    unit: str
    fate: str | None = None
    model: str | None = None
    networked: bool | None = None
    release: str | None = None
    inverted: bool = False

    def lets(self, option: Option) -> bool:
        """Whether the option is as the pin wants it."""
        choice = option.choice
        met = (
            (self.fate is None or choice.fate == self.fate)
            and (self.model is None or choice.model.id == self.model)
            and (self.networked is None or choice.networked == self.networked)
            and (self.release is None or choice.release == self.release)
        )
        return met != self.inverted


@dataclass(frozen=True, slots=True)
class ModelPin:
    """No new unit of this model."""

    model: str


@dataclass(frozen=True, slots=True)
class SwitchPin:
    """A networked switch of this model, or of any, at this place, or none."""

    location: str
    model: str | None
    present: bool


@dataclass(frozen=True, slots=True)
class CountPin:
    """At most this many new switches."""

    at_most: int


Pin = UnitPin | ModelPin | SwitchPin | CountPin


def read_pins(case: Case, pins: Sequence[Any]) -> tuple[Pin, ...]:
    """Read pins against a case; raises `CaseFault` with a path such as `$.pins[0].unit`."""
    spots = Spot(list(pins) if isinstance(pins, tuple) else pins, "$.pins").list()
    taken = {one.id for one in case.statements} | {one.id for one in case.requests}
    for number, spot in enumerate(spots):
        if pin_name(number) in taken:
            raise spot.fault(f"the case itself has something named {pin_name(number)!r}")
    return tuple(_read_pin(case, spot) for spot in spots)


def pin_name(number: int) -> str:
    """The id under which the pin at this place (from 0) stands in a conflict."""
    return f"pin-{number + 1}"


def _read_pin(case: Case, spot: Spot) -> Pin:
    kind = spot.get("pin").one_of(PINS, "kind of pin")
    if kind == "unit":
        return _read_unit(case, spot)
    if kind == "forbid_model":
        return ModelPin(spot.get("model").one_of(case.models, "model"))
    if kind == "new_switches":
        return CountPin(spot.get("at_most").amount())
    model = _given(spot, "model")
    if model and case.models[model.one_of(case.models, "model")].kind != "switch":
        raise model.fault(f"{shown(model.value)} is not a switch")
    place = spot.get("location").one_of(case.locations, "location")
    return SwitchPin(place, model.text() if model else None, spot.get("present").flag())


def _read_unit(case: Case, spot: Spot) -> UnitPin:
    fates: dict[str, tuple[str, ...]] = {device.id: _UNIT_FATES for device in case.units}
    fates |= {device.id: _SWITCH_FATES for device in case.switches}
    fates |= {request.id: (ADDED,) for request in case.adds}
    unit = spot.get("unit").one_of(fates, "device, switch or wish for a new unit")
    fate = _given(spot, "fate")
    model = _given(spot, "model")
    release = _given(spot, "release")
    networked = _given(spot, "networked")
    pin = UnitPin(
        unit,
        None if fate is None else fate.one_of(fates[unit], f"fate open to {unit}"),
        None if model is None else model.one_of(case.models, "model"),
        None if networked is None else networked.flag(),
        None if release is None else release.one_of(_releases(case, model), "release"),
        "not" in spot.mapping() and spot.get("not").flag(),
    )
    if pin == UnitPin(unit, inverted=pin.inverted):
        raise spot.fault("one of fate, model, networked, release was expected")
    _refuse_odd_swap(case, pin, model)
    return pin


def _given(spot: Spot, key: str) -> Spot | None:
    return spot.get(key) if spot.mapping().get(key) is not None else None


def _releases(case: Case, model: Spot | None) -> set[str]:
    if model is not None:
        return set(case.models[model.text()].releases)
    return {release for one in case.models.values() for release in one.releases}


def _refuse_odd_swap(case: Case, pin: UnitPin, model: Spot | None) -> None:
    if model is None or pin.inverted:
        return
    switch = pin.unit in {device.id for device in case.switches}
    if switch != (case.models[model.text()].kind == "switch"):
        raise model.fault("a switch never takes the place of another kind, nor another kind its")


def allow_swaps(case: Case, pins: Sequence[Pin]) -> Case:
    """The case with the replacements that pins ask for by name allowed."""
    devices = {device.id for device in case.units}
    swaps = {
        (pin.unit, pin.model)
        for pin in pins
        if isinstance(pin, UnitPin)
        and pin.unit in devices
        and pin.model is not None
        and pin.fate == REPLACED
        and not pin.inverted
    }
    return replace(case, allowed_swaps=tuple(sorted(swaps))) if swaps else case


def gate_of(problem: Problem, pins: Sequence[Pin]) -> Gate:
    """The gate that holds a search to these pins."""
    return Gate(tuple(_pass_of(problem, pin) for pin in pins))


def _pass_of(problem: Problem, pin: Pin) -> Pass:
    if isinstance(pin, UnitPin):
        return _UnitPass(problem, pin)
    if isinstance(pin, ModelPin):
        return _ModelPass(pin.model)
    if isinstance(pin, CountPin):
        return _CountPass(pin.at_most)
    return _SwitchPass(problem, pin)


class _UnitPass(Pass):
    def __init__(self, problem: Problem, pin: UnitPin) -> None:
        self.pin = pin
        self.slots = {n for n, slot in enumerate(problem.slots) if slot.id == pin.unit}
        self.switches = {n for n, slot in enumerate(problem.switch_slots) if slot.id == pin.unit}

    def unit(self, slot: int, option: Option) -> bool:
        return slot not in self.slots or self.pin.lets(option)

    def switch(self, slot: int, option: Option) -> bool:
        return slot not in self.switches or self.pin.lets(option)


class _ModelPass(Pass):
    def __init__(self, model: str) -> None:
        self.model = model

    def _lets(self, option: Option) -> bool:
        choice = option.choice
        return choice.model.id != self.model or choice.fate not in (ADDED, REPLACED)

    def unit(self, _slot: int, option: Option) -> bool:
        return self._lets(option)

    def switch(self, _slot: int, option: Option) -> bool:
        return self._lets(option)

    def new(self, option: Option) -> bool:
        return self._lets(option)


class _CountPass(Pass):
    def __init__(self, most: int) -> None:
        self.most = most

    def selection(self, selection: Selection) -> bool:
        return len(selection.new) <= self.most


class _SwitchPass(Pass):
    minds_models = True
    minds_places = True

    def __init__(self, problem: Problem, pin: SwitchPin) -> None:
        self.pin = pin
        self.place = problem.wiring.index[pin.location]

    def _there(self, option: Option, place: int) -> bool:
        return self._alike(option) and place == self.place

    def _alike(self, option: Option) -> bool:
        wanted = self.pin.model
        return option.link == NODE and wanted in (None, option.choice.model.id)

    def selection(self, selection: Selection) -> bool:
        if self.pin.present:
            every = (*selection.switches, *selection.new)
            return any(self._alike(option) for option in every)
        return not any(self._there(option, option.location) for option in selection.switches)

    def placed(self, placed: Placed) -> bool:
        chosen = placed.selection
        pairs = [(option, option.location) for option in chosen.switches]
        pairs += zip(chosen.new, placed.new_places, strict=True)
        return any(self._there(*pair) for pair in pairs) == self.pin.present
