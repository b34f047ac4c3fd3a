"""Pages of quotes at the desk: who may, what stands there, what an edit refuses."""

import pytest
from django.urls import reverse

from planner.models import PlanRun
from shopapp.jobs.models import Job, Quote, QuoteLine
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.sending import send_quote
from tests.factories.jobs import make_boat, make_quote, make_run

LIST_QUERIES = 4
PAGE_QUERIES = 14


@pytest.fixture
def quote(writer) -> Quote:
    return make_quote(writer)


@pytest.fixture
def desk(client_for, writer):
    signed_in = client_for(writer)
    signed_in.get(url("quotes"))  # the first page of a sign-in also notes the sign-in
    return signed_in


def url(name: str, *args) -> str:
    return reverse(f"jobs:{name}", args=args)


def sent(quote: Quote, by) -> Quote:
    move_quote(quote=quote, after="ready", by=by)
    send_quote(quote=quote, by=by, link="https://x/{token}", subject_ok=True)
    return quote


def first_line(quote: Quote, **kind) -> QuoteLine:
    return quote.options.get(position=1).lines.filter(**kind).first()


# The list


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_asks_the_same_number_of_queries_whatever_its_length(
    desk, writer, shop, count, django_assert_num_queries
):
    for _ in range(count):
        make_quote(writer)

    with django_assert_num_queries(LIST_QUERIES):
        page = desk.get(url("quotes"))

    assert page.content.count(b'scope="row"') == count


def test_an_empty_list_says_how_to_begin(desk):
    page = desk.get(url("quotes")).content.decode()

    assert "No quotes yet" in page
    assert "Open the boats" in page


def test_the_list_is_searched_by_boat_customer_and_number(desk, quote):
    for words in ["Q-1001", "tern", "farrow"]:
        assert "Q-1001" in desk.get(url("quotes"), {"q": words}).content.decode()
    assert "No quote found" in desk.get(url("quotes"), {"q": "nobody"}).content.decode()


def test_replaced_revisions_are_listed_only_when_asked_for(desk, quote, writer):
    desk.post(url("quote_revise", quote.pk))

    assert "Q-1001-2" in desk.get(url("quotes")).content.decode()
    page = desk.get(url("quotes"), {"state": "replaced"}).content.decode()
    assert "Q-1001-2" not in page
    assert "Q-1001" in page


def test_a_quote_past_its_day_is_listed_as_expired(desk, quote, writer):
    sent(quote, writer)
    Quote.objects.update(valid_until="2020-01-01")

    page = desk.get(url("quotes")).content.decode()

    assert "badge look" in page
    assert Quote.objects.get(pk=quote.pk).state == "expired"


# One quote


def test_the_page_of_a_quote_keeps_its_budget_of_queries(desk, quote, django_assert_num_queries):
    with django_assert_num_queries(PAGE_QUERIES):
        page = desk.get(url("quote", quote.pk))

    assert page.status_code == 200


def test_options_stand_side_by_side_with_their_totals(desk, quote):
    page = desk.get(url("quote", quote.pk)).content.decode()

    for option in quote.options.all():
        assert option.title.split(";")[0] in page
        assert f"${option.total_cents / 100:,.2f}" in page


def test_a_plan_that_rests_on_something_missing_is_not_shown_as_fine(desk, quote):
    page = desk.get(url("quote", quote.pk)).content.decode()

    assert "badge unknown" in page
    assert "Whether it works is not known until" in page


def test_the_option_asked_for_is_shown_in_full(desk, quote):
    option = quote.options.get(position=3)

    page = desk.get(url("quote", quote.pk), {"option": "3"}).content.decode()

    assert f"Option 3: {option.title}" in page
    assert "<svg" in page


