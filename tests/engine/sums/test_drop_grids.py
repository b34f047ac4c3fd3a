"""Two printed 12 V 3 % tables, cell by cell, with their known exceptions listed as such.

Sources: ABYC E-11 Table IX as a boat service yard reproduces it (89 cells, 5 to 25 A), which is
the formula on SAE minimum areas; and a public marine wiring handbook (203 cells), which is the
formula on rounded AWG areas.
"""

import pytest

from planner.engine.sums.conductor import PRINTED_SMALLER
from planner.engine.sums.gauges import SAE_MINIMUM, SOLD
from tests.engine.sums.tables import notes, rows_of, value

E11_SMALLER_THAN_ITS_FORMULA = {(5, 170): "6", (15, 60): "6"}

# (amps, feet): printed, by the exact AWG areas. The handbook's areas are rounded up to 1.8 % off.
HANDBOOK_ASKS_FOR_MORE = {
    (90, 15): ("2", "4"), (90, 30): ("1/0", "1"), (70, 40): ("1/0", "1"), (40, 70): ("1/0", "1"),
    (50, 70): ("2/0", "1/0"), (30, 90): ("1/0", "1"), (20, 140): ("1/0", "1"),
    (25, 140): ("2/0", "1/0"), (20, 170): ("2/0", "1/0"), (25, 170): ("3/0", "2/0"),
}  # fmt: skip
HANDBOOK_ASKS_FOR_LESS = {
    (70, 20): ("4", "2"), (15, 60): ("6", "4"), (5, 70): ("10", "8"), (60, 120): ("4/0", None),
}  # fmt: skip


def e11_cells():
    for row in rows_of("grid_12V_3pct_e11_table_IX_rows_5A_to_25A"):
        for name, gauge in row.items():
            if name != "amps" and gauge:
                yield int(row["amps"]), int(name.removeprefix("awg_at_").removesuffix("ft")), gauge


def handbook_cells():
    for row in rows_of("grid_12V_3pct_handbook"):
        for name, gauge in row.items():
            if name != "round_trip_ft":
                amps = int(name.removeprefix("awg_at_").removesuffix("A"))
                yield amps, int(row["round_trip_ft"]), gauge or None


def circuit(amps, feet, areas):
    return {
        "amps": amps, "round_trip_ft": feet, "volts": 12, "drop_percent": 3, "areas": areas,
    }  # fmt: skip


def by_drop(amps, feet, areas):
    return value("conductor", "awg_for_drop", **circuit(amps, feet, areas))


def test_every_cell_of_e11_table_ix_is_the_formula_on_sae_areas():
    cells = list(e11_cells())
    off = {(a, ft): gauge for a, ft, gauge in cells if by_drop(a, ft, "sae") != gauge}
    assert len(cells) == 89
    assert off == E11_SMALLER_THAN_ITS_FORMULA


def test_the_e11_exceptions_are_one_size_smaller_than_the_formula():
    for (amps, feet), printed in E11_SMALLER_THAN_ITS_FORMULA.items():
        assert SOLD.index(by_drop(amps, feet, "sae")) == SOLD.index(printed) + 1


def test_every_cell_of_the_handbook_is_the_formula_on_awg_areas():
    off = {
        (a, ft): (gauge, by_drop(a, ft, "awg"))
        for a, ft, gauge in handbook_cells()
        if by_drop(a, ft, "awg") != gauge
    }
    assert off == HANDBOOK_ASKS_FOR_MORE | HANDBOOK_ASKS_FOR_LESS


def test_the_handbook_has_203_filled_cells_and_the_blank_ones_are_beyond_4_0():
    cells = list(handbook_cells())
    assert len([gauge for *_, gauge in cells if gauge]) == 203
    assert all(by_drop(a, ft, "awg") is None for a, ft, gauge in cells if gauge is None)


def test_sae_areas_never_ask_for_less_than_the_handbook_prints():
    larger = 0
    for amps, feet, gauge in handbook_cells():
        found = by_drop(amps, feet, "sae")
        size = SOLD.index(found) if found else len(SOLD)
        printed = SOLD.index(gauge) if gauge else len(SOLD)
        assert size >= printed
        larger += size > printed
    assert larger == 36


@pytest.mark.parametrize(("cell", "printed"), PRINTED_SMALLER.items())
def test_known_exceptions_are_told_with_the_result(cell, printed):
    gauge, lists = printed
    for areas in lists:
        said = notes("conductor", **circuit(*cell, areas))
        assert f"shows {gauge} AWG here" in said


def test_no_exception_is_told_where_the_printed_table_holds():
    assert "Known exception" not in notes("conductor", **circuit(10, 20, "sae"))
    assert "Known exception" not in notes("conductor", **circuit(5, 170, "awg"))


def test_a_drop_table_ignores_heat_so_the_larger_of_the_two_sizes_is_taken():
    given = {"amps": 100, "round_trip_ft": 10, "volts": 12, "drop_percent": 10}
    assert value("conductor", "awg_for_drop", **given) == "10"
    assert value("conductor", "awg_for_current", **given) == "6"
    assert value("conductor", "awg", **given) == "6"


def rounded_areas():
    rows = rows_of("awg_area")
    return {row["awg"]: float(row["handbook_rounded_circular_mils"]) for row in rows if row[
        "handbook_rounded_circular_mils"
    ]}  # fmt: skip


def compared(cells, areas):
    """How many printed sizes equal the formula on these areas, are larger, are smaller."""
    counts = {"equal": 0, "larger": 0, "smaller": 0}
    for amps, feet, printed in cells:
        needed = value("conductor", "circular_mils_needed", **circuit(amps, feet, "sae"))
        found = next((awg for awg in SOLD if areas[awg] >= needed * (1 - 1e-9)), None)
        size = SOLD.index(found) if found else len(SOLD)
        apart = SOLD.index(printed) - size
        counts["equal" if not apart else "larger" if apart > 0 else "smaller"] += 1
    return counts


def test_the_printed_grids_held_against_the_rounded_areas():
    e11 = compared(e11_cells(), rounded_areas())
    handbook = compared([cell for cell in handbook_cells() if cell[2]], rounded_areas())
    assert e11 == {"equal": 69, "larger": 19, "smaller": 1}
    assert handbook == {"equal": 189, "larger": 12, "smaller": 2}


def test_the_printed_grids_held_against_the_sae_areas():
    e11 = compared(e11_cells(), SAE_MINIMUM)
    handbook = compared([cell for cell in handbook_cells() if cell[2]], SAE_MINIMUM)
    assert e11 == {"equal": 87, "larger": 0, "smaller": 2}
    assert handbook == {"equal": 167, "larger": 0, "smaller": 36}
