"""Colours of wires (ABYC E-11 as reproduced publicly) and power over Ethernet (IEEE 802.3)."""

import pytest

from planner.engine.sums import run_sum
from planner.engine.sums.lookups import POE, WIRE_COLOURS
from tests.engine.sums.tables import notes, rows_of

COLOURS = rows_of("dc_wire_colours")
CIRCUITS = [name for name in WIRE_COLOURS if not name.startswith("bus_")]


@pytest.mark.parametrize(
    ("row", "circuit"), list(zip(COLOURS, CIRCUITS, strict=True)), ids=CIRCUITS
)
def test_every_row_of_the_colour_table(row, circuit):
    found = run_sum("wire_colour", {"circuit": circuit})
    assert found.values["colour"] == row["colour"]
    words = circuit.removeprefix("dc_").removeprefix("ac_").replace("_", " ").split()
    assert words == ["hot"] or words[0] in row["circuit"].lower()


@pytest.mark.parametrize(
    ("wire", "colour"),
    [("positive", "red"), ("negative", "black"), ("high", "white"), ("low", "blue")],
)
def test_the_colours_of_the_nmea_2000_cable(wire, colour):
    found = run_sum("wire_colour", {"circuit": f"bus_{wire}"})
    assert found.values["colour"] == colour
    assert "NMEA 2000" in found.source


def test_yellow_is_never_both_negative_and_blower_and_ac_is_dangerous():
    assert "Never yellow for both" in notes("wire_colour", circuit="bilge_blower")
    assert "kills" in notes("wire_colour", circuit="ac_hot")
    assert "kills" not in notes("wire_colour", circuit="pumps")


@pytest.mark.parametrize("row", rows_of("poe_power"), ids=lambda row: row["type"])
def test_every_row_of_the_table_of_power_over_ethernet(row):
    found = run_sum("poe_power", {"poe_type": int(row["type"])})
    assert found.values == {
        "standard": row["standard"],
        "source_watts": float(row["source_power_W"]),
        "device_watts": float(row["device_power_W"]),
        "pairs": row["pairs_powered"],
    }
    lost = float(row["source_power_W"]) - float(row["device_power_W"])
    assert found.margin["lost_watts"] == pytest.approx(lost)
    assert len(POE) == len(rows_of("poe_power"))
