"""Ethernet runs and the places of units: good, look, stop, not known."""

from dataclasses import replace

import pytest

from planner.engine.checks import take
from planner.engine.checks.facts import PlaceFacts, Rules, SwitchFacts
from tests.engine.checks.made import HELM, RUN, facts, of, one, spot

SOLD = Rules(cables_ft=(5, 10, 15, 20, 30))
SWITCH = SwitchFacts(code="five", name="Five-way", ports=5, fuse_a=1.0)


def asked(finding):
    return {measure.key for measure in finding.measures}


class TestRuns:
    """Slack: a tenth or 2 ft, whichever is more (common practice); IEEE 802.3: 100 m."""

    @pytest.mark.parametrize(
        ("cable", "way", "state"),
        [(15, 10, "good"), (12, 10, "good"), (11, 10, "look"), (9, 10, "stop"), (31, 30, "look")],
    )
    def test_slack(self, cable, way, state):
        run = replace(RUN, cable_ft=float(cable), way_ft=float(way))
        assert one("run", facts(runs=(run,), rules=SOLD)).state == state

    @pytest.mark.parametrize("way", [9, 10, 14])
    def test_a_longer_cable_cures_it(self, way):
        given = facts(runs=(replace(RUN, cable_ft=10.0, way_ft=float(way)),), rules=SOLD)
        found = one("run", given)
        assert found.remedies[0].needs[0].use == "cable"
        assert one("run", take(given, found.remedies[0])).state == "good"

    def test_beyond_a_hundred_metres(self):
        given = facts(runs=(replace(RUN, cable_ft=350.0, way_ft=330.0),), rules=SOLD)
        assert one("run", given).state == "stop"
        assert one("run", given).remedies == ()

    @pytest.mark.parametrize(
        ("cable", "way", "sold", "feet"), [(350, 330, (30, 200), "200"), (30, 40, (10, 30), "30")]
    )
    def test_a_switch_half_way_where_no_single_cable_reaches(self, cable, way, sold, feet):
        run = replace(RUN, cable_ft=float(cable), way_ft=float(way), switch=SWITCH)
        given = facts(runs=(run,), rules=Rules(cables_ft=sold))
        found = one("run", given)
        needs = {(need.use, need.size): need.count for need in found.remedies[0].needs}
        assert needs == {
            ("switch", "five"): 1, ("cable", feet): 2, ("fuse_holder", ""): 1, ("fuse", "1"): 1,
            ("cap", ""): 3,
        }  # fmt: skip
        assert found.remedies[0].minutes > 50
        assert "counts in the chain" in found.remedies[0].words
        assert one("run", take(given, found.remedies[0])).state == "good"

    def test_without_a_switch_at_an_end_nobody_knows_which_to_put_half_way(self):
        run = replace(RUN, cable_ft=30.0, way_ft=40.0)
        assert one("run", facts(runs=(run,), rules=SOLD)).remedies == ()

    def test_a_way_that_nobody_noted_or_that_was_guessed(self):
        assert asked(one("run", facts(runs=(replace(RUN, way_ft=None),)))) == {"way:N1"}
        assert asked(one("run", facts(runs=(replace(RUN, rough=True),)))) == {"way:N1"}

    def test_a_ring_is_named_by_its_cable(self):
        ring = (
            RUN,
            replace(RUN, key="N2", label="N2", ends=("sw1", "sw2"), names=("sw1", "sw2")),
            replace(RUN, key="N3", label="N3", ends=("sw2", "d1"), names=("sw2", "d1")),
        )
        given = facts(runs=ring)
        found = one("loop", given)
        assert (found.state, found.about) == ("stop", "N3")
        assert one("loop", take(given, found.remedies[0])).state == "good"
        assert one("loop", facts(runs=ring[:2])).state == "good"


class TestIgnition:
    """33 CFR 183.410."""

    def test_where_no_vapour_gathers(self):
        assert one("ignition", facts(spots=(spot(ignition_protected=False),))).state == "good"

    def test_a_protected_unit_in_vapour(self):
        assert one("ignition", facts(spots=(spot(vapour=True),))).state == "good"

    def test_an_unprotected_unit_in_vapour_goes_elsewhere(self):
        given = facts(
            spots=(spot(vapour=True, ignition_protected=False, flush=False),),
            places=(replace(HELM, vapour=True), replace(HELM, name="locker", exposure="dry")),
            distances={("helm", "locker"): 6},
        )
        found = one("ignition", given)
        assert found.state == "stop"
        assert "locker" in found.remedies[0].words
        assert one("ignition", take(given, found.remedies[0])).state == "good"

    def test_no_better_place_no_remedy(self):
        given = facts(
            spots=(spot(vapour=True, ignition_protected=False, flush=False),),
            places=(PlaceFacts("locker"),), distances={("helm", "locker"): 6},
        )  # fmt: skip
        assert one("ignition", given).remedies == ()

    @pytest.mark.parametrize(
        ("other", "key"),
        [
            ({"vapour": None, "ignition_protected": False}, "vapour:helm"),
            ({"vapour": True, "ignition_protected": None}, "protected:Display"),
            ({"vapour": None, "ignition_protected": False, "petrol": None}, "fuel"),
            ({"vapour": None, "ignition_protected": False, "petrol": False}, "vapour:helm"),
        ],
    )
    def test_missing(self, other, key):
        found = one("ignition", facts(spots=(spot(**other),)))
        assert found.state == "unknown"
        assert key in asked(found)

    @pytest.mark.parametrize(("vapour", "state"), [(False, "good"), (True, "stop")])
    def test_a_diesel_boat_where_the_tender_s_petrol_may_stow(self, vapour, state):
        given = facts(spots=(spot(vapour=vapour, ignition_protected=False, petrol=False),))
        assert one("ignition", given).state == state


