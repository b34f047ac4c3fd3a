"""What differs between two revisions, line by line and in words; and the range of the labour."""

from dataclasses import dataclass

import pytest
from django.urls import reverse

from shopapp.jobs.labour_band import band_of
from shopapp.jobs.models import Quote
from shopapp.jobs.quote_pages import changes_of
from shopapp.jobs.services.lines import add_line, change_line, take_line_off
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.quotes import change_head, revise_quote
from shopapp.jobs.services.sending import send_quote
from tests.factories.jobs import make_quote

LINK = "https://desk.example/q/{token}/"


@pytest.fixture
def sent(writer) -> Quote:
    quote = make_quote(writer)
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link=LINK, subject_ok=True)
    return quote


@pytest.fixture
def fresh(sent, writer) -> Quote:
    return revise_quote(quote=sent, by=writer)


def line_of(quote: Quote, **of):
    return quote.options.get(position=1).lines.filter(**of).first()


def version(quote: Quote) -> int:
    return Quote.objects.get(pk=quote.pk).version


def lines_told(quote: Quote) -> list[tuple[str, str]]:
    return [(line.what, line.words) for one in changes_of(quote).options for line in one.lines]


def test_a_first_quote_has_nothing_to_compare(sent):
    assert changes_of(sent) is None


def test_a_copy_differs_in_nothing(fresh):
    assert not changes_of(fresh).anything


def test_an_added_line_is_told_with_its_sum_and_what_the_option_costs_more(fresh):
    option = fresh.options.get(position=1)
    before = option.total_cents
    add_line(option=option, facts={"kind": "outside", "description": "Lift", "unit_cents": 300_00})
    option.refresh_from_db()

    assert ("added", "Added: Lift, $300.00.") in lines_told(fresh)
    (words,) = changes_of(fresh).options[0].words[:1]
    more = f"${(option.total_cents - before) / 100:,.2f}"
    assert words.startswith(f"Option 1 costs {more} more: ")


def test_a_changed_line_says_each_thing_that_changed(fresh):
    line = line_of(fresh, kind="equipment")
    facts = {"quantity": 2, "discount_percent": 10, "discount_reason": "Two at once."}
    change_line(line=line, seen=version(fresh), facts=facts)

    what, words = next(one for one in lines_told(fresh) if one[1].startswith(line.description))
    assert what == "changed"
    assert "1 before, 2 now" in words
    assert "discount 0 % before, 10 % now" in words


def test_a_line_taken_off_and_one_left_out_are_both_told(fresh):
    row = add_line(
        option=fresh.options.get(position=1),
        facts={"kind": "small", "description": "Bracket", "unit_cents": 20_00},
    )
    again = changes_of(fresh)
    assert again.anything
    take_line_off(line=row, seen=version(fresh))
    needed = line_of(fresh, kind="equipment")
    take_line_off(line=needed, seen=version(fresh), why="Brings an own one.")

    told = lines_told(fresh)
    assert any(words.endswith("left out now.") for _, words in told)
    assert not any("Bracket" in words for _, words in told)


def test_terms_and_deposit_are_told(fresh):
    facts = {"terms": "Other terms.", "deposit_percent": 50}
    change_head(quote=fresh, seen=version(fresh), facts=facts)

    told = changes_of(fresh).words
    assert "The terms are worded anew." in told
    assert any(words.startswith("The deposit is 50 % now") for words in told)


def test_customer_and_desk_read_what_changed(client, client_for, fresh, writer):
    add_line(
        option=fresh.options.get(position=1),
        facts={"kind": "outside", "description": "Lift <yard>", "unit_cents": 300_00},
    )
    desk = client_for(writer).get(reverse("jobs:quote", args=[fresh.pk])).content.decode()
    assert "What changed since" in desk
    assert "Added: Lift &lt;yard&gt;" in desk

    fresh = Quote.objects.get(pk=fresh.pk)
    move_quote(quote=fresh, after="ready", by=writer)
    send_quote(quote=fresh, by=writer, link=LINK, subject_ok=True)
    page = client.get(reverse("jobs:customer_quote", args=[fresh.token])).content.decode()
    assert "What changed since quote" in page
    assert "Option 1 costs" in page


# The range of the labour


@dataclass
class Timed:
    minutes: int
    low_minutes: int | None = None
    high_minutes: int | None = None
    kind: str = "labour"
    left_out: bool = False


def test_without_ranges_there_is_no_band():
    assert band_of([Timed(50), Timed(40)]) == (90, 90)


def test_independent_distances_add_up_by_their_squares_outward_to_the_quarter_hour():
    # By hand: down sqrt(30² + 40²) = 50, up sqrt(60² + 80²) = 100 around 180 minutes.
    lines = [Timed(60, 30, 120), Timed(120, 80, 200)]

    assert band_of(lines) == (120, 285)


def test_goods_and_what_is_left_out_take_no_time():
    lines = [Timed(60, 60, 60), Timed(99, 1, 999, kind="travel"), Timed(99, 1, 999, left_out=True)]

    assert band_of(lines) == (60, 60)
