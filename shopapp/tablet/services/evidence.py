"""What was found aboard goes to the boat's record at once, with who saw it and when."""

from shopapp.boats.models import How, Unit
from shopapp.boats.services.evidence import Seen, Stated, record_facts
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused
from shopapp.jobs.models import Job
from shopapp.tablet.models import Entry

# The model first: a release belongs to its model.
RECORDED = ("model", "serial", "release")


def note_unit(*, job: Job, name: str, entry: Entry, taken: dict[str, str]) -> None:
    """Note serial, release or model of a unit aboard as seen. A unit that is yet to be fitted
    has no record: what was written of it stays with the job until its step is done.

    FactRefused where the catalogue has no such model, or the model never had that release.
    """
    unit = Unit.objects.aboard().filter(boat=job.boat, name=name).select_related("model").first()
    if unit is None:
        if name not in {row["unit"] for row in job.plan.get("units", [])}:
            raise FactRefused(
                f"Neither the boat nor the plan has a unit {name}.",
                field="unit",
                todo="Enter it as a box that is not on record.",
            )
        return
    seen = Seen(How.SEEN, entry.by, entry.made_at, job_number=job.number, note="Found at the boat")
    for fact in RECORDED:
        if taken.get(fact):
            value: object = taken[fact]
            if fact == "model":
                value = _model(job, taken[fact])
            record_facts(boat=job.boat, facts=[Stated(unit, fact, value)], seen=seen)
            unit.refresh_from_db()


def _model(job: Job, code: str) -> EquipmentModel:
    found = EquipmentModel.objects.filter(shop=job.shop_id, code=code).first()
    if found is None:
        raise FactRefused(
            f"The catalogue has no model “{code}”.",
            field="model",
            todo="Enter it as a box that is not on record; the desk adds the model.",
        )
    return found
