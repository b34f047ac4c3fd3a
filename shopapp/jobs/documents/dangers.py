"""Read a job's or a boat's records for what could hurt."""

from typing import Any

from shopapp.boats.models import Boat
from shopapp.jobs.cautions import Dangers

KINDS_UNKNOWN = frozenset({"radar", "sounder", "other"})


def dangers_of(boat: Boat, case: dict[str, Any], plan: dict[str, Any]) -> Dangers:
    """What the boat's records and the plan say; without a plan every kind of work may come.

    Reads the boat's banks (one query unless prefetched).
    """
    banks = [bank for bank in boat.banks.all() if bank.retired_at is None]
    facts: dict[str, Any] = {
        "fuel": boat.fuel,
        "dc_volts": boat.dc_volts,
        "chemistries": tuple(sorted(bank.chemistry for bank in banks)),
        "dock_power": boat.dock_power,
        "passengers": boat.passengers,
    }
    return Dangers(**facts, **(_of_plan(case, plan) if plan else _of_anything()))


def _of_anything() -> dict[str, Any]:
    return {
        "aboard": KINDS_UNKNOWN,
        "touched": KINDS_UNKNOWN,
        "places": (),
        "fits": True,
        "pulls_cable": True,
        "updates": True,
    }


def _of_plan(case: dict[str, Any], plan: dict[str, Any]) -> dict[str, Any]:
    models = case["catalogue"]["models"]
    devices = {device["id"]: device for device in case["boat"]["devices"]}
    worked = [unit for unit in plan["units"] if _is_worked_on(unit, devices.get(unit["unit"]))]
    had = {models[device["model"]]["kind"] for device in devices.values()}
    return {
        "aboard": frozenset(had | {models[unit["model"]]["kind"] for unit in plan["units"]}),
        "touched": frozenset(_kinds(worked, devices, models)),
        "places": tuple(sorted({unit["location"] for unit in worked})),
        "fits": any(unit["fate"] in {"added", "replaced"} for unit in worked),
        "pulls_cable": any(link["cable"].startswith("buy:") for link in plan["links"]),
        "updates": bool(plan["updates"]),
    }


def _is_worked_on(unit: dict[str, Any], was: dict[str, Any] | None) -> bool:
    return unit["fate"] != "stays" or was is None or was["networked"] != unit["networked"]


def _kinds(
    worked: list[dict[str, Any]], devices: dict[str, Any], models: dict[str, Any]
) -> set[str]:
    now = {models[unit["model"]]["kind"] for unit in worked}
    replaced = [devices[unit["unit"]] for unit in worked if unit["unit"] in devices]
    return now | {models[device["model"]]["kind"] for device in replaced}
