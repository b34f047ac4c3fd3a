"""What the tags and filters make of values, the unknown ones above all."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.template import TemplateSyntaxError, engines
from django.test import RequestFactory
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.ui.lists import list_page

pytestmark = pytest.mark.urls("tests.ui.sample")


def drawn(source: str, **facts: object) -> str:
    return engines["django"].from_string(source).render(facts)


@pytest.mark.parametrize(
    ("source", "shown"),
    [
        ("{{ 123456|money }}", "$1,234.56"),
        ("{{ 123456|money:'EUR' }}", "€1,234.56"),
        ("{{ 0|money }}", "$0.00"),
        ("{{ 14|feet }}", "14 ft (4.3 m)"),
        ("{{ 24.5|feet }}", "24.5 ft (7.5 m)"),
        ("{{ 4.3|metres }}", "14.1 ft (4.3 m)"),
        ("{{ 210|hours }}", "3 h 30 min"),
        ("{{ 120|hours }}", "2 h"),
        ("{{ 45|hours }}", "45 min"),
        ("{{ 0|hours }}", "0 min"),
        ("{{ 2500|amps }}", "2.5 A"),
        ("{{ 125|amps }}", "0.125 A"),
        ("{{ 30000|amps }}", "30 A"),
        ("{{ 0|amps }}", "0 A"),
    ],
)
def test_a_value_is_shown_in_the_trade_s_way(source: str, shown: str) -> None:
    assert drawn(source) == shown


@pytest.mark.parametrize("name", ["money", "feet", "metres", "day", "moment", "hours", "amps"])
def test_what_nobody_knows_is_said_and_never_a_figure(name: str) -> None:
    assert drawn("{{ value|" + name + " }}", value=None) == "not known"


def test_a_day_is_written_with_its_month_in_letters() -> None:
    assert drawn("{{ d|day }}", d=date(2026, 11, 5)) == "5 Nov 2026"


def test_a_moment_is_shown_by_the_shop_s_clock() -> None:
    late = datetime(2026, 11, 26, 3, 5, tzinfo=UTC)
    with timezone.override(ZoneInfo("America/New_York")):
        assert drawn("{{ t|moment }}", t=late) == "25 Nov 2026, 22:05"
        assert drawn("{{ t|day }}", t=late) == "25 Nov 2026"


def test_money_takes_the_shop_s_currency() -> None:
    assert drawn("{% money 500 %}", shop=Shop(currency="GBP")) == "£5.00"


def test_a_badge_always_has_a_word_and_its_own_shape() -> None:
    shown = drawn('{% badge "unknown" text %}', text="Not <known>")
    assert shown == '<span class="badge unknown">Not &lt;known&gt;</span>'


def test_a_badge_of_an_unlisted_tone_is_an_error() -> None:
    with pytest.raises(TemplateSyntaxError, match="no tone"):
        drawn('{% badge "green" "Fine" %}')


def test_a_link_keeps_the_rest_of_the_query() -> None:
    request = RequestFactory().get("/boats/?q=grey&page=3")
    shown = drawn("{% query_with page=4 %} {% query_with q=None %}", request=request)
    assert shown == "?q=grey&amp;page=4 ?page=3"


def test_a_room_not_yet_open_leads_nowhere() -> None:
    assert drawn("{% room_url 'nowhere:at_all' %}") == "#"


@pytest.mark.parametrize(
    ("role", "seen"),
    [
        ("owner", ["Quotes", "Jobs", "Boats", "Parts", "Fleet"]),
        ("technician", ["Jobs", "Boats", "Parts"]),
        ("parts", ["Quotes", "Jobs", "Boats", "Parts"]),
    ],
)
def test_the_bar_shows_the_rooms_of_the_role(role: str, seen: list[str]) -> None:
    shown = drawn("{% rooms %} jobs {% endrooms %}", user=User(role=role, shop_id=1))
    names = ["Quotes", "Jobs", "Boats", "Parts", "Fleet"]
    assert [name for name in names if f">{name}<" in shown] == seen
    assert shown.count("aria-current") == 1


def test_a_list_of_one_page_has_no_pager() -> None:
    request = RequestFactory().get("/")
    page = list_page(request, range(3), per_page=3)
    assert drawn("{% pager page %}", request=request, page=page) == ""


def test_a_pager_leads_both_ways_and_keeps_the_search() -> None:
    request = RequestFactory().get("/?q=a&page=2")
    page = list_page(request, range(9), per_page=3)
    shown = drawn("{% pager page %}", request=request, page=page)
    assert "?q=a&amp;page=1" in shown
    assert "?q=a&amp;page=3" in shown


def test_the_head_of_a_list_keeps_the_words_and_holds_its_filters() -> None:
    request = RequestFactory().get("/?q=grey")
    page = list_page(request, range(3))
    source = '{% list_head page "Find a boat" %}<select name="lying"></select>{% endlist_head %}'
    shown = drawn(source, request=request, page=page)
    assert 'value="grey"' in shown
    assert '<select name="lying">' in shown


def test_an_empty_page_says_how_to_begin() -> None:
    shown = drawn('{% empty "No boats yet" "Add the first." "/boats/add/" "Add a boat" %}')
    assert 'href="/boats/add/"' in shown
    assert "No boats yet" in shown