def test_a_changed_record_after_acceptance_is_shown_as_an_alarm(desk, quote, writer):
    sent(quote, writer)
    desk.post(
        url("quote_answer", quote.pk),
        {
            "answer": "yes",
            "option": quote.options.get(position=1).pk,
            "name": "Odile",
            "note": "By phone",
        },
    )
    assert "no longer reads as it did" not in desk.get(url("quote", quote.pk)).content.decode()

    first_line(quote).__class__.objects.filter(option__quote=quote).update(unit_cents=1)

    assert "no longer reads as it did" in desk.get(url("quote", quote.pk)).content.decode()


# From a plan


def test_a_quote_is_made_of_a_plan_by_one_press(desk, quote, shop):
    run = make_run(shop)

    answer = desk.post(url("quote_from_run", run.pk))

    made = Quote.objects.get(run=run)
    assert answer.url == url("quote", made.pk)


def test_an_impossible_plan_answers_409_in_words(desk, shop, quote):
    run = make_run(shop, answer={"feasible": False, "conflict": [], "relaxations": []})

    answer = desk.post(url("quote_from_run", run.pk))

    assert answer.status_code == 409
    assert "No plan meets this wish" in answer.content.decode()


def test_planning_again_leads_to_the_new_plan_and_from_there_to_a_revision(desk, quote):
    wishes = {"requests": [], "switches": {"models": [], "locations": [], "max_new": 0}}
    PlanRun.objects.update(wishes=wishes)

    answer = desk.post(url("quote_again", quote.pk))

    again = PlanRun.objects.get(again_of=quote.run)
    assert answer.url == reverse("planner:run", args=[again.pk])
    desk.post(url("quote_from_run", again.pk))
    assert Quote.objects.get(run=again).replaces == quote


# Lines


def test_a_free_line_is_added(desk, quote):
    option = quote.options.get(position=1)
    typed = {"kind": "outside", "description": "Lift", "quantity": "1", "price": "200.00"}

    answer = desk.post(url("line_add", option.pk), typed)

    assert answer.status_code == 302
    assert option.lines.get(description="Lift").total_cents == 20000


def test_a_part_brings_its_words_and_price(desk, quote):
    option = quote.options.get(position=1)
    part = first_line(quote, kind="small").part

    desk.post(
        url("line_add", option.pk),
        {"part": part.pk, "part-typed": part.number, "kind": "labour", "quantity": "2"},
    )

    row = option.lines.order_by("-position").first()
    assert (row.part, row.kind, row.quantity) == (part, "small", 2)
    assert row.unit_cents == part.price_cents


def test_a_task_brings_its_typical_minutes(desk, quote, shop):
    option = quote.options.get(position=1)
    task = shop.labour_tasks.get(code="T43")

    desk.post(
        url("line_add", option.pk),
        {"task": task.pk, "task-typed": str(task), "kind": "labour", "quantity": "1"},
    )

    row = option.lines.order_by("-position").first()
    assert (row.task, row.minutes, row.kind) == (task, 45, "labour")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"kind": "labour", "quantity": "1"}, "Pick a part or a task"),
        ({"kind": "labour", "description": "x", "quantity": "1"}, "Write the minutes"),
        ({"kind": "travel", "description": "x", "quantity": "1"}, "Write its price"),
        (
            {"kind": "travel", "description": "x", "quantity": "-1", "price": "1"},
            "greater than or equal to 1",
        ),
        (
            {"kind": "travel", "description": "x", "quantity": "1", "price": "-1"},
            "cannot be below zero",
        ),
    ],
)
def test_a_line_that_cannot_be_right_is_refused_beside_its_field(desk, quote, typed, words):
    option = quote.options.get(position=1)
    before = option.lines.count()

    answer = desk.post(url("line_add", option.pk), typed)

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert option.lines.count() == before


def change(**facts) -> dict:
    return {
        "description": "Words",
        "quantity": "1",
        "price": "10.00",
        "discount_percent": "0",
        "discount_reason": "",
        **facts,
    }


def test_a_discount_without_a_reason_is_refused(desk, quote):
    row = first_line(quote, kind="equipment")

    answer = desk.post(url("line", row.pk), change(version=quote.version, discount_percent="10"))

    assert answer.status_code == 422
    assert "A discount needs a reason" in answer.content.decode()


