"""Reading untrusted JSON values: each value knows its path, each check raises `CaseFault`."""

import re
from collections.abc import Collection, Iterator, Sequence
from datetime import date
from typing import Any

from planner.engine.faults import CaseFault

_PLAIN_KEY = re.compile(r"[A-Za-z_][A-Za-z0-9_]*\Z")
_UNSEEN = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
_LARGEST = 10**12
_LONGEST_SHOWN = 80


class Spot:
    """One JSON value and where it stands."""

    __slots__ = ("path", "value")

    def __init__(self, value: Any, path: str = "$") -> None:
        self.value = value
        self.path = path

    def fault(self, message: str) -> CaseFault:
        """Make the fault for this place; the caller raises it."""
        return CaseFault(self.path, message)

    def mapping(self) -> dict[str, Any]:
        """The value as an object."""
        if not isinstance(self.value, dict):
            raise self.fault("an object was expected")
        for key in self.value:
            if not isinstance(key, str):
                raise self.fault("the keys of an object must be text")
        return self.value

    def has(self, key: str) -> bool:
        """Tell whether this object has the key."""
        return key in self.mapping()

    def get(self, key: str) -> "Spot":
        """The value under a key that must be there."""
        mapping = self.mapping()
        if key not in mapping:
            raise CaseFault(join(self.path, key), "this key is missing")
        return Spot(mapping[key], join(self.path, key))

    def items(self) -> Iterator[tuple[str, "Spot"]]:
        """Each key and value of this object."""
        for key, value in self.mapping().items():
            yield key, Spot(value, join(self.path, key))

    def list(self) -> list["Spot"]:
        """The value as a list of places."""
        return [Spot(value, f"{self.path}[{n}]") for n, value in enumerate(self._values())]

    def _values(self) -> Sequence[Any]:
        if not isinstance(self.value, list | tuple):
            raise self.fault("a list was expected")
        return self.value

    def text(self) -> str:
        """The value as text that is not empty."""
        if not isinstance(self.value, str) or not self.value:
            raise self.fault("text was expected")
        return self.value

    def words(self) -> str:
        """The value as text that may be empty."""
        return "" if self.value == "" else self.text()

    def flag(self) -> bool:
        """The value as true or false."""
        if not isinstance(self.value, bool):
            raise self.fault("true or false was expected")
        return self.value

    def amount(self) -> int:
        """The value as a whole number that is not negative."""
        if isinstance(self.value, bool) or not isinstance(self.value, int):
            raise self.fault("a whole number was expected")
        if self.value < 0:
            raise self.fault("a number that is not negative was expected")
        if self.value > _LARGEST:
            raise self.fault("this number is larger than any real boat needs")
        return self.value

    def amount_or_none(self) -> int | None:
        """Like `amount`, with null allowed."""
        return None if self.value is None else self.amount()

    def text_or_none(self) -> str | None:
        """Like `text`, with null allowed."""
        return None if self.value is None else self.text()

    def one_of(self, known: Collection[str], what: str) -> str:
        """The value as one of the known names."""
        text = self.text()
        if text not in known:
            raise self.fault(f"no {what} has the name {shown(text)}")
        return text

    def one_of_or_none(self, known: Collection[str], what: str) -> str | None:
        """Like `one_of`, with null allowed."""
        return None if self.value is None else self.one_of(known, what)

    def names(self, known: Collection[str], what: str) -> tuple[str, ...]:
        """The value as a list of known names; the order means nothing, a double is one."""
        found = set()
        for n, value in enumerate(self._values()):
            if not isinstance(value, str) or value not in known:
                Spot(value, f"{self.path}[{n}]").one_of(known, what)
            found.add(value)
        return tuple(sorted(found))

    def day(self) -> str:
        """The value as a date, year first."""
        text = self.text()
        try:
            day = date.fromisoformat(text)
        except ValueError:
            day = None
        if day is None or day.isoformat() != text:
            raise self.fault("a date such as 2026-05-02 was expected")
        return text


def shown(text: Any) -> str:
    """A name in quotes for a message, cut where it is longer than any real one."""
    words = repr(text)
    return words if len(words) <= _LONGEST_SHOWN else f"{words[:_LONGEST_SHOWN]}…"


def join(path: str, key: str) -> str:
    """The path of a key below a path; keys that are not plain words stand in brackets."""
    if _PLAIN_KEY.match(key):
        return f"{path}.{key}"
    quoted = key.replace("\\", "\\\\").replace("'", "\\'")
    return f"{path}['{_UNSEEN.sub(_escaped, quoted)}']"


def _escaped(sign: re.Match[str]) -> str:
    return f"\\u{ord(sign[0]):04x}"


def pair_of(spot: Spot, known: Collection[str]) -> tuple[str, str]:
    """Two known locations, smaller name first."""
    ends = spot.list()
    if len(ends) != 2:
        raise spot.fault("two locations were expected")
    first, second = (end.one_of(known, "location") for end in ends)
    return (first, second) if first <= second else (second, first)
