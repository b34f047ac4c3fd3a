"""Checks kept with a quote's option: remedies taken by one press, let go, looked at again."""

import pytest

from planner.services import start_plan
from shopapp.boats.models import Bank, Feed
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Quote
from shopapp.jobs.quote_pages import remedies_turn
from shopapp.jobs.services import checks, lines
from shopapp.jobs.services.opening import open_job
from shopapp.jobs.services.quotes import create_quote, revise_quote
from shopapp.jobs.services.surveys import answer_item, make_survey
from shopapp.jobs.surveying.aboard import Aboard
from shopapp.jobs.surveying.measured import points_of_measure
from tests.factories.catalog import PartFactory
from tests.planner.test_checks import backbone
from tests.planner.worlds import add, two_displays

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop):
    found = two_displays(shop)
    for number, use, size, cents in (
        ("W-12", "wire", "12", 80),
        ("W-16", "wire", "16", 40),
        ("W-10", "wire", "10", 90),
        ("T-1", "terminal", "", 50),
        ("H-1", "fuse_holder", "", 900),
        ("L-1", "label", "", 500),
    ):
        kind = "supply" if use == "label" else "small"
        PartFactory(
            shop=shop, number=number, name=number, kind=kind, use=use, size=size,
            price_cents=cents,
        )  # fmt: skip
    bank = Bank.objects.get(boat=found.boat)
    bank.location = found.places["console"]
    bank.save()
    unit = found.units["d1"]
    unit.wire_awg, unit.wire_run_ft, unit.wire_insulation_c, unit.bank = "18", 30, 105, bank
    unit.save()
    return found


@pytest.fixture
def quote(world, writer) -> Quote:
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    return create_quote(run=run, by=writer)


def first(quote):
    return quote.options.get(position=1)


def drop_of(option):
    return next(f for f in option.checks["findings"] if f["kind"] == "drop" and f["about"] == "d1")


def test_every_option_keeps_its_checks_and_charges_its_small_parts(quote):
    for option in quote.options.all():
        assert option.checks["findings"]
    option = first(quote)
    small = {row.part.number: row for row in option.lines.filter(part__isnull=False)}
    assert small["W-16"].quantity >= 30
    assert "there and back" in small["W-16"].why
    assert small["W-16"].total_cents == 40 * small["W-16"].quantity


def test_what_is_in_the_shop_supplies_is_counted_and_not_charged_twice(quote):
    label = first(quote).lines.get(part__number="L-1")
    assert label.total_cents == 0
    assert "shop supplies" in label.why


def test_a_remedy_goes_onto_the_quote_with_its_parts_and_minutes(quote):
    option = first(quote)
    before = option.total_cents
    assert drop_of(option)["state"] == "stop"
    key = drop_of(option)["remedies"][0]["key"]
    remedy = checks.take_remedy(option=option, key=key, seen=quote.version)
    option.refresh_from_db()
    rows = option.lines.filter(remedy=key)
    assert {row.part.use for row in rows if row.part} >= {"wire", "terminal", "fuse_holder"}
    assert sum(row.minutes for row in rows) == remedy["minutes"] > 0
    assert option.total_cents > before
    assert drop_of(option)["state"] == "good"
    assert option.checks["taken"] == [key]


def test_let_go_it_leaves_whole_and_the_check_is_bad_again(quote):
    option = first(quote)
    before = option.total_cents
    key = drop_of(option)["remedies"][0]["key"]
    checks.take_remedy(option=option, key=key, seen=quote.version)
    quote.refresh_from_db()
    line = option.lines.filter(remedy=key).first()
    checks.let_go_remedy(line=line, seen=quote.version)
    option.refresh_from_db()
    assert not option.lines.filter(remedy=key).exists()
    assert option.total_cents == before
    assert drop_of(option)["state"] == "stop"


