"""The tablet's JSON: what it takes along, what it sends back, photos in pieces."""

import gzip
import json
import re
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET
from rest_framework.exceptions import ValidationError
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapp.accounts.access import get_for
from shopapp.errors import MoveRefused, StaleRecord
from shopapp.jobs import job_queries
from shopapp.jobs.models import Job
from shopapp.jobs.services.scheduling import may_work
from shopapp.jobs.work_page import jobs_for_work
from shopapp.roles import may, open_to_all
from shopapp.tablet.models import Clash, PhotoUpload
from shopapp.tablet.payload import clashes_of, head_of, job_payload, jobs_to_take
from shopapp.tablet.services.leaving import prepare_to_leave
from shopapp.tablet.services.photos import MOST_CHUNK, take_piece
from shopapp.tablet.services.settling import settle_clash
from shopapp.tablet.services.standing import values_of
from shopapp.tablet.services.taking import MOST_ENTRIES, greet_tablet, read_sent, take_entries

JsonDict = dict[str, Any]
SMALL = 1000
RANGE = re.compile(r"bytes (\d{1,10})-(\d{1,10})/(\d{1,10})")


@open_to_all
@never_cache
@require_GET
def me(request: HttpRequest) -> HttpResponse:
    """Who is signed in, a fresh token for sending, and our clock."""
    user = request.user
    signed_in = may(user, "jobs.see")
    facts: JsonDict = {"signed_in": signed_in, "now": _now_ms()}
    if signed_in:
        person = {"pk": user.pk, "name": str(user), "works": may(user, "jobs.work")}
        facts |= {"csrf": get_token(request), "person": person, "shop": str(user.shop)}
    return JsonResponse(facts)


def _now_ms() -> int:
    return int(timezone.now().timestamp() * 1000)


def packed(request: Request, facts: object) -> HttpResponse:
    """JSON, packed where the tablet takes it so: a job's facts are long and alike."""
    raw = json.dumps(facts, separators=(",", ":")).encode()
    answer = HttpResponse(raw, content_type="application/json")
    answer["Cache-Control"] = "no-store"
    answer["Vary"] = "Accept-Encoding, Cookie"
    if len(raw) > SMALL and "gzip" in request.headers.get("Accept-Encoding", ""):
        answer.content = gzip.compress(raw, 5)
        answer["Content-Encoding"] = "gzip"
    return answer


class JobsToTake(APIView):
    """The jobs of the next days, to be taken along."""

    action_see = "jobs.see"

    def get(self, request: Request) -> HttpResponse:
        """Each job's head; their answers for what may be found are asked for."""
        jobs = list(jobs_to_take(request.user))
        for job in jobs:
            prepare_to_leave(job)
        return packed(request, {"jobs": [head_of(job, request.user) for job in jobs]})


class JobToTake(APIView):
    """One job with all that it needs with no signal."""

    action_see = "jobs.see"

    def get(self, request: Request, pk: int) -> HttpResponse:
        """The job as data; nothing but its stamp where the tablet has it already."""
        job = get_for(request, jobs_for_work(), pk=pk)
        prepare_to_leave(job)
        facts = job_payload(job, request.user)
        if request.headers.get("If-None-Match") == f'"{facts["stamp"]}"':
            return HttpResponse(status=304)
        answer = packed(request, facts)
        answer["ETag"] = f'"{facts["stamp"]}"'
        return answer


class DrawingToTake(APIView):
    """The job's drawing, apart from the rest: it is the largest piece, and not needed first."""

    action_see = "jobs.see"

    def get(self, request: Request, pk: int) -> HttpResponse:
        """The drawing as SVG and the same facts in rows."""
        job = get_for(request, jobs_for_work(), pk=pk)
        drawing = job_queries.drawing_of(job, key="tablet", width=780)
        return packed(request, {"svg": str(drawing.get("svg", ""))})


