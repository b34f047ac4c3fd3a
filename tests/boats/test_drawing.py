"""The drawing says every fact once, in labels that never overlap, and stays well formed."""

from dataclasses import replace
from itertools import combinations

import pytest

from shopapp.boats.drawing import Bank, draw_boat, sheet_rows
from shopapp.boats.drawing.ink import Box

from .drawing_mixtures import mixed_boat
from .drawing_odd_boats import EMPTY, gappy_boat, long_words, many_in_one_place, nasty_boat
from .drawing_reading import compose, marked, parse
from .drawing_samples import crowded_boat, middling_boat, small_boat


def checked(boat):
    """The same boat with something found of every run, backbone and of two banks."""
    said = ("stop", "Stop: drop length, terminators, backbone volts and ohms to expect")
    place = boat.places[0].id
    return replace(
        boat,
        units=tuple(replace(unit, check=("look", "Look: fuse")) for unit in boat.units),
        runs=tuple(replace(run, check=("unknown", "Not known: cable")) for run in boat.runs),
        backbone=tuple(replace(bone, check=said) for bone in boat.backbone),
        banks=(Bank("House", ("stop", "Stop: fuse block"), place), Bank("Start", said)),
    )


BOATS = {
    "small": small_boat(),
    "middling": middling_boat(),
    "crowded": crowded_boat(),
    "nasty": nasty_boat(),
    "gappy": gappy_boat(),
    "one place": many_in_one_place(),
    "long words": long_words(),
    "empty": EMPTY,
    "checked": checked(middling_boat()),
    "crowded and checked": checked(crowded_boat()),
    **{f"mixture {seed}": mixed_boat(seed) for seed in range(8)},
}
every_boat = pytest.mark.parametrize("boat", BOATS.values(), ids=BOATS.keys())
both_widths = pytest.mark.parametrize("width", [1120, 760])


def overlaps(boxes: list[Box]) -> list[tuple[str, str]]:
    return [(one.what, two.what) for one, two in combinations(boxes, 2) if one.meets(two)]


def marked_classes(svg: str, name: str) -> int:
    return sum(name in el.get("class", "").split() for el in parse(svg).iter())


def covers(box: Box, start: tuple[float, float], end: tuple[float, float]) -> bool:
    x, y = min(start[0], end[0]), min(start[1], end[1])
    wide, tall = abs(start[0] - end[0]), abs(start[1] - end[1])
    return box.meets(Box(x, y, max(wide, 0.1), max(tall, 0.1)))


@every_boat
@both_widths
def test_no_two_labels_overlap(boat, width):
    canvas, _ = compose(boat, width=width)
    assert canvas.labels
    assert overlaps(canvas.labels) == []


@every_boat
@both_widths
def test_every_label_stands_inside_the_drawing(boat, width):
    canvas, (wide, tall) = compose(boat, width=width)
    outside = [
        box.what
        for box in canvas.labels
        if box.x < 0 or box.y < 0 or box.x + box.width > wide or box.y + box.height > tall
    ]
    assert outside == []


@every_boat
@both_widths
def test_no_line_runs_over_a_label(boat, width):
    canvas, _ = compose(boat, width=width)
    marks = {"T", "!"}  # terminators, which stand on their backbone
    struck = [
        (box.what, net)
        for net, start, end in canvas.lines
        for box in canvas.labels
        if box.what not in marks and covers(box, start, end) and not box.what.isdigit()
    ]
    assert struck == []


@every_boat
def test_no_two_lines_share_a_stretch(boat):
    canvas, _ = compose(boat, width=1120)
    for (net, *one), (other, *two) in combinations(canvas.lines, 2):
        for axis in (0, 1):
            along = 1 - axis
            same = abs(one[0][axis] - two[0][axis]) < 1
            both = one[0][axis] == one[1][axis] and two[0][axis] == two[1][axis]
            if net != other and same and both:
                ends = sorted([sorted(p[along] for p in one), sorted(p[along] for p in two)])
                assert ends[0][1] <= ends[1][0], (net, other)


@every_boat
@both_widths
def test_every_unit_run_and_place_is_drawn_once(boat, width):
    svg = draw_boat(boat, width=width)
    listed = {unit.id for unit in boat.units}
    assert sorted(u for u in marked(svg, "data-unit") if u in listed) == sorted(listed)
    assert sorted(marked(svg, "data-run")) == sorted(f"run-{i + 1}" for i in range(len(boat.runs)))
    assert sorted(marked(svg, "data-place")) == sorted(place.id for place in boat.places)


@every_boat
def test_every_unit_run_and_tee_has_one_row(boat):
    rows = sheet_rows(boat)
    ids = [row["id"] for row in rows]
    tees = sum(len(bone.tees) for bone in boat.backbone)
    assert len(ids) == len(set(ids))
    assert {unit.id for unit in boat.units} <= set(ids)
    known = (boat.units, boat.runs, boat.backbone, boat.banks)
    assert len(rows) == sum(map(len, known)) + tees


def test_what_checks_found_stands_in_the_drawing_with_its_sign_and_in_the_rows():
    boat = checked(middling_boat())
    canvas, _ = compose(boat, width=1120)
    written = " ".join(box.what for box in canvas.labels)
    where = f"{boat.places[0].name} ("
    assert f"House bank, {where}" in written
    assert "Start bank, place not known: Stop" in written
    signs = marked_classes(draw_boat(boat), "dw-check-stop")
    in_the_list = len(boat.banks) + len(boat.backbone)
    assert signs == in_the_list + len(boat.backbone)
    fates = [row["fate"] for row in sheet_rows(boat)]
    assert sum("Not known: cable" in fate for fate in fates) == len(boat.runs)
    assert sum("Stop: drop length" in fate for fate in fates) == len(boat.backbone) + 1


def test_a_boat_of_which_all_is_good_has_no_list_of_checks():
    assert "Checks of banks" not in draw_boat(middling_boat())


@every_boat
def test_the_drawing_is_well_formed_and_named_for_a_screen_reader(boat):
    root = parse(draw_boat(boat, key="quote-7"))
    named = {el.get("id"): el.text for el in root if el.get("id")}
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "quote-7-title quote-7-desc"
    assert set(named) == {"quote-7-title", "quote-7-desc"}
    assert "Ethernet runs" in named["quote-7-desc"]


@every_boat
def test_the_same_sheet_gives_the_same_drawing(boat):
    assert draw_boat(boat) == draw_boat(boat)


@every_boat
def test_nothing_in_it_needs_an_inline_style_or_script(boat):
    svg = draw_boat(boat)
    assert "style=" not in svg
    assert "<script" not in svg
    assert "onload" not in svg