def test_the_second_of_two_people_keeps_what_was_typed_and_can_save_again(desk, quote):
    row = first_line(quote, kind="equipment")
    seen = quote.version
    desk.post(url("line", row.pk), change(version=seen, description="The first"))

    answer = desk.post(url("line", row.pk), change(version=seen, description="The second"))

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Somebody else changed the quote" in page
    assert 'value="The second"' in page
    assert QuoteLine.objects.get(pk=row.pk).description == "The first"
    fresh = Quote.objects.get(pk=quote.pk).version
    assert f'name="version" value="{fresh}"' in page
    desk.post(url("line", row.pk), change(version=fresh, description="The second"))
    assert QuoteLine.objects.get(pk=row.pk).description == "The second"


def test_a_line_of_the_plan_asks_for_a_reason_before_it_is_left_out(desk, quote):
    row = first_line(quote, kind="small")

    answer = desk.post(url("line_off", row.pk), {"version": quote.version, "why": ""})

    assert answer.status_code == 422
    assert "Say why it is left out" in answer.content.decode()


def test_a_line_left_out_is_put_back(desk, quote):
    row = first_line(quote, kind="small")
    desk.post(url("line_off", row.pk), {"version": quote.version, "why": "Brings it"})
    assert QuoteLine.objects.get(pk=row.pk).left_out

    desk.post(url("line_back", row.pk), {"version": quote.version + 1})

    assert not QuoteLine.objects.get(pk=row.pk).left_out


def test_a_sent_quote_refuses_every_edit_and_keeps_the_words(desk, quote, writer):
    sent(quote, writer)
    version = Quote.objects.get(pk=quote.pk).version
    row = first_line(quote, kind="equipment")

    answers = [
        desk.post(url("line", row.pk), change(version=version)),
        desk.post(url("line_off", row.pk), {"version": version, "why": "x"}),
        desk.post(
            url("quote_option", quote.options.get(position=1).pk),
            {"title": "New title", "sentence": "", "version": version},
        ),
        desk.post(
            url("quote_words", quote.pk),
            {
                "title": "New words",
                "valid_until": "2999-01-01",
                "deposit_percent": "0",
                "version": version,
            },
        ),
    ]

    assert [answer.status_code for answer in answers] == [409] * 4
    assert "what was sent cannot change" in answers[0].content.decode()
    assert 'value="New words"' in answers[3].content.decode()
    assert Quote.objects.get(pk=quote.pk).version == version


def test_the_words_are_saved(desk, quote):
    typed = {
        "title": "Third display",
        "cover": "Dear Odile",
        "terms": "Half at once",
        "not_included": "Lift",
        "valid_until": "2999-01-01",
        "deposit_percent": "50",
        "version": quote.version,
    }

    answer = desk.post(url("quote_words", quote.pk), typed)

    assert answer.status_code == 302
    quote.refresh_from_db()
    assert (quote.title, quote.terms, quote.deposit_percent) == (
        "Third display",
        "Half at once",
        50,
    )


def test_an_option_can_be_kept_from_the_customer(desk, quote):
    option = quote.options.get(position=1)

    desk.post(url("quote_option", option.pk), {"title": "A", "version": quote.version})

    option.refresh_from_db()
    assert (option.title, option.offered) == ("A", False)


# Moves


def test_a_quote_goes_from_building_to_sent(desk, quote):
    desk.post(url("quote_move", quote.pk, "survey"))
    desk.post(url("quote_move", quote.pk, "ready"))
    desk.post(url("quote_send", quote.pk), {"subject_ok": "on"})

    quote.refresh_from_db()
    assert quote.state == "sent"
    assert len(quote.token) >= 43
    page = desk.get(url("quote", quote.pk)).content.decode()
    assert quote.token in page


