"""Fields are merged one by one; what two people wrote differently is kept twice."""

from itertools import product

from shopapp.tablet.merging import Standing, merge

MINE, THEIRS = 1, 2


def of(standing, base, fields, seq=5):
    return merge(standing, base, fields, tablet=MINE, seq=seq)


def test_an_untouched_field_takes_the_value():
    assert of({}, {}, {"note": "dry"}).taken == {"note": "dry"}


def test_the_value_that_stands_already_changes_nothing():
    merged = of({"note": Standing("dry", THEIRS, 1)}, {}, {"note": "dry"})
    assert (merged.taken, merged.same, merged.clashing) == ({}, ["note"], {})


def test_two_people_on_two_fields_do_not_meet():
    standing = {"reading": Standing("12.6", THEIRS, 1)}
    merged = of(standing, {}, {"note": "corroded lug"})
    assert merged.taken == {"note": "corroded lug"}
    assert merged.clashing == {}


def test_what_another_wrote_unseen_is_a_clash():
    merged = of({"reading": Standing("12.6", THEIRS, 1)}, {"reading": ""}, {"reading": "11.9"})
    assert merged.clashing == {"reading": "11.9"}
    assert merged.taken == {}


def test_what_another_wrote_and_was_seen_may_be_changed():
    merged = of({"reading": Standing("12.6", THEIRS, 1)}, {"reading": "12.6"}, {"reading": "11.9"})
    assert merged.taken == {"reading": "11.9"}


def test_what_was_written_at_the_desk_unseen_is_a_clash_too():
    merged = of({"reading": Standing("12.6")}, {}, {"reading": "11.9"})
    assert merged.clashing == {"reading": "11.9"}


def test_the_same_tablet_may_correct_itself():
    merged = of({"note": Standing("dy", MINE, 4)}, {"note": ""}, {"note": "dry"})
    assert merged.taken == {"note": "dry"}


def test_an_older_entry_of_the_same_tablet_comes_too_late():
    merged = of({"note": Standing("dry", MINE, 9)}, {}, {"note": "dy"}, seq=5)
    assert merged.overtaken == ["note"]
    assert merged.taken == {}


def test_nothing_of_another_is_ever_overwritten_unseen():
    words = ("", "a", "b")
    cases = product(words, words, words, (None, MINE, THEIRS), (1, 9))
    for now, seen, said, writer, written in cases:
        standing = {"note": Standing(now, writer, written)}
        merged = of(standing, {"note": seen}, {"note": said})
        places = [merged.taken, merged.same, merged.clashing, merged.overtaken]
        assert sum("note" in place for place in places) == 1
        if "note" in merged.taken:
            assert writer == MINE or now == seen
