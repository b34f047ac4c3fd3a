"""A plan drawn on its boat, before and after in one picture, from what is kept with the run."""

from dataclasses import replace
from functools import lru_cache
from typing import Any

from planner.checks.shown import CheckMarks
from planner.plans import device_of, model_name, unit_label
from planner.sheet import link_rows
from shopapp.boats.drawing import (
    Backbone,
    Bank,
    BoatSheet,
    Place,
    Plate,
    Run,
    Tee,
    draw_boat,
    sheet_rows,
)
from shopapp.boats.models import Boat

JsonDict = dict[str, Any]
FEET_PER_METRE = 1 / 0.3048
DISCONNECTED = {"removed": "removed", "disconnected": "off-network"}

NO_MARK = ("", "")
# About 60 kB each: the options that are looked at in one hour.
DRAWINGS_KEPT = 64


def plan_picture(
    *,
    case: JsonDict,
    plan: JsonDict,
    boat: Boat,
    key: str,
    width: int = 1120,
    marks: CheckMarks | None = None,
) -> str:
    """The before-and-after drawing as SVG; `key` makes its ids its own on the page.

    `marks` says what the checks found of units, runs, backbones and banks.
    """
    sheet = plan_sheet(case=case, plan=plan, boat=boat, marks=marks)
    return _drawn(sheet, width, key)


@lru_cache(maxsize=DRAWINGS_KEPT)
def _drawn(sheet: BoatSheet, width: int, key: str) -> str:
    """Equal sheets give equal drawings; pages that show several options show them again."""
    return draw_boat(sheet, width=width, key=key)


def plan_rows(
    *, case: JsonDict, plan: JsonDict, boat: Boat, marks: CheckMarks | None = None
) -> list[dict[str, str]]:
    """The same facts in rows, for a table."""
    return sheet_rows(plan_sheet(case=case, plan=plan, boat=boat, marks=marks))


def plan_sheet(
    *, case: JsonDict, plan: JsonDict, boat: Boat, marks: CheckMarks | None = None
) -> BoatSheet:
    """What is drawn: the boat as it was known when the plan was made."""
    show = case.get("show", {})
    known = show.get("boat", {})
    marks = marks or CheckMarks()
    return BoatSheet(
        name=known.get("name", boat.name),
        length_ft=known.get("length_ft", float(boat.length_ft)),
        beam_ft=known.get("beam_ft"),
        kind=known.get("kind", boat.kind),
        places=tuple(_place(case, name) for name in case["boat"]["locations"]),
        units=tuple(_plate(case, unit, marks) for unit in plan["units"]),
        runs=tuple(_runs(case, plan, marks)),
        backbone=tuple(_backbone(plan, entry, marks) for entry in show.get("backbones", [])),
        banks=tuple(Bank(name, mark, place or None) for name, place, mark in marks.banks),
    )


def _place(case: JsonDict, name: str) -> Place:
    spot = case.get("show", {}).get("places", {}).get(name, {})
    return Place(id=name, name=name, x=spot.get("x"), y=spot.get("y"))


def _plate(case: JsonDict, unit: JsonDict, marks: CheckMarks) -> Plate:
    was = device_of(case, unit["unit"])
    before = was["model"] if was else unit["model"]
    model = case["catalogue"]["models"][unit["model"]]
    replaced = unit["fate"] == "replaced"
    return Plate(
        id=unit["unit"],
        name=unit_label(case, unit),
        model=model_name(case, before),
        kind=model["kind"],
        place=unit["location"],
        fate=_fate(unit, was),
        release_before=was["release"] if was and not replaced else None,
        release_after=unit["release"],
        networked=unit["networked"] or unit["fate"] == "removed",
        ports=model["ports"],
        model_after=model_name(case, unit["model"]) if replaced else "",
        check=marks.units.get(unit["unit"], NO_MARK),
    )


def _fate(unit: JsonDict, was: JsonDict | None) -> str:
    if was is None:
        return "new"
    if unit["fate"] == "replaced":
        return "replaced"
    if unit["fate"] == "removed":
        return "removed"
    if was["networked"] and not unit["networked"]:
        return "off-network"
    return "updated" if was["release"] != unit["release"] else "kept"


def _runs(case: JsonDict, plan: JsonDict, marks: CheckMarks) -> list[Run]:
    runs = []
    stays = set()
    before = {cable["id"]: cable for cable in case["boat"]["cables"]}
    for link in link_rows(case, plan):
        cable = before.get(link["id"])
        same = cable is not None and set(cable.get("ends", {})) in ({*link["units"]}, set())
        if same:
            stays.add(link["id"])
        run = _run(link, kept=same, moved=cable is not None and not same)
        runs.append(replace(run, check=_mark_of_run(link["units"], marks)))
    return runs + [_unplugged(cable) for name, cable in before.items() if _comes_off(cable, stays)]


def _mark_of_run(units: tuple[str, str], marks: CheckMarks) -> tuple[str, str]:
    one, other = units
    found = marks.runs.get(f"{one}--{other}")
    return found or marks.runs.get(f"{other}--{one}", NO_MARK)


def _run(link: JsonDict, *, kept: bool, moved: bool) -> Run:
    return Run(
        a=link["units"][0],
        b=link["units"][1],
        port_a=link["ports"][0],
        port_b=link["ports"][1],
        label=f"{link['cable']}, moved" if moved else link["cable"],
        feet=link["feet"],
        fate="kept" if kept else "new",
    )


def _comes_off(cable: JsonDict, stays: set[str]) -> bool:
    return cable["id"] not in stays and len(cable.get("ends", {})) == 2


def _unplugged(cable: JsonDict) -> Run:
    (a, port_a), (b, port_b) = cable["ends"].items()
    return Run(a, b, port_a, port_b, cable["id"], cable.get("feet"), "removed")


def _backbone(plan: JsonDict, entry: JsonDict, marks: CheckMarks) -> Backbone:
    gone = {unit["unit"] for unit in plan["units"] if unit["fate"] == "removed"}
    first, last = entry["terminators"]
    metres = entry["metres"]
    return Backbone(
        tees=tuple(_tee(tee, gone) for tee in entry["tees"]),
        name=entry["name"],
        feet=None if metres is None else round(metres * FEET_PER_METRE, 1),
        terminator_first=first,
        terminator_last=last,
        check=marks.backbones.get(entry["name"], NO_MARK),
    )


def _tee(tee: JsonDict, gone: set[str]) -> Tee:
    metres = tee.get("metres")
    return Tee(
        place=tee["place"],
        spare=tee.get("spare", False),
        unit=tee.get("unit"),
        power=tee.get("power", ""),
        feet=None if metres is None else round(metres * FEET_PER_METRE, 1),
        fate="removed" if tee.get("unit") in gone else "kept",
    )
