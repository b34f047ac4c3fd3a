"""Sheets of cables and backbone: ports that are there, one cable in each, tees in order."""

from collections.abc import Callable

import pytest
from django.test import Client

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, CableEnd, Evidence, Tee
from shopapp.boats.services.backbone import tee_rows
from tests.boats.aboard import seen, sheet
from tests.factories.boats import (
    BackboneFactory,
    BoatFactory,
    CableFactory,
    LocationFactory,
    UnitFactory,
)
from tests.factories.catalog import CablePartFactory, SwitchFactory


@pytest.fixture
def boat(shop: Shop) -> Boat:
    return BoatFactory(shop=shop)


@pytest.fixture
def desk(technician: User, client_for: Callable[[User], Client]) -> Client:
    return client_for(technician)


def send(desk: Client, boat: Boat, section: str, *parts: dict[str, str], **bar: str) -> object:
    data = {**seen(boat, **bar)}
    for part in parts:
        data |= part
    return desk.post(f"/boats/{boat.pk}/survey/{section}/", data)


def text_of(answer: object) -> str:
    return answer.content.decode()


@pytest.fixture
def network(boat: Boat, shop: Shop) -> dict[str, object]:
    switch = UnitFactory(boat=boat, name="sw1", model=SwitchFactory(shop=shop, ports=5))
    units = [UnitFactory(boat=boat, name=f"d{n}") for n in (1, 2)]
    return {"sw1": switch, "d1": units[0], "d2": units[1], "part": CablePartFactory(shop=shop)}


def cable_row(network: dict, a: tuple, b: tuple, **facts: object) -> dict:
    return {
        "part": network["part"].pk,
        "end_a": f"u{network[a[0]].pk}",
        "port_a": a[1],
        "end_b": f"u{network[b[0]].pk}",
        "port_b": b[1],
        **facts,
    }


def test_cables_go_from_port_to_port_and_lie_where_their_units_are(
    desk: Client, boat: Boat, network: dict
) -> None:
    rows = [
        cable_row(network, ("sw1", 1), ("d1", 1)),
        cable_row(network, ("sw1", 2), ("d2", 1), label="bow-run"),
    ]
    answer = send(desk, boat, "cables", sheet("cables", rows))
    assert answer.status_code == 302, text_of(answer)
    assert list(boat.cables.values_list("label", flat=True)) == ["bow-run", "c1"]
    end = CableEnd.objects.get(cable__label="c1", side="b")
    assert (end.unit, end.port, end.location) == (network["d1"], 1, network["d1"].location)
    facts = Evidence.objects.filter(cable__label="c1").values_list("fact", "value")
    assert dict(facts) == {"part": network["part"].number, "end_a": "sw1:1", "end_b": "d1:1"}


@pytest.mark.parametrize(
    ("second", "words"),
    [
        ((("sw1", 1), ("d2", 1)), "Port 1 of sw1 is taken by cable row 1 end A."),
        ((("sw1", 6), ("d2", 1)), "has ports 1 to 5 only"),
        ((("d2", 1), ("d2", 1)), "a cable joins two units"),
        ((("sw1", ""), ("d1", "")), "d1 has 1 port, and cables above are in all of them"),
        ((("sw1", 0), ("d2", 1)), "Ports count from 1."),
    ],
)
def test_ports_that_cannot_be_are_named_beside_their_cell(
    desk: Client, boat: Boat, network: dict, second: tuple, words: str
) -> None:
    rows = [cable_row(network, ("sw1", 1), ("d1", 1)), cable_row(network, *second)]
    answer = send(desk, boat, "cables", sheet("cables", rows))
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert boat.cables.count() == 0


def test_a_unit_of_another_boat_is_no_end(
    desk: Client, boat: Boat, network: dict, shop: Shop
) -> None:
    network["other"] = UnitFactory(boat__shop=shop)
    row = cable_row(network, ("sw1", 1), ("other", 1))
    answer = send(desk, boat, "cables", sheet("cables", [row]))
    assert answer.status_code == 422
    assert "Choose a unit or location of this boat." in text_of(answer)


