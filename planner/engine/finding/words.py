"""A cause in the trade's words: what it is, where, and the cautions beside the work on it."""

from collections.abc import Callable

from planner.engine.finding.causes import Cause
from planner.engine.finding.network import Network

CAUTIONS = (
    "Batteries, chargers and shore power off before a plug is pulled or ohms are read.",
    "A fuse is never replaced by a larger one: find why it blew.",
    "Causes are worked out from the records and from what was seen; the maker's manual and a "
    "licensed or certified person decide.",
)
_WORDS = {
    "cable": "Cable {0} is broken, or a plug of it",
    "speed": "Cable {0} is poor: the link is slow",
    "port": "Port {1} of {0} is dead",
    "adapter": "Adapter lead at {0} port {1}: wrong, bent or wet",
    "power": "{0} has no power: fuse, lead, polarity, cut-off",
    "weak": "{0} is short of volts: thin wire, bad joint, low battery",
    "off": "{0} is off, or not started",
    "refused": "{0} is refused: its generation or release does not suit",
    "too_many": "Too many displays: {0} is left off",
    "loop": "A loop: a cable too many between {0} and {1}",
    "terminator": "Terminator missing or open at {1}",
    "extra_terminator": "A terminator too many, at {1}",
    "joined": "A second backbone is joined to {0}",
    "open": "Segment {1} is open",
    "short": "A short at {2}",
    "power_short": "A short red to black on {0}: the fuse blows",
    "feed": "No feed at {1}: fuse, lead, cut-off",
    "weak_feed": "Weak feed at {1}: thin wire, bad joint, low battery",
    "drop": "Drop to {1} is open, or its plug",
    "node": "{1} itself does not answer",
}
_TOGETHER: dict[str, Callable[[list[str]], str]] = {
    "port": lambda places: f"A dead port: {' or '.join(places)}",
    "adapter": lambda places: f"An adapter lead: {' or '.join(places)}",
    "too_many": lambda _places: "Too many displays on the network",
    "loop": lambda places: f"A loop: a cable too many, {_some(places)}",
    "short": lambda places: f"A short between white and blue: {_some(places)}",
    "open": lambda places: f"An open segment: {_some(places)}",
    "terminator": lambda places: f"A terminator missing or open: at {' or '.join(places)}",
    "extra_terminator": lambda places: f"A terminator too many: {_some(places)}",
}
_SHOWN = 4


def cause_words(causes: list[Cause], network: Network) -> str:
    """Causes named as one, in words."""
    first = causes[0]
    if len(causes) == 1 or first.kind not in _TOGETHER:
        return _one(first, network)
    return _TOGETHER[first.kind]([place_words(cause, network) for cause in causes])


def place_words(cause: Cause, network: Network) -> str:
    """The place of a cause by its names."""
    names = _names(cause, network)
    if cause.kind in {"port", "adapter"}:
        return f"{names[0]} port {names[1]}"
    if cause.kind == "loop":
        same = names[0] == names[1]
        return f"{names[0]} to itself" if same else f"{names[0]} to {names[1]}"
    if cause.kind == "short":
        part = {"segment": "segment", "tee": "tee", "drop": "drop to"}[cause.place[1]]
        return f"{part} {names[2]}"
    return names[-1]


def _one(cause: Cause, network: Network) -> str:
    names = _names(cause, network)
    if cause.kind == "short":
        names[2] = place_words(cause, network)
    return _WORDS[cause.kind].format(*names)


def _names(cause: Cause, network: Network) -> list[str]:
    return [network.units[part].name if part in network.units else part for part in cause.place]


def _some(places: list[str]) -> str:
    rest = len(places) - _SHOWN
    shown = ", ".join(places[:_SHOWN])
    return f"{shown} and {rest} more places" if rest > 0 else shown.replace(", ", " or ")
