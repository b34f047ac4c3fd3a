"""The units in the sums, held against SciPy's table of constants (CODATA and exact definitions)."""

import math

import pytest
from scipy import constants

from planner.engine.sums import run_sum
from planner.engine.sums.cable_run import FEET_PER_METRE
from planner.engine.sums.conductor import OHM_CIRCULAR_MILS_PER_FT
from planner.engine.sums.gauges import AWG_EXACT, MM2_PER_CIRCULAR_MIL
from tests.engine.sums.tables import value


def test_a_circular_mil_is_the_area_of_a_circle_of_a_thousandth_of_an_inch():
    mm2 = math.pi / 4 * (constants.mil * 1000) ** 2
    assert pytest.approx(mm2, rel=1e-12) == MM2_PER_CIRCULAR_MIL


@pytest.mark.parametrize("gauge", AWG_EXACT)
def test_areas_in_mm2_are_those_in_circular_mils(gauge):
    found = run_sum("area", {"awg": gauge, "areas": "awg"}).values
    diameter_mm = math.sqrt(found["circular_mils"]) * constants.mil * 1000
    assert found["mm2"] == pytest.approx(math.pi / 4 * diameter_mm**2, rel=1e-12)


def test_feet_and_metres():
    assert pytest.approx(1 / constants.foot, rel=1e-12) == FEET_PER_METRE
    given = {"route_ft": 100, "slack_ft": 0, "slack_percent": 0, "sold_ft": [100]}
    assert value("cable_run", "needed_m", **given) == pytest.approx(100 * constants.foot)


def test_the_constant_of_the_inch_rule_in_metric_units():
    ohm_mm2_per_m = OHM_CIRCULAR_MILS_PER_FT * MM2_PER_CIRCULAR_MIL / constants.foot
    assert ohm_mm2_per_m == pytest.approx(0.01787, abs=5e-6)


def test_days_of_standby_in_seconds():
    days = value("standby", "days", draw_ma=50, bank_ah=100, usable_percent=50)
    coulombs = 100 * constants.hour * 0.5
    assert days * constants.day * 0.050 == pytest.approx(coulombs)
