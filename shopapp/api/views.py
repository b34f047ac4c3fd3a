"""Reading boats, jobs and papers as JSON, bound to the shop and to the role."""

from django.db.models import Prefetch, Q, QuerySet
from rest_framework.exceptions import NotFound
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.pagination import LimitOffsetPagination

from shopapp.accounts.models import User
from shopapp.api.shapes import BoatShape, DocumentShape, JobShape, WholeBoatShape
from shopapp.boats.models import Boat, Cable, Unit
from shopapp.jobs.models import Document, Job
from shopapp.roles import may

MOST_ROWS = 200
MOST_OFFSET = 1_000_000


class Rows(LimitOffsetPagination):
    """At most 200 rows at a time; the table is never counted."""

    default_limit = 50
    max_limit = MOST_ROWS

    def paginate_queryset(self, queryset: QuerySet, request: object, view: object = None) -> list:
        """The rows asked for, and one more to see whether others follow."""
        self.request = request
        self.limit = self.get_limit(request) or self.default_limit
        self.offset = self.get_offset(request)
        if self.offset > MOST_OFFSET:
            raise NotFound("No list is that long. Search instead.")
        rows = list(queryset[self.offset : self.offset + self.limit + 1])
        # The pages beside this one are told by what is known of the count.
        self.count = self.offset + len(rows)
        return rows[: self.limit]

    def get_paginated_response(self, data: list) -> object:
        """Rows with the addresses of the pages beside them."""
        response = super().get_paginated_response(data)
        del response.data["count"]
        return response


class Boats(ListAPIView):
    """Boats of the shop by name; `search` holds words, `limit` and `offset` the page."""

    action_see = "boats.see"
    serializer_class = BoatShape
    pagination_class = Rows

    def get_queryset(self) -> QuerySet:
        """The shop's boats that are not retired."""
        words = self.request.GET.get("search", "")[:200]
        return Boat.objects.of(self.request.user.shop_id).current().matching(words)


class BoatView(RetrieveAPIView):
    """One boat with its units and cables."""

    action_see = "boats.see"
    serializer_class = WholeBoatShape

    def get_queryset(self) -> QuerySet:
        """The shop's boats with what is aboard; four queries."""
        units = Unit.objects.aboard().select_related("model", "release", "location")
        cables = Cable.objects.filter(retired_at=None).select_related("part")
        cables = cables.prefetch_related("ends__location", "ends__unit")
        return Boat.objects.of(self.request.user.shop_id).prefetch_related(
            Prefetch("units", units, to_attr="units_aboard"),
            Prefetch("cables", cables, to_attr="cables_aboard"),
        )


class JobView(RetrieveAPIView):
    """One job with its steps."""

    action_see = "jobs.see"
    serializer_class = JobShape

    def get_queryset(self) -> QuerySet:
        """The shop's jobs with their steps; two queries."""
        rows = Job.objects.of(self.request.user.shop_id).select_related("boat", "technician")
        return rows.prefetch_related("steps")


class DocumentView(RetrieveAPIView):
    """One paper's state; a quote's papers are for those who may see quotes."""

    action_see = "documents.see"
    serializer_class = DocumentShape

    def get_queryset(self) -> QuerySet:
        """The shop's papers that the role may see."""
        rows = Document.objects.of(self.request.user.shop_id)
        return rows.filter(_papers_for(self.request.user))


def _papers_for(user: User) -> Q:
    return Q() if may(user, "quotes.see") else Q(quote__isnull=True)
