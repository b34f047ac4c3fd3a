"""States that others close: only where they are as good in every way that matters."""

from planner.engine.dominance import Dominance


def test_a_heavier_state_that_stands_alike_is_closed():
    seen = Dominance(1)

    assert not seen.beaten("here", 10, 5, ())
    assert seen.beaten("here", 11, 5, ())
    assert seen.beaten("here", 10, 5, ())


def test_a_state_with_more_current_left_goes_on():
    seen = Dominance(1)
    seen.beaten("here", 10, 5, ())

    assert not seen.beaten("here", 11, 6, ())


def test_a_state_that_stands_elsewhere_goes_on():
    seen = Dominance(1)
    seen.beaten("here", 10, 5, ())

    assert not seen.beaten("there", 99, 0, ())


def test_as_many_other_kinds_as_are_asked_for_must_be_better():
    seen = Dominance(2)
    seen.beaten("here", 10, 0, "a")

    assert not seen.beaten("here", 12, 0, "b")
    assert seen.beaten("here", 13, 0, "c")


def test_a_heavier_state_of_the_same_kind_is_closed_at_once():
    seen = Dominance(5)
    seen.beaten("here", 10, 0, "a")

    assert seen.beaten("here", 11, 0, "a")
    assert not seen.beaten("here", 9, 0, "a")
