"""Pins of a "what if?": what is held fast or forbidden while the planner plans again.

A pin is one of `{"pin": "unit", "unit": name, …}` with any of `fate`, `model`, `networked` and
`release` (and `"not": true` for anything but that); `{"pin": "forbid_model", "model": code}`;
`{"pin": "switch", "location": name, "model": code or none for any, "present": bool}`;
`{"pin": "new_switches", "at_most": n}`. Pure, no records.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from planner.plans import device_of, model_name

JsonDict = dict[str, Any]
FATES = {
    "stays": "stays aboard as the model that it is",
    "removed": "is taken out",
    "disconnected": "is disconnected",
}


def pin_id(place: int) -> str:
    """The name of a pin in a conflict and its ways out; `place` counts from 0."""
    return f"pin-{place + 1}"


def pin_called(pins: Sequence[JsonDict], name: str) -> JsonDict | None:
    """The pin of that name; None for any other name."""
    return next((pin for place, pin in enumerate(pins) if pin_id(place) == name), None)


def pins_words(case: JsonDict, pins: Sequence[JsonDict]) -> list[str]:
    """Each pin as one would say it."""
    return [pin_words(case, pin) for pin in pins]


def pin_words(case: JsonDict, pin: JsonDict) -> str:
    """One pin as one would say it: "d1 is taken out"."""
    return _TELLERS[pin["pin"]](case, pin)


def unit_words(case: JsonDict, name: str) -> str:
    """A unit aboard with its model; a wished one by its wish."""
    device = device_of(case, name)
    if device is not None:
        return f"{name} ({model_name(case, device['model'])})"
    new = {r["id"]: _new_words(case, r) for r in case["job"]["requests"] if "add" in r}
    words = new.get(name, name)
    alike = list(new.values()).count(words) > 1
    return f"{words} ({name.replace('-', ' ')})" if alike else words


def _new_words(case: JsonDict, request: JsonDict) -> str:
    """A wished unit: its model where one is wished, else its kind."""
    codes = request["add"]
    models = case["catalogue"]["models"]
    what = model_name(case, codes[0]) if len(codes) == 1 else "unit"
    kinds = {models[code]["kind"] for code in codes}
    if len(codes) > 1 and len(kinds) == 1 and kinds != {"other"}:
        what = kinds.pop()
    return f"the new {what} at {request['location']}"


def _unit(case: JsonDict, pin: JsonDict) -> str:
    facts = list(_said_of_unit(case, pin)) or ["is as it is"]
    if pin.get("not") and len(facts) == 1:
        facts = [_denied(facts[0])]
    words = f"{unit_words(case, pin['unit'])} {' and '.join(facts)}"
    if pin.get("not") and len(facts) > 1:
        return f"Anything but: {words}"
    return f"{words[0].upper()}{words[1:]}" if words.startswith("the ") else words


def _denied(fact: str) -> str:
    """A fact said of a unit with "not" in it; these verbs are all that there are."""
    verb, _, rest = fact.partition(" ")
    denied = {"is": "is not", "stays": "does not stay", "ends": "does not end"}[verb]
    return f"{denied} {rest}"


def _said_of_unit(case: JsonDict, pin: JsonDict) -> Iterator[str]:
    model, fate = pin.get("model"), pin.get("fate")
    if fate == "replaced":
        yield f"is replaced by {f'a {model_name(case, model)}' if model else 'another model'}"
    elif fate in FATES:
        yield FATES[fate]
    if model and fate != "replaced":
        yield f"is a {model_name(case, model)}"
    if pin.get("networked") is not None:
        yield "is on the network" if pin["networked"] else "is off the network"
    if pin.get("release"):
        yield f"ends at release {pin['release']}"


def _forbidden(case: JsonDict, pin: JsonDict) -> str:
    return f"No new {model_name(case, pin['model'])} is bought"


def _switch(case: JsonDict, pin: JsonDict) -> str:
    name = model_name(case, pin["model"]) if pin.get("model") else "switch"
    return f"{'A' if pin['present'] else 'No'} {name} stands at {pin['location']}"


def _new_switches(_case: JsonDict, pin: JsonDict) -> str:
    count = pin["at_most"]
    if count == 0:
        return "No new switch is fitted"
    return f"At most {count} new switch{'' if count == 1 else 'es'} fitted"


_TELLERS = {
    "unit": _unit,
    "forbid_model": _forbidden,
    "switch": _switch,
    "new_switches": _new_switches,
}
