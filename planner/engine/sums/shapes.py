"""What is told of a sum: its inputs, outputs, source and function."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import show
from planner.engine.sums.results import SumResult


@dataclass(frozen=True, slots=True)
class Quantity:
    """One input or output: its name, its unit in words, and the default (inputs only).

    `kind` is what an input is written as: number, whole, flag, choice, text, numbers or rows;
    `choices` are the words or ratings that it takes.
    """

    name: str
    unit: str
    default: Any = None
    optional: bool = False
    kind: str = "number"
    choices: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum: what goes in, what comes out, where it is from, and the function."""

    name: str
    inputs: tuple[Quantity, ...]
    outputs: tuple[Quantity, ...]
    source: str
    function: Callable[..., SumResult]

    def run(self, given: Any) -> SumResult:
        """Run with inputs by name; a missing or unknown one raises SumFault.

        Every answer ends with the caution that it is an estimate.
        """
        if not isinstance(given, Mapping):
            refuse("in", f"{show(given)} is not an object with the inputs by name.")
        known = {quantity.name: quantity for quantity in self.inputs}
        for name in given:
            if name not in known:
                refuse(str(name), f"{self.name} has no such input; it has {', '.join(known)}.")
        for quantity in self.inputs:
            if not quantity.optional and quantity.name not in given:
                refuse(quantity.name, f"It is missing ({quantity.unit}).")
        result = self.function(**given)
        if words.ESTIMATE in result.notes:
            return result
        return replace(result, notes=(*result.notes, words.ESTIMATE))


def given(name: str, unit: str, kind: str = "number", choices: tuple[Any, ...] = ()) -> Quantity:
    """An input that must be given, or an output."""
    return Quantity(name, unit, kind=kind, choices=choices)


def maybe(
    name: str, unit: str, default: Any, kind: str = "number", choices: tuple[Any, ...] = ()
) -> Quantity:
    """An input that may be left out, with the default that stands behind."""
    return Quantity(name, unit, default, optional=True, kind=kind, choices=choices)
