"""The second look: when it is asked for, who may pass it, and what an edit does to it."""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Quote, QuoteCheck
from shopapp.jobs.services.lines import add_line
from shopapp.jobs.services.margins import Limits, Sold, findings_of, margin_of
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.second_look import ask_for_look, look_of, pass_look, return_look
from shopapp.jobs.services.sending import send_quote
from shopapp.roles import Role
from tests.factories.accounts import UserFactory
from tests.factories.jobs import make_quote

LINK = "https://desk.example/q/{token}/"
NO_FLOORS = {"equipment": None, "small": None, "labour": None}


def limits(over=None, labour_cost=None, **floors) -> Limits:
    return Limits(over, NO_FLOORS | floors, labour_cost)


def ready(writer, **shop) -> Quote:
    for name, value in shop.items():
        setattr(writer.shop, name, value)
    writer.shop.save()
    quote = make_quote(writer)
    move_quote(quote=quote, after="ready", by=writer)
    return quote


def send(quote: Quote, by) -> None:
    send_quote(quote=quote, by=by, link=LINK, subject_ok=True)


# What asks for a look


def test_a_shop_without_limits_asks_for_nothing():
    sold = [Sold("equipment", "Display", 100_00, None)]

    assert findings_of(option="Option 1", total_cents=10**9, lines=sold, limits=limits()) == []


def test_a_total_at_the_limit_is_within_it_and_a_cent_more_is_past_it():
    def words(total):
        found = findings_of(option="Option 1", total_cents=total, lines=[], limits=limits(500_00))
        return [one.text for one in found]

    assert words(500_00) == []
    assert words(500_01) == ["Option 1: its total of $500.01 passes the shop's limit of $500.00."]


@pytest.mark.parametrize(("cost", "under"), [(80_00, False), (80_01, True)])
def test_a_margin_at_the_floor_is_enough(cost, under):
    sold = [Sold("equipment", "Display", 100_00, cost)]

    found = findings_of(option="Option 1", total_cents=0, lines=sold, limits=limits(equipment=20))

    assert bool(found) is under


def test_a_cost_that_is_not_known_is_said_and_not_taken_as_fine():
    sold = [Sold("small", "Lead", 20_00, None), Sold("small", "Cap", 1_00, 50)]

    found = findings_of(option="Option 2", total_cents=0, lines=sold, limits=limits(small=35))

    assert [(one.about, one.text) for one in found] == [
        ("margin", "Option 2: what Lead costs us is not known.")
    ]


def test_a_credit_lowers_the_margin_of_the_equipment():
    sold = [Sold("equipment", "Display", 100_00, 75_00), Sold("credit", "Old unit", -10_00, None)]

    assert str(margin_of("equipment", sold).percent) == "16.6"


def test_goods_given_away_have_no_margin_left():
    assert margin_of("small", [Sold("small", "Cap", 0, 50)]).percent == -100


# The look itself


def test_a_quote_past_the_limit_does_not_go_out_alone(writer):
    quote = ready(writer, check_over_cents=100)

    with pytest.raises(MoveRefused, match="second person has to look"):
        send(quote, writer)

    quote.refresh_from_db()
    assert quote.state == "ready"


def test_it_goes_out_once_a_second_person_passed_it(writer, manager):
    quote = ready(writer, check_over_cents=100)
    check = ask_for_look(quote=quote, reason="Two stations, priced as agreed.", by=writer)

    pass_look(check=check, note="Compared with the list.", by=manager)
    send(quote, writer)

    assert quote.state == "sent"
    assert "Second look: passed." in quote.moves.filter(by=manager).get().note


def test_nobody_passes_a_quote_of_their_own(writer, manager):
    quote = ready(writer, check_over_cents=100)
    check = ask_for_look(quote=quote, reason="As agreed.", by=manager)

    for person in (writer, manager):
        with pytest.raises(MoveRefused, match="had a hand"):
            pass_look(check=check, note="Fine.", by=person)


