"""Whatever workers and people do in whatever order, a paper has one end and one file."""

from datetime import timedelta
from uuid import UUID, uuid4

from django.conf import settings as desk_settings
from django.db import transaction
from django.utils import timezone
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    rule,
    run_state_machine_as_test,
)

from shopapp.jobs.models import Document
from tests.factories.accounts import ShopFactory
from tests.work.rows import make_row

# What may follow what, seen from outside between two acts.
MOVES = {
    "requested": {"requested", "running", "stopped", "failed"},
    "running": {"running", "requested", "ready", "failed", "stopped"},
    "failed": {"failed", "requested"},
    "stopped": {"stopped", "requested"},
    "ready": {"ready"},
}
anyone = st.integers(0, 5)


class OnePaper(RuleBasedStateMachine):
    """One paper, many workers that come late or twice, and a person at the queue page."""

    def __init__(self) -> None:
        super().__init__()
        self.block = transaction.atomic()
        self.block.__enter__()
        self.pk = make_row(ShopFactory()).pk
        self.claims: list[UUID] = []
        self.finished: list[str] = []
        self.state = "requested"

    @property
    def rows(self):
        return Document.objects.all()

    @property
    def row(self) -> Document:
        return Document.objects.get(pk=self.pk)

    def mark(self, number: int) -> UUID:
        """The claim of one of the workers, of one that nobody made where there is none."""
        return self.claims[number % len(self.claims)] if self.claims else uuid4()

    @rule()
    def claim(self):
        mark = self.rows.claim(self.pk)
        if mark is not None:
            self.claims.append(mark)

    @rule()
    def the_lease_runs_out(self):
        late = timezone.now() - timedelta(seconds=1)
        self.rows.filter(row_state="running").update(lease_until=late)

    @rule()
    def the_rest_is_over(self):
        self.rows.update(wait_until=None)

    @rule(number=anyone)
    def renew(self, number):
        self.rows.renew(self.pk, self.mark(number))

    @rule(number=anyone)
    def finish(self, number):
        file = f"papers/{len(self.finished)}.pdf"
        holds = self.row.row_state == "running" and self.row.lease_owner == self.mark(number)
        done = self.rows.finish(self.pk, self.mark(number), file=file)
        assert done == holds
        if done:
            self.finished.append(file)

    @rule(number=anyone)
    def give_back(self, number):
        self.rows.give_back(self.pk, self.mark(number), "A fault.")

    @rule(number=anyone)
    def the_disk_is_full(self, number):
        self.rows.put_off(self.pk, self.mark(number), "The disk is full.", 30)

    @rule(number=anyone)
    def fail(self, number):
        self.rows.fail(self.pk, self.mark(number), "It cannot be made.")

    @rule()
    def sweep(self):
        self.rows.give_up_hopeless(timezone.now())

    @rule()
    def stop(self):
        self.rows.stop(by="Mona")

    @rule()
    def try_again(self):
        self.rows.ask_again(self.pk)

    @invariant()
    def the_state_is_known_and_the_way_to_it_too(self):
        row = self.row
        assert row.row_state in MOVES[self.state], f"{self.state} → {row.row_state}"
        self.state = row.row_state

    @invariant()
    def it_is_finished_at_most_once_with_the_file_of_who_held_it(self):
        assert len(self.finished) <= 1
        row = self.row
        assert (row.row_state == "ready") == bool(self.finished)
        if self.finished:
            assert row.file == self.finished[0]

    @invariant()
    def only_what_runs_is_held_and_tries_have_an_end(self):
        row = self.row
        assert (row.lease_owner is not None) == (row.row_state == "running")
        assert (row.lease_until is not None) == (row.row_state == "running")
        assert row.tries >= 0
        if row.row_state == "requested":
            assert row.tries < desk_settings.WORK_MAX_TRIES or not row.reason

    @invariant()
    def what_has_no_result_says_why(self):
        row = self.row
        assert bool(row.reason) or not row.unmade

    def teardown(self) -> None:
        """Each run leaves the database as it was."""
        transaction.set_rollback(True)
        self.block.__exit__(None, None, None)


def test_no_path_leads_a_paper_out_of_the_known_states(db):
    run_state_machine_as_test(
        OnePaper,
        settings=settings(max_examples=60, stateful_step_count=30, deadline=None),
    )
