"""Everything that a job's pages need, as data: with it the tablet works with no signal."""

import hashlib
import json
from datetime import timedelta
from typing import Any

from django.db.models import Q, QuerySet

from planner.checks.shown import groups_of
from shopapp.accounts.models import User
from shopapp.boats.models import Unit
from shopapp.catalog.models import EquipmentModel, PortLight, Release
from shopapp.errors import MoveRefused
from shopapp.jobs.models import Document, Job, PickLine, Problem
from shopapp.jobs.services.quotes import today_of
from shopapp.jobs.services.risk import check_decided, undecided_on
from shopapp.jobs.services.scheduling import may_work
from shopapp.jobs.work_page import HELD_FOR, jobs_for_work, sees_phone
from shopapp.tablet.models import BoatFact, Clash, Entry, Foreseen
from shopapp.tablet.services.sheets import handover_lines, punch_rows, trial_rows
from shopapp.tablet.step_payload import step_rows
from shopapp.work.models import RowState

JsonDict = dict[str, Any]
DAYS_AHEAD = 4
MOST_JOBS = 20
MOST_PHOTOS = 12
TO_TAKE = ("scheduled", "on_job", "held", "done", "checked")


def jobs_to_take(user: User) -> QuerySet[Job]:
    """The person's own jobs of the next days, those begun, and those they help with."""
    until = today_of(user.shop) + timedelta(days=DAYS_AHEAD)
    rows = jobs_for_work().filter(shop=user.shop_id, state__in=TO_TAKE)
    own = Q(technician=user) | Q(helpers__user=user)
    soon = Q(planned_on__lte=until) | Q(state__in=["on_job", "held"])
    return rows.filter(own & soon).distinct().order_by("planned_on", "number")[:MOST_JOBS]


def job_payload(job: Job, user: User) -> JsonDict:
    """The job as data; the same number of queries whatever its size."""
    steps = list(job.steps.select_related("done_by").order_by("-caution", "position"))
    pick_list = job.pick_lists.exclude(state="cancelled").first()
    rows = PickLine.objects.filter(pick_list=pick_list).select_related("part__model", "stock")
    lines = list(rows.order_by("position"))
    units = list(job.boat.units.aboard().select_related("model", "release", "location"))
    codes = {row["model"] for row in job.plan.get("units", [])} | {u.model.code for u in units}
    catalogue = catalogue_of(job, codes)
    releases = {code: row["releases"] for code, row in catalogue.items()}
    facts = {
        "job": head_of(job, user),
        "where": where_of(job, user),
        "steps": step_rows(job, steps, lines, releases),
        "units": unit_rows(job, units),
        "ports": port_rows(job),
        "checked": checked_of(job),
        "tote": [_tote(line) for line in lines],
        "catalogue": catalogue,
        "problems": _problems(job),
        "documents": _documents(job),
        "photos": _photos(job),
        "facts": facts_of(job),
        "clashes": clashes_of(job),
        "kept": kept_of(job),
        "sheets": _sheets(job),
        **foreseen_of(job),
        "choices": {"symptoms": dict(Problem.Symptom.choices), "held_for": list(HELD_FOR)},
    }
    return facts | {"stamp": stamp_of(facts)}


