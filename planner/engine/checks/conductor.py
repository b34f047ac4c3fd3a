"""The wire of each circuit: by voltage drop, and by the current that it may carry."""

from collections.abc import Iterator
from dataclasses import replace

from planner.engine.checks.facts import CheckFacts, FeedFacts, Rules
from planner.engine.checks.finding import (
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Finding,
    Measurement,
    figure,
    left_words,
)
from planner.engine.checks.wiring import (
    NEARLY,
    NOTHING_IN_RESERVE,
    allowed_range,
    heavier_wire,
    lost_percent,
    wire_for,
)
from planner.engine.sums import words
from planner.engine.sums.gauges import SOLD

OTHER_LIST = {"sae": ("awg", "exact AWG areas"), "awg": ("sae", "SAE minimum areas")}
ITS_OWN_LAW = f"{words.NOT_UNDER_183_425} They follow it by custom (common practice, no source)."


def check_drops(facts: CheckFacts) -> Iterator[Finding]:
    """One finding a feed: the volts lost in its wire."""
    for feed in facts.feeds:
        if feed.draw_a > 0:
            yield _drop(feed, facts.rules)


def check_currents(facts: CheckFacts) -> Iterator[Finding]:
    """One finding a feed: whether its wire may carry the current."""
    for feed in facts.feeds:
        if feed.draw_a > 0:
            yield _current(feed, facts.rules)


def missing_of_run(feed: FeedFacts) -> list[Measurement]:
    """What is not known of a feed's length, volts and, where it is there already, its gauge."""
    found = []
    if feed.volts is None:
        found.append(Measurement("dc_volts", "The volts of the DC system", "boat"))
    if feed.run_ft is None:
        how = "the way from the bank to the place" if feed.is_new else "the wire, one way"
        words_ = f"Feet of feed to {feed.label}: {how}"
        section = "places" if feed.is_new else "units"
        found.append(Measurement(f"run:{feed.key}", words_, section, feed.place))
    if feed.awg is None and not feed.is_new:
        found.append(gauge_of(feed))
    return found


def gauge_of(feed: FeedFacts) -> Measurement:
    """The gauge as it is printed on the wire."""
    what = f"Gauge printed on the wire of {feed.label}"
    return Measurement(f"awg:{feed.key}", what, "units", feed.place)


def known_wire(feed: FeedFacts, rules: Rules) -> str | None:
    """The wire there, or the one chosen for a feed that is laid anew."""
    if feed.awg is not None or not feed.is_new:
        return feed.awg
    return wire_for(feed, rules)


def _drop(feed: FeedFacts, rules: Rules) -> Finding:
    base = Finding(
        kind="drop", title="Voltage drop", state=UNKNOWN, about=feed.key, label=feed.label,
        place=feed.place, words="",
        formula="volts lost = 10.75 × amps × round trip ft / circular mils",
        source=f"{words.E11}; {words.SAE if rules.areas == 'sae' else words.B258}",
        inputs=_inputs(feed, rules), notes=(ITS_OWN_LAW,),
    )  # fmt: skip
    missing = missing_of_run(feed)
    if missing:
        return _unknown(base, feed, missing)
    awg = known_wire(feed, rules)
    if awg is None:
        return _no_wire(base, feed)
    lost = lost_percent(feed, awg, rules)
    return _judged_drop(base, feed, rules, awg, lost)


def _judged_drop(base: Finding, feed: FeedFacts, rules: Rules, awg: str, lost: float) -> Finding:
    limit = rules.drop_percent
    state = STOP if lost > limit + NEARLY else LOOK if lost > limit * NOTHING_IN_RESERVE else GOOD
    if state == LOOK and feed.is_new and feed.awg is None:
        state = GOOD
    laid = "is laid with" if feed.is_new else "has"
    said = (
        f"{feed.label} {laid} {awg} AWG and loses {figure(lost)} % of {figure(feed.volts)} V "
        f"over {figure(feed.run_ft)} ft ({figure(2 * feed.run_ft)} ft round trip)"
    )
    ends = {
        STOP: f"; electronics may lose {figure(limit)} %.",
        LOOK: f", close to the {figure(limit)} % allowed.",
        GOOD: f"; {figure(limit)} % is allowed.",
    }
    return replace(
        base,
        state=state,
        words=said + ends[state] + _by_the_other_list(feed, rules, awg),
        result=f"{awg} AWG, {figure(lost)} %",
        margin=left_words(limit - lost, "%"),
        remedies=heavier_wire(feed, rules) if state != GOOD else (),
    )


