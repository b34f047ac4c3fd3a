"""How sure a statement still is after a while (common practice, no source).

What nobody has checked for twelve months drops one step of confidence; rules
that turn on firmware releases do so after six.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

SOFT_AFTER_DAYS = 365
SOFT_AFTER_DAYS_FIRMWARE = 182
ONE_STEP_DOWN = {"high": "medium", "medium": "low", "low": "low"}


def turns_on_firmware(rule: Mapping[str, Any]) -> bool:
    """Whether the rule speaks of releases: a least release, one release for all, an order."""
    if "same_release" in rule or "before" in rule:
        return True
    return any(isinstance(part, Mapping) and part.get("min_release") for part in rule.values())


def soft_after_days(rule: Mapping[str, Any]) -> int:
    """Days after which the rule's confidence drops one step."""
    return SOFT_AFTER_DAYS_FIRMWARE if turns_on_firmware(rule) else SOFT_AFTER_DAYS


def is_soft(*, rule: Mapping[str, Any], seen: date, today: date) -> bool:
    """Whether the source was last seen too long ago."""
    return (today - seen).days > soft_after_days(rule)


def confidence_at(*, confidence: str, rule: Mapping[str, Any], seen: date, today: date) -> str:
    """The confidence (high, medium, low) that counts on that day."""
    soft = is_soft(rule=rule, seen=seen, today=today)
    return ONE_STEP_DOWN[confidence] if soft else confidence
