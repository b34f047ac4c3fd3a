"""Backbones as a plan leaves them: each fault named with its place, and cured."""

from dataclasses import replace

import pytest

from planner.engine.checks import run_checks, take
from planner.engine.checks.facts import BoneFeed, DropFacts
from tests.engine.checks.made import BONE, bone, facts, of, one


def states(given):
    return {found.kind: found.state for found in run_checks(given)}


def worst(given, kind):
    (found,) = [found for found in of(kind, given) if found.state == "stop"]
    return found


def cured(given, kind):
    found = worst(given, kind)
    after = take(given, found.remedies[0])
    return [one.words for one in of(kind, after) if one.state == "stop"] == []


def test_a_sound_backbone_is_good_in_every_way():
    assert set(states(facts(bones=(BONE,))).values()) == {"good"}


def test_a_ring_is_named_with_its_tees_and_opened():
    ringed = bone(segments=(*BONE.segments, ("T4", "T1", 3.0)))
    given = facts(bones=(ringed,))
    found = worst(given, "bus_ring")
    assert "T1" in found.words
    assert found.place in {"bow", "stern"}
    assert cured(given, "bus_ring")


def test_two_networks_in_one_drawing_are_named():
    apart = bone(segments=(("T1", "T2", 2.0), ("T3", "T4", 2.0)))
    assert "T3, T4" in worst(facts(bones=(apart,)), "bus_not_joined").words


def test_a_unit_on_two_backbones_joins_them_unless_it_is_a_gateway():
    other = replace(BONE, key="second", label="Second")
    one_gateway = tuple(replace(drop, is_gateway=True) for drop in BONE.drops)
    joined = facts(bones=(BONE, other))
    bridged = facts(bones=(BONE, replace(other, drops=one_gateway)))
    assert {found.about for found in of("bus_joined", joined)} == {"gps", "d1"}
    assert of("bus_joined", bridged) == []
    found = of("bus_joined", joined)[0]
    after = take(joined, found.remedies[0])
    assert found.about not in {left.about for left in of("bus_joined", after)}


@pytest.mark.parametrize("unit", ["gps", "d1"])
def test_a_drop_over_six_metres_gets_a_tee_nearer(unit):
    """NMEA 2000: a drop has 6 m at most."""
    long = tuple(replace(d, metres=7.5) if d.unit == unit else d for d in BONE.drops)
    given = facts(bones=(bone(drops=long),))
    found = worst(given, "bus_drop_too_long")
    assert "7.5 m" in found.words
    assert found.place == "helm"
    assert {"tee", "drop", "bus_cable"} <= {need.use for need in found.remedies[0].needs}
    assert cured(given, "bus_drop_too_long")


def test_a_tee_at_an_end_moves_the_terminator_with_it():
    drops = (DropFacts("T4", "gps", 9.0, 2, "gps"),)
    given = facts(bones=(bone(drops=drops),))
    after = take(given, worst(given, "bus_drop_too_long").remedies[0])
    assert states(after)["bus_terminators"] == "good"


def test_fifty_one_nodes_are_one_too_many():
    """NMEA 2000: 50 nodes at most."""
    drops = tuple(DropFacts("T2", f"n{k}", 0.5, 1, f"n{k}") for k in range(51))
    found = worst(facts(bones=(bone(drops=drops),)), "bus_too_many_nodes")
    assert "n50 on tee T2" in found.words
    assert found.place == "helm"
    fifty = facts(bones=(bone(drops=drops[:50]),))
    assert of("bus_too_many_nodes", fifty) == []


@pytest.mark.parametrize("terminators", [(), ("T1",), ("T1", "T2"), ("T1", "T4", "T2")])
def test_one_terminator_at_each_end(terminators):
    given = facts(bones=(bone(terminators=terminators),))
    found = next(f for f in run_checks(given) if f.title == "Terminators")
    assert found.state == "stop"
    after = take(given, found.remedies[0])
    assert states(after)["bus_terminators"] == "good"
    assert one("bus_ohms", after).state == "unknown"


@pytest.mark.parametrize(
    ("ohms", "state"), [(60, "good"), (55, "good"), (120, "stop"), (40, "stop"), (None, "unknown")]
)
def test_sixty_ohms_are_read(ohms, state):
    """Two terminators of 120 Ω in parallel."""
    assert one("bus_ohms", facts(bones=(bone(measured_ohms=ohms),))).state == state