def _by_the_other_list(feed: FeedFacts, rules: Rules, awg: str) -> str:
    """Of a wire that is chosen here: what the other list of areas asks for, where it differs."""
    if not feed.is_new or feed.awg is not None:
        return ""
    areas, name = OTHER_LIST[rules.areas]
    other = wire_for(feed, replace(rules, areas=areas))
    if other == awg:
        return ""
    return f" By the {name} it would be {'more than 4/0' if other is None else f'{other} AWG'}."


def _current(feed: FeedFacts, rules: Rules) -> Finding:
    base = Finding(
        kind="current", title="Current in the wire", state=UNKNOWN, about=feed.key,
        label=feed.label, place=feed.place, words="",
        formula="A = Table 5 × engine space factor × bundle factor",
        source=f"{words.TABLE_5}, notes 1 and 2", inputs=_inputs(feed, rules),
        notes=(ITS_OWN_LAW, words.LAW_BINDS),
    )  # fmt: skip
    missing = missing_of_run(feed) if feed.is_new else []
    if not feed.is_new and feed.awg is None:
        missing = [gauge_of(feed)]
    if missing:
        return _unknown(base, feed, missing)
    awg = known_wire(feed, rules)
    if awg is None:
        return _no_wire(base, feed)
    if awg not in SOLD:
        return replace(base, state=STOP, words=f"No wire of {awg} AWG is sold for boats.")
    return _judged_current(base, feed, rules, awg)


def _judged_current(base: Finding, feed: FeedFacts, rules: Rules, awg: str) -> Finding:
    least, most = allowed_range(feed, awg, rules)
    base = replace(base, result=f"{awg} AWG carries {figure(least)} A at least")
    draws = f"{feed.label} draws {figure(feed.draw_a, 2)} A"
    if feed.draw_a > most:
        return replace(
            base, state=STOP, margin=f"{figure(feed.draw_a - most)} A too much",
            words=f"{draws}; its {awg} AWG wire may carry {figure(most)} A.",
            remedies=heavier_wire(feed, rules),
        )  # fmt: skip
    if feed.draw_a > least:
        measures = list(_surroundings(feed))
        said = f"{draws}; its {awg} AWG wire may carry {figure(least)} to {figure(most)} A, by "
        said += "insulation and place, which nobody noted."
        return replace(base, state=UNKNOWN, words=said, measures=tuple(measures))
    close = feed.draw_a > least * NOTHING_IN_RESERVE
    said = f"{draws}; {awg} AWG may carry {figure(least)} A there at least."
    return replace(
        base, state=LOOK if close else GOOD, words=said,
        margin=f"{figure(least - feed.draw_a)} A left",
        remedies=heavier_wire(feed, rules) if close else (),
    )  # fmt: skip


def _surroundings(feed: FeedFacts) -> Iterator[Measurement]:
    if feed.insulation_c is None:
        what = f"Insulation rating (°C) printed on the wire of {feed.label}"
        yield Measurement(f"insulation:{feed.key}", what, "units", feed.place)
    if feed.engine_space is None:
        what = f"Whether the wire of {feed.label} runs through an engine space"
        yield Measurement(f"engine_space:{feed.key}", what, "units", feed.place)


def _unknown(base: Finding, feed: FeedFacts, missing: list[Measurement]) -> Finding:
    wanted = ", ".join(one.what[0].lower() + one.what[1:] for one in missing)
    said = f"Not known for {feed.label} until measured: {wanted}."
    return replace(base, state=UNKNOWN, words=said, measures=tuple(missing))


def _no_wire(base: Finding, feed: FeedFacts) -> Finding:
    said = (
        f"No wire up to 4/0 feeds {feed.label} over {figure(feed.run_ft)} ft within the limits: "
        "bring the bank or a fuse block nearer."
    )
    return replace(base, state=STOP, words=said)


def _inputs(feed: FeedFacts, rules: Rules) -> dict[str, object]:
    return {
        "amps": feed.draw_a,
        "volts": feed.volts,
        "run_ft, one way": feed.run_ft,
        "round_trip_ft": None if feed.run_ft is None else 2 * feed.run_ft,
        "awg": feed.awg,
        "insulation_c": feed.insulation_c,
        "engine_space": feed.engine_space,
        "drop_percent": rules.drop_percent,
        "areas": rules.areas,
    }
