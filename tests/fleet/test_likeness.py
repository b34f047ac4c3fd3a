"""Likeness of notes: what counts, how much, and why in words."""

import pytest

from shopapp.fleet.likeness import (
    PROPOSE_FROM,
    Note,
    Profile,
    cosine,
    likeness,
    profile_of,
    rarities,
    tokens_of,
)

SEEN = Note("reboots", "Display restarts at engine start", model=1, family=7, release=3)


def alike(note: Note, *others: Note):
    profile = profile_of(others)
    return likeness(note, profile, rarities([profile, profile_of([note])]))


def test_nothing_in_common_has_no_points():
    other = Note("water", "Wet behind bezel", model=2, family=8, counterpart=5)
    assert alike(SEEN, other).points == 0
    assert alike(SEEN, other).reasons == ()


def test_the_same_note_again_is_proposed_with_every_reason_in_words():
    found = alike(SEEN, SEEN)
    assert found.proposed
    assert [words for _, words in found.reasons] == [
        "the same was seen",
        "same model",
        "words in common: display, engine, reboot, start",
        "same release",
        "no counterpart named on either",
    ]
    assert found.points == sum(points for points, _ in found.reasons)


def test_a_proven_other_cause_outranks_the_same_symptom():
    fuse = Note("reboots", SEEN.words, model=1, cause="fuse holder corroded")
    plug = Note("reboots", SEEN.words, model=1, cause="bent pin in the plug")
    assert alike(fuse, fuse).proposed
    assert not alike(fuse, plug).proposed
    assert (-40, "another cause was proven") in alike(fuse, plug).reasons


def test_a_cause_that_is_not_proven_on_one_side_says_nothing():
    proven = Note("reboots", SEEN.words, model=1, cause="fuse holder corroded")
    assert all("cause" not in words for _, words in alike(SEEN, proven).reasons)


def test_another_model_of_the_family_counts_less_than_the_same():
    sister = Note("reboots", SEEN.words, model=2, family=7, release=9)
    stranger = Note("reboots", SEEN.words, model=2, family=8, release=9)
    assert alike(SEEN, SEEN).points > alike(SEEN, sister).points > alike(SEEN, stranger).points


def test_the_symptom_alone_is_not_enough():
    assert not alike(Note("reboots", "at noon"), Note("reboots", "in rain")).proposed
    assert alike(Note("reboots", "at noon"), Note("reboots", "in rain")).points < PROPOSE_FROM


def test_a_value_met_on_half_of_the_notes_counts_half():
    first, second = Note("reboots", "x1", model=1), Note("reboots", "y1", model=2)
    reasons = dict(reversed(row) for row in alike(first, first, second).reasons)
    assert reasons["same model"] == 11


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("The screen restarts", ["display", "reboot"]),
        ("plotter reset, again", ["display", "reboot"]),
        ("Radar vanished from the network", ["radar", "drop", "net"]),
        ("release 5.20 hangs", ["release", "5.20", "freeze"]),
        ("It is on and off", []),
    ],
)
def test_words_of_the_dock_are_read_as_one(said, meant):
    assert tokens_of(said) == meant


def test_a_profile_comes_back_from_its_record_as_it_was():
    profile = profile_of([SEEN, Note("water", "wet plug", cause="gasket")])
    kept = Profile.of_json(profile.as_json())
    assert kept == profile


def test_a_rare_word_in_common_says_more_than_a_common_one():
    bags = [profile_of([Note("other", text)]) for text in ("radar dome", "radar mast", "radar lid")]
    weights = rarities(bags)
    assert weights["dome"] > weights["radar"] == 1.0


def test_the_cosine_is_one_for_equal_bags_and_none_for_strangers():
    assert cosine({"a": 1, "b": 2}, {"a": 1, "b": 2}, {}) == pytest.approx(1)
    assert cosine({"a": 1}, {"b": 1}, {}) == 0
    assert cosine({}, {"b": 1}, {}) == 0
    # (1·1 + 1·0) / (√2 · 1), by hand
    assert cosine({"a": 1, "b": 1}, {"a": 1}, {}) == pytest.approx(0.70710678)
