"""The facts of the weekly sheet's paper: what was kept with the week, under the letterhead."""

from shopapp.jobs.documents.common import Facts, day_words, shop_facts
from shopapp.jobs.models import FleetSheet


def sheet_for_paper(pk: int) -> FleetSheet:
    """The week with its shop; one query."""
    return FleetSheet.objects.select_related("shop").get(pk=pk)


def weekly_facts(sheet: FleetSheet) -> Facts:
    """All that the sheet shows, as plain data."""
    week = f"Week to {day_words(sheet.ends_on)}"
    return sheet.facts | {
        "shop": shop_facts(sheet.shop),
        "title": week,
        "boat": {"name": "Fleet", "berth": ""},
    }
