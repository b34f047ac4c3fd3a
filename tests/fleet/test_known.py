"""Known problems: people gather, part, merge and split; the desk only proposes."""

import pytest

from shopapp.errors import FactRefused, MoveRefused
from shopapp.fleet.alike import best_known, known_like, loose, notes_like
from shopapp.fleet.known_queries import notes_of, sums_of
from shopapp.fleet.models import Gathered, KnownMove, KnownProblem
from shopapp.fleet.services.known import (
    Naming,
    merge_known,
    part_note,
    rename_known,
    say_not_alike,
    split_known,
    take_in,
    undo_move,
)
from tests.fleet.world import Fleet

NAMING = Naming("Plug not seated", "reboots")


def inside(known):
    return sorted(notes_of(known).values_list("pk", flat=True))


def last(known):
    return KnownMove.objects.filter(known=known).exclude(act="undone").first()


def test_notes_become_one_known_problem_with_a_number(fleet, manager):
    notes = [fleet.note() for _ in range(3)]
    known = fleet.known(*notes, by=manager)
    assert known.code == "K-1001"
    assert inside(known) == [row.pk for row in notes]
    assert not loose(fleet.shop).exists()
    assert KnownProblem.objects.counted().get().boats == 3


def test_a_note_is_in_one_known_problem_only(fleet):
    note = fleet.note()
    fleet.known(note)
    with pytest.raises(FactRefused, match="belongs to K-1001"):
        fleet.known(note)
    with pytest.raises(FactRefused, match="belongs to K-1001"):
        take_in(problem=note, known=fleet.known(fleet.note()), by=None)


def test_a_known_problem_needs_a_note_and_a_title(fleet):
    with pytest.raises(FactRefused, match="Choose the notes"):
        fleet.known()
    with pytest.raises(FactRefused, match="few words"):
        fleet.known(fleet.note(), title=" ")


def test_a_note_like_a_known_problem_is_proposed_with_reasons_and_stays_loose(fleet):
    known = fleet.known(fleet.note(), fleet.note())
    note = fleet.note(words="Restarts as the engines start")
    (best,) = known_like(note)
    assert best.row == known
    assert best.likeness.reasons[0] == (25, "the same was seen")
    assert list(loose(fleet.shop)) == [note]


def test_other_loose_notes_that_look_alike_are_shown(fleet):
    first, second = fleet.note(), fleet.note()
    fleet.note(symptom="water", words="Wet behind the bezel.", model="radar", release=None)
    assert [one.row for one in notes_like(first)] == [second]


def test_a_persons_no_is_not_asked_again(fleet, technician):
    known = fleet.known(fleet.note())
    note = fleet.note()
    say_not_alike(problem=note, known=known, by=technician)
    say_not_alike(problem=note, known=known, by=technician)
    assert known_like(note) == []
    assert best_known([note], fleet.shop) == {}


def test_confirming_keeps_the_reasons_and_lifts_an_earlier_no(fleet, technician):
    known = fleet.known(fleet.note())
    note = fleet.note()
    how = known_like(note)[0].likeness
    say_not_alike(problem=note, known=known, by=technician)
    row = take_in(problem=note, known=known, by=technician, likeness=how)
    assert (row.likeness, row.by) == (how.points, technician)
    assert [list(reason) for reason in how.reasons] == row.reasons
    assert not known.not_alike.exists()


def test_parting_ends_the_belonging_and_keeps_it_on_record(fleet, manager):
    note, other = fleet.note(), fleet.note()
    known = fleet.known(note, other)
    part_note(problem=note, known=known, by=manager, note="Fuse, not firmware")
    assert inside(known) == [other.pk]
    assert Gathered.objects.filter(problem=note, ended_at__isnull=False).exists()
    assert last(known).note == "Fuse, not firmware"
    with pytest.raises(MoveRefused, match="not in K-1001"):
        part_note(problem=note, known=known, by=manager)


def test_merging_moves_the_notes_and_keeps_the_old_one_with_its_history(fleet, manager):
    first, second = fleet.note(), fleet.note()
    old, new = fleet.known(first), fleet.known(second)
    merge_known(known=old, into=new, by=manager, note="Same corroded pin")
    old.refresh_from_db()
    assert (old.merged_into, inside(old), inside(new)) == (new, [], [first.pk, second.pk])
    assert old.history.first().merged_into == new
    with pytest.raises(MoveRefused, match="merged into K-1002"):
        take_in(problem=fleet.note(), known=old, by=manager)


