"""Counting combinations: boats not notes, at risk, known and unknown, alarms, folds."""

import random

import pytest

from shopapp.fleet.counting import (
    ANY,
    QUARTERS,
    NoteSeen,
    Seen,
    count_fleet,
    keys_aboard,
)

YEAR = (0.125,) * QUARTERS
DISPLAY, RADAR, SONAR, SWITCH = 1, 2, 3, 9


def boat(number, *units, switch=True):
    aboard = [(model, release, False) for model, release in units]
    return Seen(number, tuple(sorted([*aboard, *([(SWITCH, 0, True)] if switch else [])])), YEAR)


def note(number, model=DISPLAY, release=11, **facts):
    facts = {"counterpart": ANY, "switch": ANY, "quarter": 7} | facts
    return NoteSeen(number, model, release, symptom="reboots", minutes=30, **facts)


def found(count, key):
    return next(one for one in count.found if one.key == key)


def test_a_fleet_without_notes_has_nothing_to_show():
    count = count_fleet([boat(1, (DISPLAY, 11))], [])
    assert (count.found, count.share, count.boats) == ([], 0.0, 1)


def test_an_empty_fleet_is_no_error():
    assert count_fleet([], []).share == 0.0


def test_a_boat_carries_each_combination_once():
    keys = keys_aboard(boat(1, (DISPLAY, 11), (DISPLAY, 11), (RADAR, 0)).aboard)
    assert (DISPLAY, 11, RADAR, SWITCH) in keys
    assert (RADAR, ANY, DISPLAY, ANY) in keys
    assert all(key[1] != 0 or key[1] == ANY for key in keys)
    assert (DISPLAY, 11, DISPLAY, ANY) not in keys


def test_five_notes_on_one_boat_are_one_affected_boat():
    boats = [boat(n, (DISPLAY, 11)) for n in range(6)]
    one = found(count_fleet(boats, [note(0) for _ in range(5)]), (DISPLAY, ANY, ANY, ANY))
    assert (one.affected, one.at_risk, one.notes, one.minutes) == (1, 6, 5, 150)


def test_a_boat_not_looked_at_in_the_period_is_neither_at_risk_nor_affected():
    count = count_fleet([boat(1, (DISPLAY, 11))], [note(99)])
    assert count.found == []


def test_boats_whose_release_nobody_knows_stand_apart():
    boats = [boat(0, (DISPLAY, 11)), boat(1, (DISPLAY, 11)), boat(2, (DISPLAY, 0))]
    count = count_fleet(boats, [note(0)])
    at_release = found(count, (DISPLAY, 11, ANY, ANY))
    assert (at_release.at_risk, at_release.unknown) == (2, 1)
    assert found(count, (DISPLAY, ANY, ANY, ANY)).at_risk == 3


def test_a_boat_updated_since_was_at_risk_where_it_failed():
    boats = [boat(0, (DISPLAY, 12)), boat(1, (DISPLAY, 11))]
    one = found(count_fleet(boats, [note(0, release=11)]), (DISPLAY, 11, ANY, ANY))
    assert (one.affected, one.at_risk) == (1, 2)


def test_exposure_adds_up_by_quarter_over_the_boats_that_carry_it():
    boats = [boat(0, (DISPLAY, 11), (RADAR, 0)), boat(1, (DISPLAY, 11))]
    count = count_fleet(boats, [note(0)])
    assert sum(found(count, (DISPLAY, ANY, ANY, ANY)).years) == pytest.approx(2.0)
    assert sum(found(count, (DISPLAY, ANY, RADAR, ANY)).years) == pytest.approx(1.0)
    assert found(count, (DISPLAY, ANY, ANY, ANY)).by_quarter[7] == {0}


def test_the_fleets_rate_is_over_pairs_of_boat_and_model():
    boats = [boat(n, (DISPLAY, 11), (RADAR, 0), switch=False) for n in range(5)]
    count = count_fleet(boats, [note(0), note(0), note(1, model=RADAR, release=0)])
    assert (count.pairs, count.affected_pairs) == (10, 2)


def test_too_few_boats_raise_no_alarm_however_many_fail():
    quiet = [boat(n, (RADAR, 0)) for n in range(10, 400)]
    boats = [boat(n, (DISPLAY, 11)) for n in range(4)] + quiet
    count = count_fleet(boats, [note(n) for n in range(4)])
    assert not any(one.alarm for one in count.found)


def test_a_faulty_pair_is_called_out_and_its_parts_are_folded_under_it():
    boats = [boat(n, (DISPLAY, 11), (RADAR, 21)) for n in range(40)]
    boats += [boat(n, (DISPLAY, 11)) for n in range(40, 200)]
    boats += [boat(n, (SONAR, 31)) for n in range(200, 600)]
    notes = [note(n) for n in range(20)] + [note(n, model=SONAR, release=31) for n in (210, 220)]
    count = count_fleet(boats, notes)
    lead = count.found[0]
    assert lead.alarm
    assert lead.within is None
    assert lead.key[0] == DISPLAY
    assert lead.key[2] == RADAR
    assert all(one.within for one in count.found if one.alarm and one is not lead)
    assert not any(one.alarm for one in count.found if one.key[0] == SONAR)


def random_fleet(seed, *, planted, boats=300):
    """Boats of random make-up with notes by chance alone; planted: one pair fails at 50 %."""
    dice = random.Random(seed)
    seen, notes = [], []
    for number in range(boats):
        units = [
            (model, model * 10 + dice.randrange(1, 3)) for model in dice.sample(range(1, 7), 2)
        ]
        seen.append(boat(number, *units, switch=dice.random() < 0.7))
        models = {model for model, _ in units}
        for model, release in units:
            faulty = planted and model == 1 and 2 in models
            if dice.random() < (0.5 if faulty else 0.04):
                notes.append(note(number, model, release, quarter=dice.randrange(QUARTERS)))
    return count_fleet(seen, notes)


def test_simulated_fleets_raise_no_more_false_alarms_than_stated_and_show_what_is_planted(capsys):
    seeds = range(200)
    false = sum(any(one.alarm for one in random_fleet(s, planted=False).found) for s in seeds)
    shown = 0
    for seed in seeds:
        leads = [o for o in random_fleet(seed, planted=True).found if o.alarm and not o.within]
        shown += any(one.key[0] == 1 and one.key[2] == 2 for one in leads)
    with capsys.disabled():
        print(f"\n200 fleets of 300 boats: false alarms in {false}, planted pair shown in {shown}")
    # Stated: one in twenty. Above 19 of 200 the chance is below 0.5 % if that is true.
    assert false <= 19
    assert shown >= 185
