"""What the pages of survey sheets read, in a fixed number of queries."""

from dataclasses import dataclass, field

from django.db.models import Count, Q, QuerySet

from shopapp.accounts.models import Shop
from shopapp.jobs.forms.surveys import AnswerItemForm
from shopapp.jobs.models import Survey, SurveyItem

WORDS_LIMIT = 8


@dataclass(frozen=True)
class Entry:
    """A question with its form."""

    item: SurveyItem
    form: AnswerItemForm


@dataclass(frozen=True)
class Group:
    """Questions under one heading."""

    title: str
    entries: list[Entry] = field(default_factory=list)


def groups_of(survey: Survey) -> list[Group]:
    """The questions by group, in their order; one query."""
    groups: dict[str, Group] = {}
    for item in survey.items.select_related("by", "photo"):
        group = groups.setdefault(item.group, Group(item.group))
        group.entries.append(Entry(item, AnswerItemForm(item=item)))
    return list(groups.values())


def surveys_listed(*, shop: Shop | int, words: str, state: str) -> QuerySet[Survey]:
    """Sheets of a list, newest first, with how much of each is answered."""
    rows = Survey.objects.of(shop).select_related("boat", "made_by")
    for word in words.lower().split()[:WORDS_LIMIT]:
        rows = rows.filter(Q(number__iexact=word) | Q(boat__search__contains=word))
    if state in Survey.State.values:
        rows = rows.filter(state=state)
    elif state != "all":
        rows = rows.filter(state=Survey.State.OPEN)
    return rows.annotate(
        asked=Count("items"),
        answered=Count("items", filter=~Q(items__state=SurveyItem.State.OPEN)),
    )
