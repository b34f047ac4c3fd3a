"""The bench sums as pages and JSON: every sum has its form, errors stand beside their field."""

import json

import pytest
from django.urls import reverse

from planner.benchsums.figures import MARGINS, OUTPUTS
from planner.benchsums.words import PAGES
from planner.engine.sums import SUMS, run_sum
from planner.models import SumRules
from tests.engine.sums.test_bad_input import SOUND
from tests.factories.boats import (
    BackboneFactory,
    BoatFactory,
    CableEndFactory,
    CableFactory,
    DropFactory,
    FeedFactory,
    LocationFactory,
    SegmentFactory,
    TeeFactory,
    UnitFactory,
)

ROWS = {"backbone", "ethernet_loops"}
PLAIN = [name for name in SOUND if name not in ROWS]


def page(name):
    return reverse("planner:sum", args=[name])


def typed(name):
    """The sound inputs as they are typed on the form: runs one way, lists with commas."""
    told = {field: _cell(value) for field, value in SOUND[name].items() if value is not False}
    for both, one in (("round_trip_ft", "one_way_ft"), ("both_ways_m", "one_way_m")):
        if both in told:
            told[one] = told.pop(both) / 2
    return told


def _cell(value):
    return ", ".join(map(str, value)) if isinstance(value, list) else value


@pytest.fixture
def theo(technician, client_for):
    return client_for(technician)


def test_every_sum_has_its_page_and_words_for_all_its_outputs_and_margins():
    assert set(PAGES) == set(SUMS) == set(SOUND)
    apart = {"faults", "fault_places", "node_volts", "tee_volts", "warnings", "why", "fault"}
    for name, given in SOUND.items():
        result = run_sum(name, given)
        assert set(result.values) - apart <= set(OUTPUTS), name
        assert set(result.margin) <= set(MARGINS), name
        assert PAGES[name].main in result.values, name


def test_the_list_names_every_sum_and_the_caution(theo, django_assert_max_num_queries):
    with django_assert_max_num_queries(6):
        text = theo.get(reverse("planner:sums")).content.decode()
    assert all(page(name) in text for name in SUMS)
    assert "Estimates, not a survey" in text


@pytest.mark.parametrize("name", SOUND)
def test_a_fresh_form_is_not_yet_wrong(theo, name):
    response = theo.get(page(name))
    assert response.status_code == 200
    assert "answer-head" not in response.content.decode()
    assert 'class="error"' not in response.content.decode()


@pytest.mark.parametrize("name", PLAIN)
def test_an_asked_form_shows_answer_formula_source_and_cautions(theo, name):
    text = theo.get(page(name), typed(name)).content.decode()
    result = run_sum(name, SOUND[name])
    assert "answer-head" in text
    assert all(f"<h3>{head}</h3>" in text for head in ("Margin", "Formula", "Source", "Cautions"))
    assert "An estimate, not a survey" in text
    assert result.source.split(";")[0][:20] in text.replace("&#x27;", "'")


def test_the_run_is_asked_one_way_and_shown_there_and_back(theo):
    text = theo.get(page("conductor"), typed("conductor")).content.decode()
    assert "Run one way, ft" in text
    assert "10.0 ft (3.0 m) one way, 20.0 ft (6.1 m) round trip" in text


def test_wires_by_both_lists_are_shown_where_they_differ(theo):
    text = theo.get(page("conductor"), typed("conductor")).content.decode()
    assert "By the SAE minimum areas: <b>10 AWG</b>" in text
    assert "By the exact AWG areas: <b>12 AWG</b>" in text
    same = typed("conductor") | {"one_way_ft": 1}
    assert "different wires" not in theo.get(page("conductor"), same).content.decode()


