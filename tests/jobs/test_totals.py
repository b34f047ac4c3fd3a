"""Sums of an option: they add up to the cent, whatever the lines."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from shopapp.jobs.services.totals import Line, Rates, Tax, add_up, quarter_up

KINDS = ["equipment", "small", "labour", "travel", "supplies", "outside"]


def rates(**changes) -> Rates:
    facts = {
        "labour_cents_per_hour": 14000,
        "supplies_percent": Decimal(5),
        "supplies_cap_cents": 15000,
        "deposit_percent": 40,
        "taxes": (Tax("State", "goods", Decimal(6)),),
    }
    return Rates(**{**facts, **changes})


def labour(minutes: int, unit_cents: int = 14000, **more) -> Line:
    return Line("labour", minutes=minutes, unit_cents=unit_cents, **more)


def supplies() -> Line:
    return Line("supplies", computed=True)


amounts = st.integers(0, 500_000_00)
percents = st.decimals(0, 100, places=2)
lines = st.lists(
    st.builds(
        Line,
        kind=st.sampled_from(KINDS),
        quantity=st.integers(1, 500),
        minutes=st.integers(0, 3000),
        unit_cents=amounts,
        discount_percent=percents,
    )
    | st.builds(Line, kind=st.just("credit"), unit_cents=st.integers(-100_000_00, 0))
    | st.just(supplies()),
    max_size=12,
)
taxes = st.lists(
    st.builds(
        Tax,
        name=st.just("Tax"),
        applies_to=st.sampled_from(["goods", "labour", "outside"]),
        percent=st.decimals(0, 100, places=3),
    ),
    max_size=4,
).map(tuple)
money_rules = st.builds(
    Rates,
    labour_cents_per_hour=st.integers(1, 100_000),
    supplies_percent=percents,
    supplies_cap_cents=st.integers(0, 100_000),
    deposit_percent=st.integers(0, 100),
    taxes=taxes,
)


def test_an_empty_option_costs_nothing():
    totals = add_up([], rates())

    assert totals.total_cents == 0
    assert totals.minutes == 0
    assert totals.deposit_cents == 0


def test_a_worked_quote_comes_to_the_cent_of_the_paper_one():
    goods = [115000, 9500, 18900, 3800, 5200, 950, 5800, 600]
    minutes = [20, 60, 50, 15, 20, 90, 75, 25, 10, 30, 45, 25]
    sheet = [
        *(Line("equipment", unit_cents=cents) for cents in goods),
        *(labour(each) for each in minutes),
        supplies(),
        Line("travel", unit_cents=6500),
    ]

    totals = add_up(sheet, rates())

    assert totals.goods_cents == 159750
    assert totals.minutes == 465
    assert totals.labour_cents == 108500 + 5425 + 6500
    assert totals.tax_cents == 9585
    assert totals.total_cents == 289760
    assert totals.deposit_cents == 115904


def test_labour_is_rounded_up_to_the_quarter_hour_and_says_by_how_much():
    totals = add_up([labour(20), labour(21)], rates(supplies_percent=Decimal(0)))

    assert (totals.minutes, totals.rounding_minutes) == (45, 4)
    assert totals.labour_cents == 10500
    assert sum(totals.lines) + totals.rounding_cents == 10500


def test_a_full_quarter_hour_is_not_rounded():
    assert quarter_up(45) == 45
    assert quarter_up(0) == 0
    assert add_up([labour(45)], rates()).rounding_minutes == 0


def test_supplies_stop_at_their_cap():
    totals = add_up([labour(6000), supplies()], rates(supplies_cap_cents=5000))

    assert totals.supplies_unit_cents == 5000


def test_a_credit_comes_off_after_tax():
    totals = add_up(
        [Line("equipment", unit_cents=10000), Line("credit", unit_cents=-2000)], rates()
    )

    assert totals.tax_cents == 600
    assert totals.total_cents == 10600 - 2000


def test_a_discount_lessens_the_tax_of_its_kind():
    totals = add_up([Line("equipment", unit_cents=10000, discount_percent=Decimal(10))], rates())

    assert totals.lines == (9000,)
    assert totals.tax_cents == 540
    assert totals.total_cents == 9540


def test_two_rates_on_one_kind_are_rounded_each_for_itself():
    two = (Tax("State", "goods", Decimal("6.25")), Tax("County", "goods", Decimal("0.75")))

    totals = add_up([Line("equipment", unit_cents=1010)], rates(taxes=two))

    assert [cents for _, cents in totals.taxes] == [63, 8]


def test_half_a_cent_of_tax_goes_up():
    half = (Tax("State", "goods", Decimal(5)),)

    assert add_up([Line("small", unit_cents=10)], rates(taxes=half)).tax_cents == 1


@given(lines, money_rules)
def test_the_parts_always_add_up_to_the_total(sheet, rules):
    totals = add_up(sheet, rules)

    shown = sum(totals.lines) + totals.rounding_cents + totals.tax_cents
    assert totals.total_cents == shown


@given(lines, money_rules)
def test_minutes_are_quarter_hours_and_never_fewer_than_worked(sheet, rules):
    totals = add_up([line for line in sheet if line.kind == "labour"], rules)

    worked = sum(line.minutes for line in sheet if line.kind == "labour")
    assert totals.minutes % 15 == 0
    assert 0 <= totals.minutes - worked < 15


@given(lines, money_rules)
def test_the_order_of_the_lines_changes_no_sum(sheet, rules):
    assert add_up(sheet, rules).total_cents == add_up(sheet[::-1], rules).total_cents


@given(lines, money_rules)
def test_the_deposit_lies_between_nothing_and_the_total(sheet, rules):
    totals = add_up(sheet, rules)

    assert 0 <= totals.deposit_cents <= max(totals.total_cents, 0)


@given(lines, money_rules)
def test_the_sums_are_whole_cents(sheet, rules):
    totals = add_up(sheet, rules)

    assert all(isinstance(cents, int) for cents in (*totals.lines, totals.total_cents))
