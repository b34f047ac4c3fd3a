"""The wire, the fuse and its place: a good one, a bad one, one of which a fact is missing."""

from dataclasses import replace

import pytest

from planner.engine.checks import take
from planner.engine.checks.facts import Rules
from planner.engine.checks.fusing import colour_words
from tests.engine.checks.made import bank, facts, feed, of, one


def asked(finding):
    return {measure.key for measure in finding.measures}


class TestDrop:
    """ABYC E-11: circular mils = 10.75 × amps × round trip ft / volts, 3 % for electronics."""

    def test_ten_gauge_loses_little_over_twelve_feet(self):
        found = one("drop", facts(feeds=(feed(),)))
        assert found.state == "good"
        # 10.75 × 3 × 24 / 9343 circular mils (SAE J1128 minimum area of 10 AWG) / 12 V
        assert found.result == "10 AWG, 0.7 %"
        assert found.margin == "2.3 % left"

    def test_sixteen_gauge_loses_too_much_and_a_heavier_wire_cures_it(self):
        given = facts(feeds=(feed(awg="16", run_ft=20.0),))
        found = one("drop", given)
        assert found.state == "stop"
        assert "20 ft (40 ft round trip)" in found.words
        (remedy,) = found.remedies
        assert "12 AWG" in remedy.words
        wire = next(need for need in remedy.needs if need.use == "wire")
        assert (wire.size, wire.count) == ("12", 44)
        assert one("drop", take(given, remedy)).state == "good"

    def test_close_to_the_limit_is_looked_at(self):
        # 10.75 × 3 × 40 / 3702 / 12 V = 2.9 %
        found = one("drop", facts(feeds=(feed(awg="14", run_ft=20.0),)))
        assert (found.state, found.result) == ("look", "14 AWG, 2.9 %")

    @pytest.mark.parametrize(
        ("missing", "key"),
        [("awg", "awg:d1"), ("run_ft", "run:d1"), ("volts", "dc_volts")],
    )
    def test_a_missing_fact_is_not_known_and_says_what_to_measure(self, missing, key):
        found = one("drop", facts(feeds=(feed(**{missing: None}),)))
        assert found.state == "unknown"
        assert asked(found) == {key}

    def test_a_feed_that_is_laid_anew_gets_the_wire_of_the_sum(self):
        # The worked case of the trade: 2.5 A, 25 ft one way, 12 V: 3733 circular mils.
        given = facts(feeds=(feed(is_new=True, awg=None, draw_a=2.5, run_ft=25.0),))
        assert one("drop", given).result.startswith("12 AWG")

    def test_no_wire_sold_reaches(self):
        given = facts(feeds=(feed(is_new=True, awg=None, draw_a=150, run_ft=500.0),))
        found = one("drop", given)
        assert found.state == "stop"
        assert found.remedies == ()


class TestCurrent:
    """33 CFR 183.425 Table 5: 16 AWG of 105 °C carries 25 A, 15 A at 60 °C."""

    def test_within_table_five(self):
        found = one("current", facts(feeds=(feed(awg="16"),)))
        assert found.state == "good"
        assert "25 A" in found.words

    def test_beyond_table_five(self):
        given = facts(feeds=(feed(awg="16", draw_a=26.0, called_a=40.0, run_ft=3.0),))
        found = one("current", given)
        assert found.state == "stop"
        assert one("current", take(given, found.remedies[0])).state == "good"

    def test_unknown_insulation_matters_only_where_it_decides(self):
        small = one("current", facts(feeds=(feed(awg="16", insulation_c=None),)))
        large = one("current", facts(feeds=(feed(awg="16", insulation_c=None, draw_a=20.0),)))
        assert small.state == "good"
        assert large.state == "unknown"
        assert asked(large) == {"insulation:d1"}

    def test_unknown_engine_space_is_asked_for_where_it_decides(self):
        # 105 °C inside an engine space: 25 A × 0.85 = 21.25 A (note 1 of Table 5).
        found = one("current", facts(feeds=(feed(awg="16", engine_space=None, draw_a=22.0),)))
        assert asked(found) == {"engine_space:d1"}


