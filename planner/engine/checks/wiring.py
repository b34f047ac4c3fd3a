"""Sums that several checks of a feed share: what a wire loses, carries and allows as a fuse."""

from dataclasses import replace

from planner.engine.checks.facts import FeedFacts, Rules
from planner.engine.checks.finding import Change, Need, Remedy, figure
from planner.engine.sums.circuit_fuse import wanted_amps
from planner.engine.sums.conductor import OHM_CIRCULAR_MILS_PER_FT
from planner.engine.sums.current import allowed_amps
from planner.engine.sums.gauges import AREAS, RATINGS_C, SOLD

BUNDLED = 2
"""The pair of one circuit; under 50 V the law sets no bundle factor (33 CFR 183.435)."""
WORST_C, BEST_C = RATINGS_C[0], 105
NEW_C = 105
"""New wire is boat cable of 105 °C."""
SHORT_FEED_FT = 10
LUGS = 4
NEARLY = 1e-9
NOTHING_IN_RESERVE = 0.9
"""From nine tenths of a limit on, a second look: common practice, no source."""


def round_trip_ft(feed: FeedFacts) -> float | None:
    """There and back."""
    return None if feed.run_ft is None else 2 * feed.run_ft


def lost_percent(feed: FeedFacts, awg: str, rules: Rules) -> float:
    """Per cent of the system's volts lost in the wire; run and volts must be known."""
    mils = AREAS[rules.areas][awg]
    volts = OHM_CIRCULAR_MILS_PER_FT * feed.draw_a * 2 * feed.run_ft / mils
    return volts / feed.volts * 100


def allowed_range(feed: FeedFacts, awg: str, rules: Rules) -> tuple[float, float]:
    """The least and the most that the wire may carry, in A, over all that is not known of it."""
    ratings = [feed.insulation_c] if feed.insulation_c else [WORST_C, BEST_C]
    insides = [feed.engine_space] if feed.engine_space is not None else [True, False]
    amps = [allowed_amps(awg, rating, inside, BUNDLED) for rating in ratings for inside in insides]
    share = rules.current_percent / 100
    return min(amps) * share, max(amps) * share


def wanted_fuse(feed: FeedFacts, rules: Rules) -> float | None:
    """What the maker asks for; without that the smallest sold for the draw and its reserve."""
    return wanted_amps(feed.draw_a, feed.called_a, rules.fuse_load_percent)


def wire_for(feed: FeedFacts, rules: Rules, *, share: float = 1.0) -> str | None:
    """The smallest wire sold that holds drop, current and fuse, at the worst that may be there.

    Gauges that the shop has go before others; `share` of each limit is used up at most.
    """
    smallest = SOLD.index(rules.smallest_awg)
    fitting = [awg for awg in SOLD[smallest:] if _holds(feed, awg, rules, share)]
    return next((awg for awg in fitting if awg in rules.gauges), next(iter(fitting), None))


def _holds(feed: FeedFacts, awg: str, rules: Rules, share: float) -> bool:
    """Whether new wire of a gauge holds drop, current and fuse."""
    laid = replace(feed, insulation_c=NEW_C)
    fuse = wanted_fuse(feed, rules)
    least, _ = allowed_range(laid, awg, rules)
    if fuse is not None and fuse > least * rules.fuse_percent / 100:
        return False
    if lost_percent(laid, awg, rules) > rules.drop_percent * share + NEARLY:
        return False
    return least * share >= feed.draw_a


def heavier_wire(feed: FeedFacts, rules: Rules) -> tuple[Remedy, ...]:
    """Lay the feed anew with the smallest wire that holds; none where no wire sold does.

    Both conductors are renewed with fuse holder and terminals, so insulation and placement of
    the fuse are known afterwards.
    """
    if feed.volts is None or feed.run_ft is None:
        return ()
    awg = wire_for(feed, rules, share=NOTHING_IN_RESERVE)
    if awg is None:
        return ()
    feet = wire_feet(feed, rules)
    fuse = wanted_fuse(feed, rules)
    values = [("awg", awg), ("insulation_c", NEW_C), ("fuse_inches", 7.0), ("fuse_a", fuse)]
    needs = [
        Need("wire", awg, feet, f"{figure(feed.run_ft)} ft there and back, with slack"),
        Need("terminal", awg, LUGS, "two ends of two conductors"),
        Need("fuse_holder", "", 1, "at the source"),
    ]
    if fuse is not None:
        needs.append(Need("fuse", figure(fuse), 1, f"for {feed.label}"))
    task = "T16" if feed.run_ft <= SHORT_FEED_FT else "T17"
    return (
        Remedy(
            key=f"wire:{feed.key}",
            words=f"Lay the feed of {feed.label} anew with {awg} AWG, {feet} ft in all.",
            minutes=rules.minutes_of(task),
            changes=(Change("feeds", feed.key, tuple(values)),),
            needs=tuple(needs),
        ),
    )


def wire_feet(feed: FeedFacts, rules: Rules) -> int:
    """Feet of wire to cut for both conductors, slack at the end of each, rounded up."""
    return -int(-2 * (feed.run_ft + rules.slack_ft) // 1)
