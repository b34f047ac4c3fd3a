"""Accepting a quote: once, whole, and unchanged ever after."""

from datetime import timedelta

import pytest

from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Document, Job, PickLine, PickList, Quote, QuoteLine, WorkStep
from shopapp.jobs.services import acceptance, naming, opening, quotes
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.sending import send_quote
from shopapp.stock.models import StockItem
from tests.factories.jobs import make_quote, put_in_stock, third_display

LINK = "https://desk.example/q/{token}/"


def send(quote: Quote, by) -> Quote:
    move_quote(quote=quote, after="ready", by=by)
    send_quote(quote=quote, by=by, link=LINK, subject_ok=True)
    return Quote.objects.get(pk=quote.pk)


@pytest.fixture
def sent(writer) -> Quote:
    return send(make_quote(writer), writer)


def accept(quote: Quote, **changes) -> Job:
    facts = {
        "quote": quote,
        "option": quote.options.get(position=1),
        "name": "Odile Farrow",
        "address": "203.0.113.7",
    }
    return acceptance.accept_quote(**{**facts, **changes})


def test_acceptance_opens_one_job_with_all_that_belongs_to_it(sent):
    job = accept(sent)

    quote = Quote.objects.get(pk=sent.pk)
    assert (quote.state, quote.answered_by) == ("approved", "Odile Farrow")
    assert quote.answered_from == "203.0.113.7"
    assert (job.quote, job.option) == (quote, quote.accepted_option)
    assert job.case == quote.run.case
    assert job.steps.exists()
    assert PickList.objects.get().job == job
    kinds = Document.objects.filter(job=job).values_list("kind", flat=True)
    assert sorted(kinds) == ["pick_list", "work_order"]


def test_the_job_waits_where_parts_are_short(sent):
    assert accept(sent).state == "waiting"


def test_the_job_is_ready_where_all_parts_lie_on_the_shelf(sent, shop):
    put_in_stock(shop)

    assert accept(sent).state == "ready"


def test_a_missing_spare_does_not_hold_the_job(sent, shop):
    put_in_stock(shop)
    StockItem.objects.filter(part__number="CAP-1").update(on_hand=0)

    job = accept(sent)

    assert PickLine.objects.get(part__number="CAP-1").short == 1
    assert job.state == "ready"


def test_short_stock_makes_a_short_line_and_no_refusal(sent, shop):
    put_in_stock(shop, pieces=0)

    accept(sent)

    lines = PickLine.objects.filter(spare=False)
    assert lines
    assert all(line.short == line.wanted for line in lines)


def test_the_pick_list_holds_the_parts_of_the_option_and_the_spares(sent, shop):
    put_in_stock(shop)
    option = sent.options.get(position=1)

    accept(sent)

    wanted = {
        row.part_id: row.quantity for row in option.lines.filter(kind__in=["equipment", "small"])
    }
    rows = PickLine.objects.filter(spare=False)
    assert {row.part_id: row.wanted for row in rows} == wanted
    spares = set(PickLine.objects.filter(spare=True).values_list("part__number", flat=True))
    fuses = {row.part.number for row in rows.select_related("part") if row.part.kind == "fuse"}
    assert spares == fuses | {"CAP-1", "CA-5"}


def test_what_is_reserved_is_what_the_pick_list_says(sent, shop):
    put_in_stock(shop)

    accept(sent)

    for item in StockItem.objects.all():
        lines = PickLine.objects.filter(stock=item)
        assert item.reserved == sum(line.reserved for line in lines) <= item.on_hand


def test_a_part_left_out_is_not_picked(writer, shop):
    put_in_stock(shop)
    quote = make_quote(writer)
    row = quote.options.get(position=1).lines.get(description__startswith="Network cable 20 ft")
    QuoteLine.objects.filter(pk=row.pk).update(left_out=True, why="Customer brings it")

    accept(send(quote, writer))

    assert not PickLine.objects.filter(part__number="CA-20").exists()


def test_parts_come_from_two_shelves_where_one_is_not_enough(sent, shop):
    put_in_stock(shop, pieces=0)
    part = sent.options.get(position=1).lines.filter(kind="equipment").first().part
    StockItem.objects.create(shop=shop, part=part, place="Van 1", on_hand=1)

    accept(sent)

    assert PickLine.objects.get(part=part).stock.place == "Van 1"


def test_the_steps_put_cautions_first_and_ask_for_the_right_thing(sent):
    job = accept(sent)

    steps = list(job.steps.all())
    cautions = [step.caution for step in steps]
    assert cautions[0]
    assert cautions == sorted(cautions, reverse=True)
    asked = {step.kind: step.asks for step in steps}
    assert asked["fit"] == WorkStep.Asks.SERIAL
    assert asked["reading"] == WorkStep.Asks.READING
    assert asked["caution"] == WorkStep.Asks.TICK


def test_an_update_step_asks_for_the_release_that_is_expected(sent):
    option = next(option for option in sent.options.all() if option.plan["updates"])
    option.offered = True
    option.save()

    job = accept(sent, option=option)

    step = job.steps.get(kind="update", unit_key="d1")
    assert (step.asks, step.expect_text) == (WorkStep.Asks.RELEASE, "2.2")


def test_steps_call_models_by_their_names(sent):
    job = accept(sent)

    titles = " ".join(step.title for step in job.steps.all())
    assert "Bench Display R" in titles
    assert "disp-r" not in titles


def test_steps_and_labels_call_a_new_unit_by_its_short_name(sent):
    job = accept(sent)

    assert "d3" in job.steps.get(kind="fit").title
    assert "d3:1" in job.steps.filter(kind="label").first().title


