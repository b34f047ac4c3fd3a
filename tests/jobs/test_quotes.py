"""Quotes made of plans: what is copied stays, what is revised replaces."""

from datetime import timedelta
from decimal import Decimal

import pytest

from planner.plans import plan_columns
from shopapp.catalog.models import Part
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Assumption, Enquiry, Quote, QuoteLine
from shopapp.jobs.services import lines, quotes
from tests.factories.accounts import TaxRateFactory
from tests.factories.jobs import lay_catalogue, make_boat, make_quote, make_run


@pytest.fixture
def quote(writer) -> Quote:
    return make_quote(writer)


def first(quote: Quote):
    return quote.options.get(position=1)


def total_shown(option) -> int:
    parts = option.goods_cents + option.labour_cents + option.outside_cents
    return parts - option.discount_cents + option.tax_cents


def test_each_different_plan_becomes_one_option(quote):
    answer = quote.run.answer
    plans = plan_columns(answer)

    assert quote.options.count() == len(plans) >= len(answer["options"])
    assert len({option.title for option in quote.options.all()}) == len(plans)


def test_the_plan_that_a_strategy_chose_says_so(quote):
    assert "cheapest" in first(quote).strategies


def test_a_few_options_are_offered_at_first_those_of_the_strategies_before_others(quote):
    rows = list(quote.options.all())
    offered = [row for row in rows if row.offered]

    assert len(offered) == 3
    chosen = [row for row in rows if row.strategies]
    assert chosen[:3] == offered[: len(chosen)]


def test_an_option_is_named_by_what_it_does(quote):
    titles = [option.title for option in quote.options.all()]

    assert "Fit Bench Display R, add Bench Switch; keep the rest" in titles


def test_the_goods_are_those_of_the_plan_at_the_prices_of_the_case(quote):
    for option in quote.options.all():
        goods = option.lines.filter(kind__in=["equipment", "small"])
        bought = {row.part.number: row.quantity for row in goods}
        plan = {
            {"disp-r": "EQ-R", "sw-b": "EQ-SW"}.get(k, k): v
            for k, v in option.plan["parts"].items()
        }
        assert bought == plan
        assert option.goods_cents == option.plan["parts_cents"]


