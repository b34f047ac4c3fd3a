"""From bytes to a JSON document, strictly: no doubled keys, no numbers that JSON does not know."""

import json
from typing import Any, NoReturn

from planner.engine.faults import CaseFault
from planner.engine.shapes import join

LARGEST_BYTES = 10 * 1024 * 1024


class _Doubled(dict[str, Any]):
    """An object in which a key stood twice; `key` is the first such key."""

    key = ""


def parse_document(content: bytes) -> dict[str, Any]:
    """Parse a case's JSON text; raises `CaseFault` with the path of the first fault."""
    if len(content) > LARGEST_BYTES:
        raise CaseFault("$", "this case is larger than 10 MB")
    try:
        document = json.loads(content, object_pairs_hook=_object, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise CaseFault(
            "$", f"not JSON: {error.msg}, line {error.lineno} column {error.colno}"
        ) from error
    except UnicodeDecodeError as error:
        raise CaseFault("$", f"not text in UTF-8: byte {error.start}") from error
    except RecursionError as error:
        raise CaseFault("$", "nested deeper than any case is") from error
    except ValueError as error:
        raise CaseFault("$", f"not a JSON number: {error}") from error
    _walk(document)
    if not isinstance(document, dict):
        raise CaseFault("$", "an object was expected")
    return document


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = dict(pairs)
    if len(found) == len(pairs):
        return found
    doubled = _Doubled(found)
    seen: set[str] = set()
    for key, _ in pairs:
        if key in seen:
            doubled.key = key
            break
        seen.add(key)
    return doubled


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)


def _walk(document: Any) -> None:
    """Refuse doubled keys, and text that no file could hold (half a surrogate pair)."""
    waiting = [("$", document)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, _Doubled):
            raise CaseFault(join(path, value.key), "this key stands here twice")
        if isinstance(value, str):
            _refuse_half_sign(path, value)
        elif isinstance(value, dict):
            for key in value:
                _refuse_half_sign(path, key)
            waiting.extend((join(path, key), item) for key, item in value.items())
        elif isinstance(value, list):
            waiting.extend((f"{path}[{n}]", item) for n, item in enumerate(value))


def _refuse_half_sign(path: str, text: str) -> None:
    if any("\ud800" <= sign <= "\udfff" for sign in text):
        raise CaseFault(path, "this text holds half a sign (a lone surrogate)")
