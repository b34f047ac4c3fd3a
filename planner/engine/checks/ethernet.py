"""Ethernet runs: long enough with slack, within 100 m, and no ring over switches."""

from collections.abc import Iterator
from dataclasses import replace

from planner.engine.checks.facts import CheckFacts, Rules, RunFacts, SwitchFacts
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Need,
    Remedy,
    figure,
    left_words,
)
from planner.engine.sums.cable_run import FEET_PER_METRE, LONGEST_M, slack_of

LONGEST_FT = int(LONGEST_M * FEET_PER_METRE)
"""100 m: IEEE 802.3, from memory; 90 m fixed + 10 m of patch cables as published in part."""
LOOP_MINUTES = 5


def check_runs(facts: CheckFacts) -> Iterator[Finding]:
    """One finding a cable: its length against the way that it takes."""
    for run in facts.runs:
        yield _run(run, facts.rules)


def check_loops(facts: CheckFacts) -> Iterator[Finding]:
    """One finding for each cable that closes a ring; one good finding where none does."""
    if not facts.runs:
        return
    rings = [run for run in facts.runs if run in _closing(facts.runs)]
    base = Finding(
        kind="loop", title="Ethernet loops", state=GOOD, about="ethernet", label="Ethernet",
        words=f"{_count(len(facts.runs))}, and no two ways between any two units.",
        formula="cables ≤ units − networks", inputs={"cables": len(facts.runs)},
        source="a switch without spanning tree (IEEE 802.1D, from memory) floods a ring",
    )  # fmt: skip
    if not rings:
        yield base
    for run in rings:
        yield _ring(base, run)


def _count(cables: int) -> str:
    return "1 cable" if cables == 1 else f"{cables} cables"


def slack_ft(way_ft: float, rules: Rules) -> float:
    """Slack for a way: a share of it or so many feet, whichever is more."""
    return slack_of(way_ft, rules.slack_ft, rules.slack_percent)


def _ring(base: Finding, run: RunFacts) -> Finding:
    one, other = run.names
    remedy = Remedy(
        key=f"loop:{run.key}",
        words=f"Unplug cable {run.label} between {one} and {other}.",
        minutes=LOOP_MINUTES,
        changes=(Change("runs", run.key, (("ends", ()),)),),
    )
    said = f"Cable {run.label} between {one} and {other} closes a ring: the network freezes."
    return replace(base, state=STOP, about=run.key, label=run.label, words=said, remedies=(remedy,))


def _closing(runs: tuple[RunFacts, ...]) -> list[RunFacts]:
    group: dict[str, str] = {}

    def root(name: str) -> str:
        while group.get(name, name) != name:
            name = group[name]
        return name

    closing = []
    for run in runs:
        if not run.ends:
            continue
        one, other = (root(end) for end in run.ends)
        if one == other:
            closing.append(run)
        group[one] = other
    return closing


def _run(run: RunFacts, rules: Rules) -> Finding:
    one, other = run.names
    base = Finding(
        kind="run", title="Ethernet cable", state=UNKNOWN, about=run.key, label=run.label,
        words="", place=" – ".join(run.names),
        formula="length to buy ≥ way + the larger of 10 % and the shop's slack; at most 100 m",
        source=f"IEEE 802.3, from memory (100 m); slack: {COMMON_PRACTICE}",
        inputs={"cable_ft": run.cable_ft, "way_ft": run.way_ft, "slack_ft": rules.slack_ft},
    )  # fmt: skip
    missing = _missing(run)
    if missing:
        said = f"Whether cable {run.label} is long enough from {one} to {other} is not known."
        return replace(base, words=said, measures=tuple(missing))
    return _long_enough(base, run, rules)


def _missing(run: RunFacts) -> list[Measurement]:
    way, where = " to ".join(run.names), " – ".join(run.places)
    found = []
    if run.way_ft is None:
        what = f"Feet along the way from {way}"
        found.append(Measurement(f"way:{run.key}", what, "places", where))
    elif run.rough and run.is_new:
        what = f"Feet along the way from {way}, by tape (only guessed so far)"
        found.append(Measurement(f"way:{run.key}", what, "places", where))
    if run.cable_ft is None:
        found.append(Measurement(f"cable:{run.label}", f"Length of cable {run.label}", "cables"))
    return found


