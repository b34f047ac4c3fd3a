"""The form of the shop's own rules: stricter is kept, looser is refused beside its field."""

from typing import Any

from django import forms

from planner.engine.sums import SumFault
from planner.engine.sums.gauges import SOLD
from planner.engine.sums.local_rules import LIMITS, built_in, check_local_rule
from planner.sum_rules import SumRules
from shopapp.ui.forms import DeskModelForm


class SumRulesForm(DeskModelForm):
    """Editions where standards differ, and what the shop is stricter in."""

    smallest_awg = forms.ChoiceField(
        label="Smallest wire fitted",
        required=False,
        choices=[("", "built-in: 18 AWG in a sheath, 16 alone"), *((each, each) for each in SOLD)],
    )

    class Meta:
        model = SumRules
        fields = ["areas", "bus_limit", "smallest_awg", *LIMITS, "said_by"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, limit in LIMITS.items():
            field = self.fields[name]
            bound = "at most" if limit.lower_is_stricter else "at least"
            field.label = f"{limit.label}, {limit.unit}"
            field.help_text = f"Built-in: {bound} {limit.value:g}. Empty: built-in."
        self.fields["bus_drop_volts"].help_text = "Built-in: as chosen above. Empty: built-in."

    def clean(self) -> dict[str, Any]:
        """No rule is looser than the built-in one."""
        facts = super().clean()
        guide = facts.get("bus_limit", SumRules.BusLimit.PLAIN)
        for name in LIMITS:
            value = facts.get(name)
            if value is not None:
                self._check(name, float(value), guide)
        return facts

    def _check(self, name: str, value: float, guide: str) -> None:
        try:
            check_local_rule(name, value, bus_limit=guide)
        except SumFault as fault:
            self.add_error(name, fault.message)

    def editions(self) -> list[forms.BoundField]:
        """Where standards differ."""
        return [self["areas"], self["bus_limit"]]

    def own(self) -> list[forms.BoundField]:
        """What the shop is stricter in."""
        return [self[name] for name in ("smallest_awg", *LIMITS, "said_by")]


def rules_in_force(row: SumRules | None) -> list[dict[str, Any]]:
    """Each rule with its value in force, the built-in one, and its source."""
    guide = row.bus_limit if row else SumRules.BusLimit.PLAIN
    told = []
    for name in LIMITS:
        limit = built_in(name, guide)
        own = getattr(row, name) if row else None
        told.append(
            {
                "label": f"{limit.label}, {limit.unit}",
                "value": f"{float(limit.value if own is None else own):g} {limit.unit}",
                "built_in": f"{limit.value:g} {limit.unit}",
                "own": own is not None,
                "source": limit.source,
            }
        )
    return told
