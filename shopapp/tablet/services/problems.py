"""Problems noted on the tablet."""

from shopapp.boats.models import Unit
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused
from shopapp.jobs.models import Job, Problem
from shopapp.jobs.services.problems import Seen, note_problem
from shopapp.tablet.models import Entry
from shopapp.tablet.services.standing import step_of

MOST_MINUTES = 10_000


def problem_from(*, job: Job, entry: Entry) -> Problem:
    """Note the problem that an entry tells of. FactRefused where something cannot be right."""
    body = entry.body
    symptom = str(body.get("symptom", ""))
    if symptom not in Problem.Symptom.values:
        raise FactRefused("Pick what was seen.", field="symptom")
    name = str(body.get("unit", ""))[:60]
    unit = Unit.objects.aboard().filter(boat=job.boat, name=name).first() if name else None
    minutes = body.get("minutes_lost", 0)
    if isinstance(minutes, bool) or not isinstance(minutes, int) or not 0 <= minutes < MOST_MINUTES:
        raise FactRefused("Minutes lost are a whole number.", field="minutes_lost")
    seen = Seen(
        symptom=symptom,
        words=str(body.get("words", ""))[:4000],
        unit=unit,
        planned="" if unit else name,
        counterpart=_model(job, str(body.get("counterpart", ""))[:60]),
        minutes_lost=minutes,
        cause=str(body.get("cause", ""))[:200],
    )
    key = str(body.get("step", ""))
    step = step_of(job, key) if key else None
    problem = note_problem(job=job, seen=seen, by=entry.by, step=step)
    Problem.objects.filter(pk=problem.pk).update(noted_at=entry.made_at)
    return problem


def _model(job: Job, code: str) -> EquipmentModel | None:
    return EquipmentModel.objects.filter(shop=job.shop_id, code=code).first() if code else None