class TestFuse:
    """33 CFR 183.455(c)(1): at most 150 % of Table 5; colours: ISO 8820-3 scheme."""

    def test_as_the_maker_asks(self):
        found = one("fuse", facts(feeds=(feed(),)))
        assert found.state == "good"
        assert found.result == "5 A, tan"

    def test_colours_are_those_of_the_scheme(self):
        assert colour_words(3) == ", violet"
        assert colour_words(1) == ", black"

    def test_larger_than_the_maker_asks(self):
        given = facts(feeds=(feed(fuse_a=10.0),))
        found = one("fuse", given)
        assert found.state == "stop"
        assert found.remedies[0].needs[0].size == "5"
        assert one("fuse", take(given, found.remedies[0])).state == "good"

    def test_larger_than_the_wire_allows(self):
        # 18 AWG of 60 °C: 10 A, so 15 A at most.
        given = facts(feeds=(feed(awg="18", insulation_c=60, called_a=20.0, fuse_a=20.0),))
        found = one("fuse", given)
        assert found.state == "stop"
        assert "15 A" in found.words
        assert one("fuse", take(given, found.remedies[0])).state == "good"

    def test_smaller_than_the_maker_asks_is_looked_at(self):
        assert one("fuse", facts(feeds=(feed(fuse_a=4.0),))).state == "look"

    def test_a_fuse_that_blows(self):
        assert one("fuse", facts(feeds=(feed(fuse_a=2.0),))).state == "stop"

    def test_a_fuse_that_nobody_read(self):
        found = one("fuse", facts(feeds=(feed(fuse_a=None),)))
        assert found.state == "unknown"
        assert asked(found) == {"fuse:d1"}

    def test_a_right_fuse_on_a_wire_not_known_is_not_known(self):
        found = one("fuse", facts(feeds=(feed(awg=None),)))
        assert found.state == "unknown"
        assert asked(found) == {"awg:d1"}

    def test_a_wrong_fuse_is_wrong_whatever_the_wire(self):
        assert one("fuse", facts(feeds=(feed(awg=None, fuse_a=10.0),))).state == "stop"


class TestPlace:
    """33 CFR 183.455(b): 7 in, or 40 in where covered all the way."""

    @pytest.mark.parametrize(
        ("inches", "sheathed", "state"),
        [
            (7, None, "good"), (8, False, "stop"), (40, True, "good"), (41, True, "stop"),
            (20, None, "unknown"), (None, True, "unknown"),
        ],
    )  # fmt: skip
    def test_inches(self, inches, sheathed, state):
        given = facts(feeds=(feed(fuse_inches=inches, sheathed=sheathed),))
        found = one("fuse_place", given)
        assert found.state == state
        if state == "stop":
            assert one("fuse_place", take(given, found.remedies[0])).state == "good"
        if state == "unknown":
            assert asked(found) == {"fuse_place:d1"}


class TestBank:
    def test_a_block_with_room(self):
        given = facts(feeds=(feed(),), banks=(bank(),))
        assert one("block", given).state == "good"
        assert one("cutoff", given).state == "good"

    @pytest.mark.parametrize(("amps", "state"), [(80, "good"), (81, "look"), (101, "stop")])
    def test_a_block_that_is_full(self, amps, state):
        given = facts(feeds=(feed(draw_a=float(amps)),), banks=(bank(),))
        found = one("block", given)
        assert found.state == state
        if state != "good":
            assert one("block", take(given, found.remedies[0])).state == "good"

    def test_a_block_that_nobody_read(self):
        found = one("block", facts(feeds=(feed(),), banks=(bank(block_a=None),)))
        assert found.state == "unknown"
        assert asked(found) == {"block:house"}

    def test_units_of_no_known_bank_may_hang_on_it(self):
        loose = feed(key="d2", label="d2", bank=None, draw_a=90.0)
        given = facts(feeds=(feed(), loose), banks=(bank(),))
        assert asked(one("block", given)) == {"bank:d2"}
        assert one("source", given).state == "unknown"


class TestStandby:
    """days = Ah × usable / (A × 24): 200 Ah, half of it, under 100 mA is 41.7 days."""

    def test_days_of_a_bank(self):
        given = facts(feeds=(feed(has_cutoff=False, standby_ma=100.0),), banks=(bank(),))
        found = one("standby", given)
        assert (found.state, found.result) == ("good", "42 days")

    @pytest.mark.parametrize(("draw", "state"), [(150, "look"), (700, "stop")])
    def test_flat_too_soon(self, draw, state):
        given = facts(feeds=(feed(has_cutoff=False, standby_ma=float(draw)),), banks=(bank(),))
        found = one("standby", given)
        assert found.state == state
        assert one("standby", take(given, found.remedies[0])).state == "good"

    def test_behind_a_cut_off_nothing_draws(self):
        assert one("standby", facts(feeds=(feed(),), banks=(bank(),))).state == "good"

    def test_a_cut_off_that_nobody_noted_matters_only_where_it_decides(self):
        little = facts(feeds=(feed(has_cutoff=None, standby_ma=5.0),), banks=(bank(),))
        much = facts(feeds=(feed(has_cutoff=None, standby_ma=700.0),), banks=(bank(),))
        assert one("standby", little).state == "good"
        assert one("standby", much).state == "unknown"

    def test_a_draw_that_no_guide_was_read_for(self):
        given = facts(feeds=(feed(has_cutoff=False, standby_ma=None),), banks=(bank(),))
        assert asked(one("standby", given)) == {"standby:d1"}


