"""Everything that can be looked at or tried: its question, its answers, its minutes.

Minutes are common practice, no source.
"""

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

from planner.engine.finding.network import Network, NetworkFault


class _Kind(NamedTuple):
    question: str
    answers: dict[str, str]
    minutes: float
    asked_at_first: bool = False


_COMES = {"comes": "It works then", "same": "No change"}
_VOLTS = {"ok": "9 V or more", "low": "Under 9 V", "none": "Nothing"}
_OHMS = {
    "60": "About 60 Ω",
    "120": "About 120 Ω",
    "40": "About 40 Ω",
    "30": "About 30 Ω",
    "short": "Nearly 0 Ω",
    "open": "Open, very high",
}
_UPDOWN = {"up": "Lit as usual", "slow": "Lit in the colour of a slow link", "dark": "Dark"}

KINDS: dict[str, _Kind] = {
    "lit": _Kind("Is {0} on (screen, lamp)?", {"on": "On", "dark": "Dark"}, 1, True),
    "light": _Kind("Light of {0} port {1}", _UPDOWN, 1, True),
    "seen": _Kind("Does {view} list {0}?", {"yes": "Yes", "no": "No"}, 1, True),
    "smooth": _Kind(
        "Do pictures from {0} run smoothly on {view}?",
        {"yes": "Yes", "no": "They stutter"},
        2,
        True,
    ),
    "slow": _Kind(
        "Is everything on the network slow or frozen?", {"no": "No", "yes": "Yes"}, 1, True
    ),
    "release": _Kind(
        "{0}: does its release (version page) suit the switch and the others?",
        {"accepted": "It suits", "refused": "It does not"},
        3,
    ),
    "volts": _Kind(
        "Volts at the plug of {0}, all on",
        {"ok": "As they should be", "low": "Too low", "none": "None"},
        4,
    ),
    "extra": _Kind(
        "Cables on {0} that the drawing does not show",
        {"0": "None", "1": "One", "2": "Two"},
        2,
    ),
    "speed": _Kind(
        "Speed of the link over {0}, on the unit's page",
        {"full": "Full", "slow": "Slower", "none": "No link"},
        4,
    ),
    "one_less": _Kind("Switch another display off: does {0} come?", _COMES, 3),
    "swap_cable": _Kind("Put a known good cable in place of {0}", _COMES, 8),
    "swap_port": _Kind("Move the plug from {0} port {1} to another good port", _COMES, 4),
    "swap_adapter": _Kind("Put another adapter lead on {0} port {1}", _COMES, 6),
    "ohms": _Kind("Ohms white to blue at {1} of {0}, power off", _OHMS, 4, True),
    "listed": _Kind("Does the device list show {1}?", {"yes": "Yes", "no": "No"}, 1, True),
    "node_volts": _Kind("Volts red to black at the plug of {1}, all on", _VOLTS, 4),
    "feed_volts": _Kind("Volts where {0} is fed at {1}, all on", _VOLTS, 4),
    "fuse": _Kind(
        "Fuse of the feed at {1} of {0}",
        {"whole": "Whole", "blown": "Blown, a new one holds", "blows again": "Blows again"},
        3,
    ),
    "terminator": _Kind(
        "The terminator at {1} of {0}, read by itself", {"120": "120 Ω", "none": "None, or open"}, 3
    ),
    "segment": _Kind(
        "Segment {1} of {0}, pin to pin", {"whole": "Whole", "open": "A conductor is open"}, 8
    ),
    "second": _Kind(
        "Is a second backbone joined to {0}?", {"none": "None found", "found": "Yes"}, 6
    ),
    "other_drop": _Kind("Put {1} on another drop", _COMES, 6),
    "other_node": _Kind("Put a unit known to be good in place of {1}", _COMES, 9),
    "unplug": _Kind(
        "Unplug {1}: does the reading in ohms change?", {"changes": "Yes", "same": "No"}, 3
    ),
    "halve": _Kind(
        "Unplug segment {1} at {2} (power off): which side reads nearly 0 Ω?",
        {"this": "The side of {2}", "other": "The other side", "none": "Neither", "both": "Both"},
        7,
    ),
}
# Half-way between the readings of the trade (common practice). IEC 60945: a 12 V supply may fall
# to 10.8 V (from memory); a node of a backbone to 9 V.
_OF_A_NODE: list[tuple[float, str]] = [(1, "none"), (9, "low"), (math.inf, "ok")]
CLASSES: dict[str, list[tuple[float, str]]] = {
    "ohms": [
        (10, "short"),
        (35, "30"),
        (50, "40"),
        (85, "60"),
        (200, "120"),
        (math.inf, "open"),
    ],
    "volts": [(1, "none"), (10.8, "low"), (math.inf, "ok")],
    "node_volts": _OF_A_NODE,
    "feed_volts": _OF_A_NODE,
}
"""What a figure is read as: the first class whose bound it stays under."""


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at: its key, its words, its answers and minutes."""

    key: str
    kind: str
    question: str
    answers: dict[str, str]
    minutes: float
    at_first: bool

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        answers = [{"value": value, "words": words} for value, words in self.answers.items()]
        return {
            "look": self.key,
            "question": self.question,
            "answers": answers,
            "minutes": self.minutes,
        }


def look_of(key: str, network: Network) -> Look:
    """The look of a key of the model's, in words."""
    kind, *place = key.split(":")
    what = KINDS[kind]
    names = [network.units[part].name if part in network.units else part for part in place]
    names += [""] * (3 - len(names))
    answers = {value: words.format(*names) for value, words in what.answers.items()}
    view = network.units[network.view].name if network.view else "the display"
    question = what.question.format(*names, view=view)
    first = what.asked_at_first or (kind == "speed" and _unlit(place[0], network))
    return Look(key, kind, question, answers, what.minutes, first)


def _unlit(cable: str, network: Network) -> bool:
    """Whether no light tells of this link: then the unit's own page is asked at first."""
    return not any(network.units[end.unit].lights for end in network.cables[cable].ends)


def read_seen(seen: Any, looks: dict[str, Look]) -> dict[str, str]:
    """What was seen, by look; volts and ohms may be numbers. NetworkFault where it cannot be."""
    if not isinstance(seen, dict):
        raise NetworkFault("seen", "An object of look and answer belongs here.")
    return {key: _answer(key, value, looks) for key, value in seen.items()}


def _answer(key: str, value: Any, looks: dict[str, Look]) -> str:
    if key not in looks:
        raise NetworkFault(f"seen.{key}", "There is nothing of that name to look at on this boat.")
    look = looks[key]
    if look.kind in CLASSES and isinstance(value, int | float) and not isinstance(value, bool):
        value = _class_of(look.kind, value)
    if value not in look.answers:
        listed = ", ".join(look.answers)
        raise NetworkFault(f"seen.{key}", f"That answer is not known: use one of {listed}.")
    return str(value)


def _class_of(kind: str, value: float) -> str:
    """A reading by the classes of the trade; above the last bound is the last class."""
    if value < 0:
        return ""
    classes = CLASSES[kind]
    return next((name for bound, name in classes[:-1] if value < bound), classes[-1][1])
