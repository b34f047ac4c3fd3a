"""Whatever anybody tries with a quote, in any order: its state is known, its money adds up."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from shopapp.errors import ShopError
from shopapp.jobs.models import Approval, Job, Quote, QuoteCheck, QuoteLine
from shopapp.jobs.services.acceptance import accept_quote, decline_quote, still_as_agreed
from shopapp.jobs.services.deposits import money_of, note_deposit
from shopapp.jobs.services.lines import (
    add_line,
    change_line,
    put_line_back,
    take_line_off,
    totals_of,
)
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.quotes import change_head, revise_quote
from shopapp.jobs.services.second_look import ask_for_look, look_of, pass_look, return_look
from shopapp.jobs.services.sending import expire_quotes, send_quote
from shopapp.jobs.states import QUOTE_MOVES
from shopapp.money import percent_of
from shopapp.roles import Role
from tests.factories.accounts import ShopFactory, TaxRateFactory, UserFactory
from tests.factories.jobs import make_quote

LINK = "https://desk.example/q/{token}/"
KINDS = ["equipment", "small", "labour", "outside", "credit", "travel"]
WHO = st.sampled_from(["writer", "manager", "parts", "technician"])
CENTS = st.integers(0, 2_000_00)


class QuoteLife(RuleBasedStateMachine):
    """One quote and its revisions, in the hands of a whole shop and its customer."""

    def __init__(self) -> None:
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        shop = ShopFactory(check_over_cents=3_500_00, deposit_percent=33)
        TaxRateFactory(shop=shop, percent="6.125")
        TaxRateFactory(shop=shop, name="Work tax", applies_to="labour", percent="2.5")
        self.people = {role: UserFactory(shop=shop, role=Role(role)) for role in Role.values}
        self.pk = make_quote(self.people["writer"]).pk

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    @property
    def quote(self) -> Quote:
        rows = Quote.objects.select_related("shop", "boat", "customer", "run", "accepted_option")
        return rows.get(pk=self.pk)

    def tries(self, act, *args, **facts):
        """Do it, or be refused in the shop's own words; nothing else may happen."""
        try:
            with transaction.atomic():
                return act(*args, **facts)
        except ShopError:
            return None

    def option(self, number: int):
        options = list(self.quote.options.all())
        return options[number % len(options)]

    def line(self, number: int) -> QuoteLine:
        lines = list(
            QuoteLine.objects.filter(option__quote=self.pk).select_related("option__quote")
        )
        return lines[number % len(lines)]

    @rule(after=st.sampled_from(sorted(QUOTE_MOVES)), who=WHO)
    def move(self, after, who):
        if after in {"approved", "sent", "replaced", "expired"}:
            return  # these have acts of their own, below
        self.tries(move_quote, quote=self.quote, after=after, by=self.people[who])

    @rule(
        number=st.integers(0, 4),
        kind=st.sampled_from(KINDS),
        cents=CENTS,
        quantity=st.integers(1, 9),
        minutes=st.integers(1, 500),
    )
    def add(self, number, kind, cents, quantity, minutes):
        facts = {
            "kind": kind,
            "description": f"{kind} by hand",
            "unit_cents": -cents if kind == "credit" else cents,
            "quantity": 1 if kind == "labour" else quantity,
            "minutes": minutes if kind == "labour" else 0,
        }
        self.tries(add_line, option=self.option(number), facts=facts)

    @rule(number=st.integers(0, 99), percent=st.integers(0, 10_000), behind=st.booleans())
    def discount(self, number, percent, behind):
        line = self.line(number)
        facts = {
            "discount_percent": Decimal(percent) / 100,
            "discount_reason": "A good customer." if percent else "",
        }
        if line.kind == "credit":
            return
        seen = line.option.quote.version - behind
        self.tries(change_line, line=line, seen=seen, facts=facts)

    @rule(number=st.integers(0, 99), why=st.sampled_from(["", "Brings an own one."]))
    def take_off(self, number, why):
        line = self.line(number)
        self.tries(take_line_off, line=line, seen=line.option.quote.version, why=why)

    @rule(number=st.integers(0, 99))
    def put_back(self, number):
        line = self.line(number)
        if line.left_out:
            self.tries(put_line_back, line=line, seen=line.option.quote.version)

    @rule(percent=st.integers(0, 100))
    def deposit_share(self, percent):
        quote = self.quote
        self.tries(change_head, quote=quote, seen=quote.version, facts={"deposit_percent": percent})

    @rule(who=WHO, passes=st.booleans())
    def look(self, who, passes):
        quote = self.quote
        check = look_of(quote).check or self.tries(
            ask_for_look, quote=quote, reason="As agreed.", by=self.people["writer"]
        )
        if check is not None:
            answer = pass_look if passes else return_look
            self.tries(answer, check=check, note="Looked at.", by=self.people[who])

    @rule()
    def send(self):
        quote = self.quote
        if quote.state in {"building", "survey"}:
            self.tries(move_quote, quote=quote, after="ready", by=self.people["writer"])
        sends = {"by": self.people["writer"], "link": LINK, "subject_ok": True}
        self.tries(send_quote, quote=self.quote, **sends)

    @rule(number=st.integers(0, 4), name=st.sampled_from(["Odile Farrow", " "]))
    def accept(self, number, name):
        option = self.option(number)
        self.tries(accept_quote, quote=self.quote, option=option, name=name, address=None)

    @rule()
    def decline(self):
        self.tries(decline_quote, quote=self.quote, name="Odile", reason="", address=None)

    @rule()
    def a_long_time_passes(self):
        Quote.objects.filter(pk=self.pk, state="sent").update(valid_until="2020-01-01")
        expire_quotes()

    @rule()
    def revise(self):
        fresh = self.tries(revise_quote, quote=self.quote, by=self.people["writer"])
        if fresh is not None:
            self.pk = fresh.pk

    @rule(cents=st.integers(-5, 9_000_00))
    def pay(self, cents):
        facts = {"way": "card", "note": "", "once": uuid4(), "by": self.people["writer"]}
        today = timezone.localdate()
        self.tries(note_deposit, quote=self.quote, cents=cents, received_on=today, **facts)

    @invariant()
    def every_state_and_every_move_is_one_of_the_trade(self):
        for quote in Quote.objects.filter(shop=self.quote.shop):
            assert quote.state in QUOTE_MOVES
            moves = list(quote.moves.exclude(before=F("after")))
            assert moves[0].before == ""
            assert [move.after for move in moves[:-1]] == [move.before for move in moves[1:]]
            assert all(move.after in QUOTE_MOVES[move.before] for move in moves[1:])
            assert moves[-1].after == quote.state

    @invariant()
    def money_adds_up_to_the_cent(self):
        quote = self.quote
        for option in quote.options.all():
            lines = list(option.lines.all())
            totals = totals_of(quote=quote, rows=lines)
            kept = sum(line.total_cents for line in lines)
            assert option.total_cents == kept + totals.rounding_cents + option.tax_cents
            assert option.total_cents == (
                option.goods_cents
                + option.labour_cents
                + option.outside_cents
                - option.discount_cents
                + option.tax_cents
            )
            assert option.tax_cents == sum(cents for _, cents in totals.taxes)
            percent = Decimal(quote.deposit_percent)
            assert option.deposit_cents == percent_of(option.total_cents, percent)
            assert option.total_cents >= 0

    @invariant()
    def a_yes_is_one_job_with_its_proof_and_no_more_money_than_its_total(self):
        quote = self.quote
        yes = quote.state == "approved"
        assert Approval.objects.filter(quote=quote).count() == yes
        assert Job.objects.filter(quote=quote).count() == yes
        if yes:
            assert still_as_agreed(quote)
            assert 0 <= money_of(quote).received_cents <= quote.accepted_option.total_cents

    @invariant()
    def nothing_past_the_limit_went_out_alone(self):
        quote = self.quote
        if quote.sent_at is not None and look_of(quote).findings:
            passed = QuoteCheck.objects.filter(quote=quote, verdict="passed")
            assert passed.exclude(by=F("asked_by")).exists()


@pytest.mark.slow
def test_whatever_is_tried_the_quote_stays_whole(db):
    run_state_machine_as_test(
        QuoteLife,
        settings=settings(
            max_examples=12,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
