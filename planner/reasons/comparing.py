"""A "what if?" beside the plan that it was asked of: the same sheet, and the differences."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from planner.models import PlanRun
from planner.sheet import OptionColumn, Sheet, SheetRow, option_columns, options_sheet
from planner.telling import part_name
from planner.verdicts import ORDER

JsonDict = dict[str, Any]
MONEY, MINUTES, WORDS = "money", "minutes", "words"


@dataclass(frozen=True)
class TitledColumn(OptionColumn):
    """A column under a title of its own."""

    head: str = ""

    @property
    def title(self) -> str:
        """The head of the column."""
        return self.head


@dataclass(frozen=True)
class Difference:
    """One line of what the pins change; `amount` is signed, in cents or minutes."""

    what: str
    kind: str
    amount: int = 0
    before: str = ""
    after: str = ""
    worse: bool = False

    @property
    def size(self) -> int:
        """The amount without its sign."""
        return abs(self.amount)


def asked_of(run: PlanRun) -> PlanRun | None:
    """The plan that a what-if was asked of; None where it is gone."""
    kept = run.wishes.get("what_if_of") or {}
    rows = PlanRun.objects.filter(boat=run.boat_id, pk=kept.get("run"))
    return rows.first()


def comparison(first: PlanRun, second: PlanRun) -> JsonDict:
    """Two feasible plans side by side: `sheet`, the columns, `differences`."""
    number = (second.wishes.get("what_if_of") or {}).get("option", 1)
    columns = option_columns(first.case, first.answer, first.assumptions)
    before = _titled(columns[min(number, len(columns)) - 1], 1, "As planned")
    after = _titled(option_columns(second.case, second.answer, second.assumptions)[0], 2, "What if")
    sheet = options_sheet(case=second.case, columns=[before, after])
    rows = [row for row in sheet.rows if row.key != "unknown"]
    rows.append(SheetRow("Open questions", "count", [len(c.assumptions) for c in (before, after)]))
    return {
        "sheet": Sheet(sheet.columns, rows),
        "chosen": after,
        "before": before,
        "differences": differences(second.case, before, after),
    }


def _titled(column: OptionColumn, number: int, head: str) -> TitledColumn:
    facts = {name: getattr(column, name) for name in OptionColumn.__dataclass_fields__}
    # Which strategies chose it says nothing here: only these two stand side by side.
    return TitledColumn(**facts | {"number": number, "strategies": []}, head=head)


def differences(case: JsonDict, before: OptionColumn, after: OptionColumn) -> list[Difference]:
    """What the pins change, money first; empty where nothing differs."""
    one, two = before.plan, after.plan
    found = [
        Difference("Parts and labour", MONEY, after.charged_cents - before.charged_cents),
        Difference("of it parts", MONEY, two["parts_cents"] - one["parts_cents"]),
        Difference("Labour", MINUTES, two["labour_minutes"] - one["labour_minutes"]),
        Difference("Given up, counted as", MONEY, two["penalty_cents"] - one["penalty_cents"]),
    ]
    words = [Difference("Bought", WORDS, *_parts(case, one, two))]
    if before.verdict.word != after.verdict.word:
        worse = ORDER.index(after.verdict.word) > ORDER.index(before.verdict.word)
        pair = {"before": before.verdict.word, "after": after.verdict.word}
        words.append(Difference("Verdict", WORDS, worse=worse, **pair))
    return [row for row in found if row.amount] + [row for row in words if row.before or row.after]


def _parts(case: JsonDict, one: JsonDict, two: JsonDict) -> tuple[int, str, str]:
    less, more = Counter(one["parts"]), Counter(two["parts"])
    return 0, _counted(case, less - more), _counted(case, more - less)


def _counted(case: JsonDict, parts: Counter[str]) -> str:
    return ", ".join(f"{count} × {part_name(case, part)}" for part, count in sorted(parts.items()))