def test_what_is_not_known_goes_out_only_when_said_so(desk, quote):
    desk.post(url("quote_move", quote.pk, "ready"))

    answer = desk.post(url("quote_send", quote.pk))

    assert answer.status_code == 409
    assert "A1 is open" in answer.content.decode()
    quote.refresh_from_db()
    assert (quote.state, quote.token) == ("ready", None)


def test_an_assumption_found_wrong_stops_the_sending(desk, quote):
    row = quote.assumptions.get(number=2)
    desk.post(url("assumption_settle", row.pk), {"state": "wrong"})
    desk.post(url("quote_move", quote.pk, "ready"))

    answer = desk.post(url("quote_send", quote.pk), {"subject_ok": "on"})

    assert answer.status_code == 409
    assert "A2 turned out wrong" in answer.content.decode()


def test_a_quote_that_offers_nothing_is_not_sent(desk, quote):
    quote.options.update(offered=False)
    desk.post(url("quote_move", quote.pk, "ready"))

    assert desk.post(url("quote_send", quote.pk), {"subject_ok": "on"}).status_code == 409


@pytest.mark.parametrize("after", ["sent", "approved", "expired", "replaced", "nonsense"])
def test_no_button_moves_a_quote_past_its_own_act(desk, quote, after):
    assert desk.post(url("quote_move", quote.pk, after)).status_code == 404


def test_a_yes_by_phone_opens_the_job(desk, quote, writer):
    sent(quote, writer)
    option = quote.options.get(position=1)
    said = {"answer": "yes", "option": option.pk, "name": "Odile", "note": "By phone"}

    answer = desk.post(url("quote_answer", quote.pk), said)

    assert answer.status_code == 302
    assert Job.objects.get().option == option


def test_a_yes_without_an_option_is_refused(desk, quote, writer):
    sent(quote, writer)

    answer = desk.post(
        url("quote_answer", quote.pk), {"answer": "yes", "name": "Odile", "note": "By phone"}
    )

    assert answer.status_code == 422
    assert "Choose the option that is accepted" in answer.content.decode()


# Access

PAGES = ["quote", "quote_words", "quote_answer"]
ACTS = ["quote_send", "quote_revise", "quote_again"]


@pytest.mark.parametrize("page", PAGES)
def test_another_shop_finds_no_quote(client_for, stranger, quote, page):
    assert client_for(stranger).get(url(page, quote.pk)).status_code == 404


@pytest.mark.parametrize("act", ACTS)
def test_another_shop_moves_no_quote(client_for, stranger, quote, act):
    assert client_for(stranger).post(url(act, quote.pk)).status_code == 404


def test_another_shop_reaches_no_line_option_or_assumption(client_for, stranger, quote):
    other = client_for(stranger)
    option = quote.options.get(position=1)

    assert other.get(url("line", first_line(quote).pk)).status_code == 404
    assert other.get(url("line_add", option.pk)).status_code == 404
    assert other.get(url("quote_option", option.pk)).status_code == 404
    assumption = quote.assumptions.first()
    assert other.post(url("assumption_settle", assumption.pk)).status_code == 404


def test_a_technician_sees_no_prices(client_for, technician, quote):
    hand = client_for(technician)

    assert hand.get(url("quotes")).status_code == 403
    assert hand.get(url("quote", quote.pk)).status_code == 403
    assert hand.post(url("quote_send", quote.pk)).status_code == 403


def test_the_parts_counter_reads_but_does_not_write(client_for, parts_person, quote):
    counter = client_for(parts_person)

    page = counter.get(url("quote", quote.pk))
    assert page.status_code == 200
    assert b"Mark ready" not in page.content
    assert counter.post(url("quote_move", quote.pk, "ready")).status_code == 403
    assert counter.get(url("line", first_line(quote).pk)).status_code == 403


def test_without_a_sign_in_the_desk_asks_for_it(client, quote):
    assert "sign-in" in client.get(url("quote", quote.pk)).url


def test_a_boat_without_a_plan_yet_has_no_quote(desk, shop):
    make_boat(shop)

    assert desk.get(url("quote", 999)).status_code == 404
