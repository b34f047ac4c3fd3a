"""What to measure first: unknowns whose bad turn would change the plan, most valuable first."""

from dataclasses import dataclass
from typing import Any

from planner import engine
from planner.reasons.chosen import Chosen, in_page
from planner.reasons.turns import Turn, turns_of
from planner.reasons.wording import in_currency

JsonDict = dict[str, Any]


@dataclass(frozen=True)
class Worth:
    """One bad turn that changes the plan, and what it is worth to know."""

    turn: Turn
    number: int | None
    falls: bool
    possible: bool | None
    text: str

    @property
    def tone(self) -> str:
        """The badge's tone."""
        if self.possible is None:
            return "unknown"
        return "look" if self.possible else "stop"

    @property
    def word(self) -> str:
        """The badge's word."""
        if self.possible is None:
            return "Not known"
        if not self.possible:
            return "No plan left"
        return "Plan falls" if self.falls else "Another is cheaper"


def measure_page(chosen: Chosen) -> JsonDict:
    """The facts of the list; a page's time at most."""
    unknowns = _unknowns(chosen)
    turns = turns_of(chosen.case, unknowns)
    rows = _ranked(chosen, turns)
    told = {row.turn.id for row in rows}
    tried = {turn.unknown["key"] for turn in turns}
    return {
        "rows": rows,
        "proven": all(row.possible is not None for row in rows),
        "harmless": [turn for turn in turns if turn.id not in told],
        "untried": [entry for entry in unknowns if entry["key"] not in tried],
    }


def _unknowns(chosen: Chosen) -> list[JsonDict]:
    """What the answer rests on, then all else that the records did not know."""
    entries = [*chosen.run.assumptions, *chosen.case.get("unknowns", [])]
    found: dict[str, JsonDict] = {}
    for entry in entries:
        found.setdefault(entry["key"], entry)
    return list(found.values())


def _ranked(chosen: Chosen, turns: list[Turn]) -> list[Worth]:
    by_id = {turn.id: turn for turn in turns}
    asked = [{"id": turn.id, "change": turn.change} for turn in turns]
    ranked = engine.measure_first(chosen.case, asked, plan=chosen.plan, should_stop=in_page())
    dearer = _dearer_now(chosen)
    return [
        Worth(
            turn=by_id[row["id"]],
            number=by_id[row["id"]].unknown.get("number"),
            falls=row["falls"],
            possible=row["possible"],
            text=in_currency(row["text"], chosen.run.shop.currency),
        )
        for row in ranked
        if row["falls"] or not row["possible"] or _dearer_then(row, dearer)
    ]


def _dearer_now(chosen: Chosen) -> int | None:
    """What the plan costs beyond the cheapest as things stand; None where pins made it so."""
    if chosen.run.wishes.get("pins"):
        return None
    return chosen.plan["total_cents"] - chosen.run.answer["options"][0]["total_cents"]


def _dearer_then(row: JsonDict, dearer: int | None) -> bool:
    """Whether the plan would be further from the cheapest than it is already."""
    return dearer is not None and row["wrong_cents"] > dearer
