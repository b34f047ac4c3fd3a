"""The words and marks under which a statement is found.

Besides its own words the search text holds marks between blanks, so that lists filter
in the database: `rule:at_most`, `kind:display` (a selector of that kind that names
no model), `kind:any`, `model:dx-7`, `firmware:yes`.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from planner.ageing import turns_on_firmware
from planner.models import Statement
from planner.statements.selectors import selectors_of
from planner.statements.words import verb_of


def marks_of(rule: Mapping[str, Any]) -> list[str]:
    """The marks of a rule, each once, in a fixed order."""
    marks = {f"rule:{verb_of(rule)}"}
    if turns_on_firmware(rule):
        marks.add("firmware:yes")
    for _, selector in selectors_of(rule):
        marks |= set(_marks_of_selector(selector))
    return sorted(marks)


def _marks_of_selector(selector: Mapping[str, Any]) -> Iterator[str]:
    yield from (f"model:{code}" for code in selector.get("min_release") or {})
    if "models" in selector:
        yield from (f"model:{code}" for code in selector["models"])
    elif "kinds" in selector:
        yield from (f"kind:{kind}" for kind in selector["kinds"])
    else:
        yield "kind:any"


def words_of_statement(statement: Statement) -> str:
    """Number, words, source, page, note; then the marks between blanks."""
    own = [
        statement.code,
        statement.text,
        statement.source,
        statement.get_source_kind_display(),
        statement.note,
    ]
    return f"{' '.join(own).lower()} {' '.join(marks_of(statement.rule))} "
