"""The verdict is the worst of its parts, and opens into its reasons."""

import pytest

from planner.breaches import holds
from planner.models import PlanRun
from planner.picture import plan_picture, plan_rows
from planner.services import start_plan
from planner.sheet import OptionColumn, link_rows, option_columns, options_sheet, step_rows
from planner.verdicts import ORDER, TONES
from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Unit
from shopapp.catalog.models import Kind
from tests.factories.planner import StatementFactory
from tests.planner.worlds import World, add, two_displays

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


def planned(world: World, writer: User, *requests: dict) -> PlanRun:
    return start_plan(boat=world.boat, wishes=world.wishes(*requests), by=writer)


def columns(run: PlanRun) -> list[OptionColumn]:
    return option_columns(run.case, run.answer, run.assumptions)


def keeping_all(world: World, writer: User, *requests: dict) -> tuple[PlanRun, OptionColumn]:
    """The column of the plan that keeps everything."""
    run = planned(world, writer, *requests)
    return run, next(column for column in columns(run) if "keep_all" in column.strategies)


def test_not_known_is_never_green_and_stands_before_all_but_does_not_work() -> None:
    assert ORDER[-2:] == ["Not known", "Does not work"]
    assert TONES["Not known"] == "unknown"
    assert [word for word, tone in TONES.items() if tone == "good"] == ["Works"]


def test_a_boat_that_is_right_works(world: World, writer: User) -> None:
    first = columns(planned(world, writer))[0]
    assert first.verdict.word == "Works"
    assert first.verdict.needs == []
    assert first.sentence == "Nothing needs to change; nothing that works today is given up."


def test_parts_that_must_be_bought_are_needs(world: World, writer: User) -> None:
    _, first = keeping_all(world, writer, add())
    assert first.verdict.word == "Works with part"
    part = first.verdict.parts[0]
    assert part.what.startswith("Needs: 1 × Plover 9, 1 × Weir 5")


def test_update_and_part_add_up(world: World, writer: User) -> None:
    unit = world.units["d1"]
    unit.release = unit.model.releases.get(name="2.0")
    unit.save()
    keep = [{"kind": "keep", "device": "d1"}, {"kind": "network", "device": "d1"}]
    _, first = keeping_all(world, writer, add(), *keep)
    assert first.verdict.word == "Works with part"
    assert [word for _, word in first.verdict.needs] == ["Works after update"]
    update = next(p for p in first.verdict.parts if p.word == "Works after update")
    assert update.what == "Update d1: 2.0 → 2.2."
    assert [reason.code for reason in update.reasons] == ["S-1"]


def test_a_missing_fact_makes_it_not_known(world: World, writer: User) -> None:
    Unit.objects.filter(name="d1").update(release=None)
    verdict = columns(planned(world, writer))[0].verdict
    assert (verdict.word, verdict.tone) == ("Not known", "unknown")


def test_a_unit_left_off_is_isolated_with_the_statement_against_it(
    world: World, writer: User
) -> None:
    StatementFactory(
        shop=world.shop, code="S-50", rule={"at_most": 2, "of": {"kinds": ["display"]}}
    )
    cheapest = columns(planned(world, writer, add()))[0]
    part = cheapest.verdict.parts[0]
    assert part.word == "Only if isolated"
    assert "leaves the network and works for itself" in part.what
    assert [reason.code for reason in part.reasons] == ["S-50"]


def test_reasons_name_source_date_confidence_and_units(world: World, writer: User) -> None:
    _, first = keeping_all(world, writer, add())
    reason = next(r for p in first.verdict.parts for r in p.reasons if r.code == "S-1")
    assert reason.text == "Weir takes Plover 7 from 2.2 and Plover 9."
    assert reason.source == "Install guide, invented for tests (Maker's install guide)"
    assert (reason.confidence, reason.old) == ("high", False)
    assert reason.units == ["d1", "d2", "wish-1"]