class Entries(APIView):
    """Entries from a tablet, in batches."""

    action_see = action_edit = "jobs.work"

    def post(self, request: Request) -> Response:
        """Take them, each once; the answer says what became of each and what stands now."""
        tablet_uid, now_ms, sent = _read_batch(request.data)
        tablet = greet_tablet(user=request.user, uid=tablet_uid, now_ms=now_ms)
        answers = take_entries(user=request.user, tablet=tablet, entries=sent)
        touched: dict[int, set[str]] = {}
        for one in sent:
            targets = touched.setdefault(one.job, set())
            if one.kind == "set" and ":" in one.target:
                targets.add(one.target)
        return Response(
            {
                "now": _now_ms(),
                "clock_off_ms": tablet.clock_off_ms,
                "answers": answers,
                "jobs": _stand_of(request, touched),
            }
        )


def _read_batch(data: Any) -> tuple[UUID, int, list]:
    try:
        uid, now_ms = UUID(str(data["tablet"])), int(data["now"])
        rows = data["entries"]
        if not isinstance(rows, list) or not 0 < len(rows) <= MOST_ENTRIES:
            raise ValidationError(f"A batch holds 1 to {MOST_ENTRIES} entries.")
        if abs(now_ms) > 2**53:
            raise ValidationError("The tablet's clock is out of bounds.")
        return uid, now_ms, [read_sent(row) for row in rows]
    except (KeyError, TypeError, ValueError) as error:
        raise ValidationError(f"This is no batch of entries: {error}.") from error


def _stand_of(request: Request, touched: dict[int, set[str]]) -> JsonDict:
    jobs = Job.objects.of(request.user.shop_id).filter(pk__in=touched)
    return {
        str(job.pk): {
            "head": head_of(job, request.user),
            "values": values_of(job, touched[job.pk]),
            "clashes": clashes_of(job),
        }
        for job in jobs.select_related("boat", "technician")
    }


class RawParser(BaseParser):
    """Bytes as they come, up to one piece."""

    media_type = "application/octet-stream"

    def parse(
        self, stream: Any, media_type: str | None = None, parser_context: Any = None
    ) -> bytes:
        """At most one piece and one byte, so that a longer one shows."""
        return stream.read(MOST_CHUNK + 1)


class PhotoPieces(APIView):
    """A photo in pieces."""

    action_see = "jobs.work"
    action_edit = "jobs.work"
    parser_classes = [RawParser]

    def get(self, request: Request, uid: UUID) -> Response:
        """How many bytes are here."""
        return Response(_upload_facts(_upload(request, uid)))

    def put(self, request: Request, uid: UUID) -> Response:
        """Take a piece; `Content-Range` says which."""
        row = _upload(request, uid)
        found = RANGE.fullmatch(request.headers.get("Content-Range", ""))
        piece = request.data
        if found is None or not isinstance(piece, bytes):
            raise ValidationError("Say which piece this is by Content-Range.")
        start, last, total = (int(one) for one in found.groups())
        if total != row.size or last - start + 1 != len(piece):
            raise ValidationError("The piece and its Content-Range do not agree.")
        try:
            row = take_piece(row=row, user=request.user, start=start, piece=piece)
        except StaleRecord as error:
            row.refresh_from_db()
            return Response(_upload_facts(row) | {"detail": error.message}, status=409)
        return Response(_upload_facts(row))


def _upload(request: Request, uid: UUID) -> PhotoUpload:
    rows = PhotoUpload.objects.of(request.user.shop_id).select_related("job__boat", "by")
    return get_object_or_404(rows, uid=uid)


def _upload_facts(row: PhotoUpload) -> JsonDict:
    return {"have": row.have, "state": row.state, "message": row.message, "photo": row.photo_id}


class ClashToSettle(APIView):
    """A clash, decided on the tablet while there is signal."""

    action_see = action_edit = "jobs.work"

    def post(self, request: Request, pk: int) -> Response:
        """Say which value is right."""
        clash = get_for(request, Clash, pk=pk, path="job__shop")
        if not may_work(job=clash.job, user=request.user):
            raise MoveRefused("This job is another technician's.", todo="Ask its technician.")
        settle_clash(clash=clash, chosen=str(request.data.get("chosen", "")), by=request.user)
        clash.job.refresh_from_db()
        values = values_of(clash.job, [clash.target])
        return Response({"values": values, "clashes": clashes_of(clash.job)})
