"""Node voltages solved two ways, on random trees: along the tree, and by Kirchhoff's equations."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.engine.sums import run_sum
from planner.engine.sums.backbone_reading import Segment
from planner.engine.sums.backbone_tree import find_ways
from planner.engine.sums.backbone_volts import find_tee_volts
from tests.engine.sums.networks import line, solve_dense

METRES = st.integers(min_value=1, max_value=400).map(lambda tenths: tenths / 10)
OHMS = st.sampled_from([0.053, 0.057, 0.0132, 0.0148])


@st.composite
def drawings(draw, most_feeds=3):
    """A tree of tees, units on them, and feeds at some: end, middle or several."""
    size = draw(st.integers(2, 7))
    tees = [f"T{place}" for place in range(size)]
    before = [tees[draw(st.integers(0, place - 1))] for place in range(1, size)]
    loads = draw(st.lists(st.integers(0, 20), max_size=6))
    fed = draw(st.lists(st.sampled_from(tees), min_size=1, max_size=most_feeds, unique=True))
    return {
        "segments": [
            {"from": one, "to": other, "metres": draw(METRES)}
            for one, other in zip(before, tees[1:], strict=True)
        ],
        "drops": [
            {
                "tee": draw(st.sampled_from(tees)),
                "metres": draw(METRES),
                "unit": f"u{place}",
                "len": load,
            }
            for place, load in enumerate(loads)
        ],
        "feeds": [{"tee": tee, "volts": draw(st.integers(9, 15))} for tee in fed],
        "terminators": tees[:2],
        "cable": {"ohm_per_m": draw(OHMS)},
    }


@settings(max_examples=60, deadline=None)
@given(drawings())
def test_the_sum_agrees_with_kirchhoffs_equations(drawing):
    dense = solve_dense(drawing, drawing["cable"]["ohm_per_m"])
    found = run_sum("backbone", drawing).values
    assert found["tee_volts"] | found["node_volts"] == pytest.approx(
        {node: float(volts) for node, volts in dense.items()}, abs=1e-9
    )
    units = [float(dense[row["unit"]]) for row in drawing["drops"]]
    assert found["worst_volts"] == (pytest.approx(min(units), abs=1e-9) if units else None)


@settings(max_examples=40, deadline=None)
@given(drawings())
def test_in_fractions_the_two_ways_agree_to_the_last_figure(drawing):
    ohm = Fraction(str(drawing["cable"]["ohm_per_m"]))
    ways = find_ways(
        Segment(row["from"], row["to"], Fraction(str(row["metres"]))) for row in drawing["segments"]
    )
    draws = {}
    for row in drawing["drops"]:
        draws[row["tee"]] = draws.get(row["tee"], 0) + row["len"] * Fraction(1, 20)
    feeds = {row["tee"]: Fraction(row["volts"]) for row in drawing["feeds"]}
    dense = solve_dense(drawing, drawing["cable"]["ohm_per_m"])
    assert find_tee_volts(ways, draws, feeds, 2 * ohm) == {tee: dense[tee] for tee in ways}


@settings(max_examples=60, deadline=None)
@given(drawings(most_feeds=1))
def test_with_one_feed_no_node_loses_more_than_the_bus_drop(drawing):
    found = run_sum("backbone", drawing).values
    lowest = drawing["feeds"][0]["volts"] - found["bus_drop_volts"]
    assert all(volts >= lowest - 1e-9 for volts in found["node_volts"].values())


def test_a_long_backbone_agrees_with_a_library_for_linear_equations():
    numpy = pytest.importorskip("numpy")
    size, ohms = 120, 2 * 0.0132 * 0.5
    drawing = line(
        *[0.5] * (size - 1),
        drops=[(tee, 1, 1 + tee % 3) for tee in range(size)],
        feeds=[(20, 13.2), (100, 12.6)],
        cable={"ohm_per_m": 0.0132},
    )
    matrix, right = numpy.zeros((size, size)), numpy.zeros(size)
    for tee in range(size):
        for other in (tee - 1, tee + 1):
            if 0 <= other < size:
                matrix[tee, tee] += 1 / ohms
                matrix[tee, other] -= 1 / ohms
        right[tee] = -0.05 * (1 + tee % 3)
    for tee, volts in ((20, 13.2), (100, 12.6)):
        matrix[tee], right[tee] = 0, volts
        matrix[tee, tee] = 1
    solved = numpy.linalg.solve(matrix, right)
    found = run_sum("backbone", drawing).values["tee_volts"]
    assert [found[f"T{tee}"] for tee in range(size)] == pytest.approx(list(solved), abs=1e-8)
