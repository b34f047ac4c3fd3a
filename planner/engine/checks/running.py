"""All checks in their order, what they ask to be measured, and what a remedy makes of the facts."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.engine.checks.bank import check_blocks, check_sources, check_standby
from planner.engine.checks.bones import check_bones
from planner.engine.checks.conductor import check_currents, check_drops
from planner.engine.checks.ethernet import check_loops, check_runs
from planner.engine.checks.facts import CheckFacts
from planner.engine.checks.finding import (
    GOOD,
    STATES,
    UNKNOWN,
    Finding,
    Measurement,
    Remedy,
)
from planner.engine.checks.fusing import check_fuse_places, check_fuses
from planner.engine.checks.mounting import check_mounting
from planner.engine.checks.updating import check_update_volts
from planner.engine.sums.words import ESTIMATE

CHECKS = (
    check_drops,
    check_currents,
    check_fuses,
    check_fuse_places,
    check_sources,
    check_blocks,
    check_standby,
    check_update_volts,
    check_bones,
    check_runs,
    check_loops,
    check_mounting,
)


def run_checks(facts: CheckFacts) -> list[Finding]:
    """Every finding, worst first; what is not known of units left alone is said once a check."""
    found = [finding for check in CHECKS for finding in check(facts)]
    found = [replace(one, notes=(*one.notes, ESTIMATE)) for one in _gathered(facts, found)]
    return sorted(found, key=lambda one: -STATES.index(one.state))


def take(facts: CheckFacts, remedy: Remedy) -> CheckFacts:
    """The facts as they are once the remedy is done."""
    for change in remedy.changes:
        items = tuple(
            replace(item, **dict(change.values)) if item.key == change.key else item
            for item in getattr(facts, change.of)
        )
        facts = replace(facts, **{change.of: items})
    return facts


def take_all(facts: CheckFacts, keys: Sequence[str]) -> tuple[CheckFacts, list[Remedy]]:
    """Take remedies by their keys, one after the other; those taken.

    Each is looked up in the findings of the facts as the ones before left them, so that two
    remedies of one backbone add up. A key that no finding offers any more is passed over.
    """
    taken = []
    waiting = list(dict.fromkeys(keys))
    while waiting:
        offered = {r.key: r for finding in run_checks(facts) for r in finding.remedies}
        remedy = next((offered[key] for key in waiting if key in offered), None)
        if remedy is None:
            break
        waiting.remove(remedy.key)
        facts = take(facts, remedy)
        taken.append(remedy)
    return facts, taken


def smallest(findings: Iterable[Finding]) -> list[Remedy]:
    """One remedy for each finding that has one, each once: the first offered is the smallest."""
    found = {}
    for finding in findings:
        if finding.state != GOOD and finding.remedies:
            found.setdefault(finding.remedies[0].key, finding.remedies[0])
    return list(found.values())


def measures_of(findings: Iterable[Finding]) -> list[Measurement]:
    """What to measure, each once, in the order of the findings."""
    found: dict[str, Measurement] = {}
    for finding in findings:
        for measure in finding.measures:
            found.setdefault(measure.key, measure)
    return list(found.values())


def _gathered(facts: CheckFacts, findings: list[Finding]) -> list[Finding]:
    alone = {item.key for item in (*facts.feeds, *facts.spots) if not item.touched}
    quiet = [one for one in findings if one.state == UNKNOWN and one.about in alone]
    loud = [one for one in findings if one not in quiet]
    titles = dict.fromkeys(one.title for one in quiet)
    return loud + [_together([one for one in quiet if one.title == title]) for title in titles]


def _together(findings: list[Finding]) -> Finding:
    first = findings[0]
    names = ", ".join(dict.fromkeys(one.label for one in findings))
    measures = {m.key: m for one in findings for m in one.measures}
    return replace(
        first,
        about="left alone",
        label="Units that the plan leaves alone",
        place="",
        words=f"Not known for units that the plan leaves alone: {names}.",
        inputs={},
        measures=tuple(measures.values()),
        remedies=(),
    )