def test_a_remedy_is_taken_once(quote):
    option = first(quote)
    key = drop_of(option)["remedies"][0]["key"]
    checks.take_remedy(option=option, key=key, seen=quote.version)
    quote.refresh_from_db()
    with pytest.raises(FactRefused):
        checks.take_remedy(option=option, key=key, seen=quote.version)
    assert option.lines.filter(remedy=key, kind="labour").count() == 1


def test_what_nothing_proposes_is_refused_and_writes_nothing(quote):
    option = first(quote)
    count = option.lines.count()
    with pytest.raises(FactRefused):
        checks.take_remedy(option=option, key="wire:nobody", seen=quote.version)
    assert option.lines.count() == count


def test_somebody_elses_edit_is_not_written_over(quote):
    option = first(quote)
    key = drop_of(option)["remedies"][0]["key"]
    with pytest.raises(StaleRecord):
        checks.take_remedy(option=option, key=key, seen=quote.version + 5)


def test_a_sent_quote_does_not_change(quote):
    option = first(quote)
    key = drop_of(option)["remedies"][0]["key"]
    Quote.objects.filter(pk=quote.pk).update(state="sent")
    with pytest.raises(MoveRefused):
        checks.take_remedy(option=option, key=key, seen=quote.version)
    with pytest.raises(MoveRefused):
        checks.look_again(quote=quote, seen=quote.version)


def test_what_was_measured_since_counts_when_it_is_looked_at_again(quote, world):
    unit = world.units["d1"]
    unit.wire_awg = "8"
    unit.save()
    assert drop_of(first(quote))["state"] == "stop"
    checks.look_again(quote=quote, seen=quote.version)
    assert drop_of(first(quote))["state"] == "good"


def test_a_revision_keeps_the_remedies(quote, writer):
    option = first(quote)
    key = drop_of(option)["remedies"][0]["key"]
    checks.take_remedy(option=option, key=key, seen=quote.version)
    quote.refresh_from_db()
    fresh = revise_quote(quote=quote, by=writer)
    assert checks.remedies_taken(first(fresh).lines.all()) == [key]
    assert drop_of(first(fresh))["state"] == "good"


def test_the_job_knows_the_checks_with_the_remedies_that_were_agreed(quote, writer):
    option = first(quote)
    key = drop_of(option)["remedies"][0]["key"]
    checks.take_remedy(option=option, key=key, seen=quote.version)
    quote.refresh_from_db()
    option.refresh_from_db()
    job = open_job(quote=quote, option=option, by=writer)
    assert drop_of(job)["state"] == "good"
    assert job.pick_lists.get().lines.filter(part__use="wire").exists()


def test_adding_a_line_of_ones_own_leaves_remedies_alone(quote):
    option = first(quote)
    lines.add_line(option=option, facts={"kind": "outside", "description": "Lift", "quantity": 1})
    assert checks.remedies_taken(option.lines.all()) == []


def test_remedies_that_make_another_option_cheapest_are_said(quote):
    options = list(quote.options.all())
    assert remedies_turn(options[:1]) == ""
    one, other = sorted(options[:2], key=lambda option: option.total_cents)
    one.checks = {"remedy_cents": other.total_cents - one.total_cents + 1}
    other.checks = None
    words = remedies_turn([one, other])
    assert f"option {other.position} is the cheapest" in words


def test_what_a_check_waits_for_is_asked_on_the_survey_sheet_and_its_answer_settles_it(
    quote, world, writer
):
    survey = make_survey(boat=quote.boat, by=writer, quote=quote)
    unit, place = world.units["d2"], world.places["console"]
    asked = {(item.slot, item.subject, item.fact): item for item in survey.items.all()}
    for key, value in (
        (("unit", unit.pk, "wire_awg"), "10"),
        (("unit", unit.pk, "wire_run_ft"), "6"),
        (("unit", unit.pk, "bank"), "House"),
        (("location", place.pk, "exposure"), "dry"),
    ):
        answer_item(item=asked[key], value=value, how="seen", by=writer)
    unit.refresh_from_db()
    place.refresh_from_db()
    assert (unit.wire_awg, unit.wire_run_ft, unit.bank.name) == ("10", 6, "House")
    assert place.exposure == "dry"
    quote.refresh_from_db()
    checks.look_again(quote=quote, seen=quote.version)
    drop = next(
        f for f in first(quote).checks["findings"] if f["kind"] == "drop" and f["about"] == "d2"
    )
    assert drop["state"] == "good"


