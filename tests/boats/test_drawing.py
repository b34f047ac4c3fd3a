"""The drawing says every fact once, in labels that never overlap, and stays well formed."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from shopapp.boats.drawing import Backbone, BoatSheet, Place, Plate, Run, Tee, draw_boat, sheet_rows
from shopapp.boats.drawing.ink import Box
from shopapp.boats.drawing.places import find_spot
from shopapp.boats.drawing.svg import compose
from shopapp.boats.drawing.words import text_width, wrap

from .drawing_samples import crowded_boat, middling_boat, small_boat

NASTY = "<b>&\"'\x07</b>"


def nasty_boat() -> BoatSheet:
    boat = small_boat()
    units = tuple(replace(unit, name=NASTY, model=NASTY) for unit in boat.units)
    runs = tuple(replace(run, label=NASTY) for run in boat.runs)
    places = tuple(replace(place, name=NASTY) for place in boat.places)
    return replace(boat, name=NASTY, units=units, runs=runs, places=places)


def gappy_boat() -> BoatSheet:
    """Little is known: no beam, a place nobody listed, ports, lengths and a unit not known."""
    return BoatSheet(
        name="Unasked",
        length_ft=19,
        places=(Place("x", "Somewhere dry"), Place("y", "Somewhere wet")),
        units=(
            Plate("a", "Display", "", "display", "nowhere"),
            Plate("b", "Sonar box", "", "sonar", None, "updated", None, "2.6"),
            Plate("c", "Switch", "", "switch", "x", ports=5),
        ),
        runs=(Run("a", "c"), Run("b", "c", None, 9), Run("ghost", "c", 1, 2), Run("a", "a")),
        backbone=(
            Backbone(terminator_first=None, terminator_last=False),
            Backbone((Tee(unit="a"), Tee(unit="phantom"), Tee()), name="Second backbone"),
        ),
    )


def many_in_one_place() -> BoatSheet:
    units = tuple(
        Plate(f"u{i}", f"Unit with a rather long name, number {i}", "A model", place="c")
        for i in range(14)
    )
    return BoatSheet("Heap", 24, 8.5, "sail", (Place("c", "Console", "console"),), units)


def long_words() -> BoatSheet:
    word = "Extraordinarilylongwordwithoutanybreak" * 2
    boat = small_boat()
    units = tuple(replace(unit, name=word, model=word) for unit in boat.units)
    runs = tuple(replace(run, label=word) for run in boat.runs)
    return replace(boat, name=word, kind="workboat", units=units, runs=runs)


EMPTY = BoatSheet("Bare Hull", 18)
BOATS = {
    "small": small_boat(),
    "middling": middling_boat(),
    "crowded": crowded_boat(),
    "nasty": nasty_boat(),
    "gappy": gappy_boat(),
    "one place": many_in_one_place(),
    "long words": long_words(),
    "empty": EMPTY,
}
every_boat = pytest.mark.parametrize("boat", BOATS.values(), ids=BOATS.keys())
both_widths = pytest.mark.parametrize("width", [1120, 760])


def overlaps(boxes: list[Box]) -> list[tuple[str, str]]:
    return [(one.what, two.what) for one, two in combinations(boxes, 2) if one.meets(two)]


def covers(box: Box, start: tuple[float, float], end: tuple[float, float]) -> bool:
    x, y = min(start[0], end[0]), min(start[1], end[1])
    wide, tall = abs(start[0] - end[0]), abs(start[1] - end[1])
    return box.meets(Box(x, y, max(wide, 0.1), max(tall, 0.1)))


def parse(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def marked(svg: str, name: str) -> list[str]:
    return [el.get(name) for el in parse(svg).iter() if el.get(name) is not None]


def size(svg: str) -> tuple[float, float]:
    root = parse(svg)
    return float(root.get("width")), float(root.get("height"))


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
    assert len(rows) == len(boat.units) + len(boat.runs) + len(boat.backbone) + tees


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


def test_names_are_escaped():
    svg = draw_boat(nasty_boat())
    assert "<b>" not in svg
    assert "&lt;b&gt;&amp;&quot;&#x27;" in svg


def test_a_key_with_spaces_still_makes_one_id():
    root = parse(draw_boat(EMPTY, key='a b"'))
    assert root.get("aria-labelledby") == "a-b--title a-b--desc"


def test_two_drawings_can_stand_on_one_page():
    page = f"<div>{draw_boat(small_boat(), key='one')}{draw_boat(small_boat(), key='two')}</div>"
    ids = marked(page, "id")
    assert len(ids) == len(set(ids)) == 4


def test_a_crowded_boat_gets_a_taller_drawing_and_no_smaller_type():
    heights = [size(draw_boat(boat))[1] for boat in (small_boat(), middling_boat(), crowded_boat())]
    assert all(low < high for low, high in pairwise(heights))
    types = [
        min(
            float(el.get("font-size"))
            for el in parse(draw_boat(boat)).iter()
            if el.get("font-size")
        )
        for boat in (small_boat(), crowded_boat())
    ]
    assert types[0] == types[1] >= 11


@pytest.mark.parametrize("name", ["small", "middling", "crowded"])
@both_widths
def test_the_drawing_is_as_wide_as_asked(name, width):
    assert size(draw_boat(BOATS[name], width=width))[0] == width


def test_every_port_of_a_switch_is_numbered_and_a_spare_one_says_so():
    canvas, _ = compose(small_boat(), width=1120)
    words = [box.what for box in canvas.labels]
    assert {"1", "2", "3", "4", "5"} <= set(words)
    assert words.count("spare") == 3  # ports 4 and 5, and one tee


def test_a_run_says_its_label_and_its_length_in_feet_and_metres():
    canvas, _ = compose(small_boat(), width=1120)
    words = " ".join(box.what.replace("\u00a0", " ") for box in canvas.labels)
    assert "NEW BOW-1 20 ft (6.1 m)" in words


def test_an_update_shows_both_releases():
    assert "UPDATE 2.2 → 2.6" in draw_boat(small_boat())


@pytest.mark.parametrize(
    ("fate", "word"),
    [
        ("kept", "stays"),
        ("new", "NEW"),
        ("removed", "COMES OUT"),
        ("replaced", "REPLACED"),
        ("updated", "UPDATE"),
        ("off-network", "OFF NETWORK"),
    ],
)
def test_each_fate_is_said_by_a_word_and_by_its_own_outline_or_sign(fate, word):
    boat = BoatSheet("One", 20, 8, units=(Plate("u", "Unit", "Model", fate=fate),))
    (group,) = [el for el in parse(draw_boat(boat)).iter() if el.get("data-unit") == "u"]
    texts = " ".join(el.text or "" for el in group.iter() if el.tag.endswith("text"))
    signs = [el.get("d") for el in group.iter() if el.get("transform")]
    assert word in texts
    assert len(signs) == 1
    assert sheet_rows(boat)[0]["fate"].startswith(word)


def test_signs_and_outlines_differ_between_fates():
    looks = set()
    for fate in ("kept", "new", "removed", "replaced", "updated", "off-network"):
        boat = BoatSheet("One", 20, 8, units=(Plate("u", "Unit", "Model", fate=fate),))
        (group,) = [el for el in parse(draw_boat(boat)).iter() if el.get("data-unit") == "u"]
        (sign,) = [el.get("d") for el in group.iter() if el.get("transform")]
        looks.add(sign)
    assert len(looks) == 6


def test_kept_new_and_removed_runs_have_strokes_of_their_own():
    root = parse(draw_boat(middling_boat()))
    looks = {}
    for group in root.iter():
        if group.get("data-run"):
            path = next(el for el in group if el.tag.endswith("path"))
            fate = group.get("class").split("-")[-1]
            looks[fate] = (float(path.get("stroke-width")), path.get("stroke-dasharray"))
    assert looks["new"][0] >= 2 * looks["kept"][0]
    assert looks["removed"][1]
    assert looks["kept"][1] is None


def test_what_is_not_known_is_never_shown_as_fine():
    words = " ".join(
        box.what.replace("\u00a0", " ") for box in compose(gappy_boat(), width=1120)[0].labels
    )
    for phrase in (
        "Place not known",
        "length not known",
        "beam not known",
        "terminator not known",
        "NO TERMINATOR",
        "Not known: ghost",
        "Not known: phantom",
    ):
        assert phrase in words
    fates = {row["id"]: row for row in sheet_rows(gappy_boat())}
    assert fates["b"]["fate"] == "UPDATE not known → 2.6"
    assert fates["a"]["where"] == "place not known"
    assert "port not known" in fates["run-1"]["where"]


def test_an_empty_boat_says_that_nothing_is_noted():
    assert "No unit is noted on this boat yet." in draw_boat(EMPTY)
    assert sheet_rows(EMPTY) == []


def test_the_hull_keeps_its_proportion_of_beam_to_length():
    svg = draw_boat(small_boat())
    path = next(el.get("d") for el in parse(svg).iter() if el.get("class") == "dw-deck")
    points = [tuple(map(float, p)) for p in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    tall = max(y for _, y in points) - min(y for _, y in points)
    assert wide / tall == pytest.approx(8.5 / 22, rel=0.02)


def test_a_bow_lies_before_a_helm_and_a_helm_before_the_stern():
    spots = [find_spot(Place(kind, kind.title(), kind)) for kind in ("bow", "helm", "stern")]
    assert spots[0][0] > spots[1][0] > spots[2][0]


def test_where_the_survey_says_a_place_lies_it_lies():
    assert find_spot(Place("h", "Helm", "helm", x=0.2, y=0.9)) == (0.2, 0.9)
    assert find_spot(Place("h", "Helm", "helm", x=7, y=-1)) == (1.0, 0.0)


def test_an_unheard_of_fate_is_refused():
    with pytest.raises(ValueError, match="fate 'lost'"):
        Plate("u", "Unit", fate="lost")


def test_wrapped_lines_fit_and_lose_no_word():
    text = "A rather long name for a 4 ft antenna on the radar arch"
    lines = wrap(text, 90, 12)
    assert all(text_width(line, 12) <= 90 for line in lines)
    assert " ".join(lines).replace("\u00a0", " ") == text
    assert any("4\u00a0ft" in line for line in lines)
