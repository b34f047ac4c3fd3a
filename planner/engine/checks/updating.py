"""Whether the volts hold while firmware is loaded: at the bank, and at the unit under load."""

from collections.abc import Iterator
from dataclasses import replace

from planner.engine.checks.conductor import known_wire, missing_of_run
from planner.engine.checks.facts import LEAD_ACID, BankFacts, CheckFacts, FeedFacts, Rules
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Remedy,
    figure,
    left_words,
)
from planner.engine.checks.wiring import heavier_wire, lost_percent
from planner.engine.sums.gauges import SOLD
from planner.engine.sums.update_volts import rested_needed

CHARGE_MINUTES = 20


def check_update_volts(facts: CheckFacts) -> Iterator[Finding]:
    """One finding for each unit that is updated; none where no firmware is loaded."""
    for feed in facts.feeds:
        if feed.updated and feed.draw_a > 0:
            yield _unit(feed, facts.bank(feed.bank), facts.rules)


def _unit(feed: FeedFacts, bank: BankFacts | None, rules: Rules) -> Finding:
    base = Finding(
        kind="update_volts", title="Volts during the update", state=UNKNOWN, about=feed.key,
        label=feed.label, place=feed.place, words="",
        formula="lead-acid, 12 V: rested ≥ 12.2 V with a charger on, ≥ 12.6 V without (double for "
        "24 V); volts at the unit = rested volts − volts lost in its wire ≥ the unit's least",
        source=f"gate: {COMMON_PRACTICE}; drop: ABYC E-11 formula",
        notes=("No cranking and no other heavy load meanwhile.",),
        inputs={
            "rested_v": bank.rested_v if bank else None, "volts_low": feed.volts_low,
            "charger": bank.has_charger if bank else None, "draw_a": feed.draw_a, "awg": feed.awg,
        },
    )  # fmt: skip
    missing = _missing(feed, bank)
    if bank is None or bank.rested_v is None:
        said = f"Whether the volts hold while {feed.label} is updated is not known."
        return replace(base, words=said, measures=tuple(missing))
    if bank.chemistry == "lithium":
        said = (
            f"{feed.label} is fed from a lithium bank: its resting volts say little. Judge it by "
            "its own monitor, with a charger on."
        )
        return replace(base, state=LOOK, words=said, remedies=())
    return _gate(base, feed, bank, rules, missing)


def _gate(
    base: Finding, feed: FeedFacts, bank: BankFacts, rules: Rules, missing: list[Measurement]
) -> Finding:
    base = replace(base, result=f"{figure(bank.rested_v, 2)} V rested")
    if bank.chemistry in LEAD_ACID | {""}:
        # Where nobody noted a charger, only what is too low even with one is known to be bad.
        least = rested_needed(bank.volts, charging=bank.has_charger is not False)
        if bank.rested_v < least:
            return _too_low(base, feed, bank, least, missing)
        if bank.has_charger is None and bank.rested_v < rested_needed(bank.volts, charging=False):
            missing = [*missing, _whether_charged(bank)]
    if missing:
        said = f"The volts at {feed.label} under load are not known."
        return replace(base, words=said, measures=tuple(missing))
    return _at_unit(base, feed, bank, rules)


def _too_low(
    base: Finding, feed: FeedFacts, bank: BankFacts, least: float, missing: list[Measurement]
) -> Finding:
    with_charger = " without a charger" if bank.has_charger is False else " with a charger"
    said = (
        f"The {bank.label} bank rests at {figure(bank.rested_v, 2)} V; an update of "
        f"{feed.label} waits for {figure(least)} V{with_charger}."
    )
    return replace(
        base, state=STOP, words=said, measures=tuple(missing), remedies=(_charge(bank),)
    )  # fmt: skip


def _whether_charged(bank: BankFacts) -> Measurement:
    what = f"Whether the {bank.label} bank has a charger that can be on"
    return Measurement(f"charger:{bank.key}", what, "banks", bank.place)


def _at_unit(base: Finding, feed: FeedFacts, bank: BankFacts, rules: Rules) -> Finding:
    awg = known_wire(feed, rules)
    if awg not in SOLD:
        said = f"No wire sold for boats carries the feed of {feed.label}."
        return replace(base, state=STOP, words=said)
    lost = lost_percent(feed, awg, rules) * feed.volts / 100
    there = bank.rested_v - lost
    base = replace(
        base, result=f"{figure(there, 2)} V at the unit",
        margin=left_words(there - feed.volts_low, "V", 2),
    )  # fmt: skip
    if there < feed.volts_low:
        said = (
            f"{feed.label} gets {figure(there, 2)} V under load; it needs "
            f"{figure(feed.volts_low)} V."
        )
        return replace(base, state=STOP, words=said, remedies=heavier_wire(feed, rules))
    said = (
        f"{feed.label} gets {figure(there, 2)} V under load from {figure(bank.rested_v, 2)} V "
        f"rested; it needs {figure(feed.volts_low)} V."
    )
    return replace(base, state=GOOD, words=said)


def _charge(bank: BankFacts) -> Remedy:
    charged = max(bank.rested_v, rested_needed(bank.volts, charging=False))
    return Remedy(
        key=f"charge:{bank.key}",
        words=f"Charge the {bank.label} bank with the shop's charger and keep it on all the while.",
        minutes=CHARGE_MINUTES,
        changes=(
            Change(
                "banks", bank.key,
                (("has_charger", True), ("rested_v", charged)),
            ),
        ),
    )  # fmt: skip


def _missing(feed: FeedFacts, bank: BankFacts | None) -> list[Measurement]:
    found = []
    if bank is None:
        what = f"Which bank feeds {feed.label}"
        found.append(Measurement(f"bank:{feed.key}", what, "units", feed.place))
    elif bank.rested_v is None:
        what = f"Volts of the {bank.label} bank, rested an hour"
        found.append(Measurement(f"rested:{bank.key}", what, "banks", bank.place))
    if feed.volts_low is None:
        what = f"Least volts of {feed.label}, by its maker's guide"
        found.append(Measurement(f"volts_low:{feed.key}", what, "catalogue"))
    found += missing_of_run(feed)
    if bank is not None and not bank.chemistry:
        what = f"Chemistry of the {bank.label} bank"
        found.append(Measurement(f"chemistry:{bank.key}", what, "banks", bank.place))
    return found
