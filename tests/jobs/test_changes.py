"""Change orders: planned from what is true now, agreed, then steps, parts and papers follow."""

import pytest
from django.urls import reverse

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Unit
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import ChangeOrder, Document, Job, PickLine
from shopapp.jobs.services import change_answers, changing
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.differences import agreed_totals
from shopapp.jobs.services.picking import count_picked
from shopapp.stock.models import StockItem
from tests.jobs.work_world import Works
from tests.planner.worlds import add


@pytest.fixture
def works(shop: Shop, writer: User, technician: User) -> Works:
    works = Works(shop, writer, technician)
    works.start()
    return works


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


def tick_cautions(works: Works) -> None:
    for step in works.steps():
        if step.caution and step.state == "todo":
            works.answer(step)


def begun(
    works: Works, *more: dict, found: str = "She wants one at the console too."
) -> ChangeOrder:
    return changing.begin_change(
        job=works.job, ground="wish", found=found, wishes=list(more), by=works.technician
    )


def offered(works: Works, *more: dict) -> ChangeOrder:
    change = begun(works, *more)
    change = changing.choose_plan(change=change, option=1, by=works.technician)
    return changing.offer_change(change=change, by=works.technician)


def agreed(works: Works, *more: dict) -> ChangeOrder:
    change = offered(works, *more)
    return change_answers.agree_change(
        change=change, name="Ada Finch", how="signed", by=works.technician, seen=change.version
    )


def wanted(job: Job) -> dict[str, int]:
    found: dict[str, int] = {}
    for line in PickLine.objects.filter(pick_list__job=job, spare=False).select_related("part"):
        found[line.part.number] = found.get(line.part.number, 0) + line.wanted
    return found


def one_more() -> dict:
    return add("display-r", at="console")


# The new plan and its difference


def test_nothing_new_changes_nothing(works: Works) -> None:
    change = begun(works, found="Only a look.")
    change = changing.choose_plan(change=change, option=1, by=works.technician)
    assert (change.lines, change.minutes, change.total_cents) == ([], 0, 0)


def test_one_more_unit_is_the_difference_in_parts_hours_and_money(works: Works) -> None:
    before = agreed_totals(works.job)
    change = offered(works, one_more())
    display = next(row for row in change.lines if row["kind"] == "equipment")
    assert display["quantity"] == 1
    assert change.minutes > 0
    assert change.before_cents == before.total_cents
    assert change.total_cents > display["unit_cents"]


def test_the_money_adds_up_to_the_cent_before_and_after(works: Works) -> None:
    change = offered(works, one_more())
    promised = change.after_cents
    change_answers.agree_change(
        change=change, name="Ada Finch", how="signed", by=works.technician, seen=change.version
    )
    assert agreed_totals(fresh(works.job)).total_cents == promised


def test_what_is_fitted_is_on_record_and_is_not_planned_again(works: Works) -> None:
    tick_cautions(works)
    for step in works.steps(kind="fit"):
        works.answer(step, found=f"SN-{step.unit_key}")
    change = begun(works, found="Only a look.")
    new = works.world.boat.units.filter(fitted_under=works.job.number)
    assert new.exists()
    assert not any(
        row["fate"] == "added" for row in changing.options_of(change, works.steps())[0]["units"]
    )
    change = changing.choose_plan(change=change, option=1, by=works.technician)
    assert change.lines == []


def test_lines_by_hand_count_at_the_agreed_rate(works: Works) -> None:
    change = begun(works, found="The panel is rotten.")
    change = changing.add_by_hand(
        change=change, words="New panel", minutes=60, cents=0, by=works.technician
    )
    change = changing.add_by_hand(
        change=change, words="The yard's lift", minutes=0, cents=25000, by=works.technician
    )
    kinds = [row["kind"] for row in change.lines]
    assert kinds == ["labour", "outside"]
    assert change.minutes == 60
    change = changing.drop_line(change=change, place=0)
    assert [row["description"] for row in change.lines] == ["The yard's lift"]


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"words": " ", "minutes": 5, "cents": 0}, "words"),
        ({"words": "Lift", "minutes": 0, "cents": 0}, "minutes"),
        ({"words": "Lift", "minutes": -1, "cents": 0}, "minutes"),
        ({"words": "Lift", "minutes": 10**9, "cents": 0}, "minutes"),
        ({"words": "Lift", "minutes": 0, "cents": 10**12}, "cents"),
        ({"words": "Gift", "minutes": 0, "cents": -9_999_999}, "cents"),
    ],
)
def test_lines_that_cannot_be_right(works: Works, facts: dict, field: str) -> None:
    change = begun(works, found="The panel is rotten.")
    with pytest.raises(FactRefused) as refused:
        changing.add_by_hand(change=change, by=works.technician, **facts)
    assert refused.value.field == field


# Who may begin, and when