def test_another_writer_passes_a_total_but_not_a_margin(writer, manager):
    second = UserFactory(shop=writer.shop, role=Role.WRITER)
    quote = ready(writer, margin_equipment_percent=99)
    check = ask_for_look(quote=quote, reason="As agreed.", by=writer)

    with pytest.raises(MoveRefused, match="manager or the owner"):
        pass_look(check=check, note="Fine.", by=second)
    pass_look(check=check, note="A good customer.", by=manager)

    assert look_of(quote).is_passed


@pytest.mark.parametrize("reason", ["", "   "])
def test_asking_and_answering_need_words(writer, manager, reason):
    quote = ready(writer, check_over_cents=100)

    with pytest.raises(FactRefused):
        ask_for_look(quote=quote, reason=reason, by=writer)
    check = ask_for_look(quote=quote, reason="As agreed.", by=writer)
    with pytest.raises(FactRefused):
        pass_look(check=check, note=reason, by=manager)


def test_an_edit_after_the_look_asks_for_a_new_one(writer, manager):
    quote = ready(writer, check_over_cents=100)
    pass_look(
        check=ask_for_look(quote=quote, reason="As agreed.", by=writer), note="Yes.", by=manager
    )
    facts = {"kind": "equipment", "description": "One more", "unit_cents": 5_000_00}
    add_line(option=quote.options.first(), facts=facts)
    quote.refresh_from_db()

    with pytest.raises(MoveRefused, match="second person"):
        send(quote, writer)


def test_given_back_it_is_being_built_again(writer, manager):
    quote = ready(writer, check_over_cents=100)
    check = ask_for_look(quote=quote, reason="As agreed.", by=writer)

    return_look(check=check, note="The bracket is missing.", by=manager)

    quote.refresh_from_db()
    assert quote.state == "building"
    assert quote.moves.last().note == "Second look: given back. The bracket is missing."


def test_a_look_is_answered_once(writer, manager, owner):
    quote = ready(writer, check_over_cents=100)
    check = ask_for_look(quote=quote, reason="As agreed.", by=writer)
    pass_look(check=check, note="Yes.", by=manager)

    with pytest.raises(StaleRecord):
        pass_look(check=check, note="Yes.", by=owner)


def test_a_look_is_asked_once_a_version(writer):
    quote = ready(writer, check_over_cents=100)
    ask_for_look(quote=quote, reason="As agreed.", by=writer)

    with pytest.raises(StaleRecord):
        ask_for_look(quote=quote, reason="Once more.", by=writer)


def test_the_database_refuses_a_look_by_the_same_person(writer):
    quote = ready(writer, check_over_cents=100)
    check = ask_for_look(quote=quote, reason="As agreed.", by=writer)

    with pytest.raises(IntegrityError), transaction.atomic():
        QuoteCheck.objects.filter(pk=check.pk).update(
            verdict="passed", by=writer, at=check.asked_at, note="Mine."
        )


# The page


def test_the_page_asks_shows_and_passes(client_for, writer, manager):
    quote = ready(writer, check_over_cents=100)
    page = reverse("jobs:quote", args=[quote.pk])
    desk, office = client_for(writer), client_for(manager)

    assert "Ask for the second look" in desk.get(page).content.decode()
    assert "Send quote" not in desk.get(page).content.decode()
    desk.post(reverse("jobs:look_ask", args=[quote.pk]), {"reason": "As agreed."})
    assert "Pass it" not in desk.get(page).content.decode()
    assert "Pass it" in office.get(page).content.decode()
    check = QuoteCheck.objects.get()
    answer = {"verdict": "passed", "note": "Yes."}
    office.post(reverse("jobs:look_answer", args=[check.pk]), answer)

    assert "Send quote" in desk.get(page).content.decode()


def test_a_technician_and_a_stranger_have_no_look(client_for, writer, technician, stranger):
    quote = ready(writer, check_over_cents=100)
    check = ask_for_look(quote=quote, reason="As agreed.", by=writer)
    address = reverse("jobs:look_answer", args=[check.pk])

    assert client_for(technician).post(address).status_code == 403
    assert client_for(stranger).post(address).status_code == 404
