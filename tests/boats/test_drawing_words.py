"""What the drawing says: names, fates, lengths, ports, and what is not known."""

import re
from itertools import pairwise

import pytest

from shopapp.boats.drawing import BoatSheet, Place, Plate, Run, draw_boat, sheet_rows
from shopapp.boats.drawing.grid import NoRoomError
from shopapp.boats.drawing.places import find_spot
from shopapp.boats.drawing.words import text_width, wrap

from .drawing_odd_boats import EMPTY, gappy_boat, many_in_one_place, nasty_boat
from .drawing_reading import compose, marked, parse, size
from .drawing_samples import crowded_boat, middling_boat, small_boat

BOATS = {"small": small_boat(), "middling": middling_boat(), "crowded": crowded_boat()}
both_widths = pytest.mark.parametrize("width", [1120, 760])


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


def test_a_place_with_too_many_units_for_one_column_goes_on_at_the_other_side():
    words = [box.what for box in compose(many_in_one_place(), width=1120)[0].labels]
    assert "Console (continued)" in words


def test_a_second_line_between_the_same_ports_is_a_line_of_its_own():
    units = (Plate("a", "Display", ports=1), Plate("s", "Switch", kind="switch", ports=5))
    runs = (Run("a", "s", 1, 3, "OLD", 10, "removed"), Run("a", "s", 1, 3, "FRESH", 15, "new"))
    canvas, _ = compose(BoatSheet("Swap", 20, 8, units=units, runs=runs), width=1120)
    words = [box.what for box in canvas.labels]
    assert words.count("3") == 2
    assert {"OUT OLD", "NEW FRESH"} <= set(words)


def test_tees_stand_in_the_order_in_which_they_were_given():
    canvas, _ = compose(middling_boat(), width=1120)
    order = [int(net.split("-")[2]) for net, *_ in sorted_tees(canvas)]
    assert order == sorted(order, reverse=True)  # given from the stern, drawn from the bow


def sorted_tees(canvas) -> list:
    trunk_x = next(start[0] for net, start, _ in canvas.lines if net == "backbone-1")
    at_trunk = [line for line in canvas.lines if abs(line[2][0] - trunk_x) < 0.1]
    return sorted((li for li in at_trunk if li[0].startswith("drop")), key=lambda li: li[2][1])


def test_what_cannot_be_drawn_says_so_and_points_to_the_table(monkeypatch):
    def never(*_args, **_kwargs):
        raise NoRoomError("nothing fits")

    monkeypatch.setattr("shopapp.boats.drawing.layout._try", never)
    svg = draw_boat(small_boat())
    assert "stands in the table" in svg
    assert parse(svg).get("role") == "img"


def test_an_unheard_of_fate_is_refused():
    with pytest.raises(ValueError, match="fate 'lost'"):
        Plate("u", "Unit", fate="lost")


def test_wrapped_lines_fit_and_lose_no_word():
    text = "A rather long name for a 4 ft antenna on the radar arch"
    lines = wrap(text, 90, 12)
    assert all(text_width(line, 12) <= 90 for line in lines)
    assert " ".join(lines).replace("\u00a0", " ") == text
    assert any("4\u00a0ft" in line for line in lines)
