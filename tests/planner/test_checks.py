"""Checks of a plan on a boat: what the records say is judged, what they do not say is asked for."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from planner.checks import check_plans, open_measurements
from planner.checks.shown import CheckMarks, Ranked, count_words, marks_of, rank, turned
from planner.picture import plan_picture, plan_rows, plan_sheet
from planner.plans import plan_columns
from planner.services import start_plan
from planner.sheet import option_columns
from shopapp.boats.models import Backbone, Bank, Drop, Feed, Segment, Tee
from tests.factories.catalog import FuseFactory, PartFactory
from tests.planner.worlds import World, add, two_displays

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop) -> World:
    return two_displays(shop)


def sell(shop) -> None:
    for number, use, size, cents in (
        ("W-16", "wire", "16", 40),
        ("W-12", "wire", "12", 80),
        ("T-16", "terminal", "16", 50),
        ("T-12", "terminal", "12", 60),
        ("H-1", "fuse_holder", "", 900),
        ("C-1", "cap", "", 300),
        ("L-1", "label", "", 500),
    ):
        PartFactory(
            shop=shop, number=number, name=number, kind="small", use=use, size=size,
            price_cents=cents, pieces=20 if use == "label" else 1,
        )  # fmt: skip
    FuseFactory(shop=shop, number="F-5", fuse_ma=5000)


def planned(world: World, *wishes):
    run = start_plan(boat=world.boat, wishes=world.wishes(*(wishes or (add(),))), by=None)
    return run, [column.plan for column in plan_columns(run.answer)]


def checked(world: World, *, taken=(), **_):
    run, plans = planned(world)
    return check_plans(boat=run.boat, case=run.case, plans=plans[:1], taken=[taken])[0]


def found(checks, kind, about=None):
    return next(
        f
        for f in checks["findings"]
        if f["kind"] == kind and (about is None or f["about"] == about)
    )


def test_a_bare_record_is_not_known_and_never_good(world):
    checks = checked(world)
    assert checks["worst"] in {"unknown", "stop"}
    new = found(checks, "drop", "new-1") if has(checks, "drop", "new-1") else found(checks, "drop")
    assert new["state"] == "unknown"
    assert new["measures"]
    assert checks["measures"]


def has(checks, kind, about):
    return any(f["kind"] == kind and f["about"] == about for f in checks["findings"])


def new_unit(plans):
    return next(unit["unit"] for unit in plans[0]["units"] if unit["fate"] == "added")


def test_a_new_feed_is_laid_from_the_bank_and_its_small_parts_are_counted(world, shop):
    sell(shop)
    bank = Bank.objects.get(boat=world.boat)
    bank.location = world.places["console"]
    bank.save()
    run, plans = planned(world)
    display = next(
        unit["unit"]
        for unit in plans[0]["units"]
        if unit["fate"] == "added" and unit["location"] == "bow"
    )
    checks = check_plans(boat=run.boat, case=run.case, plans=plans[:1])[0]
    drop = found(checks, "drop", display)
    assert drop["state"] == "good"
    assert "14 ft (28 ft round trip)" in drop["words"]
    counted = {(need["use"], need["size"]): need for need in checks["kit"]}
    wire = counted["wire", "16"]
    slack = shop.slack_ft
    assert wire["count"] >= 2 * (14 + slack)
    assert all(need["why"] for need in checks["kit"])
    charged = sum(need["cents"] for need in checks["kit"] if not need["supply"])
    assert checks["kit_cents"] == charged > 0


def test_a_remedy_has_parts_minutes_and_a_price_and_taken_it_cures(world, shop):
    sell(shop)
    unit = world.units["d1"]
    unit.wire_awg, unit.wire_run_ft, unit.bank = "18", 60, Bank.objects.get(boat=world.boat)
    unit.wire_insulation_c = 105
    unit.save()
    checks = checked(world)
    drop = found(checks, "drop", "d1")
    assert drop["state"] == "stop"
    (remedy,) = drop["remedies"]
    assert remedy["key"] == "wire:d1"
    assert remedy["minutes"] > 0
    rate = shop.labour_cents_per_minute
    parts = sum(need["cents"] for need in remedy["needs"])
    assert remedy["cents"] == parts + remedy["minutes"] * rate
    assert found(checked(world, taken=["wire:d1"]), "drop", "d1")["state"] == "good"


def test_a_part_that_the_shop_does_not_sell_has_no_price_and_says_so(world):
    unit = world.units["d1"]
    unit.wire_awg, unit.wire_run_ft, unit.bank = "18", 60, Bank.objects.get(boat=world.boat)
    unit.save()
    (remedy,) = found(checked(world), "drop", "d1")["remedies"]
    assert remedy["priced"] is False


def test_a_measurement_entered_settles_its_check(world):
    run, plans = planned(world)
    before = {m["key"] for m in open_measurements(boat=run.boat, case=run.case, plan=plans[0])}
    assert {"awg:d2", "run:d2", "exposure:console"} <= before
    unit, place = world.units["d2"], world.places["console"]
    unit.wire_awg, unit.wire_run_ft = "10", 4
    unit.save()
    place.exposure = "dry"
    place.save()
    after = {m["key"] for m in open_measurements(boat=run.boat, case=run.case, plan=plans[0])}
    assert not {"awg:d2", "run:d2", "exposure:console"} & after


def test_a_unit_that_left_since_is_not_judged(world):
    run, plans = planned(world)
    world.units["d2"].state = "removed"
    world.units["d2"].save()
    checks = check_plans(boat=run.boat, case=run.case, plans=plans[:1])[0]
    assert not any(f["about"] == "d2" for f in checks["findings"])


def backbone(world, *, metres, terminated=(True, True), load=2):
    bone = Backbone.objects.create(boat=world.boat, name="Bus", measured_ohms=60)
    tees = [
        Tee.objects.create(
            backbone=bone, name=f"T{n}", position=n, location=world.places["console"],
            terminated=ended,
        )
        for n, ended in ((1, terminated[0]), (2, False), (3, terminated[1]))
    ]  # fmt: skip
    for one, other in ((0, 1), (1, 2)):
        Segment.objects.create(backbone=bone, from_tee=tees[one], to_tee=tees[other], metres="2.0")
    Drop.objects.create(tee=tees[1], unit=world.units["d2"], metres=metres, load_units=load)
    Feed.objects.create(tee=tees[1], fuse_ma=3000, volts="12.6")
    return bone


def test_a_drop_too_long_is_named_with_its_place(world):
    backbone(world, metres="7.5")
    checks = checked(world)
    drop = found(checks, "bus_drop_too_long")
    assert drop["state"] == "stop"
    assert drop["place"] == "console"
    assert "7.5 m" in drop["words"]


def test_a_drop_kept_as_nought_was_not_measured(world):
    backbone(world, metres="0")
    drop = found(checked(world), "bus_drop_length")
    assert drop["state"] == "unknown"
    assert drop["measures"][0]["key"] == "drop:d2"


def test_a_sound_backbone_is_good(world):
    backbone(world, metres="2")
    states = {f["state"] for f in checked(world)["findings"] if f["kind"].startswith("bus_")}
    assert states == {"good"}


def test_the_reads_do_not_grow_with_the_boat(world):
    run, plans = planned(world)
    few = queries(run, plans[:1])
    for number in range(3, 6):
        world.fit(f"d{number}", "display-r", networked=False)
    backbone(world, metres="2")
    more, plans = planned(world)
    assert few == queries(more, plans) <= 13


def queries(run, plans) -> int:
    with CaptureQueriesContext(connection) as asked:
        check_plans(boat=run.boat, case=run.case, plans=plans)
    return len(asked)


def test_a_switch_half_way_is_priced_as_the_switch_of_its_kind(world, shop):
    sell(shop)
    run, plans = planned(world)
    plan, switch = next(
        (plan, unit["unit"])
        for plan in plans
        for unit in plan["units"]
        if unit["model"] == "switch-b"
    )
    # The way turned out longer than the route that was planned with.
    run.case["boat"]["routes"][0]["feet"] = 34
    asked = {"boat": run.boat, "case": run.case, "plans": [plan]}
    short = next(
        finding
        for finding in check_plans(**asked)[0]["findings"]
        if finding["kind"] == "run"
        and switch in finding["about"].split("--")
        and finding["state"] == "stop"
    )
    assert short["state"] == "stop"
    (remedy,) = short["remedies"]
    part = world.models["switch-b"].part
    counted = {need["use"]: need for need in remedy["needs"]}
    assert (counted["switch"]["part"], counted["switch"]["cents"]) == (part.pk, part.price_cents)
    assert counted["cable"]["quantity"] == 2
    parts = sum(need["cents"] for need in remedy["needs"])
    assert remedy["cents"] == parts + remedy["minutes"] * shop.labour_cents_per_minute
    after = check_plans(**asked, taken=[[remedy["key"]]])[0]
    assert found(after, "run", short["about"])["state"] == "good"


def with_costs(kit, remedies):
    return {"kit_cents": kit, "remedy_cents": remedies, "counts": [], "findings": []}


def test_remedies_that_make_another_option_the_best_buy_are_said_in_words(world):
    run, _ = planned(world)
    columns = option_columns(run.case, run.answer, run.assumptions)[:2]
    dear = columns[1].plan["total_cents"] - columns[0].plan["total_cents"] + 100
    same = [with_costs(0, 0), with_costs(0, 0)]
    other = [with_costs(0, dear), with_costs(0, 0)]
    assert turned(columns, rank(columns, same)) == ""
    ranked = rank(columns, other)
    assert [row.column.number for row in ranked] == [2, 1]
    assert "Option 2 is the best buy" in turned(columns, ranked)
    assert isinstance(ranked[0], Ranked)


def test_the_drawing_is_marked_with_the_worst_and_never_with_good(world):
    checks = checked(world)
    marks = marks_of(checks)
    every = [*marks.units.values(), *marks.runs.values(), *marks.backbones.values()]
    every += [mark for _, _, mark in marks.banks]
    assert every
    assert all(state != "good" for state, _ in every)
    assert marks_of(None) == CheckMarks()
    assert count_words(checks)


def test_a_bank_a_backbone_and_a_cable_are_marked_each_as_what_they_are(world):
    backbone(world, metres="7.5")
    Bank.objects.filter(boat=world.boat).update(block_a=1, location=world.places["console"])
    unit = world.units["d1"]
    unit.bank = Bank.objects.get(boat=world.boat)
    unit.save()
    run, plans = planned(world)
    (checks,) = check_plans(boat=run.boat, case=run.case, plans=plans[:1])
    facts = {"case": run.case, "plan": plans[0], "boat": run.boat, "marks": marks_of(checks)}
    sheet = plan_sheet(**facts)
    (bone,) = sheet.backbone
    assert bone.check == ("stop", "Stop: drop length")
    (bank,) = sheet.banks
    assert (bank.place, bank.check[0]) == ("console", "stop")
    assert "fuse block" in bank.check[1]
    assert {run.check[0] for run in sheet.runs} <= {"", "look", "unknown", "stop"}
    rows = {row["what"]: row for row in plan_rows(**facts)}
    assert rows["Backbone"]["fate"] == "Stop: drop length"
    assert rows["Battery bank"]["where"] == "console"
    assert "Stop: drop length" in plan_picture(**facts, key="one")


def test_the_page_of_a_plan_shows_checks_small_parts_and_what_to_measure(world, writer, client):
    client.force_login(writer)
    run, _ = planned(world)
    page = client.get(f"/plans/{run.pk}/").content.decode()
    assert "Power, backbone, runs and places" in page
    assert "Not known" in page
    assert "not a survey" in page
    assert "Ranked with small parts and remedies" in page