def test_two_cables_swap_their_ports_in_one_save(desk: Client, boat: Boat, network: dict) -> None:
    one = CableFactory(
        boat=boat, part=network["part"], ends=[(network["sw1"], 1), (network["d1"], 1)]
    )
    two = CableFactory(
        boat=boat, part=network["part"], ends=[(network["sw1"], 2), (network["d2"], 1)]
    )
    rows = [
        cable_row(network, ("sw1", 2), ("d1", 1), pk=one.pk, label=one.label),
        cable_row(network, ("sw1", 1), ("d2", 1), pk=two.pk, label=two.label),
    ]
    answer = send(desk, boat, "cables", sheet("cables", rows, initial=2))
    assert answer.status_code == 302, text_of(answer)
    assert one.ends.get(side="a").port == 2
    assert two.ends.get(side="a").port == 1


def test_a_struck_cable_is_retired_and_its_port_is_free(
    desk: Client, boat: Boat, network: dict
) -> None:
    old = CableFactory(
        boat=boat, part=network["part"], ends=[(network["sw1"], 1), (network["d1"], 1)]
    )
    rows = [
        {**cable_row(network, ("sw1", 1), ("d1", 1), pk=old.pk, label=old.label), "DELETE": "on"},
        cable_row(network, ("sw1", 1), ("d1", 1)),
    ]
    assert send(desk, boat, "cables", sheet("cables", rows, initial=1)).status_code == 302
    old.refresh_from_db()
    assert old.retired_at is not None
    assert boat.cables.filter(retired_at=None).count() == 1


BONE = {"bone-name": "Backbone", "bone-cable": "light", "bone-measured_ohms": "60"}


def test_a_backbone_is_one_row_a_tee(desk: Client, boat: Boat, network: dict) -> None:
    place = LocationFactory(boat=boat)
    rows = [
        {"location": place.pk, "terminated": "on", "feeds": "on", "fuse_ma": 3, "volts": "12.6"},
        {
            "location": place.pk,
            "run_m": "0.5",
            "unit": network["d1"].pk,
            "drop_m": "1.0",
            "load_units": 2,
        },
        {"location": place.pk, "run_m": "2", "terminated": "on", "node": "wind vane"},
    ]
    answer = send(desk, boat, "backbone", sheet("tees", rows), BONE)
    assert answer.status_code == 302, text_of(answer)
    bone = boat.backbones.get()
    tees = list(bone.tees.all())
    assert [tee.name for tee in tees] == ["T1", "T2", "T3"]
    assert [str(run.metres) for run in bone.segments.all()] == ["0.50", "2.00"]
    assert tees[1].drops.get().unit == network["d1"]
    feed = tees[0].feeds.get()
    assert (feed.fuse_ma, str(feed.volts)) == (3000, "12.6")
    assert tee_rows(backbone=bone)[0].volts == feed.volts
    row = bone.evidence.get(fact="tees")
    assert row.value == "3 tees, 2 terminators, 1 feeds: d1, wind vane"


def test_volts_without_a_feed_are_refused(desk: Client, boat: Boat) -> None:
    rows = [{"location": LocationFactory(boat=boat).pk, "volts": "12.6"}]
    answer = send(desk, boat, "backbone", sheet("tees", rows), BONE)
    assert "a fuse, cut-off or volts are noted" in text_of(answer)


def test_saving_a_backbone_unchanged_lays_nothing_anew(
    desk: Client, boat: Boat, network: dict
) -> None:
    place = LocationFactory(boat=boat)
    rows = [{"location": place.pk, "terminated": "on", "unit": network["d1"].pk}]
    send(desk, boat, "backbone", sheet("tees", rows), BONE)
    tee = Tee.objects.get()
    again = [{**rows[0], "pk": 1, "name": "T1"}]
    assert send(desk, boat, "backbone", sheet("tees", again, initial=1), BONE).status_code == 302
    assert Tee.objects.get().pk == tee.pk


def test_a_second_backbone_of_the_same_name_is_refused(desk: Client, boat: Boat) -> None:
    BackboneFactory(boat=boat, name="Backbone")
    data = {**seen(boat), **sheet("tees", []), **BONE}
    answer = desk.post(f"/boats/{boat.pk}/survey/backbone/?bone=new", data)
    assert answer.status_code == 422
    assert "has a backbone of that name already" in text_of(answer)
