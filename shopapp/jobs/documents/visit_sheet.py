"""The facts of a survey sheet on paper: one page, most valuable questions first."""

import math

from django.db.models import Prefetch

from shopapp.jobs.documents.common import (
    Facts,
    boat_facts,
    customer_facts,
    day_words,
    local_day,
    shop_facts,
)
from shopapp.jobs.models import Survey, SurveyItem

# What one page holds; the tablet asks the rest.
HEIGHT_MM, LINE_MM, GAP_MM, LEAST_MM = 160.0, 3.4, 1.3, 7.9
ASKED_IN_A_LINE, CHOICES_IN_A_LINE = 56, 40
DESK_AT_MOST, CHOICES_AT_MOST = 3, 6
QUESTION_AT_MOST, WHY_AT_MOST, WISH_AT_MOST, DESK_WORDS = 100, 100, 240, 100


def survey_for_paper(pk: int) -> Survey:
    """The survey with what its paper shows; three queries whatever its size."""
    rows = Survey.objects.select_related("shop", "boat", "boat__customer", "made_by", "quote")
    items = Prefetch("items", SurveyItem.objects.select_related("by"))
    return rows.prefetch_related(items, "boat__customer__phones").get(pk=pk)


def survey_facts(survey: Survey) -> Facts:
    """All that the sheet shows, as plain data."""
    items = list(survey.items.all())
    asked = [item for item in items if item.form != SurveyItem.Form.PHOTO]
    photos = [item for item in items if item.form == SurveyItem.Form.PHOTO]
    rows = _that_fit([_row(number, item) for number, item in enumerate(asked, start=1)])
    return {
        "shop": shop_facts(survey.shop),
        "number": survey.number,
        "title": "Survey",
        "boat": boat_facts(survey.boat),
        "customer": customer_facts(survey.boat.customer),
        "access": survey.boat.access,
        "wish": _short(" ".join(survey.wish.split()), WISH_AT_MOST),
        "made_by": str(survey.made_by),
        "made_on": day_words(local_day(survey.made_at, survey.shop)),
        "quote": str(survey.quote) if survey.quote else "",
        "rows": rows,
        "more": len(asked) - len(rows),
        "photos": [{"what": one.question, "done": one.photo_id is not None} for one in photos],
        "desk": [
            _short(f"{one['what']} {one['todo']}", DESK_WORDS) for one in survey.desk[:DESK_AT_MOST]
        ],
    }


def _that_fit(rows: list[Facts]) -> list[Facts]:
    """The first rows whose heights together fit the page, by a cautious count of their lines."""
    left = HEIGHT_MM
    found = []
    for row in rows:
        left -= max(LEAST_MM, GAP_MM + LINE_MM * _lines(row))
        if left < 0:
            break
        found.append(row)
    return found


def _lines(row: Facts) -> int:
    asked = math.ceil((len(row["question"]) + len(row["why"])) / ASKED_IN_A_LINE)
    picks = sum(len(one) + 5 for one in row["choices"])
    return max(asked, math.ceil(picks / CHOICES_IN_A_LINE), 1)


def _row(number: int, item: SurveyItem) -> Facts:
    chosen = dict(map(tuple, item.choices)).get(item.answer, item.answer)
    few = len(item.choices) <= CHOICES_AT_MOST
    return {
        "number": number,
        "question": _short(item.question, QUESTION_AT_MOST),
        "why": _short(item.worth or item.why, WHY_AT_MOST),
        "decides": item.decides,
        "unit": item.unit,
        "choices": [label for _, label in item.choices] if few else [],
        "answer": f"{chosen} {item.unit}".strip() if item.answer else "",
        "could_not": item.note if item.state == SurveyItem.State.COULD_NOT else "",
        "by": str(item.by) if item.by else "",
    }


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
