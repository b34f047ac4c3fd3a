"""Tags for units that come out: the boat, the unit, who took it out, what the owner wishes."""

from pathlib import Path

import pytest

from shopapp.accounts.models import Shop, User
from shopapp.jobs.documents.facts import facts_changed, facts_of, subject_of
from shopapp.jobs.models import Document, Job
from shopapp.jobs.services.closing import close_job
from tests.jobs.test_documents import assert_says, made
from tests.jobs.work_world import Works

REPLACE = {"kind": "replace", "device": "d1", "models": ["display-r"]}


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def works(shop: Shop, writer: User, technician: User) -> Works:
    return Works(shop, writer, technician, REPLACE)


def tags_of(works: Works) -> list[dict]:
    return facts_of("removed", subject_of(Document(kind="removed", job=works.job)))["tags"]


def test_a_job_that_takes_nothing_out_says_so(shop, writer, technician, media) -> None:
    works = Works(shop, writer, technician)
    assert tags_of(works) == []
    _, body = made(media, "removed", job=works.job)
    assert_says(body, "takes no unit out, so there is nothing to tag")


def test_the_tag_bears_boat_owner_unit_and_the_wishes_to_tick(works: Works, media: Path) -> None:
    unit = works.world.units["d1"]
    unit.serial = "OLD-17"
    unit.save()
    _, body = made(media, "removed", job=works.job)
    boat = works.job.boat
    assert_says(body, boat.name, boat.customer.name, works.job.number, "OLD-17", unit.model.name)
    assert_says(body, "Give it back to the owner", "Trade it in", "Dispose of it")


def test_what_is_not_known_is_a_line_to_write_on(works: Works, media: Path) -> None:
    works.world.units["d1"].serial = ""
    works.world.units["d1"].save()
    _, body = made(media, "removed", job=works.job)
    assert_says(body, "not known; read it")


def test_after_the_work_it_names_who_took_the_old_one_out(works: Works, media: Path) -> None:
    old = works.world.units["d1"]
    old.serial = "OLD-17"
    old.save()
    paper, _ = made(media, "removed", job=works.job)
    works.start()
    works.do_all()
    close_job(job=works.job, by=works.technician)
    works.job = Job.objects.get(pk=works.job.pk)
    (tag,) = tags_of(works)
    assert (tag["serial"], tag["taken_by"]) == ("OLD-17", str(works.technician))
    assert tag["taken_on"]
    assert facts_changed(paper)


def test_a_trade_in_that_was_sold_stands_on_the_tag(works: Works) -> None:
    works.job.option.lines.create(
        kind="credit", description="Trade-in: old console display", unit_cents=-20000, position=99
    )
    facts = facts_of("removed", subject_of(Document(kind="removed", job=works.job)))
    assert facts["traded"] == ["Trade-in: old console display"]
