"""Whether models at releases work together, as JSON: the same engine as behind the page."""

from typing import Any

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from planner.models import Statement
from planner.reasons.asking import check_asked, read_asked
from planner.reasons.judging import Judged, Told, judge_asked
from shopapp.errors import FactRefused

JsonDict = dict[str, Any]


class VerdictView(APIView):
    """`?unit=code@release&unit=code&behind=code`; a release left out is not known."""

    action_see = "plans.see"

    def get(self, request: Request) -> Response:
        """The verdict on all and on each pair; 422 with words for what cannot be right."""
        params = request.query_params
        asked = read_asked(params.getlist("unit"), params.getlist("behind"))
        shop = request.user.shop
        check_asked(shop=shop, asked=asked)
        if not asked.enough:
            raise FactRefused("Name two units at least.", field="unit", todo="Repeat unit=…")
        units = [{"model": unit.model, "release": unit.release or None} for unit in asked.units]
        behind = [{"model": unit.model, "release": unit.release or None} for unit in asked.behind]
        judged = judge_asked(shop=shop, asked=asked)
        return Response({"units": units, "behind": behind} | _shape(judged))


def _shape(judged: Judged) -> JsonDict:
    pairs = [{"models": pair.codes, "names": pair.names} | _told(pair) for pair in judged.pairs]
    return _told(judged.whole) | {"pairs": pairs}


def _told(told: Told) -> JsonDict:
    return {
        "verdict": told.key,
        "words": told.word,
        "needs": told.needs,
        "statements": [
            {"part": role.lower()} | _statement(statement) for role, statement in told.statements
        ],
    }


def _statement(statement: Statement) -> JsonDict:
    return {
        "code": statement.code,
        "text": statement.text,
        "source_kind": statement.get_source_kind_display(),
        "source": statement.source,
        "page": statement.page,
        "seen": statement.seen.isoformat(),
        "confidence": statement.confidence,
        "confidence_now": statement.confidence_now,
        "address": reverse("planner:statement", args=[statement.pk]),
    }
