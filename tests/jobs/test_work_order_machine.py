"""Whatever people press, a work order stays in a state that the trade knows, and stock adds up."""

from datetime import date
from itertools import pairwise

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from shopapp.accounts.models import Shop, User
from shopapp.errors import ShopError
from shopapp.jobs.models import ChangeOrder, Job, Move, PickLine
from shopapp.jobs.services import change_answers, changing
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.comebacks import open_comeback
from shopapp.jobs.services.differences import agreed_totals
from shopapp.jobs.services.finishing import bill_job, hand_over_job
from shopapp.jobs.services.scheduling import cancel_job, hold_job, move_along, schedule_job
from shopapp.jobs.states import JOB_MOVES, role_may
from shopapp.roles import Role
from shopapp.stock.models import StockItem
from tests.factories.accounts import UserFactory
from tests.jobs.work_world import Works

ROLES = st.sampled_from(list(Role.values))
# What a change order may be (common practice, no source).
CHANGE_STATES = {"draft", "offered", "agreed", "declined", "withdrawn"}
STATES = st.sampled_from(list(Job.State.values))


class WorkOrder(RuleBasedStateMachine):
    """One job, five people, any order of presses; refusals are answers, never faults."""

    works: Works
    people: dict[str, User]

    def __init__(self) -> None:
        super().__init__()
        self.block = transaction.atomic()
        self.block.__enter__()
        self.job = Job.objects.get(pk=self.works.job.pk)
        self.answers: dict[int, str] = {}

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.block.__exit__(None, None, None)

    def press(self, act: object, **facts: object) -> None:
        """What a page does: one service in one transaction, refused in words or done."""
        before = Job.objects.get(pk=self.job.pk)
        refused = None
        try:
            with transaction.atomic():
                act(job=before, **facts)
        except ShopError as error:
            refused = error
        if refused is not None:
            assert refused.message
            assert Job.objects.get(pk=self.job.pk).state == before.state

    @rule(role=ROLES, after=STATES)
    def move(self, role: str, after: str) -> None:
        self.press(move_along, after=after, by=self.people[role])

    @rule(role=ROLES, day=st.integers(1, 28))
    def give_a_day(self, role: str, day: int) -> None:
        technician, by = self.people["technician"], self.people[role]
        self.press(schedule_job, technician=technician, day=date(2026, 12, day), by=by)

    @rule(role=ROLES, words=st.sampled_from(["", "part", "owner"]))
    def hold(self, role: str, words: str) -> None:
        self.press(hold_job, reason=words, by=self.people[role])

    @rule(role=ROLES)
    def cancel(self, role: str) -> None:
        self.press(cancel_job, reason="Boat sold.", by=self.people[role])

    @rule(role=ROLES, name=st.sampled_from(["", "Ada Finch"]))
    def hand_over(self, role: str, name: str) -> None:
        self.press(hand_over_job, reason=name, by=self.people[role])

    @rule(role=ROLES, number=st.sampled_from(["", "B-1"]))
    def bill(self, role: str, number: str) -> None:
        self.press(bill_job, reason=number, by=self.people[role])

    @rule()
    def answer_everything(self) -> None:
        self.works.job = Job.objects.get(pk=self.job.pk)
        if self.works.job.state == "on_job":
            self.works.do_all()

    @rule(role=ROLES)
    def close(self, role: str) -> None:
        self.press(close_job, by=self.people[role])

    @rule(minutes=st.integers(0, 90), cents=st.integers(-3000, 9000), yes=st.booleans())
    def change(self, minutes: int, cents: int, yes: bool) -> None:
        by = self.people["technician"]

        def act(job: Job) -> None:
            one = changing.begin_change(job=job, ground="found", found="Rot.", wishes=[], by=by)
            one = changing.choose_plan(change=one, option=1, by=by)
            one = changing.add_by_hand(change=one, words="Rot", minutes=minutes, cents=cents, by=by)
            one = changing.offer_change(change=one, by=by)
            promised = one.after_cents
            if yes:
                change_answers.agree_change(change=one, name="Ada", how="signed", by=by)
                assert agreed_totals(Job.objects.get(pk=job.pk)).total_cents == promised
            else:
                change_answers.decline_change(change=one, name="Ada", note="", by=by)

        self.press(act)

    @rule(offer=st.booleans())
    def change_that_stays_open(self, offer: bool) -> None:
        by = self.people["technician"]

        def act(job: Job) -> None:
            one = changing.begin_change(job=job, ground="found", found="Rot.", wishes=[], by=by)
            one = changing.choose_plan(change=one, option=1, by=by)
            if offer:
                changing.offer_change(change=one, by=by)

        self.press(act)

    @rule(number=st.integers(0, 3), how=st.sampled_from(["yes", "no", "back", "offer"]))
    def answer_any_change(self, number: int, how: str) -> None:
        changes = list(ChangeOrder.objects.filter(job=self.job.pk).order_by("pk"))
        if not changes:
            return
        one, by = changes[number % len(changes)], self.people["technician"]

        def act(job: Job) -> None:
            if how == "yes":
                change_answers.agree_change(change=one, name="Ada", how="signed", by=by)
            elif how == "no":
                change_answers.decline_change(change=one, name="Ada", note="", by=by)
            elif how == "back":
                change_answers.withdraw_change(change=one, by=by)
            else:
                changing.offer_change(change=one, by=by)

        self.press(act)

    @rule()
    def come_back(self) -> None:
        by = self.people["writer"]
        self.press(open_comeback, cause="unknown", words="Dark.", by=by)

    @invariant()
    def every_move_is_one_of_the_trade(self) -> None:
        rows = list(Move.objects.filter(job=self.job.pk).order_by("pk"))
        for one in rows[1:]:
            stays = one.before == one.after
            assert stays or one.after in JOB_MOVES[one.before]
            if not stays and one.by is not None:
                assert role_may(JOB_MOVES, one.before, one.after, one.by.role)
        for one, two in pairwise(rows):
            assert one.after == two.before
        assert rows[-1].after == Job.objects.get(pk=self.job.pk).state

    @invariant()
    def what_is_reserved_is_on_a_line_and_on_the_shelf(self) -> None:
        for item in StockItem.objects.all():
            lines = PickLine.objects.filter(stock=item)
            assert item.reserved == (lines.aggregate(sum=Sum("reserved"))["sum"] or 0)
            assert 0 <= item.reserved <= item.on_hand

    @invariant()
    def a_change_is_in_a_state_of_the_trade_and_an_answer_stays(self) -> None:
        for change in ChangeOrder.objects.filter(job=self.job.pk):
            assert change.state in CHANGE_STATES
            assert change.state == self.answers.get(change.pk, change.state)
            if change.state not in ChangeOrder.OPEN:
                self.answers[change.pk] = change.state
            assert change.after_cents == change.before_cents + change.total_cents

    @invariant()
    def at_most_one_change_is_open(self) -> None:
        assert ChangeOrder.objects.filter(job=self.job.pk, state__in=ChangeOrder.OPEN).count() <= 1


@pytest.mark.django_db(transaction=True)
def test_no_path_leaves_the_trade(shop: Shop, writer: User, technician: User) -> None:
    WorkOrder.works = Works(shop, writer, technician)
    WorkOrder.people = {
        "writer": writer,
        "technician": technician,
        **{role: UserFactory(shop=shop, role=role) for role in ("manager", "parts", "owner")},
    }
    run_state_machine_as_test(
        WorkOrder,
        settings=settings(
            max_examples=12,
            stateful_step_count=18,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
