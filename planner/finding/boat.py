"""A boat's networks in the fault finder's shape: as a job plans them, or as recorded."""

from typing import Any

from django.db.models import Exists, OuterRef

from planner.benchsums.from_boat import backbones_of
from shopapp.accounts.models import Shop
from shopapp.boats.models import Backbone, Boat, CableEnd, Unit
from shopapp.catalog.models import EquipmentModel, PortLight

JsonDict = dict[str, Any]


def network_of_plan(*, shop: Shop | int, boat: Boat, plan: JsonDict, ports: list) -> JsonDict:
    """The network as a job plans it: `plan` and `ports` as a job keeps them; eight queries at most.

    Backbones are as the boat's record has them: plans do not change them.
    """
    rows = [row for row in plan.get("units", []) if row.get("networked")]
    models = _models(shop, {row["model"] for row in rows})
    switches = {row["unit"]: row["model"] for row in rows}
    units = [_unit(key, key, models.get(code)) for key, code in switches.items()]
    cables = [
        {
            "id": f"{link['between'][0]}–{link['between'][1]}"
            if link["cable"].startswith("buy:")
            else link["cable"],
            "ends": [
                _end(key, port, models.get(switches.get(key, "")))
                for key, port in zip(link["between"], link["ports"], strict=True)
            ],
        }
        for link in ports
        if all(key in switches for key in link["between"])
    ]
    return {"units": units, "cables": cables, "backbones": _backbones(boat)}


def network_of_boat(boat: Boat) -> JsonDict:
    """The network as the boat's record has it."""
    rows = Unit.objects.filter(boat=boat).aboard().exclude(networked=False)
    units = list(rows.select_related("model").order_by("pk"))
    models = _models(boat.shop_id, {unit.model.code for unit in units})
    known = {unit.pk: unit for unit in units}
    ends: dict[int, list[JsonDict]] = {}
    labels: dict[int, str] = {}
    found = CableEnd.objects.filter(cable__boat=boat, cable__retired_at=None, unit__in=known)
    for end in found.exclude(port=None).select_related("cable").order_by("cable__label", "side"):
        unit = known[end.unit_id]
        model = models.get(unit.model.code)
        labels[end.cable_id] = end.cable.label
        ends.setdefault(end.cable_id, []).append(_end(unit.name, end.port, model))
    cables = [{"id": labels[pk], "ends": pair} for pk, pair in ends.items() if len(pair) == 2]
    return {
        "units": [_unit(unit.name, unit.name, models.get(unit.model.code)) for unit in units],
        "cables": cables,
        "backbones": _backbones(boat),
    }


def _models(shop: Shop | int, codes: set[str]) -> dict[str, EquipmentModel]:
    lights = PortLight.objects.filter(model=OuterRef("pk"))
    rows = EquipmentModel.objects.filter(shop=shop, code__in=codes)
    return {model.code: model for model in rows.annotate(has_lights=Exists(lights))}


def _unit(key: str, name: str, model: EquipmentModel | None) -> JsonDict:
    if model is None:
        return {"id": key, "name": name, "kind": "other", "ports": 1}
    return {
        "id": key,
        "name": f"{key} ({model.name})",
        "kind": model.kind,
        "bridges": model.bridges,
        "ports": model.ports,
        "lights": model.has_lights,
    }


def _end(key: str, port: int, model: EquipmentModel | None) -> JsonDict:
    return {"unit": key, "port": port, "adapter": bool(model and model.adapter_id)}


def _backbones(boat: Boat) -> list[JsonDict]:
    return [_backbone(row) for row in backbones_of(boat)]


def _backbone(row: Backbone) -> JsonDict:
    tees = list(row.tees.all())
    return {
        "id": row.name,
        "segments": [
            {"from": part.from_tee.name, "to": part.to_tee.name} for part in row.segments.all()
        ],
        "drops": [
            {"unit": _node(drop.unit.name if drop.unit else drop.node, tee.name), "tee": tee.name}
            for tee in tees
            for drop in tee.drops.all()
        ],
        "feeds": [{"tee": tee.name} for tee in tees for _feed in tee.feeds.all()],
        "terminators": [tee.name for tee in tees if tee.terminated],
    }


def _node(name: str, tee: str) -> str:
    return name or f"unit on {tee}"
