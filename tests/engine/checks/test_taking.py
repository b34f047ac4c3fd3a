"""Remedies and loads, whatever the facts: tried at random."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as some

from planner.engine.checks import STATES, measures_of, run_checks, smallest, take, take_all
from planner.engine.checks.facts import BoneFeed, DropFacts, Rules
from planner.engine.checks.kit import SparePorts, kit_of
from planner.engine.sums.gauges import SOLD
from tests.engine.checks.made import BANK, BONE, HELM, RUN, bone, facts, feed, of, one, spot

amps = some.floats(0.1, 60)
feeds = some.builds(
    feed,
    draw_a=amps,
    awg=some.sampled_from((None, *SOLD)),
    run_ft=some.one_of(some.none(), some.floats(1, 80)),
    insulation_c=some.sampled_from((None, 60, 75, 105)),
    engine_space=some.sampled_from((None, True, False)),
    called_a=some.sampled_from((None, 1.0, 3.0, 5.0, 10.0, 25.0)),
    fuse_a=some.sampled_from((None, 1.0, 3.0, 5.0, 10.0, 30.0)),
    fuse_inches=some.sampled_from((None, 5.0, 20.0, 60.0)),
    sheathed=some.sampled_from((None, True, False)),
    has_cutoff=some.sampled_from((None, True, False)),
    standby_ma=some.sampled_from((None, 0.0, 20.0, 900.0)),
    is_new=some.booleans(),
    updated=some.booleans(),
)
bones = some.builds(
    bone,
    drops=some.lists(
        some.builds(
            DropFacts,
            tee=some.sampled_from(BONE.tees),
            unit=some.sampled_from(["a", "b", "c", "d", "e"]),
            metres=some.floats(0, 12),
            len=some.one_of(some.none(), some.integers(0, 20)),
        ),
        max_size=8,
        unique_by=lambda drop: drop.unit,
    ).map(tuple),
    feeds=some.sampled_from([(), (BoneFeed("T1", 12.6, 3.0),), (BoneFeed("T3", None, None),)]),
    terminators=some.sampled_from([(), ("T1",), ("T1", "T4"), ("T2", "T3"), ("T1", "T4", "T2")]),
)
spots = some.builds(
    spot,
    exposure=some.sampled_from(["", "dry", "splash", "wet"]),
    vapour=some.sampled_from([None, True, False]),
    ignition_protected=some.sampled_from([None, True, False]),
    water=some.sampled_from(["", "IPX4", "IPX6", "IPX7"]),
    opening_mm=some.sampled_from([None, (0, 0), (200, 100), (240, 150), (300, 200)]),
    compass_cm=some.sampled_from([None, 20, 200]),
)
OTHER = replace(HELM, name="locker", exposure="dry")


def good_but_for(finding, asked):
    """Good, or waiting for what nobody had measured before the remedy either."""
    waits = finding.state == "unknown" and {m.key for m in finding.measures} <= asked
    return finding.state == "good" or (waits and bool(finding.measures))


@settings(max_examples=150, deadline=None)
@given(fed=feeds, spine=bones, placed=spots, way=some.floats(1, 40))
def test_a_remedy_taken_makes_its_check_good(fed, spine, placed, way):
    lists = facts(
        feeds=(fed,), banks=(BANK,), bones=(spine,), spots=(placed,), places=(HELM, OTHER),
        runs=(replace(RUN, way_ft=way),), distances={("helm", "locker"): 5},
        rules=Rules(cables_ft=(10, 20, 30, 50)),
    )  # fmt: skip
    found = run_checks(lists)
    asked = {measure.key for measure in measures_of(found)}
    for finding in found:
        for remedy in finding.remedies:
            after = [f for f in run_checks(take(lists, remedy)) if f.key == finding.key]
            assert all(good_but_for(f, asked) for f in after), (finding, remedy)


@settings(max_examples=150, deadline=None)
@given(fed=feeds, more=some.floats(0, 30))
def test_more_draw_never_makes_a_feed_better(fed, more):
    loaded = replace(fed, draw_a=fed.draw_a + more)
    before, after = (facts(feeds=(each,), banks=(BANK,)) for each in (fed, loaded))
    for kind in ("drop", "current", "fuse", "fuse_place", "block", "cutoff", "update_volts"):
        states = [[STATES.index(f.state) for f in of(kind, each)] for each in (before, after)]
        known = [index for each in states for index in each]
        if known and STATES.index("unknown") not in known:
            assert max(states[0]) <= max(states[1]), kind


@settings(max_examples=100, deadline=None)
@given(spine=bones, more=some.integers(0, 10))
def test_more_load_never_makes_a_backbone_better(spine, more):
    if not spine.drops or any(drop.len is None for drop in spine.drops):
        return
    heavier = tuple(replace(drop, len=drop.len + more) for drop in spine.drops)
    before, after = (
        [f for f in run_checks(facts(bones=(each,))) if f.kind in {"bus_volts", "bus_load"}]
        for each in (spine, replace(spine, drops=heavier))
    )
    for kind in ("bus_volts", "bus_load"):
        one_state, other = (
            STATES.index(next(f.state for f in each if f.kind == kind)) for each in (before, after)
        )
        assert one_state <= other


def test_two_remedies_of_one_backbone_add_up():
    drops = tuple(replace(drop, metres=8.0) for drop in BONE.drops)
    lists = facts(bones=(bone(drops=drops, terminators=("T1",)),))
    keys = [remedy.key for remedy in smallest(run_checks(lists))]
    after, taken = take_all(lists, keys)
    assert {remedy.key for remedy in taken} == set(keys)
    assert len(keys) == 3
    assert [f for f in run_checks(after) if f.state == "stop"] == []


def test_a_remedy_that_nothing_offers_any_more_is_passed_over():
    lists = facts(feeds=(feed(),))
    assert take_all(lists, ["wire:d1", "gone"]) == (lists, [])


def test_findings_stand_worst_first_and_all_say_that_they_are_estimates():
    lists = facts(feeds=(feed(fuse_a=30.0, awg=None),), banks=(BANK,))
    found = run_checks(lists)
    order = [STATES.index(finding.state) for finding in found]
    assert order == sorted(order, reverse=True)
    assert all("not a survey" in finding.notes[-1] for finding in found)


def test_what_is_not_known_of_units_left_alone_is_said_once():
    alone = [feed(key=f"d{k}", label=f"d{k}", awg=None, touched=False) for k in range(3)]
    lists = facts(feeds=tuple(alone))
    found = one("drop", lists)
    assert found.state == "unknown"
    assert "d0, d1, d2" in found.words
    assert {"awg:d0", "awg:d1", "awg:d2"} <= {m.key for m in measures_of([found])}


def test_a_unit_left_alone_that_is_known_bad_still_speaks_for_itself():
    lists = facts(feeds=(feed(fuse_a=30.0, touched=False),))
    assert one("fuse", lists).state == "stop"


def test_the_kit_counts_and_explains():
    fed = feed(is_new=True, awg=None, fuse_a=None)
    needs = kit_of(
        facts(feeds=(fed,), runs=(RUN,)),
        spare_ports=[SparePorts("sw1", 2)],
        has_fuse=frozenset({"d1"}),
    )
    counted = {(need.use, need.size): need.count for need in needs}
    assert counted == {
        ("fuse_holder", ""): 1,
        ("wire", "16"): 28,
        ("terminal", "16"): 4,
        ("cap", ""): 2,
        ("label", ""): 4,
        ("tie", ""): 15,
    }
    assert all(need.why for need in needs)


def test_a_plan_that_lays_nothing_takes_nothing():
    assert kit_of(facts(feeds=(feed(),)), has_fuse=frozenset()) == []