def test_one_open_change_at_a_time(works: Works) -> None:
    begun(works)
    with pytest.raises(MoveRefused, match="still open"):
        begun(works)


def test_a_finished_job_is_not_changed(works: Works) -> None:
    works.do_all()
    close_job(job=works.job, by=works.technician)
    with pytest.raises(MoveRefused, match="not changed any more"):
        begun(works)


def test_words_are_needed(works: Works) -> None:
    with pytest.raises(FactRefused, match="what was found"):
        begun(works, found="  ")


# The yes


def test_the_yes_revises_steps_parts_and_papers_once(works: Works) -> None:
    before = wanted(works.job)
    change = agreed(works, one_more())
    job = fresh(works.job)
    assert job.revision == 2
    assert job.minutes_planned == works.job.minutes_planned + change.minutes
    parts = {row["part"]: row["quantity"] for row in change.lines if row["part"]}
    assert wanted(job) == {
        part: count
        for part in {*before, *parts}
        if (count := before.get(part, 0) + parts.get(part, 0))
    }
    fits = job.steps.filter(kind="fit", state="todo")
    assert fits.filter(unit_key__in=[row["unit"] for row in job.plan["units"]]).count() >= 2
    kinds = set(Document.objects.filter(job=job).values_list("kind", flat=True))
    assert {"work_order", "pick_list"} <= kinds
    with pytest.raises(MoveRefused, match="Agreed"):
        change_answers.agree_change(
            change=change, name="Ada Finch", how="signed", by=works.technician
        )
    assert fresh(works.job).revision == 2


def test_what_was_answered_stays_and_the_job_goes_to_its_end(works: Works) -> None:
    tick_cautions(works)
    done = works.steps(kind="fit")[0]
    works.answer(done, found=f"SN-{done.unit_key}")
    agreed(works, one_more())
    works.job = fresh(works.job)
    done.refresh_from_db()
    assert (done.state, done.found) == ("done", f"SN-{done.unit_key}")
    assert not [step for step in works.steps() if step.caution and step.state == "todo"]
    works.do_all()
    close_job(job=works.job, by=works.technician)
    fitted = Unit.objects.filter(boat=works.world.boat, fitted_under=works.job.number)
    assert fitted.filter(model__code="display-r").count() == 2
    assert fitted.filter(serial=f"SN-{done.unit_key}").count() == 1
    assert fresh(works.job).state == "done"


def test_what_is_picked_stays_picked_and_reservations_follow(
    works: Works, parts_person: User
) -> None:
    lines = PickLine.objects.filter(pick_list__job=works.job)
    counts = {line.pk: line.reserved for line in lines}
    count_picked(job=works.job, counts=counts, by=parts_person)
    picked = {line.part_id: line.picked for line in lines if not line.spare}
    agreed(works, one_more())
    now: dict[int, int] = {}
    for line in PickLine.objects.filter(pick_list__job=works.job, spare=False):
        now[line.part_id] = now.get(line.part_id, 0) + line.picked
    assert all(now[part] >= count for part, count in picked.items())
    for item in StockItem.objects.all():
        held = sum(line.reserved for line in PickLine.objects.filter(stock=item))
        assert item.reserved == held <= item.on_hand


def test_steps_answered_after_the_plan_keep_their_answer(works: Works) -> None:
    change = offered(works, one_more())
    tick_cautions(works)
    late = works.steps(kind="fit")[0]
    works.answer(late, found="SN-late")
    change_answers.agree_change(
        change=change, name="Ada Finch", how="signed", by=works.technician, seen=change.version
    )
    job = fresh(works.job)
    mine = job.steps.get(found="SN-late")
    assert (mine.state, mine.revision) == ("done", 2)


def test_a_second_change_builds_on_the_first(works: Works) -> None:
    agreed(works, one_more())
    works.job = fresh(works.job)
    change = begun(works, found="Only a look.")
    change = changing.choose_plan(change=change, option=1, by=works.technician)
    assert change.number == 2
    assert change.before_cents == agreed_totals(works.job).total_cents
    assert change.lines == []


def test_the_customer_answers_behind_the_link(works: Works, client: object) -> None:
    change = offered(works, one_more())
    url = reverse("jobs:customer_change", args=[change.token])
    page = client.get(url)
    assert "She wants one at the console too." in page.text
    assert page["X-Robots-Tag"] == "noindex, nofollow"
    yes = reverse("jobs:customer_change_yes", args=[change.token])
    assert client.post(yes, {"version": change.version, "name": ""}).status_code == 422
    assert client.post(yes, {"version": change.version, "name": "Ada Finch"}).status_code == 302
    change.refresh_from_db()
    assert (change.state, change.answered_how, change.answered_by) == (
        "agreed",
        "link",
        "Ada Finch",
    )
    assert change.digest == change_answers.digest_of(change)
    again = client.post(yes, {"version": change.version, "name": "Ada Finch"})
    assert again.status_code == 409
    assert fresh(works.job).revision == 2
    assert client.get(reverse("jobs:customer_change", args=["guess"])).status_code == 404


