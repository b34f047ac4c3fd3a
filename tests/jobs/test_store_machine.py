"""However people press, pick lines and orders only know the trade's states, and all adds up."""

from datetime import date

import pytest
from django.db import transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    rule,
    run_state_machine_as_test,
)

from shopapp.errors import ShopError
from shopapp.jobs.models import PickLine, PickList
from shopapp.jobs.services.leftovers import bring_back
from shopapp.jobs.services.picking import count_picked, reserve_short
from shopapp.jobs.services.releasing import release_lists
from shopapp.jobs.services.scanning import scan_piece, undo_scan
from shopapp.jobs.services.shortages import Want, order_wanted
from shopapp.jobs.services.staging import issue_list, stage_list, unstage_list
from shopapp.jobs.services.substitutes import take_like
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.roles import Role
from shopapp.stock.counts import correct_count
from shopapp.stock.models import Movement, OrderMove, PurchaseLine, PurchaseOrder, StockItem
from shopapp.stock.order_states import ORDER_MOVES
from shopapp.stock.ordering import confirm_order, end_order, send_order
from shopapp.stock.receiving import Delivery, receive
from tests.factories.accounts import ShopFactory, UserFactory
from tests.jobs.store_world import Store, explained

# The trade's own list of what a pick line and an order may be (common practice, no source).
LINE_STATES = {
    "wanted", "reserved", "picked", "short", "staged", "issued", "used", "returned", "scrapped",
}  # fmt: skip
ORDER_STATES = {
    "draft", "sent", "confirmed", "part_received", "received", "closed", "cancelled",
}  # fmt: skip
LIST_STATES = {"open", "staged", "issued", "cancelled"}
# What may follow what.
LINE_MOVES = {
    "wanted": {"reserved", "short"},
    "reserved": {"picked", "short", "wanted"},
    "short": {"reserved", "wanted"},
    "picked": {"staged", "reserved", "wanted"},
    "staged": {"issued", "picked", "reserved", "wanted"},
    "issued": {"used", "returned", "scrapped"},
    "used": set(),
    "returned": set(),
    "scrapped": set(),
}
# A list that was issued opens again where something is still to come; what is cancelled rests.
LIST_MOVES = {
    "open": {"open", "staged", "cancelled"},
    "staged": {"staged", "open", "issued", "cancelled"},
    "issued": {"issued"},
    "cancelled": {"cancelled"},
}
few = st.integers(0, 4)


def reachable(state: str, steps: int = 3) -> set[str]:
    """Where one press may take a line: it may go several steps in one stroke."""
    found = {state}
    for _ in range(steps):
        found |= {after for one in found for after in LINE_MOVES[one]}
    return found