def heavy_line(metres, feeds, load=18):
    return bone(
        segments=tuple((f"T{k}", f"T{k + 1}", metres) for k in range(1, 6)),
        tees=tuple(f"T{k}" for k in range(1, 7)),
        places={},
        terminators=("T1", "T6"),
        drops=(
            DropFacts("T2", "a", 1.0, load // 2, "a"),
            DropFacts("T6", "z", 1.0, load - load // 2, "z"),
        ),
        feeds=feeds,
    )


def test_a_far_node_that_gets_too_little_is_fed_otherwise():
    given = facts(bones=(heavy_line(12.0, (BoneFeed("T1", 12.6, 3.0),)),))
    found = worst(given, "bus_volts")
    assert "z gets" in found.words
    after = take(given, found.remedies[0])
    assert one("bus_volts", after).state == "good"
    assert "power_tee" in {need.use for need in found.remedies[0].needs}


def test_the_upper_estimate_alone_asks_for_a_look():
    given = facts(bones=(heavy_line(3.0, (BoneFeed("T1", 12.6, 3.0),)),))
    found = one("bus_volts", given)
    assert found.state in {"good", "look"}
    near = facts(bones=(heavy_line(4.0, (BoneFeed("T1", 12.6, 3.0),), load=20),))
    assert one("bus_volts", near).state == "look"
    assert one("bus_volts", take(near, one("bus_volts", near).remedies[0])).state == "good"


def test_volts_and_load_that_nobody_noted():
    unsure = bone(
        drops=(replace(BONE.drops[0], len=None), BONE.drops[1]), feeds=(BoneFeed("T2", None),)
    )
    given = facts(bones=(unsure,))
    assert {m.key for m in one("bus_volts", given).measures} == {"len:gps", "bus_volts:backbone"}
    assert {m.key for m in one("bus_load", given).measures} == {"len:gps", "bus_fuse:backbone"}


def test_more_load_than_the_feed_carries():
    greedy = bone(drops=(DropFacts("T2", "x", 1.0, 20, "x"),), feeds=(BoneFeed("T2", 12.6, 0.5),))
    assert one("bus_load", facts(bones=(greedy,))).state == "stop"


@pytest.mark.parametrize("fuse", [0.5, 10.0])
def test_a_fuse_too_small_or_too_large_for_the_cable_is_changed(fuse):
    load = (DropFacts("T2", "x", 1.0, 20, "x"),)
    given = facts(bones=(bone(drops=load, feeds=(BoneFeed("T2", 12.6, fuse),)),))
    found = one("bus_load", given)
    assert found.state == "stop"
    assert [(need.use, need.size) for need in found.remedies[0].needs] == [("fuse", "3")]
    assert one("bus_load", take(given, found.remedies[0])).state == "good"


def test_a_load_that_no_fuse_of_the_cable_carries_is_left_to_a_person():
    load = tuple(DropFacts("T2", f"x{n}", 1.0, 20, f"x{n}") for n in range(4))
    given = facts(bones=(bone(drops=load, feeds=(BoneFeed("T2", 12.6, 3.0),)),))
    assert one("bus_load", given).remedies == ()


@pytest.mark.parametrize(
    ("terminators", "ohms", "hint"),
    [
        (("T1",), 60, "two terminators are there"),
        (("T1", "T4"), 40, "three terminators"),
        (("T1", "T4"), 30, "four terminators"),
        (("T1", "T4"), 80, "a bad joint"),
        (("T1", "T4"), 120, "one terminator missing"),
        (("T1", "T4"), 5, "a short"),
    ],
)
def test_what_the_meter_says_is_told_by_its_likely_cause(terminators, ohms, hint):
    given = facts(bones=(bone(terminators=terminators, measured_ohms=float(ohms)),))
    assert hint in one("bus_ohms", given).words


def test_a_backbone_without_power_is_fed():
    given = facts(bones=(bone(feeds=()),))
    found = worst(given, "bus_no_feed")
    assert cured(given, "bus_no_feed")
    assert found.remedies[0].needs[0].use == "power_tee"


def test_a_drawing_of_one_tee_is_not_known():
    given = facts(bones=(bone(segments=(), tees=("T1",), drops=(), feeds=()),))
    assert one("bus_shape", given).state == "unknown"


def test_a_hundred_metres_of_light_cable():
    """NMEA 2000: 100 m of light cable, 200 m of heavy."""
    given = facts(bones=(heavy_line(21.0, (BoneFeed("T3", 12.6, 3.0),), load=2),))
    assert "106 m" in worst(given, "bus_backbone_too_long").words
    assert cured(given, "bus_backbone_too_long")