def stamp_of(facts: JsonDict) -> str:
    """A mark that changes with what is shown."""
    text = json.dumps(facts, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def head_of(job: Job, user: User) -> JsonDict:
    """What a list of jobs shows of one, and whether this person may work it."""
    return {
        "pk": job.pk,
        "number": job.number,
        "title": job.title,
        "boat": job.boat.name,
        "boat_pk": job.boat_id,
        "state": job.state,
        "state_words": job.get_state_display(),
        "held_reason": job.held_reason,
        "day": job.planned_on.isoformat() if job.planned_on else "",
        "minutes": job.minutes_planned,
        "technician": str(job.technician or ""),
        "mine": may_work(job=job, user=user),
        # Who did the work does not check it.
        "checks": user.role in {"manager", "owner"} or job.technician_id != user.pk,
        "berth": ", ".join(filter(None, [job.boat.marina, job.boat.berth])),
    }


def where_of(job: Job, user: User) -> JsonDict:
    """Where the boat lies, who it is for, and what must not change."""
    boat, customer = job.boat, job.customer
    sees = sees_phone(job, user)
    phones = [{"number": p.number, "label": p.label} for p in customer.phones.all()] if sees else []
    return {
        "marina": boat.marina,
        "berth": boat.berth,
        "access": boat.access,
        "dock_power": boat.dock_power,
        "customer": customer.name,
        "phones": phones,
        "note": customer.technician_note,
        "asked_for": job.asked_for,
        "must_not_change": job.must_not_change,
        "may_say_yes": [" ".join(filter(None, [one.name, f"({one.relation})" if one.relation
                        else ""])) for one in customer.approvers.all()],
        "blocked": _why_not_started(job),
        "undecided": [f"A{row.number}. {row.text}" for row in undecided_on(job)],
    }  # fmt: skip


def _why_not_started(job: Job) -> str:
    """Why the desk would refuse to start the job now, said before anybody leaves; "" for none."""
    try:
        check_decided(job)
    except MoveRefused as error:
        return f"{error.message} {error.todo}"
    return ""


def unit_rows(job: Job, units: list[Unit]) -> list[JsonDict]:
    """Each unit on record, and each that the plan adds, with where it should end."""
    plan = {row["unit"]: row for row in job.plan.get("units", [])}
    case = {row["id"]: row for row in job.case.get("boat", {}).get("devices", [])}
    found = [
        {
            "name": unit.name,
            "model": unit.model.code,
            "place": unit.location.name,
            "serial": unit.serial,
            "release": unit.release.name if unit.release else "",
            "fate": plan.get(unit.name, {}).get("fate", ""),
            "ends": plan.get(unit.name, {}).get("release") or "",
            "planned_on": {
                "model": case.get(unit.name, {}).get("model", unit.model.code),
                "release": case.get(unit.name, {}).get("release") or "",
            },
            "aboard": True,
        }
        for unit in units
    ]
    aboard = {unit.name for unit in units}
    found += [
        {
            "name": name,
            "model": row["model"],
            "place": row["location"],
            "serial": "",
            "release": row["release"] or "",
            "fate": row["fate"],
            "ends": row["release"] or "",
            "planned_on": {"model": row["model"], "release": row["release"] or ""},
            "aboard": False,
        }
        for name, row in plan.items()
        if name not in aboard
    ]
    return found


def port_rows(job: Job) -> list[JsonDict]:
    """Each end of each link: which port of which unit, and what is at the other end."""
    models = {row["unit"]: row["model"] for row in job.plan.get("units", [])}
    found = []
    for link in job.ports:
        ends = list(zip(link["between"], link["ports"], strict=True))
        for (unit, port), (other, other_port) in (ends, ends[::-1]):
            found.append(
                {
                    "unit": unit,
                    "model": models.get(unit, ""),
                    "port": port,
                    "other": other,
                    "other_port": other_port,
                    "cable": link["cable"].removeprefix("buy:"),
                    "new": link["cable"].startswith("buy:"),
                    "feet": link.get("feet"),
                }
            )
    return sorted(found, key=lambda row: (row["unit"], row["port"]))


def checked_of(job: Job) -> list[JsonDict]:
    """What the checks of the plan found, worst first, with what to measure and what cures it."""
    return [
        {
            "state": group["state"],
            "words": group["words"],
            "findings": [_finding(finding) for finding in group["findings"]],
        }
        for group in groups_of(job.checks)
    ]


def _finding(finding: JsonDict) -> JsonDict:
    kept = {name: finding[name] for name in ("title", "label", "place", "words", "margin")}
    return kept | {
        "measures": [measure["what"] for measure in finding["measures"]],
        "remedies": [remedy["words"] for remedy in finding["remedies"]],
    }


def catalogue_of(job: Job, codes: set[str]) -> dict[str, JsonDict]:
    """The catalogue's part for these units: releases, lights and what each means; three queries.

    Models of the same kinds come along by name alone, for a box that is another model.
    """
    rows = EquipmentModel.objects.filter(shop=job.shop_id, retired_at=None)
    rows = list(rows.only("pk", "code", "name", "kind", "ports", "fuse_ma", "draw_ma"))
    kinds = {row.kind for row in rows if row.code in codes}
    kept = {row.pk: row for row in rows if row.kind in kinds}
    found = {row.code: _model(row, whole=row.code in codes) for row in kept.values()}
    names = Release.objects.filter(model__in=kept).order_by("model", "rank")
    for pk, name in names.values_list("model_id", "name"):
        found[kept[pk].code]["releases"].append(name)
    wanted = [pk for pk, row in kept.items() if row.code in codes]
    for light in PortLight.objects.filter(model__in=wanted):
        found[kept[light.model_id].code]["lights"].append(
            {
                "colour": light.colour,
                "pattern": light.pattern,
                "meaning": light.meaning,
                "fault": light.is_fault,
            }
        )
    return found


def _model(row: EquipmentModel, *, whole: bool) -> JsonDict:
    facts: JsonDict = {"name": row.name, "kind": row.kind, "releases": [], "lights": []}
    if whole:
        facts |= {"ports": row.ports, "fuse_ma": row.fuse_ma, "draw_ma": row.draw_ma}
    return facts


def _tote(line: PickLine) -> JsonDict:
    return {
        "line": line.pk,
        "number": line.part.number,
        "name": line.part.name,
        "wanted": line.wanted,
        "reserved": line.reserved,
        "picked": line.picked,
        "spare": line.spare,
        "short": line.short,
        "note": line.note,
    }


def _problems(job: Job) -> list[JsonDict]:
    rows = job.problems.select_related("noted_by", "unit")
    return [
        {
            "pk": row.pk,
            "symptom": row.get_symptom_display(),
            "words": row.words,
            "unit": str(row.unit or ""),
            "cause": row.cause,
            "solved": row.solved_at is not None,
            "by": str(row.noted_by or ""),
            "at": row.noted_at.isoformat(),
            "photo": row.photo_id,
        }
        for row in rows
    ]


def _documents(job: Job) -> list[JsonDict]:
    rows = Document.objects.filter(job=job, row_state=RowState.READY)
    newest: dict[str, Document] = {}
    for row in rows.order_by("version"):
        newest[row.kind] = row
    return [
        {"pk": row.pk, "kind": row.get_kind_display(), "version": row.version, "pages": row.pages}
        for row in newest.values()
    ]


def _photos(job: Job) -> list[JsonDict]:
    rows = job.boat.photos.order_by("-taken_at")[:MOST_PHOTOS]
    return [{"pk": row.pk, "caption": row.caption, "at": row.taken_at.isoformat()} for row in rows]


def facts_of(job: Job) -> dict[str, dict[str, str]]:
    """All that was written from the boat, by target and field; steps carry their own values."""
    found: dict[str, dict[str, str]] = {}
    rows = BoatFact.objects.filter(job=job).exclude(target__startswith="step:")
    for target, name, value in rows.values_list("target", "name", "value"):
        found.setdefault(target, {})[name] = value
    return found


def clashes_of(job: Job) -> list[JsonDict]:
    """The clashes that wait for a person, with both values."""
    rows = Clash.objects.filter(job=job, chosen="").select_related("standing_by", "other_by")
    return [
        {
            "pk": row.pk,
            "label": row.label,
            "standing": row.standing,
            "standing_by": str(row.standing_by or "not known"),
            "standing_at": row.standing_at.isoformat() if row.standing_at else "",
            "other": row.other,
            "other_by": str(row.other_by),
            "other_at": row.other_at.isoformat(),
        }
        for row in rows
    ]


def kept_of(job: Job) -> int:
    """How many entries wait at the desk for somebody to decide on them."""
    return Entry.objects.filter(job=job, outcome=Entry.Outcome.REFUSED).count()


def _sheets(job: Job) -> JsonDict:
    return {"punch": punch_rows(job), "trials": trial_rows(job), "handover": handover_lines()}


def foreseen_of(job: Job) -> JsonDict:
    """The answers worked out before leaving, whether they are there, and the finder's table."""
    row = Foreseen.objects.filter(job=job).first()
    if row is None:
        return {"foreseen": {"state": "none", "answers": []}, "finder": {}}
    return {"foreseen": {"state": row.row_state, "answers": row.answers}, "finder": row.finder}
