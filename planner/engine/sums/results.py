"""What every sum gives back."""

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class SumResult:
    """The answer of one sum.

    `values` are the outputs by name, unrounded; `inputs` are the inputs used, defaults filled in;
    `margin` is what is left to the limits that the sum knows, by name, each null where there is
    nothing to measure it against; `notes` are cautions and known exceptions.
    """

    values: dict[str, Any]
    formula: str
    source: str
    inputs: dict[str, Any]
    notes: tuple[str, ...] = ()
    margin: dict[str, float | None] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """One flat object for JSON."""
        return {
            **self.values,
            "formula": self.formula,
            "source": self.source,
            "notes": list(self.notes),
            "inputs": self.inputs,
            "margin": self.margin,
        }
