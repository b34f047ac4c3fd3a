"""The port map of a job, and its cable labels as sheets of flags."""

from typing import Any

from shopapp.jobs.documents.common import Facts, boat_facts, day_words, shop_facts
from shopapp.jobs.documents.plan_rows import PlanPaper, idle_cables, link_rows, unit_rows
from shopapp.jobs.models import Job

# Flags a sheet holds, by the shop's setting; the measures stand in the style sheet.
FLAGS_A_SHEET = {"letter-30": 30, "letter-10": 10, "a4-21": 21, "a4-8": 8}


def map_job_for_paper(pk: int) -> Job:
    """The job with what its port map and labels show; two queries."""
    return Job.objects.select_related("shop", "boat", "technician").get(pk=pk)


def port_map_facts(job: Job) -> Facts:
    """Every link with its ports, every port of every unit that joins others, idle cables."""
    paper = PlanPaper(job.case, job.plan)
    links = link_rows(paper, job.ports)
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "planned_on": day_words(job.planned_on),
        "technician": str(job.technician) if job.technician else "",
        "links": links,
        "boxes": _boxes(paper, links),
        "units": unit_rows(paper),
        "idle_cables": idle_cables(paper),
    }


def _boxes(paper: PlanPaper, links: list[dict[str, Any]]) -> list[Facts]:
    """Units with more than one port: what sits in each, spare ports by their number."""
    models = paper.case.get("catalogue", {}).get("models", {})
    found = []
    for unit in paper.units:
        ports = models.get(unit["model"], {}).get("ports") or 0
        name = paper.names[unit["unit"]]
        mine = [link for link in links if name in (link["a"]["unit"], link["b"]["unit"])]
        if ports > 1 and unit["fate"] != "removed":
            rows = [_port_row(number, name, mine) for number in range(1, ports + 1)]
            unknown = [_other(link, name)["words"] for link in mine if not _port_of(link, name)]
            found.append({"unit": name, "model": paper.model(unit["model"]), "place":
                          unit["location"], "rows": rows, "unknown": unknown})  # fmt: skip
    return found


def _port_of(link: dict[str, Any], name: str) -> int | None:
    return link["a"]["port"] if link["a"]["unit"] == name else link["b"]["port"]


def _other(link: dict[str, Any], name: str) -> dict[str, Any]:
    return link["b"] if link["a"]["unit"] == name else link["a"]


def _port_row(number: int, name: str, links: list[dict[str, Any]]) -> Facts:
    for link in links:
        if _port_of(link, name) == number:
            other = _other(link, name)
            return {"port": number, "to": other["words"], "cable": link["part"], "new": link["new"]}
    return {"port": number, "to": "", "cable": "", "new": False}


def label_facts(job: Job) -> Facts:
    """A flag for each end of each cable, new ones first, filled up into sheets."""
    paper = PlanPaper(job.case, job.plan)
    links = sorted(link_rows(paper, job.ports), key=lambda link: not link["new"])
    flags = [flag for link in links for flag in _flags(job, link)]
    size = job.shop.label_sheet
    per_sheet = FLAGS_A_SHEET[size]
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "size": size,
        "sheets": [flags[start : start + per_sheet] for start in range(0, len(flags), per_sheet)]
        or [[]],
    }


def _flags(job: Job, link: dict[str, Any]) -> list[Facts]:
    return [
        {
            "here": link[here]["words"],
            "there": link[there]["words"],
            "label": "" if link["new"] else link["label"],
            "cable": link["part"],
            "feet": link["feet"],
            "boat": job.boat.name,
            "job": job.number,
        }
        for here, there in (("a", "b"), ("b", "a"))
    ]
