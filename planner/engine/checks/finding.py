"""What a check gives back: its state, its words, its figures, what to measure, what would cure it.

Pure and plain: `as_dict` is kept with a quote's option and shown on pages and papers alike.
"""

from dataclasses import dataclass, field, replace
from typing import Any

GOOD, LOOK, UNKNOWN, STOP = "good", "look", "unknown", "stop"
STATES = (GOOD, LOOK, UNKNOWN, STOP)
"""From best to worst: not known is worse than a second look, and never counts as good."""

STATE_WORDS = {GOOD: "Good", LOOK: "Look", UNKNOWN: "Not known", STOP: "Stop"}
COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Measurement:
    """A fact that nobody noted and that would settle a check.

    `key` tells two measurements apart, `section` is the part of the records where it is entered:
    "units", "places", "banks", "backbone", "cables", "boat" or "catalogue".
    """

    key: str
    what: str
    section: str
    place: str = ""

    def as_dict(self) -> dict[str, str]:
        """Plain values."""
        return {"key": self.key, "what": self.what, "section": self.section, "place": self.place}


@dataclass(frozen=True, slots=True)
class Need:
    """A part that a remedy or a fitting takes: its use, its size, how many, and why so many.

    `use` is a word of the catalogue ("wire", "fuse", "tee", …); `size` tells the ones of a use
    apart: the gauge of a wire, the amperes of a fuse or block, the feet or metres of a cable. Wire
    counts in feet.
    """

    use: str
    size: str
    count: int
    why: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Plain values."""
        return {"use": self.use, "size": self.size, "count": self.count, "why": self.why}


@dataclass(frozen=True, slots=True)
class Change:
    """What a remedy makes of one item: `of` names the list of facts, `key` the item in it."""

    of: str
    key: str
    values: tuple[tuple[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Remedy:
    """The smallest thing that makes a check good, with its parts and minutes."""

    key: str
    words: str
    minutes: int
    changes: tuple[Change, ...]
    needs: tuple[Need, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values; the changes stay inside."""
        return {
            "key": self.key,
            "words": self.words,
            "minutes": self.minutes,
            "needs": [need.as_dict() for need in self.needs],
        }


@dataclass(frozen=True, slots=True)
class Finding:
    """One check of one thing.

    `kind` is a word for programs, `title` the check in words, `about` the unit, bank, cable or
    backbone checked and `place` where it is. `margin` is what is left to the limit, in words.
    """

    kind: str
    title: str
    state: str
    about: str
    words: str
    place: str = ""
    label: str = ""
    result: str = ""
    margin: str = ""
    formula: str = ""
    source: str = ""
    inputs: dict[str, Any] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    measures: tuple[Measurement, ...] = ()
    remedies: tuple[Remedy, ...] = ()

    @property
    def key(self) -> str:
        """Tells two findings of one plan apart."""
        return f"{self.kind}:{self.about}"

    def needing(self, *measures: Measurement) -> "Finding":
        """The same, not known until these are measured."""
        return replace(self, state=UNKNOWN, measures=(*self.measures, *measures))

    def as_dict(self) -> dict[str, Any]:
        """Plain values for pages, papers and JSON."""
        return {
            "key": self.key,
            "kind": self.kind,
            "title": self.title,
            "state": self.state,
            "state_words": STATE_WORDS[self.state],
            "about": self.about,
            "label": self.label or self.about,
            "place": self.place,
            "words": self.words,
            "result": self.result,
            "margin": self.margin,
            "formula": self.formula,
            "source": self.source,
            "inputs": self.inputs,
            "notes": list(self.notes),
            "measures": [measure.as_dict() for measure in self.measures],
            "remedies": [remedy.as_dict() for remedy in self.remedies],
        }


def worst_of(states: list[str]) -> str:
    """The worst state of some; not known where there is none, for nothing was looked at."""
    return max(states, key=STATES.index, default=UNKNOWN)


def left_words(value: float, unit: str, digits: int = 1) -> str:
    """What is left to a limit, or how much it is too much or too little by."""
    over = value < 0
    return f"{figure(abs(value), digits)} {unit} {'beyond the limit' if over else 'left'}".strip()


def figure(value: float, digits: int = 1) -> str:
    """A number for a sentence, without idle zeros."""
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