def test_new_units_get_short_names_that_are_free_aboard(sent):
    job = accept(sent)

    units = {unit["unit"] for unit in job.plan["units"]}
    assert {"d1", "d2", "d3"} <= units
    assert not any(unit.startswith(("wish", "new")) for unit in units)
    assert {end for row in job.ports for end in row["between"]} <= units


def test_the_plan_of_the_quote_keeps_its_own_names(sent):
    before = sent.options.get(position=1).plan

    naming.with_unit_names(third_display(), before)
    accept(sent)

    assert sent.options.get(position=1).plan == before


def test_a_second_acceptance_is_refused_and_changes_nothing(sent):
    accept(sent, name="First")
    again = Quote.objects.get(pk=sent.pk)

    with pytest.raises(MoveRefused, match="accepted already"):
        accept(again, name="Second")

    assert Job.objects.count() == 1
    assert Quote.objects.get(pk=sent.pk).answered_by == "First"


def test_two_who_saw_it_open_get_one_job_and_one_reservation(sent, shop):
    put_in_stock(shop)
    first, second = Quote.objects.get(pk=sent.pk), Quote.objects.get(pk=sent.pk)
    accept(first)
    reserved = list(StockItem.objects.values_list("pk", "reserved"))

    with pytest.raises(StaleRecord):
        accept(second)

    assert Job.objects.count() == PickList.objects.count() == 1
    assert list(StockItem.objects.values_list("pk", "reserved")) == reserved


def test_an_option_of_another_quote_is_refused(sent, writer):
    other = make_quote(writer)

    with pytest.raises(FactRefused, match="not offered"):
        accept(sent, option=other.options.get(position=1))


def test_an_option_that_is_not_offered_is_refused(sent):
    hidden = sent.options.filter(offered=False).first()

    with pytest.raises(FactRefused, match="not offered"):
        accept(sent, option=hidden)

    assert not Job.objects.exists()


def test_nobody_accepts_without_a_name(sent):
    with pytest.raises(FactRefused, match="name"):
        accept(sent, name="   ")


def test_a_quote_that_ran_out_is_refused(sent):
    Quote.objects.update(valid_until=sent.valid_until - timedelta(days=60))
    sent.refresh_from_db()

    with pytest.raises(MoveRefused, match="ran out"):
        accept(sent)

    assert not Job.objects.exists()


@pytest.mark.parametrize("state", ["building", "survey", "ready", "declined", "replaced"])
def test_only_a_sent_quote_takes_an_answer(sent, state):
    Quote.objects.update(state=state)
    sent.refresh_from_db()

    with pytest.raises(MoveRefused):
        accept(sent)


def test_an_option_that_rests_on_something_wrong_is_refused(sent):
    sent.assumptions.update(state="wrong", concerns=[1])

    with pytest.raises(MoveRefused, match="A1 is wrong"):
        accept(sent)

    assert accept(sent, option=sent.options.get(position=2))


def test_a_yes_by_phone_is_written_down_with_who_wrote_it(sent, writer):
    accept(sent, by=writer, note="By phone, read back")

    move = sent.moves.get(after="approved")
    assert (move.by, move.by_name) == (writer, "Odile Farrow")
    assert "By phone, read back" in move.note


def test_a_technician_cannot_accept_for_the_customer(sent, technician):
    with pytest.raises(MoveRefused, match="role"):
        accept(sent, by=technician)


def test_the_digest_holds_until_something_agreed_is_changed(sent):
    accept(sent)
    quote = Quote.objects.get(pk=sent.pk)
    assert acceptance.still_as_agreed(quote)

    QuoteLine.objects.filter(option=quote.accepted_option, position=1).update(unit_cents=1)

    assert not acceptance.still_as_agreed(Quote.objects.get(pk=sent.pk))


def test_settling_an_assumption_later_does_not_break_the_digest(sent, writer):
    accept(sent)

    row = sent.assumptions.first()
    quotes.settle_assumption(assumption=row, state="confirmed", by=writer)

    assert acceptance.still_as_agreed(Quote.objects.get(pk=sent.pk))


def test_declining_keeps_the_reason(sent):
    acceptance.decline_quote(quote=sent, name="Odile Farrow", reason="Too dear", address=None)

    quote = Quote.objects.get(pk=sent.pk)
    assert (quote.state, quote.answer_note) == ("declined", "Too dear")
    assert not Job.objects.exists()


def test_a_long_step_key_stays_unique_when_cut():
    keys = [f"cable:{'x' * 130}:{n}" for n in range(3)]

    cut = [opening.short_key(key) for key in keys]

    assert len(set(cut)) == 3
    assert all(len(key) <= 120 for key in cut)


def test_names_of_new_units_skip_those_aboard():
    case = third_display()
    plan = {
        "units": [
            {"unit": "d1", "model": "disp-q", "fate": "stays"},
            {"unit": "wish-1", "model": "disp-r", "fate": "added"},
            {"unit": "new1", "model": "sw-b", "fate": "added"},
        ],
        "links": [{"between": ["new1", "wish-1"], "cable": "buy:CA-5"}],
        "updates": [{"unit": "wish-1", "from": "1", "to": "2"}],
    }

    named = naming.with_unit_names(case, plan)

    assert [unit["unit"] for unit in named["units"]] == ["d1", "d3", "sw1"]
    assert named["links"][0]["between"] == ["sw1", "d3"]
    assert named["updates"][0]["unit"] == "d3"
