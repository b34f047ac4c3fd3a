"""The bench sums as JSON: the list, and one sum with the same inputs as from the command line."""

import json
from typing import Any

from django.http import Http404
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from planner.benchsums.answers import told_sums
from planner.benchsums.asking import ask_sum
from planner.benchsums.words import PAGES
from shopapp.errors import FactRefused


class SumsView(APIView):
    """Every sum with its inputs, outputs, units and source."""

    action_see = "sums.use"

    def get(self, _request: Request) -> Response:
        """The list."""
        return Response({"sums": told_sums()})


class SumView(APIView):
    """`?in={…}`: one JSON object of inputs, as `calc NAME --json` takes them."""

    action_see = "sums.use"

    def get(self, request: Request, name: str) -> Response:
        """Result, formula, inputs, source, margin, cautions, and what the shop's rules say."""
        if name not in PAGES:
            raise Http404("No such sum.")
        given = _read(request.query_params.get("in", ""))
        return Response(ask_sum(shop=request.user.shop_id, name=name, given=given))


def _read(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise FactRefused(
            "The inputs are no JSON that can be read.",
            field="in",
            todo='Give one object, for example ?in={"draw_ma": 151}.',
        ) from error
