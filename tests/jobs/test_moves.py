"""Moves of quotes and jobs: only those of the table, each on record."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapp.errors import MoveRefused, StaleRecord
from shopapp.jobs.models import Job, Quote
from shopapp.jobs.services.moves import move_job, move_quote
from shopapp.jobs.states import (
    BY_ITSELF,
    CUSTOMER,
    JOB_MOVES,
    QUOTE_MOVES,
    job_may_go,
    quote_may_go,
    role_may,
)
from tests.factories.jobs import make_quote

QUOTE_STATES = set(Quote.State.values)
JOB_STATES = set(Job.State.values)


@pytest.mark.parametrize(
    ("table", "states"), [(QUOTE_MOVES, QUOTE_STATES), (JOB_MOVES, JOB_STATES)]
)
def test_the_table_knows_every_state_and_no_other(table, states):
    assert set(table) == states
    assert {after for moves in table.values() for after in moves} <= states


@given(st.lists(st.sampled_from(sorted(QUOTE_STATES)), max_size=20))
def test_no_path_leads_a_quote_out_of_the_known_states(wishes):
    state = "building"
    for wish in wishes:
        if quote_may_go(state, wish):
            state = wish
        assert state in QUOTE_STATES


@given(st.lists(st.sampled_from(sorted(JOB_STATES)), max_size=30))
def test_a_closed_or_cancelled_job_moves_no_more(wishes):
    state, ended = "opened", False
    for wish in wishes:
        if job_may_go(state, wish):
            assert not ended
            state = wish
        ended = state in {"closed", "cancelled"}


def reachable(table, start):
    seen, waiting = set(), [start]
    while waiting:
        state = waiting.pop()
        if state not in seen:
            seen.add(state)
            waiting.extend(table[state])
    return seen


def test_every_state_can_be_reached_from_the_first():
    assert reachable(QUOTE_MOVES, "building") == QUOTE_STATES
    assert reachable(JOB_MOVES, "opened") == JOB_STATES


def test_the_customer_may_only_answer():
    allowed = [
        (before, after)
        for before, moves in QUOTE_MOVES.items()
        for after, roles in moves.items()
        if roles != BY_ITSELF and role_may(QUOTE_MOVES, before, after, CUSTOMER)
    ]

    assert allowed == [("sent", "approved"), ("sent", "declined")]


def test_a_move_is_on_record_with_who_and_why(writer):
    quote = make_quote(writer)

    move_quote(quote=quote, after="survey", by=writer, note="Dash depth not known")

    move = quote.moves.last()
    assert (move.before, move.after, move.by) == ("building", "survey", writer)
    assert move.note == "Dash depth not known"


def test_a_move_that_does_not_exist_is_refused_in_words(writer):
    quote = make_quote(writer)

    with pytest.raises(MoveRefused, match="“Being built”; it cannot become “Sent”"):
        move_quote(quote=quote, after="sent", by=writer)

    assert quote.moves.count() == 1


def test_a_role_that_may_not_move_it_is_refused(writer, technician):
    with pytest.raises(MoveRefused, match="role"):
        move_quote(quote=make_quote(writer), after="ready", by=technician)


def test_who_comes_second_is_told(writer):
    quote = make_quote(writer)
    same = Quote.objects.get(pk=quote.pk)
    move_quote(quote=quote, after="ready", by=writer)

    with pytest.raises(StaleRecord):
        move_quote(quote=same, after="survey", by=writer)

    assert Quote.objects.get(pk=quote.pk).state == "ready"


def test_a_job_moves_only_from_the_version_seen(writer, shop):
    quote = make_quote(writer)
    job = Job.objects.create(shop=shop, number="J-1", boat=quote.boat, customer=quote.customer)
    Job.objects.filter(pk=job.pk).update(version=2)

    with pytest.raises(StaleRecord):
        move_job(job=job, after="ready", by=writer)


def test_only_a_chief_cancels_a_job(writer, manager, shop):
    quote = make_quote(writer)
    job = Job.objects.create(shop=shop, number="J-1", boat=quote.boat, customer=quote.customer)

    with pytest.raises(MoveRefused, match="role"):
        move_job(job=job, after="cancelled", by=writer)

    move_job(job=job, after="cancelled", by=manager, note="Boat sold")
    assert Job.objects.get().state == "cancelled"
