"""The fuse of each circuit: its rating against unit, load and wire, its colour, and its place."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.engine.checks.conductor import gauge_of, known_wire, missing_of_run
from planner.engine.checks.facts import CheckFacts, FeedFacts, Rules
from planner.engine.checks.finding import (
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
)
from planner.engine.checks.wiring import NEARLY, allowed_range, heavier_wire, wanted_fuse
from planner.engine.sums import words
from planner.engine.sums.fuses import BLADE_COLOURS, LARGE_BLADE_COLOURS, RATINGS
from planner.engine.sums.gauges import SOLD

OPEN_INCHES, COVERED_INCHES = 7, 40
PLACED = "33 CFR 183.455(b)"
FUSE_NOTES = (
    "Never a larger fuse to stop one from blowing.",
    "Read the number printed on the fuse, not the colour alone.",
    words.LAW_BINDS,
)


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
    if amps in BLADE_COLOURS:
        return f", {BLADE_COLOURS[amps]}"
    return f", large blade, {LARGE_BLADE_COLOURS[int(amps)]}" if amps in RATINGS else ""


def _fuse(feed: FeedFacts, rules: Rules) -> Finding:
    fitted = wanted_fuse(feed, rules) if feed.is_new and feed.fuse_a is None else feed.fuse_a
    base = Finding(
        kind="fuse", title="Fuse", state=UNKNOWN, about=feed.key, label=feed.label,
        place=feed.place, words="",
        formula="125 % of the load ≤ fuse ≤ 150 % of what the wire may carry, and what the "
        "unit's maker asks for",
        source=f"{words.OVERCURRENT}; {words.TABLE_5}; colours: ISO 8820-3 scheme; 125 %: common "
        "practice, no source",
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
    trouble = _trouble(feed, limits)
    if trouble:
        return replace(
            base, state=STOP, words=trouble, remedies=_remedies(feed, rules, limits)
        )  # fmt: skip
    if limits.least is None or limits.fuse > limits.least + NEARLY:
        return _wire_not_known(base, feed, limits)
    small = _small(feed, limits)
    left = figure(limits.least - limits.fuse)
    if small:
        return replace(
            base, state=LOOK, words=small, margin=f"{left} A below the wire's limit",
            remedies=_remedies(feed, rules, limits),
        )  # fmt: skip
    said = f"{figure(limits.fuse)} A{colour_words(limits.fuse)} for {feed.label}"
    called = " as its maker asks," if feed.called_a == limits.fuse else ","
    said += f",{called[:-1]}; its wire allows {figure(limits.least)} A at least."
    return replace(
        base, state=GOOD, words=said.replace(",;", ";"), margin=f"{left} A below the wire's limit"
    )


def _trouble(feed: FeedFacts, limits: _Limits) -> str:
    fuse = figure(limits.fuse)
    if limits.most is not None and limits.fuse > limits.most + NEARLY:
        return (
            f"The {fuse} A fuse of {feed.label} does not protect its wire, which allows "
            f"{figure(limits.most)} A."
        )
    if feed.called_a is not None and limits.fuse > feed.called_a:
        return (
            f"{feed.label} has a {fuse} A fuse; its maker asks for {figure(feed.called_a)} A"
            f"{colour_words(feed.called_a)}."
        )
    if limits.fuse < feed.draw_a:
        return f"The {fuse} A fuse of {feed.label} blows: it draws {figure(feed.draw_a, 2)} A."
    return ""


def _small(feed: FeedFacts, limits: _Limits) -> str:
    fuse, share = limits.fuse, limits.load_percent
    if feed.called_a is not None:
        if fuse < feed.called_a:
            return (
                f"{feed.label} has a {figure(fuse)} A fuse, smaller than the "
                f"{figure(feed.called_a)} A that its maker asks for: it may blow at start."
            )
        return ""
    if fuse < feed.draw_a * share / 100:
        return (
            f"The {figure(fuse)} A fuse of {feed.label} is less than {figure(share)} % of its "
            f"{figure(feed.draw_a, 2)} A: it may blow at start."
        )
    return ""


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
        label=feed.label, place=feed.place, words="",
        formula=f"at most {OPEN_INCHES} in from the source, {COVERED_INCHES} in where the wire is "
        "in a sheath or enclosure all the way",
        source=PLACED, inputs={"fuse_inches": feed.fuse_inches, "sheathed": feed.sheathed},
        notes=("Straight from the battery terminal 72 in is from memory.", words.LAW_BINDS),
    )  # fmt: skip
    if feed.fuse_inches is None and feed.is_new:
        said = f"The new fuse of {feed.label} goes within {OPEN_INCHES} in of its source."
        return replace(base, state=GOOD, words=said, result="planned at the source")
    if feed.fuse_inches is None:
        return _place_unknown(base, feed, "how far it is from the source is not noted")
    far = figure(feed.fuse_inches)
    base = replace(base, result=f"{far} in")
    if feed.fuse_inches <= OPEN_INCHES:
        said = f"The fuse of {feed.label} is {far} in from its source."
        return replace(base, state=GOOD, words=said)
    if feed.fuse_inches <= COVERED_INCHES and feed.sheathed is None:
        return _place_unknown(base, feed, f"it is {far} in from the source, sheathed or not")
    if feed.fuse_inches <= COVERED_INCHES and feed.sheathed:
        said = f"The fuse of {feed.label} is {far} in from its source, the wire covered."
        return replace(base, state=GOOD, words=said)
    said = f"The fuse of {feed.label} is {far} in from its source: wire ahead of it is unprotected."
    return replace(base, state=STOP, words=said, remedies=(_move(feed, rules),))


def _place_unknown(base: Finding, feed: FeedFacts, why: str) -> Finding:
    what = f"Inches from the source to the fuse of {feed.label}, and whether the wire is sheathed"
    missing = Measurement(f"fuse_place:{feed.key}", what, "units", feed.place)
    said = f"Where the fuse of {feed.label} sits is not known: {why}."
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
