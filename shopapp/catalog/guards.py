"""Other rooms look at a model before a change of it is kept.

The catalogue knows nothing of statements; the planner registers what must stay true.
"""

from collections.abc import Callable

from shopapp.catalog.models import EquipmentModel

Guard = Callable[[EquipmentModel], None]
_GUARDS: list[Guard] = []


def register_guard(guard: Guard) -> None:
    """Ask `guard(model)` after each change, inside its transaction; it raises `FactRefused`."""
    if guard not in _GUARDS:
        _GUARDS.append(guard)


def ask_guards(model: EquipmentModel) -> None:
    """Let every guard look at the model as changed."""
    for guard in _GUARDS:
        guard(model)
