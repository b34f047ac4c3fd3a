"""What a quote does not include: the shop's words, then what plan and record bring up."""

from shopapp.jobs.services.exclusions import exclusions_of
from tests.factories.jobs import make_quote, third_display


def plan(*units: dict, updates: tuple = ()) -> dict:
    return {"units": list(units), "updates": list(updates)}


def unit(fate: str, model: str = "disp-r", location: str = "bow") -> dict:
    return {"fate": fate, "model": model, "location": location}


def lines(*plans: dict, own: str = "", dock_power: bool | None = True) -> list[str]:
    case = third_display()
    said = exclusions_of(own=own, case=case, plans=plans, dock_power=dock_power)
    return said.splitlines()


def test_a_plan_that_touches_nothing_adds_nothing_to_the_shops_words():
    assert lines(plan(unit("stays")), own="Lift.\n\nFuel. ") == ["Lift.", "Fuel."]


def test_each_thing_is_said_once_however_many_plans_bring_it_up():
    replaced = plan(unit("replaced"))

    assert lines(replaced, replaced) == [
        "Disposal or sale of the units that come out: they stay yours.",
        "Woodwork or panels beyond the cut-out, and closing of old holes.",
    ]


def test_work_aloft_and_updates_are_named():
    said = lines(plan(unit("added", "sw-b", "radar arch"), updates=({"unit": "d1"},)))

    assert said == [
        "A rigger, and taking a mast down.",
        "Chart cards and subscriptions, before or after an update.",
    ]


def test_dock_power_that_nobody_noted_is_not_taken_as_there():
    assert lines(plan(), dock_power=None) == [
        "Shore power for the work: the berth is not known to have any."
    ]
    assert lines(plan(), dock_power=False) == ["Shore power for the work: the berth has none."]


def test_a_fresh_quote_carries_them(writer):
    writer.shop.not_included = "Lift and yard fees."
    writer.shop.save()

    said = make_quote(writer).not_included.splitlines()

    assert said[0] == "Lift and yard fees."
    assert "Woodwork or panels beyond the cut-out, and closing of old holes." in said