def test_what_the_backbone_waits_for_is_asked_and_its_answer_settles_it(world, shop, writer):
    bone = backbone(world, metres="0")
    Feed.objects.update(volts=None, fuse_ma=None)
    bone.measured_ohms = None
    bone.save()
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    quote = create_quote(run=run, by=writer)
    survey = make_survey(boat=quote.boat, by=writer, quote=quote)
    asked = {item.fact: item for item in survey.items.filter(slot="backbone")}
    for fact, value in (
        ("measured_ohms", "60"), ("drop to d2", "2.5"), ("feed_volts", "12.6"),
        ("feed_fuse_ma", "3"),
    ):  # fmt: skip
        answer_item(item=asked[fact], value=value, how="seen", by=writer)
    feed = Feed.objects.get()
    assert (feed.fuse_ma, float(feed.volts)) == (3000, 12.6)
    quote.refresh_from_db()
    checks.look_again(quote=quote, seen=quote.version)
    found = [f for f in first(quote).checks["findings"] if f["kind"].startswith("bus_")]
    assert {f["state"] for f in found} == {"good"}


def test_an_answer_that_no_drop_has_is_refused(world, writer):
    backbone(world, metres="0")
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    survey = make_survey(boat=world.boat, by=writer, quote=create_quote(run=run, by=writer))
    item = survey.items.get(fact="drop to d2")
    with pytest.raises(FactRefused, match=r"0\.05 to 90 m"):
        answer_item(item=item, value="0", how="seen", by=writer)


@pytest.mark.parametrize(
    ("place", "slot", "fact"),
    [("bow – console", "route", "feet"), ("console – stern", "boat", "way console – stern")],
)
def test_a_way_is_asked_by_its_route_or_where_none_is_noted_in_words(world, place, slot, fact):
    world.boat.locations.create(name="stern")
    measure = {"key": "way:d1--d2", "what": "", "section": "places", "place": place}
    (point,) = points_of_measure(measure, Aboard(world.boat))
    assert (point.slot, point.fact) == (slot, fact)
    assert "along the real way" in point.question


class TestPages:
    def test_the_quote_offers_each_remedy_by_one_button(self, quote, writer, client):
        client.force_login(writer)
        page = client.get(f"/quotes/{quote.pk}/?option=1").content.decode()
        assert "Take it" in page
        assert "wire:d1" in page
        assert "not a survey" in page

    def test_one_press_puts_it_on_the_quote(self, quote, writer, client):
        client.force_login(writer)
        option = first(quote)
        key = drop_of(option)["remedies"][0]["key"]
        answer = client.post(
            f"/quotes/options/{option.pk}/remedy/", {"key": key, "version": quote.version},
            follow=True,
        )  # fmt: skip
        assert "On the quote: Lay the feed of d1 anew" in answer.content.decode()
        assert option.lines.filter(remedy=key).exists()

    def test_a_press_on_an_old_page_says_so(self, quote, writer, client):
        client.force_login(writer)
        option = first(quote)
        answer = client.post(
            f"/quotes/options/{option.pk}/remedy/", {"key": "wire:d1", "version": 99},
            follow=True,
        )  # fmt: skip
        assert "Somebody else changed the quote" in answer.content.decode()

    def test_the_wrong_role_and_the_stranger_are_kept_out(
        self, quote, technician, stranger, client
    ):
        option = first(quote)
        address = f"/quotes/options/{option.pk}/remedy/"
        client.force_login(technician)
        assert client.post(address, {"key": "wire:d1"}).status_code == 403
        client.force_login(stranger)
        assert client.post(address, {"key": "wire:d1"}).status_code == 404
        assert client.post(f"/quotes/{quote.pk}/checks/").status_code == 404
