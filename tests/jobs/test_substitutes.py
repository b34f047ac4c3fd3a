"""Another model is proven by the planner on the job's own case; the like of it at a press."""

import pytest

from shopapp.errors import FactRefused
from shopapp.jobs.models import ChangeOrder, PickLine
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.picking import count_picked
from shopapp.jobs.services.substitutes import (
    change_to_model,
    other_models,
    prove_model,
    take_like,
    without_model,
)
from shopapp.stock.models import Piece, StockItem
from tests.factories.catalog import EquipmentModelFactory
from tests.jobs.work_world import Works, model


@pytest.fixture
def works(shop, writer, technician) -> Works:
    return Works(shop, writer, technician)


@pytest.fixture
def line(works) -> PickLine:
    """The line of the display that the job adds."""
    rows = PickLine.objects.select_related("part", "stock", "pick_list__job")
    return rows.get(pick_list__job=works.job, part__model__code="display-r")


def by_code(line: PickLine) -> dict:
    return {one.model.code: one for one in other_models(line)}


def test_nothing_is_proven_before_somebody_asks(line):
    assert by_code(line)
    assert all(one.proof is None for one in by_code(line).values())
    assert without_model(line) is None


def test_a_model_that_works_is_proven_on_the_same_case_with_its_difference(works, line):
    code = line.part.model.code
    other = next(one.model for one in other_models(line))

    run = prove_model(line=line, other=other, by=works.writer)

    assert run.wishes["instead"] == {"of": code, "by": other.code}
    assert run.case["boat"] == works.job.case["boat"]
    proof = by_code(line)[other.code].proof
    assert proof.feasible
    assert any(other.name in words for words in proof.more)
    units = [unit for unit in run.answer["options"][0]["units"] if unit["fate"] == "added"]
    assert other.code in {unit["model"] for unit in units}
    assert code not in {unit["model"] for unit in units}


def test_without_the_model_a_wish_for_it_alone_cannot_be_met(works, line):
    prove_model(line=line, other=None, by=works.writer)
    proof = without_model(line)
    assert not proof.feasible
    assert not proof.right
    assert proof.why_not


def test_a_model_of_which_the_case_knew_nothing_is_read_from_the_records(works, line):
    fresh = EquipmentModelFactory(
        shop=works.shop,
        code="display-new",
        name="Plover 11",
        fuse_ma=3000,
        lead=works.world.lead,
        family=model(works.shop, line.part.model.code).family,
    )
    assert "display-new" not in works.job.case["catalogue"]["models"]
    run = prove_model(line=line, other=fresh, by=works.writer)
    assert "display-new" in run.case["catalogue"]["models"]
    assert by_code(line)["display-new"].proof is not None


def test_a_proven_model_becomes_a_change_order_and_no_part_moves_before_the_yes(works, line):
    other = next(one.model for one in other_models(line))
    before = list(StockItem.objects.order_by("pk").values_list("reserved", flat=True))
    change = change_to_model(line=line, other=other, by=works.writer)
    assert change.state == ChangeOrder.State.DRAFT
    assert other.name in change.found
    assert change.run.wishes["instead"]["by"] == other.code
    assert list(StockItem.objects.order_by("pk").values_list("reserved", flat=True)) == before


def test_equipment_is_never_swapped_by_a_press(works, line):
    other = next(one.model for one in other_models(line))
    with pytest.raises(FactRefused, match="let the planner prove it first"):
        take_like(line=line, part=other.part, by=works.writer)


# The serial, from the box to the boat


def test_a_serial_that_differs_from_the_box_stops_the_line(works, line, parts_person):
    Piece.objects.create(
        shop=works.shop,
        part=line.part,
        serial="SN-BOX",
        stock=line.stock,
        state="tote",
        ref=works.job.number,
    )
    count_picked(job=works.job, counts={line.pk: 1}, by=parts_person)
    works.start()
    for step in works.steps():
        if step.caution:
            works.answer(step)
    step = next(one for one in works.steps(kind="fit") if one.asks == "serial")
    with pytest.raises(FactRefused, match="The box for this job says SN-BOX") as refused:
        works.answer(step, found="SN-OTHER")
    assert refused.value.field == "found"
    assert works.answer(step, found="sn-box").found == "sn-box"


def test_a_box_that_was_fitted_belongs_to_the_job(works, line, parts_person):
    box = Piece.objects.create(
        shop=works.shop, part=line.part, serial="SN-d3", stock=line.stock, state="tote",
        ref=works.job.number,
    )  # fmt: skip
    works.start()
    for step in works.steps():
        if step.caution:
            works.answer(step)
    for step in works.steps(kind="fit"):
        works.answer(step, found="SN-d3")
        break
    works.do_all()
    close_job(job=works.job, by=works.technician)
    box.refresh_from_db()
    assert (box.state, box.ref) == ("fitted", works.job.number)
