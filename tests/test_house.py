"""The house's own rules: lengths, who points at whom, and no page without a lock."""

import ast
import math
import re
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest
from django.apps import apps
from django.urls import URLPattern, URLResolver, get_resolver, resolve

TOP = Path(__file__).resolve().parents[1]
CODE = ("shopapp", "planner")
# Higher rooms may point at lower ones, never the other way.
STOREYS = {
    "work": 0,
    "accounts": 1,
    "customers": 2,
    "catalog": 2,
    "boats": 3,
    "stock": 3,
    "planner": 4,
    "jobs": 5,
    "fleet": 6,
    "tablet": 6,
    "insights": 7,
    "api": 7,
    "demo": 8,
}
OUTSIDE = {"auth", "contenttypes", "sessions", "admin", "axes", "simple_history"}
# Django's own back door and the static files carry locks of their own.
FOREIGN_PREFIXES = ("back-door/", "static/")


def code_files() -> Iterator[Path]:
    for room in CODE:
        for path in sorted((TOP / room).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path


def function_lengths() -> list[tuple[int, str]]:
    found = []
    for path in code_files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                length = node.end_lineno - node.lineno + 1
                found.append((length, f"{path.relative_to(TOP)}:{node.lineno} {node.name}"))
    return found


def test_files_stay_under_350_lines():
    long = {
        str(path.relative_to(TOP)): lines
        for path in code_files()
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 350
    }
    assert long == {}


def test_functions_stay_under_50_lines_and_95_percent_under_25():
    lengths = sorted(function_lengths())
    assert [place for length, place in lengths if length > 50] == []
    assert lengths[math.ceil(0.95 * len(lengths)) - 1][0] <= 25


def test_no_except_is_broad():
    broad = [
        f"{path.relative_to(TOP)}:{node.lineno}"
        for path in code_files()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ExceptHandler)
        and (
            node.type is None
            or (isinstance(node.type, ast.Name) and node.type.id in {"Exception", "BaseException"})
        )
    ]
    assert broad == []


def test_records_point_down_the_house():
    wrong = []
    for model in apps.get_models():
        here = STOREYS.get(model._meta.app_label)
        if here is None:
            continue
        for field in model._meta.get_fields():
            target = getattr(field, "related_model", None)
            if not field.concrete or target is None or isinstance(target, str):
                continue
            label = target._meta.app_label
            if label not in OUTSIDE and STOREYS[label] > here:
                wrong.append(f"{model.__name__}.{field.name} → {target.__name__}")
    assert wrong == []


def views(patterns: list, prefix: str = "") -> Iterator[tuple[str, object]]:
    for pattern in patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from views(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern):
            yield route, pattern.callback


def locked(view: object) -> bool:
    """Bound to a role, or said to be open, or an API view that names its actions."""
    if hasattr(view, "action"):
        return True
    api_view = getattr(view, "cls", None)
    return api_view is not None and hasattr(api_view, "action_see")


def test_every_page_is_bound_to_a_role_or_said_to_be_open():
    open_doors = [
        route
        for route, view in views(get_resolver().url_patterns)
        if not route.startswith(FOREIGN_PREFIXES) and not locked(view)
    ]
    assert open_doors == []


def test_no_page_stands_behind_another_of_the_same_address():
    samples = {"int": "7", "slug": "word", "str": "token", "uuid": str(UUID(int=7)), "path": "a/b"}

    def example(route: str) -> str:
        return re.sub(r"<(?:(\w+):)?\w+>", lambda found: samples.get(found[1] or "str", "x"), route)

    hidden = {
        route: resolve(f"/{example(route)}").route
        for route, view in views(get_resolver().url_patterns)
        if not route.startswith(FOREIGN_PREFIXES)
        and "(?P" not in route
        and resolve(f"/{example(route)}").func is not view
    }
    assert hidden == {}


@pytest.mark.parametrize("room", CODE)
def test_no_machine_path_or_registry_stands_in_the_code(room):
    words = ("/root/", "/home/", "pypi.org", "registry.npmjs")
    hits = [
        f"{path.relative_to(TOP)}: {word}"
        for path in (TOP / room).rglob("*")
        if path.suffix in {".py", ".html", ".txt", ".sh", ".css", ".js"}
        for word in words
        if word in path.read_text(encoding="utf-8")
    ]
    assert hits == []
