"""Limits of the instrument bus, Ethernet, compass and battery standby."""

import pytest

from planner.engine.sums import bus
from tests.engine.sums.tables import field_refused, notes, rows_of, value

LIMITS = {row["item"]: row for row in rows_of("nmea2000_limits")}
CABLES = {row["cable"]: float(row["ohm_per_m_one_conductor"]) for row in rows_of(
    "nmea2000_cable_resistance"
)}  # fmt: skip


@pytest.mark.parametrize(
    ("item", "ours"),
    [
        ("load equivalency number", bus.MA_PER_LEN),
        ("physical devices, most", bus.MOST_DEVICES),
        ("single drop, longest", bus.LONGEST_DROP_M),
        ("all drops together, most", bus.LONGEST_DROPS_M),
        ("backbone, light (micro)", bus.LONGEST_BACKBONE_M["light"]),
        ("backbone, heavy (mini)", bus.LONGEST_BACKBONE_M["heavy"]),
        ("device current from network, most", bus.MOST_DEVICE_MA),
        ("light cable network fuse, usual", bus.USUAL_LIGHT_FUSE_AMPS),
        ("heavy cable current, most", bus.MOST_HEAVY_AMPS),
    ],
)
def test_published_limits_of_the_bus(item, ours):
    assert LIMITS[item]["mark"] == "published"
    assert float(LIMITS[item]["value"]) == ours


def test_limits_from_memory_are_told_as_such():
    assert LIMITS["backbone, mid"]["mark"] == "memory"
    assert LIMITS["node supply range"]["mark"] == "memory"
    assert LIMITS["node supply range"]["value"] == "9 to 16"
    assert (bus.LOWEST_NODE_VOLTS, bus.HIGHEST_NODE_VOLTS) == (9, 16)


def test_cable_resistances():
    assert bus.CABLE_OHM_PER_M["light"] == CABLES["light, guide 1"]
    for kind in ("mid", "heavy"):
        assert bus.CABLE_OHM_PER_M[kind] == CABLES["16 AWG power pair (mid, and many heavy)"]


@pytest.mark.parametrize(
    ("draw", "units"), [(0, 0), (0.1, 1), (50, 1), (50.1, 2), (151, 4), (950, 19), (1000, 20)]
)
def test_load_equivalency_is_rounded_up(draw, units):
    assert value("bus_units", "len", draw_ma=draw) == units


def test_a_device_that_takes_too_much_is_warned_of():
    assert "at most 1000 mA" in notes("bus_units", draw_ma=1001)
    assert "at most 1000 mA" not in notes("bus_units", draw_ma=1000)


def test_the_worked_drop_of_eighteen_units_over_twelve_metres():
    assert value("bus_drop", "drop_volts", len=18, metres=12, ohm_per_m=0.057) == pytest.approx(
        1.2312
    )
    assert "overstates" in notes("bus_drop", len=18, metres=12, ohm_per_m=0.057)


@pytest.mark.parametrize(("count", "ohms"), [(1, 120), (2, 60), (3, 40), (4, 30)])
def test_terminators_in_parallel(count, ohms):
    assert value("bus_ohms", "ohms", terminators=count) == ohms
    assert ("two terminators" in notes("bus_ohms", terminators=count)) == (count != 2)


def test_no_terminator_is_refused_not_divided_by():
    assert field_refused("bus_ohms", terminators=0) == "terminators"


@pytest.mark.parametrize("switches", [1, 2, 3, 4, 5])
def test_a_chain_of_five_port_switches_leaves_3n_plus_2(switches):
    free = value("switch_chain", "free_ports", switches=switches, ports_each=5)
    assert free == 3 * switches + 2


def test_switches_with_one_port_cannot_be_chained():
    assert value("switch_chain", "free_ports", switches=2, ports_each=1) == 0
    assert field_refused("switch_chain", switches=3, ports_each=1) == "ports_each"


def test_the_best_speed_that_both_ends_share():
    assert value("link_speed", "mbit", mbit_a=[10, 100], mbit_b=[1000, 100, 10]) == 100
    assert value("link_speed", "mbit", mbit_a=[1000], mbit_b=[10, 100]) is None
    assert "no link" in notes("link_speed", mbit_a=[1000], mbit_b=[10, 100])


def test_bend_radius_is_four_diameters_and_from_memory():
    assert value("bend_radius", "radius_mm", diameter_mm=6.2) == pytest.approx(24.8)
    assert "From memory" in notes("bend_radius", diameter_mm=6.2)


@pytest.mark.parametrize(("kind", "degrees"), [("standard", 0.3), ("steering", 1.0)])
def test_compass_deviation_at_18_microtesla(kind, degrees):
    found = value("compass", "largest_deviation_deg", field_ut=18, kind=kind)
    assert found == pytest.approx(degrees)


def test_standby_of_a_bank():
    given = {"draw_ma": 50, "bank_ah": 100, "usable_percent": 50}
    assert value("standby", "days", **given) == pytest.approx(41.6667, abs=1e-4)
    assert "per cent" not in notes("standby", **given)
    assert "per cent" in notes("standby", **{**given, "usable_percent": 0.5})