def test_the_customer_says_no_and_the_job_goes_on(works: Works, client: object) -> None:
    change = offered(works, one_more())
    no = reverse("jobs:customer_change_no", args=[change.token])
    client.post(no, {"name": "Ada Finch", "note": "Too dear."})
    change.refresh_from_db()
    assert (change.state, change.answer_note) == ("declined", "Too dear.")
    assert fresh(works.job).revision == 1


def test_a_draft_written_anew_is_not_what_was_read(works: Works) -> None:
    change = offered(works, one_more())
    with pytest.raises(StaleRecord):
        change_answers.agree_change(
            change=change, name="Ada Finch", how="link", seen=change.version - 1
        )


def test_a_yes_by_phone_needs_what_was_read_back(works: Works) -> None:
    change = offered(works, one_more())
    with pytest.raises(FactRefused, match="read back"):
        change_answers.agree_change(
            change=change, name="Ada Finch", how="phone", by=works.technician
        )


def test_within_the_limit_a_note_is_enough_above_it_the_customer_is_asked(works: Works) -> None:
    change = begun(works, found="A clamp was missing.")
    limit = change_answers.limit_left_cents(works.job)
    change = changing.add_by_hand(
        change=change, words="Clamp", minutes=0, cents=limit // 2, by=works.technician
    )
    change = changing.offer_change(change=change, by=works.technician)
    with pytest.raises(FactRefused, match="without asking"):
        change_answers.agree_change(change=change, name="Theo", how="limit", by=works.technician)
    change_answers.agree_change(
        change=change, name="Theo", how="limit", note="Needed to go on.", by=works.technician
    )
    assert fresh(works.job).revision == 1  # no new plan came with it
    works.job = fresh(works.job)
    assert change_answers.limit_left_cents(works.job) == limit - change.total_cents
    dear = begun(works, found="And a lift.")
    dear = changing.add_by_hand(
        change=dear, words="Lift", minutes=0, cents=limit, by=works.technician
    )
    dear = changing.offer_change(change=dear, by=works.technician)
    with pytest.raises(MoveRefused, match="over the limit"):
        change_answers.agree_change(
            change=dear, name="Theo", how="limit", note="Quick.", by=works.technician
        )


def test_a_withdrawn_change_leaves_a_dead_link(works: Works, client: object) -> None:
    change = offered(works, one_more())
    token = change.token
    change_answers.withdraw_change(change=change, by=works.technician)
    assert client.get(reverse("jobs:customer_change", args=[token])).status_code == 404
    begun(works)


# The pages


def test_from_the_job_to_an_agreed_change_by_the_pages(works: Works, client_for: object) -> None:
    client = client_for(works.technician)
    job = reverse("jobs:job", args=[works.job.pk])
    assert "Something changes the plan" in client.get(job).text
    page = client.post(
        reverse("jobs:change_new", args=[works.job.pk]),
        {"found": "The hull is thicker.", "ground": "found"},
        follow=True,
    )
    change = ChangeOrder.objects.get()
    assert "Change the job to this" in page.text
    client.post(reverse("jobs:change_take", args=[change.pk, 1]))
    line = {"words": "Longer screws", "minutes": "30", "cents": ""}
    page = client.post(reverse("jobs:change_line", args=[change.pk]), line, follow=True)
    assert "Longer screws" in page.text
    page = client.post(reverse("jobs:change_offer", args=[change.pk]), follow=True)
    assert "Waits for a yes" in page.text
    change.refresh_from_db()
    said = {"version": change.version, "name": "Ada Finch", "how": "phone", "note": ""}
    refused = client.post(reverse("jobs:change_yes", args=[change.pk]), said)
    assert refused.status_code == 422
    assert "Ada Finch" in refused.text
    page = client.post(
        reverse("jobs:change_yes", args=[change.pk]),
        said | {"note": "30 min more, read back."},
        follow=True,
    )
    assert "by phone, read back" in page.text
    assert str(change) in client.get(job).text


def test_strangers_find_nothing_and_the_counter_makes_nothing(
    works: Works, stranger: User, parts_person: User, client_for: object
) -> None:
    change = begun(works)
    page = reverse("jobs:change", args=[change.pk])
    assert client_for(stranger).get(page).status_code == 404
    assert client_for(parts_person).get(page).status_code == 200
    offer = reverse("jobs:change_offer", args=[change.pk])
    assert client_for(parts_person).post(offer).status_code == 403
    assert client_for(stranger).post(offer).status_code == 404


def test_nothing_to_offer_is_said(works: Works) -> None:
    change = begun(works)
    with pytest.raises(MoveRefused, match="changes nothing yet"):
        changing.offer_change(change=change, by=works.technician)
