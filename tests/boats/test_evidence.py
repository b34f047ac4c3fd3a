"""Evidence is added and weighed: weaker and newer never overwrites unseen."""

from datetime import timedelta

import pytest
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.boats.facts import is_soft
from shopapp.boats.marks import load_marks
from shopapp.boats.models import Boat, Evidence, Unit
from shopapp.boats.services.evidence import record_fact, settle_dispute
from shopapp.errors import FactRefused, MoveRefused
from tests.factories.boats import BoatFactory, CableFactory, LocationFactory, UnitFactory
from tests.factories.catalog import EquipmentModelFactory

DAY = timedelta(days=1)


@pytest.fixture
def boat(shop: Shop) -> Boat:
    return BoatFactory(shop=shop)


@pytest.fixture
def unit(boat: Boat, shop: Shop) -> Unit:
    model = EquipmentModelFactory(shop=shop, releases=["1.0", "2.0", "3.0"])
    return UnitFactory(boat=boat, model=model)


def state_release(unit: Unit, value: str, how: str, by: User, *, days: int = 0) -> Evidence:
    return record_fact(
        boat=unit.boat,
        subject=unit,
        fact="release",
        value=value,
        how=how,
        by=by,
        seen_at=timezone.now() - days * DAY,
    )


def release_of(unit: Unit) -> str:
    return Unit.objects.get(pk=unit.pk).release.name


def test_a_first_fact_holds_and_is_written_to_the_record(unit: Unit, technician: User) -> None:
    before = unit.boat.facts_changed_at
    row = state_release(unit, "2.0", "seen", technician)
    assert row.standing == "holds"
    assert release_of(unit) == "2.0"
    assert Boat.objects.get(pk=unit.boat_id).facts_changed_at > before


def test_a_stronger_newer_fact_supersedes(unit: Unit, technician: User) -> None:
    old = state_release(unit, "1.0", "customer", technician, days=2)
    new = state_release(unit, "2.0", "bus", technician)
    old.refresh_from_db()
    assert (old.standing, new.standing) == ("old", "holds")
    assert release_of(unit) == "2.0"


def test_a_weaker_newer_fact_is_disputed_and_the_record_stays(unit: Unit, technician: User) -> None:
    state_release(unit, "2.0", "bus", technician, days=2)
    row = state_release(unit, "3.0", "customer", technician)
    assert row.standing == "disputed"
    assert release_of(unit) == "2.0"


def test_a_caller_who_wrote_first_is_set_right(unit: Unit, technician: User) -> None:
    state_release(unit, "2.0", "bus", technician, days=2)
    unit.release = unit.model.releases.get(name="3.0")
    unit.save()
    state_release(unit, "3.0", "customer", technician)
    assert release_of(unit) == "2.0"


def test_an_older_stronger_fact_entered_late_wins_and_leaves_a_dispute(
    unit: Unit, technician: User
) -> None:
    word = state_release(unit, "3.0", "customer", technician, days=1)
    photo = state_release(unit, "2.0", "photo", technician, days=4)
    word.refresh_from_db()
    assert (photo.standing, word.standing) == ("holds", "disputed")
    assert release_of(unit) == "2.0"


def test_an_older_fact_as_strong_changes_nothing(unit: Unit, technician: User) -> None:
    state_release(unit, "3.0", "seen", technician)
    assert state_release(unit, "2.0", "seen", technician, days=9).standing == "old"
    assert release_of(unit) == "3.0"


def test_weaker_agreement_does_not_take_the_place_of_stronger(unit: Unit, technician: User) -> None:
    state_release(unit, "3.0", "bus", technician, days=5)
    assert state_release(unit, "3.0", "customer", technician).standing == "old"
    holds = Evidence.objects.get(unit=unit, standing="holds")
    assert holds.how == "bus"


def test_weaker_agreement_renews_what_went_soft(unit: Unit, technician: User) -> None:
    state_release(unit, "3.0", "bus", technician, days=120)
    assert state_release(unit, "3.0", "photo", technician).standing == "holds"


def test_a_dispute_is_settled_for_the_newer_value(unit: Unit, technician: User) -> None:
    strong = state_release(unit, "2.0", "bus", technician, days=2)
    weak = state_release(unit, "3.0", "customer", technician)
    settle_dispute(disputed=weak, keep=True, by=technician)
    strong.refresh_from_db()
    assert release_of(unit) == "3.0"
    assert (strong.standing, weak.standing) == ("rejected", "holds")
    assert "Theo Marsh" in weak.note


