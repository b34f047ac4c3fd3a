"""The fuse of each circuit: its rating against unit, load and wire, its colour, and its place."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.engine.checks.conductor import gauge_of, known_wire, missing_of_run
from planner.engine.checks.facts import CheckFacts, FeedFacts, Rules
from planner.engine.checks.finding import (
    GOOD,
    STOP,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Need,
    Remedy,
    figure,
)
from planner.engine.checks.wiring import NEARLY, allowed_range, heavier_wire, wanted_fuse
from planner.engine.sums import words
from planner.engine.sums.circuit_fuse import (
    BATTERY_NOTE,
    FUSE_FORMULA,
    FUSE_SOURCE,
    OPEN_INCHES,
    PLACE_FORMULA,
    PLACED,
    colour_of,
    judge_fuse,
    judge_fuse_place,
)
from planner.engine.sums.fuses import NEVER_LARGER, READ_THE_NUMBER
from planner.engine.sums.gauges import SOLD

FUSE_NOTES = (NEVER_LARGER, READ_THE_NUMBER, words.LAW_BINDS)


@dataclass(frozen=True, slots=True)
class _Limits:
    """What a fuse is held to; `least` and `most` are 150 % of what the wire may carry, or less.

    `load_percent` is the reserve above a continuous load.
    """

    fuse: float
    least: float | None
    most: float | None
    load_percent: float


def check_fuses(facts: CheckFacts) -> Iterator[Finding]:
    """One finding a feed: the rating of its fuse."""
    for feed in facts.feeds:
        if feed.draw_a > 0:
            yield _fuse(feed, facts.rules)


def check_fuse_places(facts: CheckFacts) -> Iterator[Finding]:
    """One finding a feed: how far its fuse is from the source."""
    for feed in facts.feeds:
        if feed.draw_a > 0:
            yield _place(feed, facts.rules)


def colour_words(amps: float) -> str:
    """`, violet` for a rating that is sold as a blade; "" for any other."""
    colour = colour_of(amps)
    return f", {colour}" if colour else ""


def _fuse(feed: FeedFacts, rules: Rules) -> Finding:
    fitted = wanted_fuse(feed, rules) if feed.is_new and feed.fuse_a is None else feed.fuse_a
    base = Finding(
        kind="fuse", title="Fuse", state=UNKNOWN, about=feed.key, label=feed.label,
        place=feed.place, words="",
        formula=FUSE_FORMULA, source=FUSE_SOURCE,
        inputs={
            "fuse_a": fitted, "called_for_a": feed.called_a, "draw_a": feed.draw_a,
            "awg": feed.awg, "insulation_c": feed.insulation_c,
        },
        notes=FUSE_NOTES,
    )  # fmt: skip
    if fitted is None:
        if feed.is_new:
            said = f"No blade fuse is sold for 125 % of the {figure(feed.draw_a)} A of {feed.label}"
            return replace(base, state=STOP, words=f"{said}: feed it from a breaker.")
        what = f"Number printed on the fuse of {feed.label}"
        said = f"Not known for {feed.label} until its fuse is read."
        missing = Measurement(f"fuse:{feed.key}", what, "units", feed.place)
        return replace(base, words=said, measures=(missing,))
    awg = known_wire(feed, rules) if _wire_can_be_known(feed) else None
    least = most = None
    if awg in SOLD:
        least, most = (amps * rules.fuse_percent / 100 for amps in allowed_range(feed, awg, rules))
    base = replace(base, result=f"{figure(fitted)} A{colour_words(fitted)}")
    return _judged(base, feed, rules, _Limits(fitted, least, most, rules.fuse_load_percent))


def _wire_can_be_known(feed: FeedFacts) -> bool:
    return not feed.is_new or not missing_of_run(feed)


def _judged(base: Finding, feed: FeedFacts, rules: Rules, limits: _Limits) -> Finding:
    state, why = judge_fuse(
        fuse=limits.fuse,
        load=feed.draw_a,
        called=feed.called_a,
        least=limits.least,
        most=limits.most,
        load_percent=limits.load_percent,
    )
    if state == UNKNOWN:
        return _wire_not_known(base, feed, limits)
    left = ""
    if limits.least is not None and limits.fuse <= limits.least + NEARLY:
        left = f"{figure(limits.least - limits.fuse)} A below the wire's limit"
    cures = () if state == GOOD else _remedies(feed, rules, limits)
    said = f"{feed.label}: {why}"
    return replace(base, state=state, words=said, margin=left, remedies=cures)


def _wire_not_known(base: Finding, feed: FeedFacts, limits: _Limits) -> Finding:
    if limits.least is None:
        measures = missing_of_run(feed) if feed.is_new else [gauge_of(feed)]
    else:
        what = f"Insulation rating (°C) of the wire of {feed.label}, and where it runs"
        measures = [Measurement(f"insulation:{feed.key}", what, "units", feed.place)]
    said = (
        f"Whether the {figure(limits.fuse)} A fuse protects the wire of {feed.label} is not "
        "known: its wire is not noted well enough."
    )
    return replace(base, state=UNKNOWN, words=said, measures=tuple(measures))


def _remedies(feed: FeedFacts, rules: Rules, limits: _Limits) -> tuple[Remedy, ...]:
    wanted = wanted_fuse(feed, rules)
    if wanted is None or wanted < feed.draw_a:
        return ()
    if limits.least is not None and wanted > limits.least + NEARLY:
        return heavier_wire(feed, rules)
    if limits.least is None and feed.is_new:
        return ()
    return (
        Remedy(
            key=f"fuse:{feed.key}",
            words=f"Fit a {figure(wanted)} A fuse{colour_words(wanted)} for {feed.label}.",
            minutes=rules.fuse_minutes,
            changes=(Change("feeds", feed.key, (("fuse_a", wanted),)),),
            needs=(Need("fuse", figure(wanted), 1, f"for {feed.label}"),),
        ),
    )


def _place(feed: FeedFacts, rules: Rules) -> Finding:
    base = Finding(
        kind="fuse_place", title="Place of the fuse", state=UNKNOWN, about=feed.key,
        label=feed.label, place=feed.place, words="", formula=PLACE_FORMULA,
        source=PLACED, inputs={"fuse_inches": feed.fuse_inches, "sheathed": feed.sheathed},
        notes=(BATTERY_NOTE, words.LAW_BINDS),
    )  # fmt: skip
    if feed.fuse_inches is None and feed.is_new:
        said = f"The new fuse of {feed.label} goes within {OPEN_INCHES} in of its source."
        return replace(base, state=GOOD, words=said, result="planned at the source")
    sheathed = {True: "yes", False: "no", None: "unknown"}[feed.sheathed]
    state, why = judge_fuse_place(feed.fuse_inches, sheathed)
    if state == UNKNOWN:
        return _place_unknown(base, feed, why)
    cures = () if state == GOOD else (_move(feed, rules),)
    return replace(
        base, state=state, words=f"{feed.label}: {why}", remedies=cures,
        result=f"{figure(feed.fuse_inches)} in",
    )  # fmt: skip


def _place_unknown(base: Finding, feed: FeedFacts, why: str) -> Finding:
    what = f"Inches from the source to the fuse of {feed.label}, and whether the wire is sheathed"
    missing = Measurement(f"fuse_place:{feed.key}", what, "units", feed.place)
    said = f"{feed.label}: {why}"
    return replace(base, words=said, measures=(missing,))


def _move(feed: FeedFacts, rules: Rules) -> Remedy:
    needs = [Need("fuse_holder", "", 1, "at the source")]
    if feed.awg:
        needs.append(Need("terminal", feed.awg, 2, "in and out of the holder"))
    return Remedy(
        key=f"fuse_place:{feed.key}",
        words=f"Put a fuse holder for {feed.label} within {OPEN_INCHES} in of its source.",
        minutes=rules.minutes_of("T19"),
        changes=(Change("feeds", feed.key, (("fuse_inches", float(OPEN_INCHES)),)),),
        needs=tuple(needs),
    )