def _long_enough(base: Finding, run: RunFacts, rules: Rules) -> Finding:
    one, other = run.names
    spare = run.cable_ft - run.way_ft
    base = replace(
        base, result=f"{figure(run.cable_ft)} ft for {figure(run.way_ft)} ft",
        margin=left_words(spare, "ft"),
    )  # fmt: skip
    if run.cable_ft > LONGEST_FT or run.way_ft > LONGEST_FT:
        said = f"{run.label} from {one} to {other} is longer than {LONGEST_FT} ft (100 m)."
        said += " Put a switch on the way."
        return replace(base, state=STOP, words=said, remedies=_half_way(run, rules))
    said = f"{figure(run.cable_ft)} ft of cable for the {figure(run.way_ft)} ft from {one} to "
    said += other
    if spare < 0:
        said += ": too short."
        return replace(base, state=STOP, words=said, remedies=_longer(run, rules))
    if spare < slack_ft(run.way_ft, rules):
        said += f": only {figure(spare)} ft slack."
        return replace(base, state=LOOK, words=said, remedies=_longer(run, rules))
    return replace(base, state=GOOD, words=f"{said}, {figure(spare)} ft slack.")


def _longer(run: RunFacts, rules: Rules) -> tuple[Remedy, ...]:
    """A longer cable; where none that is sold reaches, a switch half-way."""
    need = run.way_ft + slack_ft(run.way_ft, rules)
    feet = _sold(need, rules)
    if feet is None:
        return _half_way(run, rules)
    return (
        Remedy(
            key=f"run:{run.key}",
            words=f"Take a {feet} ft cable from {run.names[0]} to {run.names[1]}.",
            minutes=0 if run.is_new else _pull_minutes(run.way_ft, rules),
            changes=(Change("runs", run.key, (("cable_ft", float(feet)),)),),
            needs=(Need("cable", str(feet), 1, f"for {figure(need)} ft with slack"),),
        ),
    )


def _sold(need: float, rules: Rules) -> int | None:
    return next((feet for feet in sorted(rules.cables_ft) if feet >= need), None)


def _pull_minutes(way_ft: float, rules: Rules) -> int:
    return round(rules.pull_minutes_base + rules.pull_minutes_per_ft * way_ft)


def _half_way(run: RunFacts, rules: Rules) -> tuple[Remedy, ...]:
    """One more switch of the kind at an end of the run, half-way, and two cables; else none."""
    half = run.way_ft / 2
    feet = _sold(half + slack_ft(half, rules), rules)
    if run.switch is None or feet is None or feet > LONGEST_FT:
        return ()
    one, other = run.names
    pull = _pull_minutes(half, rules) * (1 if run.is_new else 2)
    return (
        Remedy(
            key=f"half_way:{run.key}",
            words=f"Put one more {run.switch.name} half-way between {one} and {other}, "
            f"{figure(half)} ft from each, with two {feet} ft cables. It counts in the chain: ask "
            "the planner before it is promised.",
            minutes=rules.minutes_of("T09") + pull,
            changes=(
                Change("runs", run.key, (("cable_ft", float(feet)), ("way_ft", half))),
            ),
            needs=_switch_needs(run.switch, feet, half),
        ),
    )  # fmt: skip


def _switch_needs(switch: SwitchFacts, feet: int, half: float) -> tuple[Need, ...]:
    """The switch with its cables, its fused feed, and caps for the ports that it does not use."""
    fuse = () if switch.fuse_a is None else (Need("fuse", figure(switch.fuse_a), 1, "its feed"),)
    spare = switch.ports - 2
    caps = (Need("cap", "", spare, f"{spare} unused on {switch.name}"),) if spare > 0 else ()
    return (
        Need("switch", switch.code, 1, "half-way"),
        Need("cable", str(feet), 2, f"{figure(half)} ft each way, with slack"),
        Need("fuse_holder", "", 1, "at the source of its feed"),
        *fuse,
        *caps,
    )
