"""What the pages of problems read."""

from django.db.models import Q, QuerySet

from shopapp.accounts.models import Shop
from shopapp.jobs.models import Problem


def problems_found(shop: Shop, asked: dict[str, str]) -> QuerySet[Problem]:
    """Problems by words (`q`: boat, model, job, what was seen), `symptom`, `solved` (yes, no)."""
    rows = Problem.objects.of(shop).select_related(
        "job", "boat", "model", "release", "counterpart", "noted_by"
    )
    rows = rows.defer("job__case", "job__plan", "job__ports")
    for word in asked.get("q", "").split()[:8]:
        boat = Q(boat__search__contains=word.lower()) | Q(job__number__icontains=word)
        seen = Q(words__icontains=word) | Q(cause__icontains=word)
        rows = rows.filter(boat | seen | Q(model__name__icontains=word))
    if asked.get("symptom") in Problem.Symptom.values:
        rows = rows.filter(symptom=asked["symptom"])
    if asked.get("solved") in {"yes", "no"}:
        rows = rows.filter(solved_at__isnull=asked["solved"] == "no")
    return rows