@pytest.mark.parametrize(
    ("name", "field", "bad", "words"),
    [
        ("conductor", "amps", "10000", "10000 is too much: at most 5,000 A is taken."),
        ("conductor", "amps", "0", "0 cannot be: it must be more than 0 A."),
        ("conductor", "one_way_ft", "-3", "Counted there and back: -6 cannot be"),
        ("conductor", "one_way_ft", "0", "it must be more than 0 ft."),
        ("conductor", "amps", "ten", "Write a number, for example 12.5."),
        ("conductor", "amps", "nan", "Write a number, for example 12.5."),
        ("conductor", "amps", "1e999", "Write a number, for example 12.5."),
        ("conductor", "insulation_c", "104", "104 is not known: pick one from the list."),
        ("conductor", "bundled", "0", "it must be 1 conductor or more."),
        ("conductor", "bundled", "2.5", "Write a whole number"),
        ("ampacity", "awg", "7", "7 is not known: pick one from the list."),
        ("fuse_colour", "amps", "6", "No blade fuse of 6 A is known"),
        ("link_speed", "mbit_a", "10, 37", "Number 2 of the list: 37 is no Ethernet speed"),
        ("link_speed", "mbit_a", "10, x", "x is not a number."),
        ("fuse_block", "loads_amps", "", "Fill this in."),
        ("splash", "ip", "waterproof", "That is no IP code"),
        ("cutout", "bezel_width_mm", "100", "The bezel cannot be smaller"),
        ("mmsi", "text", "", "Fill this in."),
    ],
)
def test_what_cannot_be_used_stands_beside_its_field_and_nothing_typed_is_lost(
    theo, name, field, bad, words
):
    response = theo.get(page(name), typed(name) | {field: bad})
    text = response.content.decode()
    assert response.status_code == 422
    error = text.split(f'id="id_{field}_error"')[1].split("</p>")[0]
    assert words in error
    if bad and name != "ampacity" and field != "insulation_c":
        assert f'value="{bad}"' in text


def test_every_wrong_field_is_told_at_once(theo):
    wrong = typed("conductor") | {"amps": "10000", "one_way_ft": "-1", "bundled": "0"}
    text = theo.get(page("conductor"), wrong).content.decode()
    assert all(f'id="id_{field}_error"' in text for field in ("amps", "one_way_ft", "bundled"))
    assert 'id="id_volts_error"' not in text


def test_an_unknown_sum_is_not_found_and_nobody_asks_without_a_login(theo, client):
    assert theo.get(page("colour-of-the-sea")).status_code == 404
    assert client.get(page("mmsi")).status_code == 302


BACKBONE = (
    "s=T1~T2~4&s=T2~T3~4&d=T2~2~plotter~5&d=T3~1~wind~2&f=T1~12.6&cable=light"
    "&own_ohm_per_m=&ends=T1, T3"
)


def backbone(theo, query):
    return theo.get(f"{page('backbone')}?{query}")


def test_a_backbone_in_an_address_is_worked_out(theo):
    response = backbone(theo, BACKBONE)
    text = response.content.decode()
    assert response.status_code == 200
    # T2: 12.6 − 2 × 0.053 × 4 m × 0.35 A; plotter: less 2 × 0.053 × 2 m × 0.25 A
    assert "12.4 V" in text
    assert "Meter reads, power off</dt><dd>60 Ω" in text
    assert "Built-in rule:" in text


def test_sent_rows_become_the_address(theo):
    form = {"cable": "heavy", "own_ohm_per_m": "", "ends": "A, B"}
    for field, rows in {
        "segments": [{"from": "A", "to": "B", "metres": "4"}],
        "drops": [{"tee": "B", "metres": "1", "unit": "wind, masthead", "len": "2"}],
        "feeds": [{"tee": "A", "volts": "12"}],
    }.items():
        form |= {f"{field}-TOTAL_FORMS": len(rows) + 2, f"{field}-INITIAL_FORMS": 0}
        for number, row in enumerate(rows):
            form |= {f"{field}-{number}-{key}": value for key, value in row.items()}
    response = theo.post(page("backbone"), form)
    assert response.status_code == 302
    text = theo.get(response.url).content.decode()
    assert "wind, masthead" in text
    assert "Volts at every node" in text


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("T2~T3~4", "T2~T3~0", "it must be more than 0 m."),
        ("T2~T3~4", "T2~T3~-1", "-1 cannot be"),
        ("T2~T3~4", "T2~T3~", "Fill this in."),
        ("T2~T3~4", "T2~T3~long", "Write a number"),
        ("plotter~5", "plotter~-1", "-1 is too small"),
        ("T1~12.6", "T1~230", "230 is too much"),
        ("T1~12.6", "T1~12.6&f=T1~12.6", "fed twice"),
        ("own_ohm_per_m=", "own_ohm_per_m=0", "must be more than 0"),
        ("cable=light", "cable=thick", "Pick one from the list"),
    ],
)
def test_what_is_wrong_in_a_row_stands_beside_its_cell(theo, old, new, words):
    response = backbone(theo, BACKBONE.replace(old, new))
    assert response.status_code == 422
    assert words in response.content.decode().split('class="error"', 1)[1]
    assert "answer-head" not in response.content.decode()


