"""The questions that a person asks of a plan, each as a pin for `why_not` and `plan_with`."""

from collections.abc import Iterator
from typing import Any

from planner.engine.choices import ADDED, DISCONNECTED, REMOVED, REPLACED, STAYS
from planner.engine.facts import Case, Device
from planner.engine.reading import read_case
from planner.engine.releases import ways_from
from planner.engine.words import Row, counted, unit_name

JsonDict = dict[str, Any]
Question = tuple[str, JsonDict]


def usual_questions(case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """What a person would ask of this plan: `pin` and `question`, in the order of its units.

    Only pins that the plan does not keep already; nothing is searched.
    """
    facts = read_case(case)
    asked = [*_of_units(facts, plan), *_of_new_switches(facts, plan)]
    seen: list[JsonDict] = []
    found = []
    for question, pin in asked:
        if pin not in seen:
            seen.append(pin)
            found.append({"pin": pin, "question": question})
    return found


def _of_units(facts: Case, plan: JsonDict) -> Iterator[Question]:
    devices = {device.id: device for device in facts.devices}
    wishes = {request.id: request for request in facts.adds}
    for row in plan["units"]:
        device = devices.get(row["unit"])
        if device is not None and facts.models[device.model].kind == "switch":
            yield from _of_switch(facts, row, device)
        elif device is not None:
            yield from _of_device(facts, row, device)
        elif row["unit"] in wishes:
            yield from _of_wish(row, wishes[row["unit"]].models)


def _of_device(facts: Case, row: Row, device: Device) -> Iterator[Question]:
    name, old = device.id, f"the {device.model} ({device.id})"
    gone = row["fate"] in (REMOVED, REPLACED)
    latest = _latest(facts, device)
    if gone:
        yield f"Why not keep {old}?", _unit(name, fate=STAYS)
        yield f"Why not keep {old} on the network?", _unit(name, fate=STAYS, networked=True)
        if latest is not None and latest != device.release:
            pin = _unit(name, fate=STAYS, networked=True, release=latest)
            yield f"Why not just update {old} to {latest}?", pin
    if device.networked and not row["networked"] and row["fate"] != REMOVED:
        yield f"Why not leave {old} on the network?", _unit(name, networked=True)
    if row["networked"] and not device.networked:
        yield f"Why not leave {old} off the network, as it is?", _unit(name, networked=False)
    yield from _of_release(row, device, latest)
    if row["fate"] == STAYS and row["networked"]:
        yield f"Why not leave {old} off the network?", _unit(name, networked=False)
    for model in facts.models[device.model].successors:
        if row["fate"] != REPLACED and model != device.model:
            pin = _unit(name, fate=REPLACED, model=model)
            yield f"Why not put a new {model} in place of {old}?", pin


def _of_release(row: Row, device: Device, latest: str | None) -> Iterator[Question]:
    if row["fate"] != STAYS or not row["networked"]:
        return
    if row["release"] != device.release:
        pin = _unit(device.id, fate=STAYS, networked=True, release=device.release)
        yield f"Why update {device.id} at all, and not leave it at {device.release}?", pin
    if latest is not None and latest not in (row["release"], device.release):
        pin = _unit(device.id, fate=STAYS, networked=True, release=latest)
        yield f"Why not update {device.id} as far as {latest}?", pin


def _latest(facts: Case, device: Device) -> str | None:
    """The last of its releases that a device can reach; None without firmware."""
    ways = ways_from(facts.models[device.model], device.release)
    return list(ways)[-1]


def _of_switch(facts: Case, row: Row, device: Device) -> Iterator[Question]:
    old = f"the old {device.model} ({device.id}, {device.location})"
    if row["fate"] != STAYS:
        yield f"Why not keep {old} in use?", _unit(device.id, fate=STAYS)
    if row["fate"] != DISCONNECTED:
        yield f"Why not do without {old}?", _unit(device.id, fate=DISCONNECTED)
    for model in facts.switch_models:
        if model != device.model and (row["fate"], row["model"]) != (REPLACED, model):
            pin = _unit(device.id, fate=REPLACED, model=model)
            yield f"Why not put a new {model} in place of {old}?", pin


def _of_wish(row: Row, models: tuple[str, ...]) -> Iterator[Question]:
    for model in models:
        if model != row["model"]:
            pin = _unit(row["unit"], fate=ADDED, model=model)
            yield f"Why not a {model} at {row['location']} ({row['unit']})?", pin


def _of_new_switches(facts: Case, plan: JsonDict) -> Iterator[Question]:
    known = {device.id for device in facts.devices} | {request.id for request in facts.requests}
    new = [row for row in plan["units"] if row["unit"] not in known]
    if new:
        fewer = counted(len(new) - 1, "new switch", "new switches") if len(new) > 1 else "none"
        yield (
            f"Why not one new switch fewer ({fewer})?",
            {
                "pin": "new_switches",
                "at_most": len(new) - 1,
            },
        )
    for row in new:
        for place in facts.switch_locations:
            if place != row["location"]:
                pin = {"pin": "switch", "location": place, "model": row["model"], "present": True}
                yield f"Why not put {unit_name(row)} at {place}?", pin
        for model in facts.switch_models:
            if model != row["model"]:
                yield (
                    f"Why not a {model} at {row['location']}?",
                    {"pin": "switch", "location": row["location"], "model": model,
                     "present": True},
                )  # fmt: skip


def _unit(name: str, **facts: Any) -> JsonDict:
    return {"pin": "unit", "unit": name, **facts}