def test_money_that_is_charged_leaves_out_what_is_only_counted(world: World, writer: User) -> None:
    for column in columns(planned(world, writer, add())):
        plan = column.plan
        assert column.charged_cents == plan["total_cents"] - plan["penalty_cents"]


def test_rows_that_differ_are_marked(world: World, writer: User) -> None:
    run = planned(world, writer, add())
    sheet = options_sheet(case=run.case, columns=columns(run))
    rows = {row.label: row for row in sheet.rows}
    assert rows["Parts and labour"].differs
    only = options_sheet(case=run.case, columns=columns(run)[:1])
    assert not any(row.differs for row in only.rows)


def test_a_quote_hands_in_its_own_money(world: World, writer: User) -> None:
    run = planned(world, writer, add())
    shown = columns(run)[:2]
    sheet = options_sheet(case=run.case, columns=shown, money=[("Total", "total", [100, 200])])
    assert sheet.rows[0].label == "Total"
    assert "Parts and labour" not in [row.label for row in sheet.rows]


def test_strategies_are_named_on_the_columns(world: World, writer: User) -> None:
    named = [
        word for column in columns(planned(world, writer, add())) for word in column.strategies
    ]
    assert sorted(named) == ["cheapest", "fewest_changes", "keep_all", "newest"]


def test_every_link_has_its_ports_and_no_port_two_cables(world: World, writer: User) -> None:
    run = planned(world, writer, add())
    for column in columns(run):
        links = link_rows(run.case, column.plan)
        used = [end for link in links for end in zip(link["units"], link["ports"], strict=True)]
        assert len(used) == len(set(used))


def test_the_picture_and_its_table_speak_of_every_unit(world: World, writer: User) -> None:
    run, column = keeping_all(world, writer, add())
    facts = {"case": run.case, "plan": column.plan, "boat": world.boat}
    svg = plan_picture(**facts, key="one")
    assert svg.startswith("<svg")
    names = [row["name"] for row in plan_rows(**facts)]
    assert {"d1", "d2", "new Plover 9", "new Weir 5"} <= set(names)


def test_steps_speak_of_models_by_their_names(world: World, writer: User) -> None:
    run = planned(world, writer, add())
    text = " ".join(
        step["title"] + step["detail"] for step in step_rows(run.case, columns(run)[0].plan)
    )
    assert "Plover 9" in text
    assert "display-r" not in text
    assert "wish-1" not in text


ONE = {"unit": "a", "model": "d", "release": "1"}
TWO = {"unit": "b", "model": "d", "release": "2"}
RULES = [
    ({"at_most": 1, "of": {"kinds": ["display"]}}, [ONE], True),
    ({"at_most": 1, "of": {"kinds": ["display"]}}, [ONE, TWO], False),
    ({"at_most": 0, "of": {"kinds": ["display"]}, "when": {"kinds": ["radar"]}}, [ONE], True),
    ({"at_least": 2, "of": {}}, [ONE], False),
    ({"at_least": 2, "of": {}, "when": {"models": ["d"]}}, [ONE, TWO], True),
    ({"only": {"models": ["d"], "min_release": {"d": "2"}}, "of": {}}, [TWO], True),
    ({"only": {"models": ["d"], "min_release": {"d": "2"}}, "of": {}}, [ONE], False),
    ({"same_release": {}}, [ONE, TWO], False),
    ({"same_release": {"kinds": ["radar"]}}, [ONE, TWO], True),
    ({"before": {}, "then": {}}, [ONE, TWO], True),
]


@pytest.mark.parametrize(("rule", "units", "expected"), RULES)
def test_a_rule_holds_or_breaks(rule: dict, units: list[dict], expected: bool) -> None:
    models = {"d": {"kind": Kind.DISPLAY.value, "releases": ["1", "2"]}}
    assert holds({"catalogue": {"models": models}}, rule, units) is expected