@pytest.mark.parametrize(
    ("query", "words"),
    [
        (BACKBONE + "&s=T3~T1~2", "Ring over tees"),
        (BACKBONE + "&s=X1~X2~2", "Not one network but 2"),
        (BACKBONE.replace("T2~2~plotter", "T2~6.5~plotter"), "The drop from tee T2 to plotter"),
        (BACKBONE + "".join(f"&d=T2~1~u{n}~1" for n in range(49)), "51 nodes"),
        (BACKBONE.replace("ends=T1, T3", "ends=T1"), "1 terminator (on"),
    ],
)
def test_a_ring_joined_networks_long_drops_and_51_nodes_are_named_with_the_place(
    theo, query, words
):
    response = backbone(theo, query)
    assert response.status_code == 200
    assert words in response.content.decode().split("answer-head", 1)[1]


def test_an_empty_sheet_sent_says_what_is_missing(theo):
    form = {"cable": "light", "own_ohm_per_m": "", "ends": ""}
    for field in ("segments", "drops", "feeds"):
        form |= {f"{field}-TOTAL_FORMS": 1, f"{field}-INITIAL_FORMS": 0}
    text = theo.post(page("backbone"), form)
    assert text.status_code == 422
    assert "a backbone has at least one segment" in text.content.decode()
    links = {"links-TOTAL_FORMS": 1, "links-INITIAL_FORMS": 0}
    loops = theo.post(page("ethernet_loops"), links)
    assert loops.status_code == 422
    assert "The list is empty" in loops.content.decode()


def test_so_many_rows_that_no_address_holds_them_are_still_answered(theo):
    rows = 120
    form = {"cable": "light", "own_ohm_per_m": "", "ends": "T0, T120"}
    form |= {f"segments-{n}-from": f"T{n}" for n in range(rows)}
    form |= {f"segments-{n}-to": f"T{n + 1}" for n in range(rows)}
    form |= {f"segments-{n}-metres": "0.5" for n in range(rows)}
    form |= {
        f"drops-{n}-{key}": value
        for n in range(45)
        for key, value in {
            "tee": f"T{n}",
            "metres": "1",
            "unit": f"unit {n} of many",
            "len": "1",
        }.items()
    }
    form |= {"feeds-0-tee": "T60", "feeds-0-volts": "13"}
    for field, count in (("segments", rows), ("drops", 45), ("feeds", 1)):
        form |= {f"{field}-TOTAL_FORMS": count, f"{field}-INITIAL_FORMS": 0}
    response = theo.post(page("backbone"), form)
    assert response.status_code == 200
    assert "cannot be shared by its address" in response.content.decode()


@pytest.fixture
def recorded(shop):
    boat = BoatFactory(shop=shop, name="Grebe")
    line = BackboneFactory(boat=boat, name="Main")
    place = LocationFactory(boat=boat)
    tees = [
        TeeFactory(backbone=line, name=f"T{n}", position=n, location=place, terminated=n != 2)
        for n in (1, 2, 3)
    ]
    for one, other in ((0, 1), (1, 2)):
        SegmentFactory(backbone=line, from_tee=tees[one], to_tee=tees[other], metres=4)
    FeedFactory(tee=tees[0], volts="12.6")
    DropFactory(tee=tees[1], unit=None, node="wind", metres=2, load_units=2)
    return boat


def test_a_boats_recorded_backbone_fills_the_form_and_is_worked_out(theo, recorded):
    response = theo.get(page("backbone"), {"boat": recorded.pk})
    assert response.status_code == 302
    text = theo.get(response.url).content.decode()
    assert "answer-head" in text
    assert 'value="wind"' in text


def test_what_the_record_does_not_know_is_asked_for_beside_its_cell(theo, recorded):
    recorded.backbones.get().tees.get(name="T2").drops.update(load_units=None)
    answered = theo.get(page("backbone"), {"boat": recorded.pk}, follow=True)
    assert answered.status_code == 422
    assert "Fill this in." in answered.content.decode()