class TheStore(RuleBasedStateMachine):
    """Two jobs, three parts, one supplier; every press that a person can make, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.block = transaction.atomic()
        self.block.__enter__()
        self.shop = ShopFactory()
        self.by = UserFactory(shop=self.shop, role=Role.MANAGER)
        self.store = Store(self.shop, self.by)
        self.parts = [self.store.lead, self.store.cable, self.store.longer]
        self.store.shelf(self.store.lead, 3)
        self.store.shelf(self.store.longer, 2)
        wants = ((self.store.lead, 2), (self.store.cable, 2))
        self.jobs = [self.store.job(*wants, number=f"J-{one}") for one in (1, 2)]
        self.seen: dict[int, str] = {}
        self.lists: dict[int, str] = {}

    def press(self, act) -> None:
        """A press that the shop's rules refuse changes nothing."""
        try:
            act()
        except ShopError:
            return

    def line(self, number: int) -> PickLine | None:
        lines = list(PickLine.objects.order_by("pk"))
        return lines[number % len(lines)] if lines else None

    def order_line(self, number: int) -> PurchaseLine | None:
        lines = list(PurchaseLine.objects.select_related("order").order_by("pk"))
        return lines[number % len(lines)] if lines else None

    @rule(job=st.integers(0, 1), part=st.integers(0, 2))
    def scan(self, job, part):
        code = self.parts[part].number
        self.press(lambda: scan_piece(job=self.jobs[job], code=code, by=self.by))

    @rule(job=st.integers(0, 1))
    def undo(self, job):
        self.press(lambda: undo_scan(job=self.jobs[job], by=self.by))

    @rule(number=few, count=few)
    def count(self, number, count):
        line = self.line(number)
        job = line.pick_list.job
        self.press(lambda: count_picked(job=job, counts={line.pk: count}, by=self.by))

    @rule(job=st.integers(0, 1), split=st.booleans())
    def stage(self, job, split):
        facts = {"totes": 1, "extras": list(ALWAYS_IN_THE_TOTE)}
        why = "Agreed." if split else ""
        self.press(lambda: stage_list(job=self.jobs[job], split_reason=why, by=self.by, **facts))

    @rule(job=st.integers(0, 1))
    def unstage(self, job):
        self.press(lambda: unstage_list(job=self.jobs[job], by=self.by))

    @rule(job=st.integers(0, 1))
    def issue(self, job):
        self.press(lambda: issue_list(job=self.jobs[job], to="Theo", by=self.by))

    @rule(job=st.integers(0, 1))
    def reserve(self, job):
        self.press(lambda: reserve_short(job=self.jobs[job], by=self.by))

    @rule(number=few)
    def substitute(self, number):
        line = self.line(number)
        self.press(lambda: take_like(line=line, part=self.store.longer, by=self.by))

    @rule(number=few, count=few, way=st.sampled_from(["shelf", "van", "scrap"]))
    def back(self, number, count, way):
        line = self.line(number)
        facts = {"place": "Van 1" if way == "van" else "", "reason": "Seen."}
        self.press(lambda: bring_back(line=line, count=count, way=way, by=self.by, **facts))

    @rule(part=st.integers(0, 2), count=few)
    def order(self, part, count):
        wants = [Want(self.parts[part], self.store.supplier, count)]
        self.press(lambda: order_wanted(shop=self.shop, wants=wants, by=self.by))

    @rule(number=few)
    def send(self, number):
        line = self.order_line(number)
        if line:
            self.press(lambda: send_order(order=line.order, by=self.by))

    @rule(number=few, said_by=st.sampled_from(["", "Ines"]))
    def confirm(self, number, said_by):
        line = self.order_line(number)
        if line:
            facts = {"promised_on": date(2026, 12, 18), "said_by": said_by, "by": self.by}
            self.press(lambda: confirm_order(order=line.order, **facts))

    @rule(number=few, good=few, damaged=st.integers(0, 1))
    def deliver(self, number, good, damaged):
        line = self.order_line(number)
        if line:
            what = Delivery(good=good, damaged=damaged, note="Seen.")
            self.press(lambda: receive(line=line, delivery=what, by=self.by))

    @rule(number=few, after=st.sampled_from(["closed", "cancelled"]))
    def end(self, number, after):
        line = self.order_line(number)
        if line:
            self.press(
                lambda: end_order(order=line.order, after=after, by=self.by, note="It is so.")
            )

    @rule(part=st.integers(0, 2), count=few)
    def recount(self, part, count):
        facts = {"part": self.parts[part], "place": "A1", "on_hand": count, "reason": "Counted"}
        self.press(lambda: correct_count(by=self.by, **facts))

    @rule()
    def cancel_second(self):
        self.press(lambda: release_lists(job=self.jobs[1], by=self.by))

    @invariant()
    def lines_are_in_a_state_that_the_trade_knows(self):
        for line in PickLine.objects.all():
            assert line.state in LINE_STATES
            if line.state != "wanted":
                assert line.state == line.derive_state()
            before = self.seen.get(line.pk, line.state)
            assert line.state in reachable(before), f"{before} → {line.state}"
            self.seen[line.pk] = line.state

    @invariant()
    def lists_are_in_a_state_that_the_trade_knows(self):
        for one in PickList.objects.all():
            assert one.state in LIST_STATES
            before = self.lists.get(one.pk, one.state)
            assert one.state in LIST_MOVES[before], f"{before} → {one.state}"
            self.lists[one.pk] = one.state

    @invariant()
    def orders_are_in_a_state_that_the_trade_knows_by_moves_that_exist(self):
        assert set(PurchaseOrder.objects.values_list("state", flat=True)) <= ORDER_STATES
        for move in OrderMove.objects.exclude(before=""):
            assert move.after in ORDER_MOVES[move.before]

    @invariant()
    def stock_is_the_sum_of_its_movements(self):
        assert explained(self.shop)

    @invariant()
    def what_is_reserved_is_what_the_lines_say(self):
        for item in StockItem.objects.all():
            lines = PickLine.objects.filter(stock=item, issued=0)
            assert item.reserved == sum(lines.values_list("reserved", flat=True))
            assert item.picked == sum(line.picked for line in lines)
            assert 0 <= item.picked <= item.reserved <= item.on_hand
        for line in PurchaseLine.objects.all():
            assert line.spoken == sum(line.pick_lines.values_list("ordered", flat=True))

    @invariant()
    def every_piece_is_somewhere(self):
        came = sum(Movement.objects.filter(kind="receive").values_list("on_hand", flat=True))
        counted = sum(Movement.objects.filter(kind="adjust").values_list("on_hand", flat=True))
        ends = PickLine.objects.values_list("issued", "returned", "scrapped")
        gone = sum(issued - returned for issued, returned, _ in ends)
        here = sum(StockItem.objects.values_list("on_hand", flat=True))
        assert came + counted == here + gone

    @invariant()
    def money_adds_up_to_the_cent(self):
        for order in PurchaseOrder.objects.all():
            lines = list(order.lines.all())
            known = [line for line in lines if line.unit_cents is not None]
            total = sum(line.total_cents for line in known)
            assert total == sum(line.unit_cents * line.quantity for line in known)
            assert all(line.quantity >= line.spoken for line in lines)

    def teardown(self) -> None:
        """Each run leaves the database as it was."""
        transaction.set_rollback(True)
        self.block.__exit__(None, None, None)


@pytest.mark.slow
def test_no_path_leaves_the_trades_states_and_all_adds_up(db):
    run_state_machine_as_test(
        TheStore,
        settings=settings(max_examples=20, stateful_step_count=25, deadline=None),
    )
