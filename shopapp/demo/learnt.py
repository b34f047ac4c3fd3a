"""What the demo's shop has learnt: notes gathered, a statement drafted, every boat checked."""

from planner.statements.words import tell_rule
from shopapp.accounts.models import Shop, User
from shopapp.demo.visits import RECURRING
from shopapp.fleet.alike import loose
from shopapp.fleet.at_risk import at_risk_of
from shopapp.fleet.drafting import draft_statement
from shopapp.fleet.models import KnownProblem, Question
from shopapp.fleet.services.known import Naming, make_known
from shopapp.fleet.services.lessons import draft_lesson
from shopapp.fleet.services.rechecks import recheck_all

GATHERED = 12
TITLES = {
    "no_radar": "Radar picture drops out after some minutes",
    "not_seen": "Display missing in the others' list",
    "reboots": "Display restarts when the motor goes to full",
}


def make_learnt(*, shop: Shop, people: dict[str, User]) -> None:
    """Known problems of what recurs, with further notes left to sort; one draft to review."""
    known = [row for trouble in RECURRING if (row := _gather(shop, trouble, people["marta"]))]
    if known:
        _draft(known[0], people["marta"])
    Question.objects.create(
        shop=shop, by=people["marta"], shared=True, name="Sailing boats", asked="kind=sail"
    )
    recheck_all(shop=shop, why="All boats, as the demo was made")


def _gather(shop: Shop, trouble: object, by: User) -> KnownProblem | None:
    notes = loose(shop).filter(model__code=trouble.model, symptom=trouble.symptom)
    notes = list(notes.select_related("model", "counterpart", "step").order_by("pk")[:GATHERED])
    if not notes:
        return None
    naming = Naming(
        title=TITLES[trouble.symptom],
        symptom=trouble.symptom,
        model=notes[0].model,
        counterpart=notes[0].counterpart,
        cause=trouble.cause,
        safety=trouble.symptom == "reboots",
    )
    return make_known(shop=shop, problems=notes, naming=naming, by=by)


def _draft(known: KnownProblem, by: User) -> None:
    statement, evidence = draft_statement(known, at_risk_of(known))
    statement.shop, statement.code = known.shop, "own-001"
    names = dict(known.shop.models.values_list("code", "name"))
    statement.text = tell_rule(statement.rule, names)[:300]
    draft_lesson(known=known, statement=statement, evidence=evidence, by=by)