def test_a_dispute_is_settled_against_the_newer_value_once(unit: Unit, technician: User) -> None:
    state_release(unit, "2.0", "bus", technician, days=2)
    weak = state_release(unit, "3.0", "customer", technician)
    settle_dispute(disputed=weak, keep=False, by=technician)
    assert release_of(unit) == "2.0"
    assert weak.standing == "rejected"
    with pytest.raises(MoveRefused, match="settled already"):
        settle_dispute(disputed=weak, keep=True, by=technician)


def test_a_release_that_the_model_never_had_is_refused_and_nothing_is_written(
    unit: Unit, technician: User
) -> None:
    with pytest.raises(FactRefused, match=r"9\.9") as refused:
        state_release(unit, "9.9", "bus", technician)
    assert refused.value.field == "release"
    assert Evidence.objects.count() == 0


def test_another_model_makes_what_was_known_of_the_release_void(
    unit: Unit, shop: Shop, technician: User
) -> None:
    known = state_release(unit, "2.0", "bus", technician)
    record_fact(
        boat=unit.boat, subject=unit, fact="model", value=unit.model, how="seen", by=technician
    )
    other = EquipmentModelFactory(shop=shop)
    record_fact(boat=unit.boat, subject=unit, fact="model", value=other, how="seen", by=technician)
    unit.refresh_from_db()
    known.refresh_from_db()
    assert (unit.model, unit.release, known.standing) == (other, None, "old")


def test_evidence_from_the_future_or_of_no_known_kind_is_refused(
    unit: Unit, technician: User
) -> None:
    with pytest.raises(FactRefused, match="lies ahead"):
        state_release(unit, "2.0", "seen", technician, days=-2)
    with pytest.raises(FactRefused, match="hearsay"):
        state_release(unit, "2.0", "hearsay", technician)


def test_a_unit_that_moves_takes_the_ends_of_its_cables_along(unit: Unit, technician: User) -> None:
    cable = CableFactory(boat=unit.boat, ends=[(unit, 1)])
    bow = LocationFactory(boat=unit.boat, name="bow")
    record_fact(boat=unit.boat, subject=unit, fact="location", value=bow, how="seen", by=technician)
    assert cable.ends.get().location == bow


def test_a_cable_end_is_written_from_its_words(unit: Unit, technician: User) -> None:
    cable = CableFactory(boat=unit.boat, ends=[(unit, 1)])
    words = f"@{unit.location.name}"
    record_fact(boat=unit.boat, subject=cable, fact="end_a", value=words, how="seen", by=technician)
    assert (cable.ends.get().unit, cable.ends.get().port) == (None, None)


def test_a_boats_hull_number_is_normalised_and_searchable(boat: Boat, technician: User) -> None:
    record_fact(
        boat=boat, subject=boat, fact="hull_number_read", value="xqz 12345 a626", how="photo",
        by=technician,
    )  # fmt: skip
    assert Boat.objects.matching("xqz12345a626").get().hull_number == "XQZ12345A626"


@pytest.mark.parametrize(
    ("slot", "fact", "days"),
    [
        ("unit", "release", 90),
        ("unit", "serial", 5 * 365),
        ("unit", "model", 5 * 365),
        ("unit", "fuse_ma", 730),
        ("unit", "cutoff", 730),
        ("bank", "rested_mv", 182),
    ],
)
def test_evidence_goes_soft_after_its_days(slot: str, fact: str, days: int) -> None:
    now = timezone.now()
    assert not is_soft(slot=slot, fact=fact, seen_at=now - (days - 1) * DAY, now=now)
    assert is_soft(slot=slot, fact=fact, seen_at=now - (days + 1) * DAY, now=now)


def test_a_mark_says_how_who_when_and_how_sure(unit: Unit, technician: User) -> None:
    state_release(unit, "2.0", "bus", technician, days=100)
    mark = load_marks(unit.boat).by["unit", unit.pk, "release"]
    assert mark.tone == "soft"
    assert mark.whole.startswith("read from the bus or the unit, Theo Marsh, ")
    assert mark.whole.endswith(", measured")