def test_a_merge_with_itself_is_refused_in_words_and_changes_nothing(fleet, manager):
    known = fleet.known(fleet.note())
    moves = KnownMove.objects.count()
    with pytest.raises(FactRefused, match="K-1001 cannot be merged with itself"):
        merge_known(known=known, into=known, by=manager)
    known.refresh_from_db()
    assert (known.merged_into, KnownMove.objects.count()) == (None, moves)


def test_a_merge_with_another_shops_problem_is_refused(fleet, stranger, manager):
    other = Fleet(stranger.shop)
    with pytest.raises(FactRefused, match="another shop"):
        merge_known(known=fleet.known(fleet.note()), into=other.known(other.note()), by=manager)


def test_splitting_makes_a_known_problem_of_some_notes(fleet, manager):
    notes = [fleet.note() for _ in range(3)]
    known = fleet.known(*notes)
    fresh = split_known(known=known, problems=notes[:1], naming=NAMING, by=manager)
    assert (inside(known), inside(fresh)) == ([n.pk for n in notes[1:]], [notes[0].pk])
    with pytest.raises(MoveRefused, match="Not all of these"):
        split_known(known=known, problems=notes[:1], naming=NAMING, by=manager)
    with pytest.raises(FactRefused, match="Choose the notes"):
        split_known(known=known, problems=[], naming=NAMING, by=manager)


@pytest.mark.parametrize("act", ["merge", "split", "part", "confirm"])
def test_every_move_can_be_taken_back_once(fleet, manager, act):
    first, second, third = fleet.note(), fleet.note(), fleet.note()
    known, other = fleet.known(first, second), fleet.known(third)
    loose_note = fleet.note()
    before = (inside(known), inside(other))
    if act == "merge":
        merge_known(known=known, into=other, by=manager)
    elif act == "split":
        split_known(known=known, problems=[first], naming=NAMING, by=manager)
    elif act == "part":
        part_note(problem=first, known=known, by=manager)
    else:
        take_in(problem=loose_note, known=known, by=manager)
    assert (inside(known), inside(other)) != before
    move = last(other if act == "merge" else known)
    undo_move(move=move, by=manager)
    assert (inside(known), inside(other)) == before
    known.refresh_from_db()
    assert known.merged_into is None
    with pytest.raises(MoveRefused, match="taken back already"):
        undo_move(move=move, by=manager)


def test_a_move_cannot_be_taken_back_over_a_later_one(fleet, manager):
    note = fleet.note()
    known, other = fleet.known(fleet.note()), fleet.known(fleet.note())
    take_in(problem=note, known=known, by=manager)
    move = last(known)
    part_note(problem=note, known=known, by=manager)
    take_in(problem=note, known=other, by=manager)
    with pytest.raises(MoveRefused, match="moved on since"):
        undo_move(move=move, by=manager)
    assert note.pk in inside(other)


def test_the_profile_follows_the_notes(fleet, manager):
    note = fleet.note(words="Zebra crossing")
    known = fleet.known(note, fleet.note())
    assert known.profile["notes"] == 2
    assert "zebra" in known.profile["tokens"]
    part_note(problem=note, known=known, by=manager)
    known.refresh_from_db()
    assert "zebra" not in known.profile["tokens"]


def test_sums_count_hours_at_the_shops_rate_and_what_came_back(fleet):
    facts = {"minutes_lost": 30, "lost_cents": 1000, "claimed_cents": 4000}
    known = fleet.known(fleet.note(**facts, recovered_cents=3500), fleet.note(minutes_lost=30))
    sums = sums_of(notes_of(known), fleet.shop)
    assert sums.labour_cents == fleet.shop.labour_cents_per_hour
    assert sums.all_cents == fleet.shop.labour_cents_per_hour + 1000
    assert sums.recovered_words == f"{round(350000 / sums.all_cents)} %"


def test_renaming_keeps_who_changed_it(fleet):
    known = fleet.known(fleet.note())
    rename_known(known=known, naming=Naming("Sags under load", "reboots", cause="thin feed"))
    assert known.history.count() == 2
    with pytest.raises(FactRefused):
        rename_known(known=known, naming=Naming(" ", "reboots"))
