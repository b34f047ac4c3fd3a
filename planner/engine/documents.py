"""From bytes to a JSON document, strictly: no doubled keys, no numbers that JSON does not know."""

import gc
import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, NoReturn

from planner.engine.faults import CaseFault
from planner.engine.shapes import join

LARGEST_BYTES = 10 * 1024 * 1024
Step = str | int
# A place is a step and the place above it, so that no path is written before there is a fault.
Place = tuple["Place | None", Step]


class _Objects:
    """Makes the objects of one document and keeps the first in which a key stood twice."""

    def __init__(self) -> None:
        self.doubled: dict[str, Any] | None = None
        self.key = ""

    def make(self, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        """An object from its keys and values."""
        found: dict[str, Any] = dict(pairs)
        if len(found) < len(pairs) and self.doubled is None:
            self.doubled = found
            self.key = _first_double(key for key, _ in pairs)
        return found


def parse_document(content: bytes) -> dict[str, Any]:
    """Parse a case's JSON text; raises `CaseFault` with the path of the first fault."""
    if len(content) > LARGEST_BYTES:
        raise CaseFault("$", "this case is too large: more than 10 MB")
    text = _text(content)
    objects = _Objects()
    document = _loaded(text, objects)
    if not isinstance(document, dict):
        raise CaseFault("$", "an object was expected")
    if objects.doubled is not None or "\\u" in text:
        _walk(document, objects)
    return document


def _loaded(text: str, objects: _Objects) -> Any:
    try:
        with _no_collecting():
            return json.loads(text, object_pairs_hook=objects.make, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise CaseFault(
            "$", f"not JSON: {error.msg}, line {error.lineno} column {error.colno}"
        ) from error
    except RecursionError as error:
        raise CaseFault("$", "nested deeper than any case is") from error
    except ValueError as error:
        raise CaseFault("$", f"not a JSON number: {error}") from error


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Let the collector rest: a document has no circles, and looking for them takes seconds."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _text(content: bytes) -> str:
    try:
        return content.decode(json.detect_encoding(content))
    except UnicodeDecodeError as error:
        raise CaseFault("$", f"not text in UTF-8: byte {error.start}") from error


def _first_double(keys: Iterable[str]) -> str:
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            return key
        seen.add(key)
    return ""


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)


def _walk(document: dict[str, Any], objects: _Objects) -> None:
    """Refuse doubled keys, and text that no file could hold (half a surrogate pair)."""
    waiting: list[tuple[Place | None, Any]] = [(None, document)]
    while waiting:
        above, holder = waiting.pop()
        if holder is objects.doubled:
            raise CaseFault(_path((above, objects.key)), "this key stands here twice")
        held: list[tuple[Place | None, Any]] = []
        for step, value in _parts(holder):
            if isinstance(step, str):
                _refuse_half_sign(above, step)
            if isinstance(value, str):
                _refuse_half_sign((above, step), value)
            elif isinstance(value, dict | list) and value:
                held.append(((above, step), value))
        waiting.extend(reversed(held))


def _parts(holder: Any) -> Iterator[tuple[Step, Any]]:
    yield from holder.items() if isinstance(holder, dict) else enumerate(holder)


def _refuse_half_sign(place: Place | None, text: str) -> None:
    if text.isascii():
        return
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise CaseFault(_path(place), "this text holds half a sign (a lone surrogate)") from error


def _path(place: Place | None) -> str:
    steps: list[Step] = []
    while place is not None:
        place, step = place
        steps.append(step)
    path = "$"
    for step in reversed(steps):
        path = join(path, step) if isinstance(step, str) else f"{path}[{step}]"
    return path