class TestUpdateVolts:
    """The trade's gate: 12.2 V rested with a charger, 12.6 V without, double for 24 V."""

    def test_a_bank_that_holds(self):
        found = one("update_volts", facts(feeds=(feed(updated=True),), banks=(bank(),)))
        assert found.state == "good"

    @pytest.mark.parametrize(
        ("rested", "charger", "state"),
        [(12.1, True, "stop"), (12.2, True, "good"), (12.5, False, "stop"), (12.6, False, "good")],
    )
    def test_the_gate(self, rested, charger, state):
        given = facts(
            feeds=(feed(updated=True),), banks=(bank(rested_v=rested, has_charger=charger),)
        )
        found = one("update_volts", given)
        assert found.state == state
        if state == "stop":
            assert one("update_volts", take(given, found.remedies[0])).state == "good"

    @pytest.mark.parametrize(
        ("rested", "state"), [(12.1, "stop"), (12.4, "unknown"), (12.6, "good")]
    )
    def test_a_charger_that_nobody_noted_matters_only_where_it_decides(self, rested, state):
        banks = (bank(rested_v=rested, has_charger=None),)
        found = one("update_volts", facts(feeds=(feed(updated=True),), banks=banks))
        assert found.state == state
        assert ("charger:house" in asked(found)) == (state == "unknown")

    def test_volts_lost_on_the_way_count(self):
        thin = feed(updated=True, awg="16", run_ft=40.0, draw_a=5.0, volts_low=11.0)
        given = facts(feeds=(thin,), banks=(bank(rested_v=12.3),))
        found = one("update_volts", given)
        assert found.state == "stop"
        assert one("update_volts", take(given, found.remedies[0])).state == "good"

    def test_lithium_is_judged_by_its_monitor(self):
        given = facts(feeds=(feed(updated=True),), banks=(bank(chemistry="lithium"),))
        assert one("update_volts", given).state == "look"

    @pytest.mark.parametrize(
        ("fed", "banks", "key"),
        [
            ({}, {"rested_v": None}, "rested:house"),
            ({}, {"chemistry": ""}, "chemistry:house"),
            ({"volts_low": None}, {}, "volts_low:d1"),
            ({"bank": None}, {}, "bank:d1"),
        ],
    )
    def test_missing_facts(self, fed, banks, key):
        given = facts(feeds=(feed(updated=True, **fed),), banks=(bank(**banks),))
        found = one("update_volts", given)
        assert found.state == "unknown"
        assert key in asked(found)

    def test_no_update_no_question(self):
        assert of("update_volts", facts(feeds=(feed(),), banks=(bank(),))) == []


class TestLocalRules:
    """A shop's own stricter rule counts in the checks too."""

    def test_a_stricter_drop(self):
        strict = Rules(drop_percent=2.0)
        given = facts(feeds=(feed(awg="14", run_ft=15.0),))
        assert one("drop", given).state == "good"
        assert one("drop", replace(given, rules=strict)).state == "stop"

    def test_a_stricter_fuse(self):
        given = facts(feeds=(feed(awg="18", insulation_c=60, called_a=12.0, fuse_a=12.0),))
        assert one("fuse", given).state == "good"
        assert one("fuse", replace(given, rules=Rules(fuse_percent=100.0))).state == "stop"

    def test_the_smallest_wire_that_the_shop_fits(self):
        given = facts(feeds=(feed(is_new=True, awg=None),))
        assert one("drop", given).result.startswith("16 AWG")
        strict = replace(given, rules=Rules(smallest_awg="12"))
        assert one("drop", strict).result.startswith("12 AWG")

    def test_the_area_list_that_the_shop_works_by(self):
        """SAE minimum areas are smaller than AWG (SAE J1127/J1128), so they ask for more."""
        given = facts(feeds=(feed(is_new=True, awg=None, draw_a=3.0, run_ft=14.2),))
        exact = replace(given, rules=Rules(areas="awg"))
        assert one("drop", given).result.startswith("14 AWG")
        assert one("drop", exact).result.startswith("16 AWG")
        assert "By the exact AWG areas it would be 16 AWG." in one("drop", given).words
        assert "By the SAE minimum areas it would be 14 AWG." in one("drop", exact).words

    def test_where_both_lists_give_the_same_wire_only_one_is_told(self):
        given = facts(feeds=(feed(is_new=True, awg=None),))
        assert "areas" not in one("drop", given).words