class TestCompass:
    """ISO 25862 / IEC 60945 safe distances; 3 ft where the maker gives none."""

    @pytest.mark.parametrize(
        ("there", "safe", "state"),
        [
            (60, 60, "good"), (59, 60, "stop"), (None, 60, "unknown"), (120, None, "look"),
            (80, None, "unknown"),
        ],
    )  # fmt: skip
    def test_distance(self, there, safe, state):
        given = facts(spots=(spot(compass_cm=there, safe_cm=safe),))
        assert one("compass", given).state == state


class TestAerials:
    """Common practice, no source."""

    @pytest.mark.parametrize(
        ("kind", "there", "beam", "state"),
        [
            ("vhf", 100, False, "good"), ("vhf", 99, False, "stop"), ("ais", 299, False, "stop"),
            ("ais", 300, False, "good"), ("gnss", 200, True, "stop"),
            ("gnss", 200, None, "unknown"),
            ("radar", 200, None, "good"), ("vhf", None, False, "unknown"),
        ],
    )  # fmt: skip
    def test_apart(self, kind, there, beam, state):
        given = facts(spots=(spot(aerial=kind, aerial_cm=there, in_beam=beam),))
        assert one("aerial", given).state == state

    def test_no_antenna_no_question(self):
        assert of("aerial", facts(spots=(spot(),))) == []


class TestWater:
    """IEC 60529: numerals to 6 include the lower ones, 7 and 8 do not include 5 and 6."""

    @pytest.mark.parametrize(
        ("rating", "exposure", "state"),
        [
            ("", "dry", "good"), ("IPX4", "splash", "good"), ("IPX3", "splash", "stop"),
            ("IP56", "wet", "good"), ("IPX5", "wet", "stop"), ("IPX7", "wet", "look"),
            ("IPX7", "splash", "good"), ("", "wet", "unknown"), ("IPX7", "", "unknown"),
            ("IP6X", "splash", "unknown"), ("IP66/67", "wet", "good"),
            ("IP66/67", "splash", "good"),
        ],
    )  # fmt: skip
    def test_rating(self, rating, exposure, state):
        given = facts(spots=(spot(water=rating, exposure=exposure),))
        assert one("water", given).state == state


class TestHeat:
    @pytest.mark.parametrize(
        ("most", "there", "state"),
        [(55, 50, "good"), (55, 52, "look"), (55, 60, "stop"), (None, 50, "unknown"),
         (55, None, "unknown")],
    )  # fmt: skip
    def test_degrees(self, most, there, state):
        given = facts(spots=(spot(most_c=most, hottest_c=there),))
        assert one("heat", given).state == state


class TestCutout:
    def test_an_opening_that_fits(self):
        assert one("cutout", facts(spots=(spot(),))).state == "good"

    def test_no_opening_yet(self):
        assert one("cutout", facts(spots=(spot(opening_mm=(0, 0)),))).state == "good"

    @pytest.mark.parametrize(
        ("opening", "state"),
        [((230, 150), "look"), ((260, 150), "stop"), (None, "unknown")],
    )
    def test_an_opening_that_does_not(self, opening, state):
        given = facts(spots=(spot(opening_mm=opening),))
        found = one("cutout", given)
        assert found.state == state
        if state != "unknown":
            assert one("cutout", take(given, found.remedies[0])).state == "good"

    @pytest.mark.parametrize(
        ("deep", "state", "left"),
        [
            (90, "good", "50 mm left"),
            (91, "look", "49 mm left"),
            (140, "look", "0 mm left"),
            (141, "stop", "1 mm beyond the limit"),
        ],
    )
    def test_the_room_behind_is_for_the_unit_and_its_plugs(self, deep, state, left):
        found = one("depth", facts(spots=(spot(depth_mm=deep),)))
        assert (found.state, found.margin) == (state, left)

    def test_the_room_behind_that_nobody_measured(self):
        given = facts(spots=(replace(spot(), place=replace(HELM, depth_mm=None)),))
        assert asked(one("depth", given)) == {"depth:helm"}

    def test_a_unit_too_deep_goes_to_a_place_with_room(self):
        given = facts(
            spots=(spot(depth_mm=120),),
            places=(HELM, replace(HELM, name="arch", depth_mm=200)),
            distances={("helm", "arch"): 4},
        )
        found = one("depth", given)
        assert "arch" in found.remedies[0].words
        assert one("depth", take(given, found.remedies[0])).state == "good"
