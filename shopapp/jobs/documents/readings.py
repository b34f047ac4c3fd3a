"""What a step expects, in words: the figure and its bounds stand beside the empty box."""

from decimal import Decimal

from shopapp.jobs.models import WorkStep

ASKED = {
    WorkStep.Asks.TICK: "",
    WorkStep.Asks.READING: "write the reading",
    WorkStep.Asks.SERIAL: "write the serial number",
    WorkStep.Asks.RELEASE: "write the release found",
}


def expected_words(step: WorkStep) -> str:
    """`Backbone: 55 to 65 Ω`; where nothing is laid down, what to write."""
    parts = dict.fromkeys([step.expect_text, _bounds(step)])
    figure = ", ".join(part for part in parts if part)
    label = step.expect_label
    if figure:
        return f"{label}: {figure}" if label else figure
    return label or ASKED[step.asks]


def _bounds(step: WorkStep) -> str:
    low, high = _plain(step.expect_low), _plain(step.expect_high)
    unit = f" {step.expect_unit}" if step.expect_unit else ""
    if low and high:
        return f"{low}{unit}" if low == high else f"{low} to {high}{unit}"
    if low:
        return f"at least {low}{unit}"
    return f"at most {high}{unit}" if high else ""


def _plain(value: Decimal | None) -> str:
    if value is None:
        return ""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
