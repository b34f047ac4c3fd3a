"""What fitting a plan takes beside its units: wire, terminals, fuses, holders, labels, caps, ties.

Each is counted by a rule of the trade and says why so many. The spare of each fuse value goes
into the tote with the pick list, uncharged, so it is not counted here.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.engine.checks.conductor import missing_of_run
from planner.engine.checks.facts import CheckFacts, DropFacts, FeedFacts
from planner.engine.checks.finding import Need, figure
from planner.engine.checks.wiring import LUGS, wanted_fuse, wire_feet, wire_for

TIE_INCHES = 18
"""A support every 450 mm: ISO 10133 clause 7.3."""
LABELS_EACH = 2
"""Both ends of every cable and feed: common practice, no source."""


@dataclass(frozen=True, slots=True)
class SparePorts:
    """Ports that stay empty on a switch of the plan."""

    label: str
    count: int


def kit_of(
    facts: CheckFacts, *, spare_ports: Sequence[SparePorts] = (), has_fuse: frozenset[str]
) -> list[Need]:
    """Everything small that the plan's fitting takes, each kind and size once.

    `has_fuse` names the feeds whose fuse the plan buys already.
    """
    laid = [feed for feed in facts.feeds if feed.is_new and feed.draw_a > 0]
    needs: list[Need] = []
    for feed in laid:
        needs += _feed(facts, feed, bought=feed.key in has_fuse)
    needs += _drops(drop for bone in facts.bones for drop in bone.drops if drop.is_new)
    needs += _caps(spare_ports)
    needs += _labels(facts, laid)
    needs += _ties(facts, laid)
    return _gathered(needs)


def _feed(facts: CheckFacts, feed: FeedFacts, *, bought: bool) -> Iterator[Need]:
    yield Need("fuse_holder", "", 1, f"at the source of {feed.label}")
    fuse = wanted_fuse(feed, facts.rules)
    if fuse is not None and not bought:
        yield Need("fuse", figure(fuse), 1, f"for {feed.label}")
    if missing_of_run(feed):
        return
    awg = wire_for(feed, facts.rules)
    if awg is not None:
        feet = wire_feet(feed, facts.rules)
        why = f"{feed.label}: {figure(feed.run_ft)} ft there and back, with slack"
        yield Need("wire", awg, feet, why)
        yield Need("terminal", awg, LUGS, f"{feed.label}: two ends of two conductors")


def _drops(drops: Iterator[DropFacts]) -> Iterator[Need]:
    for drop in drops:
        if not drop.on_spare:
            yield Need("tee", "", 1, f"for {drop.label or drop.unit}")
        yield Need("drop", f"{drop.metres:g}", 1, f"for {drop.label or drop.unit}")


def _caps(spare_ports: Sequence[SparePorts]) -> Iterator[Need]:
    for spare in spare_ports:
        if spare.count:
            yield Need("cap", "", spare.count, f"{spare.count} unused on {spare.label}")


def _labels(facts: CheckFacts, laid: list[FeedFacts]) -> Iterator[Need]:
    runs = [run for run in facts.runs if run.is_new]
    count = LABELS_EACH * (len(runs) + len(laid))
    if count:
        parts = [_count(len(runs), "cable"), _count(len(laid), "feed")]
        said = " and ".join(part for part in parts if part)
        yield Need("label", "", count, f"both ends of {said}")


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}" if number else ""


def _ties(facts: CheckFacts, laid: list[FeedFacts]) -> Iterator[Need]:
    feet = sum(run.way_ft or 0 for run in facts.runs if run.is_new)
    feet += sum(feed.run_ft or 0 for feed in laid)
    count = -int(-feet * 12 // TIE_INCHES)
    if count:
        yield Need("tie", "", count, f"one every {TIE_INCHES} in along {figure(feet)} ft")


def _gathered(needs: list[Need]) -> list[Need]:
    counts: Counter[tuple[str, str]] = Counter()
    whys: dict[tuple[str, str], list[str]] = {}
    for need in needs:
        counts[need.use, need.size] += need.count
        whys.setdefault((need.use, need.size), []).append(need.why)
    return [
        Need(use, size, count, "; ".join(dict.fromkeys(whys[use, size])))
        for (use, size), count in counts.items()
    ]