def test_two_backbones_are_told_apart_and_none_is_said(theo, recorded, shop):
    TeeFactory(backbone=BackboneFactory(boat=recorded, name="Engine room"))
    text = theo.get(page("backbone"), {"boat": recorded.pk}).content.decode()
    assert "more than one" in text
    bare = BoatFactory(shop=shop, name="Bare Bones")
    text = theo.get(page("backbone"), {"boat": bare.pk}).content.decode()
    assert "Bare Bones has nothing recorded for this sum" in text


def test_another_shops_boat_fills_nothing(recorded, stranger, client_for):
    response = client_for(stranger).get(page("backbone"), {"boat": recorded.pk})
    assert response.status_code == 422
    assert "wind" not in response.content.decode()


def test_filling_from_a_boat_takes_a_fixed_number_of_queries(
    theo, recorded, django_assert_num_queries
):
    def ask():
        theo.get(page("backbone"), {"boat": recorded.pk})

    ask()
    with django_assert_num_queries(11) as few:
        ask()
    tee = recorded.backbones.get().tees.get(name="T2")
    for name in ("speed", "depth"):
        DropFactory(tee=tee, unit=None, node=name, metres=2, load_units=1)
    with django_assert_num_queries(len(few)):
        ask()


def test_cables_among_switches_are_taken_from_the_boat(theo, shop):
    boat = BoatFactory(shop=shop)
    ends = [
        UnitFactory(boat=boat, name=name, model__kind="switch", model__bridges=True)
        for name in ("sw1", "sw2")
    ]
    for number in (1, 2):
        cable = CableFactory(boat=boat, label=f"N{number}")
        for side, unit in zip("ab", ends, strict=True):
            CableEndFactory(cable=cable, side=side, unit=unit, port=number)
    text = theo.get(page("ethernet_loops"), {"boat": boat.pk}, follow=True).content.decode()
    assert "Two cables join sw" in text


def api(client, name, given):
    return client.get(reverse("api:sum", args=[name]), {"in": json.dumps(given)})


@pytest.mark.parametrize("name", SOUND)
def test_the_api_answers_as_the_command_line_does(theo, name):
    told = api(theo, name, SOUND[name]).json()
    expected = json.loads(json.dumps(run_sum(name, SOUND[name]).as_dict()))
    assert {key: told[key] for key in expected} == expected
    assert "local_rules" in told


def test_the_api_lists_all_sums_with_units_and_defaults(theo):
    told = {row["name"]: row for row in theo.get(reverse("api:sums")).json()["sums"]}
    assert set(told) == set(SUMS)
    inputs = {row["name"]: row for row in told["conductor"]["inputs"]}
    assert inputs["bundled"]["default"] == 2
    assert "default" not in inputs["amps"]


def test_the_api_names_the_field_that_is_wrong(theo, client, stranger):
    wrong = api(theo, "bus_units", {"draw_ma": -1})
    assert wrong.status_code == 422
    assert wrong.json()["field"] == "draw_ma"
    assert api(theo, "bus_units", []).json()["field"] == "in"
    assert theo.get(reverse("api:sum", args=["mmsi"]), {"in": "{"}).json()["field"] == "in"
    assert theo.get(reverse("api:sum", args=["mmsi"])).status_code == 422
    assert api(theo, "sea", {}).status_code == 404
    assert client.get(reverse("api:sums")).status_code == 403


def test_a_shops_own_rule_shows_on_page_and_api_and_chooses_the_areas(theo, shop):
    SumRules.objects.create(shop=shop, areas="awg", drop_percent=1)
    asked = {key: value for key, value in typed("conductor").items() if key != "areas"}
    text = theo.get(page("conductor"), asked).content.decode()
    assert "The shop&#x27;s own rule:" in text or "The shop's own rule:" in text
    assert "At 1 % drop: 6 AWG." in text
    given = {key: value for key, value in SOUND["conductor"].items() if key != "areas"}
    told = api(theo, "conductor", given).json()
    assert told["inputs"]["areas"] == "awg"
    assert told["awg"] == "12"
    assert told["local_rules"][0]["own"] is True
    assert told["by_areas"] == {"sae": "10", "awg": "12"}
    fresh = theo.get(page("conductor")).content.decode()
    assert '<option value="awg" selected>' in fresh
