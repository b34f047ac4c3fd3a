"""No row is locked outside a transaction: SQLite would let it pass, PostgreSQL refuses it."""

import ast
from collections import defaultdict
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]


class Calls(ast.NodeVisitor):
    """Of one file: which functions lock outside `atomic`, and who names whom outside of it."""

    def __init__(self, module: str, tree: ast.Module) -> None:
        self.module = module
        self.names = dict(_names(module, tree))
        self.function = ""
        self.safe = False
        self.lockers: set[str] = set()
        self.named: set[str] = set()
        self.named_by: dict[str, set[str]] = defaultdict(set)
        self.visit(tree)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        before = self.function, self.safe
        self.function = self.function or f"{self.module}.{node.name}"
        self.safe = self.safe or any(map(_is_atomic, node.decorator_list))
        for part in node.body:
            self.visit(part)
        self.function, self.safe = before

    def visit_With(self, node: ast.With) -> None:
        before = self.safe
        self.safe = before or any(_is_atomic(item.context_expr) for item in node.items)
        self.generic_visit(node)
        self.safe = before

    def visit_Attribute(self, node: ast.Attribute) -> None:
        if node.attr == "select_for_update" and not self.safe:
            self.lockers.add(self.function)
        self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        target = self.names.get(node.id)
        if target and self.function:
            self.named.add(target)
            if not self.safe:
                self.named_by[target].add(self.function)


def _is_atomic(node: ast.expr) -> bool:
    return "atomic" in ast.unparse(node)


def _names(module: str, tree: ast.Module):
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            yield from (
                (name.asname or name.name, f"{node.module}.{name.name}") for name in node.names
            )
    yield from (
        (node.name, f"{module}.{node.name}")
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
    )


def _read(top: Path, rooms: tuple[str, ...]) -> list[Calls]:
    return [
        Calls(
            ".".join(path.relative_to(top).with_suffix("").parts).removesuffix(".__init__"),
            ast.parse(path.read_text(encoding="utf-8")),
        )
        for room in rooms
        for path in sorted((top / room).rglob("*.py"))
    ]


def unguarded(top: Path, rooms: tuple[str, ...]) -> list[str]:
    """Functions that nobody calls from inside `atomic` and that come to a lock without one.

    A private helper may count on its caller; what is called from nowhere is a way in.
    """
    files = _read(top, rooms)
    bare = set().union(*(each.lockers for each in files))
    waiting = sorted(bare)
    while waiting:
        target = waiting.pop()
        new = set().union(*(each.named_by[target] for each in files)) - bare
        bare |= new
        waiting += sorted(new)
    named = set().union(*(each.named for each in files))
    return sorted(name for name in bare - named if not name.rpartition(".")[2].startswith("_"))


def test_every_way_to_a_lock_goes_through_a_transaction():
    assert unguarded(TOP, ("shopapp", "planner")) == []


def test_the_check_finds_a_lock_two_calls_deep_and_leaves_the_guarded_alone(tmp_path):
    room = tmp_path / "room"
    room.mkdir()
    (room / "low.py").write_text("def take(rows):\n    return rows.select_for_update()\n")
    (room / "high.py").write_text(
        "from room.low import take\n"
        "def helper(rows):\n    return take(rows)\n"
        "def bare(rows):\n    return helper(rows)\n"
        "@transaction.atomic\ndef guarded(rows):\n    return helper(rows)\n"
        "def within(rows):\n    with transaction.atomic():\n        return take(rows)\n"
    )
    assert unguarded(tmp_path, ("room",)) == ["room.high.bare"]