def test_the_labour_is_that_of_the_plan_and_the_standard_tasks_once(quote):
    for option in quote.options.all():
        minutes = sum(row.minutes for row in option.lines.filter(kind="labour"))
        assert minutes == option.plan["labour_minutes"] + 20 + 30 + 45 + 25
        assert option.minutes == -(-minutes // 15) * 15


def test_penalties_are_never_charged(quote):
    for option in quote.options.all():
        assert option.plan["penalty_cents"] == 0 or option.total_cents == total_shown(option)
        assert not option.lines.filter(description__icontains="penalty").exists()


def test_every_option_adds_up(quote):
    for option in quote.options.all():
        assert option.total_cents == total_shown(option)


def test_a_new_price_in_the_catalogue_does_not_change_the_quote(quote, writer):
    before = [(option.total_cents, option.goods_cents) for option in quote.options.all()]

    Part.objects.update(price_cents=1)
    option = first(quote)
    lines.recount(quote=quote, option=option)

    assert [(o.total_cents, o.goods_cents) for o in quote.options.all()] == before


def test_a_new_labour_rate_does_not_change_the_quote(quote, shop):
    before = first(quote).labour_cents
    shop.labour_cents_per_hour = 60000
    shop.supplies_percent = 50
    shop.save()

    quote = Quote.objects.get(pk=quote.pk)
    lines.recount(quote=quote, option=first(quote))

    assert first(quote).labour_cents == before


def test_the_tax_in_force_on_the_day_is_frozen(shop, writer):
    TaxRateFactory(
        shop=shop, name="Old", percent="9", valid_from="2020-01-01", valid_until="2021-01-01"
    )
    TaxRateFactory(shop=shop, name="State", percent="6", valid_from="2020-01-01")
    TaxRateFactory(shop=shop, name="Coming", percent="7", valid_from="2999-01-01")

    quote = make_quote(writer)

    assert quote.taxes == [{"name": "State", "applies_to": "goods", "percent": "6"}]
    option = first(quote)
    assert option.tax_cents == -(-option.goods_cents * 6 // 100) or option.tax_cents > 0


def test_an_exempt_customer_pays_no_tax_and_the_quote_names_the_certificate(shop, writer):
    TaxRateFactory(shop=shop, percent="6")
    boat = make_boat(shop, tax_exempt=True, tax_certificate="EX-77")

    quote = make_quote(writer, boat=boat)

    assert first(quote).tax_cents == 0
    assert quote.taxes[0]["name"] == "Tax exempt, certificate EX-77"


def test_assumptions_are_copied_with_numbers(quote):
    rows = list(quote.assumptions.values_list("number", "key", "decides", "state"))

    assert rows == [
        (1, "unit:d1:release", True, "open"),
        (2, "route:console:bow", False, "open"),
    ]


def test_a_plan_that_is_not_worked_out_makes_no_quote(shop, writer):
    with pytest.raises(MoveRefused, match="not worked out"):
        quotes.create_quote(run=make_run(shop, answer=None), by=writer)

    assert not Quote.objects.exists()


def test_an_impossible_wish_makes_no_quote(shop, writer):
    answer = {"feasible": False, "conflict": ["wish-1"], "relaxations": []}
    with pytest.raises(MoveRefused, match="No plan meets"):
        quotes.create_quote(run=make_run(shop, answer=answer), by=writer)


def test_quotes_are_numbered_one_after_the_other(quote, writer):
    assert quote.number == "Q-1001"
    assert make_quote(writer).number == "Q-1002"


def test_a_part_that_left_the_catalogue_still_stands_on_the_quote(shop, writer):
    lay_catalogue(shop)
    Part.objects.filter(number="CA-20").update(number="CA-20-OLD")

    option = first(quotes.create_quote(run=make_run(shop), by=writer))

    row = option.lines.get(description__startswith="Network cable 20 ft")
    assert row.part is None
    assert row.unit_cents == 3990


def test_the_enquiry_is_quoted_and_its_words_open_the_quote(shop, writer):
    lay_catalogue(shop)
    boat = make_boat(shop)
    enquiry = Enquiry.objects.create(
        shop=shop, number="E-1", customer=boat.customer, boat=boat, words="See sonar at the bow"
    )

    made = quotes.create_quote(run=make_run(shop, boat=boat), by=writer, enquiry=enquiry)

    enquiry.refresh_from_db()
    assert (enquiry.state, made.enquiry) == ("quoted", enquiry)
    assert "“See sonar at the bow”" in made.cover


# Lines


def test_an_added_line_counts(quote):
    option = first(quote)
    before = option.total_cents

    lines.add_line(
        option=option,
        facts={"kind": "travel", "description": "Travel to the yard", "unit_cents": 6500},
    )

    assert first(quote).total_cents == before + 6500


def test_added_labour_is_priced_at_the_rate_of_the_quote(quote):
    row = lines.add_line(
        option=first(quote),
        facts={"kind": "labour", "description": "Dead wiring out", "minutes": 60},
    )

    assert row.unit_cents == quote.labour_cents_per_hour


def test_a_discount_needs_a_reason(quote):
    row = first(quote).lines.filter(kind="equipment").first()
    row.discount_percent = Decimal(5)

    with pytest.raises(Exception, match="discount"):
        row.full_clean()


def test_a_discount_comes_off(quote):
    row = first(quote).lines.filter(kind="equipment").first()
    gross = row.total_cents

    facts = {"discount_percent": Decimal(10), "discount_reason": "Boat show"}
    lines.change_line(line=row, seen=quote.version, facts=facts)

    assert QuoteLine.objects.get(pk=row.pk).total_cents == gross - round(gross / 10)
    assert first(quote).discount_cents == round(gross / 10)


def test_a_line_of_the_plan_is_left_out_only_with_a_reason(quote):
    row = first(quote).lines.filter(kind="small").first()

    with pytest.raises(FactRefused, match="plan needs"):
        lines.take_line_off(line=row, seen=quote.version)

    assert Quote.objects.get(pk=quote.pk).version == quote.version


def test_a_line_left_out_stays_on_the_sheet_and_costs_nothing(quote):
    row = first(quote).lines.filter(kind="small").first()
    before = first(quote).goods_cents

    lines.take_line_off(line=row, seen=quote.version, why="Customer brings his own")

    row.refresh_from_db()
    assert (row.left_out, row.why, row.total_cents) == (True, "Customer brings his own", 0)
    assert first(quote).goods_cents == before - row.quantity * row.unit_cents


def test_a_line_left_out_comes_back(quote):
    before = first(quote).total_cents
    row = first(quote).lines.filter(kind="small").first()
    lines.take_line_off(line=row, seen=quote.version, why="Perhaps")

    lines.put_line_back(line=row, seen=row.option.quote.version)

    assert first(quote).total_cents == before


def test_an_own_line_goes_for_good(quote):
    row = lines.add_line(
        option=first(quote), facts={"kind": "outside", "description": "Lift", "unit_cents": 20000}
    )

    lines.take_line_off(line=row, seen=row.option.quote.version)

    assert not QuoteLine.objects.filter(pk=row.pk).exists()


def test_shop_supplies_follow_the_labour(quote):
    supplies = first(quote).lines.get(kind="supplies").total_cents

    lines.add_line(
        option=first(quote), facts={"kind": "labour", "description": "More", "minutes": 60}
    )

    assert first(quote).lines.get(kind="supplies").total_cents == supplies + 600


def test_two_people_at_one_line_the_second_is_told(quote):
    row = first(quote).lines.filter(kind="equipment").first()
    seen = quote.version
    lines.change_line(line=row, seen=seen, facts={"quantity": 2})
    other = QuoteLine.objects.get(pk=row.pk)

    with pytest.raises(StaleRecord, match="Somebody else changed"):
        lines.change_line(line=other, seen=seen, facts={"quantity": 3})

    assert QuoteLine.objects.get(pk=row.pk).quantity == 2


def test_credits_larger_than_everything_are_refused(quote):
    facts = {"kind": "credit", "description": "Too kind", "unit_cents": -10_000_000}

    with pytest.raises(FactRefused, match="credits are larger"):
        lines.add_line(option=first(quote), facts=facts)

    assert not QuoteLine.objects.filter(kind="credit").exists()


def test_the_deposit_follows_its_percentage(quote):
    quotes.change_head(quote=quote, seen=quote.version, facts={"deposit_percent": 50})

    option = first(quote)
    assert option.deposit_cents == (option.total_cents + 1) // 2


# Revisions


def test_a_revision_copies_everything_and_replaces_the_old_one(quote, writer):
    fresh = quotes.revise_quote(quote=quote, by=writer)

    old = Quote.objects.get(pk=quote.pk)
    assert old.state == "replaced"
    assert (str(fresh), fresh.replaces, fresh.state) == ("Q-1001-2", old, "building")
    sums = [(o.title, o.total_cents, o.lines.count()) for o in fresh.options.all()]
    assert sums == [(o.title, o.total_cents, o.lines.count()) for o in old.options.all()]
    assert fresh.assumptions.count() == old.assumptions.count() == 2


def test_a_revision_is_good_for_the_full_days_again(quote, writer):
    Quote.objects.filter(pk=quote.pk).update(valid_until=quote.valid_until - timedelta(days=30))
    quote.refresh_from_db()

    assert quotes.revise_quote(quote=quote, by=writer).valid_until > quote.valid_until


def test_a_quote_is_replaced_only_once(quote, writer):
    quotes.revise_quote(quote=Quote.objects.get(pk=quote.pk), by=writer)

    with pytest.raises(StaleRecord):
        quotes.revise_quote(quote=quote, by=writer)

    assert Quote.objects.count() == 2


def test_a_quote_that_ran_out_is_planned_again_instead_of_copied(quote, shop, writer):
    Quote.objects.update(state="expired")
    quote.refresh_from_db()

    with pytest.raises(MoveRefused, match="ran out"):
        quotes.revise_quote(quote=quote, by=writer)

    again = make_run(shop, boat=quote.boat, again_of=quote.run)
    assert quotes.quote_of_run(run=again, by=writer).revision == 2


def test_planning_again_makes_a_revision_of_the_same_quote(quote, shop, writer):
    again = make_run(shop, boat=quote.boat, again_of=quote.run)

    fresh = quotes.quote_of_run(run=again, by=writer)

    assert (fresh.number, fresh.revision, fresh.run) == (quote.number, 2, again)


def test_a_first_planning_makes_a_new_quote(shop, writer):
    lay_catalogue(shop)

    fresh = quotes.quote_of_run(run=make_run(shop), by=writer)

    assert (fresh.revision, fresh.replaces) == (1, None)


def test_who_settled_an_assumption_is_kept(quote, writer):
    row = quote.assumptions.first()

    quotes.settle_assumption(assumption=row, state="at_risk", by=writer)

    row = Assumption.objects.get(pk=row.pk)
    assert (row.state, row.settled_by) == ("at_risk", writer)
    assert row.settled_at is not None
    assert quotes.undecided(quote) == []
