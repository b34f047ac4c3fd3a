"""From a boat's records and a plan to the plain facts that the checks read."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from planner.checks.backbones import bones_of
from planner.checks.records import CheckRecords
from planner.engine.checks.facts import (
    BankFacts,
    CheckFacts,
    FeedFacts,
    PlaceFacts,
    Rules,
    RunFacts,
    SpotFacts,
    SwitchFacts,
)
from planner.engine.sums.gauges import SOLD
from planner.plans import device_of, model_name, unit_label, units_of
from shopapp.boats.models import Bank, Location, Unit
from shopapp.catalog.models import EquipmentModel, Kind, Part

JsonDict = dict[str, Any]
NEW_WIRE_C = 105
SHARED_RULES = (
    "drop_percent", "fuse_percent", "fuse_load_percent", "bus_drop_volts", "bus_lowest_volts",
    "slack_percent",
)  # fmt: skip
BUY = "buy:"
NONE_WORDS = frozenset({"none", "no", "nothing", "without"})


class PlanFacts:
    """The facts of one plan on one boat."""

    def __init__(self, records: CheckRecords, case: JsonDict, plan: JsonDict) -> None:
        self.records = records
        self.case = case
        self.plan = plan
        self.places = {place.name: place for place in records.places}
        self.updated = {step["unit"] for step in plan["updates"]}
        # What left the boat since the plan was made is not judged: the plan is to be made anew.
        self.units = [
            unit
            for unit in units_of(plan)
            if unit["fate"] == "added" or unit["unit"] in records.units
        ]

    def collect(self) -> CheckFacts:
        """Everything that the checks read."""
        return CheckFacts(
            feeds=tuple(self._feed(unit) for unit in self.units),
            banks=tuple(_bank(bank) for bank in self.records.banks),
            spots=tuple(self._spot(unit) for unit in self.units),
            bones=bones_of(self.records, self.case, self.plan, self.distances),
            runs=tuple(self._run(link) for link in self.plan["links"]),
            places=tuple(_place(place) for place in self.records.places),
            distances=self.distances,
            rules=self._rules(),
            has_updates=bool(self.updated),
        )

    @cached_property
    def distances(self) -> dict[tuple[str, str], int]:
        """Feet along the routes between every two places that a way joins."""
        names = self.case["boat"]["locations"]
        far: dict[tuple[str, str], int] = {}
        for route in self.case["boat"]["routes"]:
            one, other = route["between"]
            feet = min(route["feet"], far.get((one, other), route["feet"]))
            far[one, other] = far[other, one] = feet
        for middle in names:
            for one in names:
                for other in names:
                    if one != other and (one, middle) in far and (middle, other) in far:
                        feet = far[one, middle] + far[middle, other]
                        far[one, other] = min(far.get((one, other), feet), feet)
        return far

    def _model(self, unit: JsonDict) -> EquipmentModel | None:
        return self.records.models.get(unit["model"])

    def _record(self, unit: JsonDict) -> Unit | None:
        return self.records.units.get(unit["unit"])

    def _is_touched(self, unit: JsonDict) -> bool:
        return unit["fate"] in {"added", "replaced"} or unit["unit"] in self.updated

    def _feed(self, unit: JsonDict) -> FeedFacts:
        record, model = self._record(unit), self._model(unit)
        planned = self.case["catalogue"]["models"][unit["model"]]
        bank = record.bank if record else self._bank_of_new()
        called = _thousandth(planned["fuse_ma"])
        shared: dict[str, Any] = {
            "key": unit["unit"],
            "label": unit_label(self.case, unit),
            "place": unit["location"],
            "draw_a": planned["draw_ma"] / 1000,
            "volts": bank.volts if bank else self.records.boat.dc_volts,
            "bank": str(bank.pk) if bank else None,
            "called_a": called,
            "volts_low": _number(model.volts_low) if model else None,
            "standby_ma": _standby(model) if model else None,
            "updated": unit["unit"] in self.updated,
            "touched": self._is_touched(unit),
        }
        if record is None:
            return FeedFacts(**shared, **self._laid(unit, bank))
        return FeedFacts(**shared, **self._found(unit, record, called))

    def _found(self, unit: JsonDict, record: Unit, called: float | None) -> JsonDict:
        """A feed that is there; where the plan changes its fuse, the new one."""
        fuse = _thousandth(record.fuse_ma)
        device = device_of(self.case, unit["unit"])
        if unit["fate"] == "replaced" and device and called is not None:
            before = self.case["catalogue"]["models"][device["model"]]["fuse_ma"]
            fuse = called if _thousandth(before) != called else fuse
        return {
            "fuse_a": fuse,
            "awg": record.wire_awg or None,
            "run_ft": record.wire_run_ft,
            "insulation_c": record.wire_insulation_c,
            "engine_space": record.wire_engine_space,
            "fuse_inches": record.fuse_inches,
            "sheathed": record.wire_sheathed,
            "has_cutoff": _is_there(record.cutoff),
        }

    def _laid(self, unit: JsonDict, bank: Bank | None) -> JsonDict:
        """A feed that the plan lays: from the bank along the routes, boat wire of 105 °C."""
        there = bank.location.name if bank and bank.location else None
        feet = None if there is None else self._feet(there, unit["location"])
        behind = bool(bank and bank.cutoff_a) or any(
            _is_there(one.cutoff) for one in self.records.units.values()
        )
        return {
            "is_new": True,
            "run_ft": None if feet is None else max(float(feet), 1.0),
            "insulation_c": NEW_WIRE_C,
            "has_cutoff": True if behind else None,
        }

    def _feet(self, one: str, other: str) -> int | None:
        return 0 if one == other else self.distances.get((one, other))

    def _bank_of_new(self) -> Bank | None:
        """A new unit is fed from the house bank; where there is no one such, nobody said which."""
        house = [bank for bank in self.records.banks if bank.use == Bank.Use.HOUSE]
        found = house or self.records.banks
        return found[0] if len(found) == 1 else None

    def _spot(self, unit: JsonDict) -> SpotFacts:
        model = self._model(unit)
        fuel = self.records.boat.fuel
        place = self.places.get(unit["location"])
        fitted = unit["fate"] in {"added", "replaced"}
        return SpotFacts(
            key=unit["unit"],
            label=unit_label(self.case, unit),
            model=model_name(self.case, unit["model"]),
            place=_place(place) if place else PlaceFacts(unit["location"]),
            is_new=fitted,
            touched=fitted,
            petrol=fuel.startswith("gasoline") if fuel else None,
            move_minutes=0 if unit["fate"] == "added" else self._move_minutes(unit),
            flush=fitted and self._is_flush(unit, model),
            **(_mounting(model) if model else {}),
        )

    def _move_minutes(self, unit: JsonDict) -> int:
        model = self.case["catalogue"]["models"][unit["model"]]
        return model["fit_minutes"] + model["remove_minutes"]

    def _is_flush(self, unit: JsonDict, model: EquipmentModel | None) -> bool:
        """Whether an opening must fit: not where the new one takes the old one's holes."""
        if model is None or model.kind != Kind.DISPLAY:
            return False
        device = device_of(self.case, unit["unit"])
        before = self.case["catalogue"]["models"][device["model"]]["mount"] if device else None
        return before is None or before != (model.mount or None)

    def _run(self, link: JsonDict) -> RunFacts:
        one, other = link["between"]
        units = {unit["unit"]: unit for unit in self.plan["units"]}
        is_new = link["cable"].startswith(BUY)
        number = link["cable"].removeprefix(BUY)
        places = (units[one]["location"], units[other]["location"])
        return RunFacts(
            key=f"{one}--{other}",
            label=number,
            ends=(one, other),
            names=(unit_label(self.case, units[one]), unit_label(self.case, units[other])),
            is_new=is_new,
            cable_ft=self._cable_ft(number, is_new=is_new),
            way_ft=self._feet(*places),
            rough=self._is_rough(*places),
            switch=self._switch_at(units[one], units[other]),
            places=places,
        )

    def _switch_at(self, *ends: JsonDict) -> SwitchFacts | None:
        """The switch at an end of a run."""
        for unit in ends:
            planned = self.case["catalogue"]["models"][unit["model"]]
            if planned["kind"] == Kind.SWITCH:
                return SwitchFacts(
                    code=unit["model"],
                    name=model_name(self.case, unit["model"]),
                    ports=planned["ports"],
                    fuse_a=_thousandth(planned["fuse_ma"]),
                )
        return None

    def _cable_ft(self, number: str, *, is_new: bool) -> float | None:
        if is_new:
            part = self.case.get("show", {}).get("parts", {}).get(number, {})
            return part.get("feet") or self.case["catalogue"]["cables"].get(number, {}).get("feet")
        found = (cable for cable in self.case["boat"]["cables"] if cable["id"] == number)
        return next((cable.get("feet") for cable in found), None)

    def _is_rough(self, one: str, other: str) -> bool:
        """Whether the one way between two places was only guessed."""
        return any(
            set(route["between"]) == {one, other} and route.get("sureness") == "low"
            for route in self.case["boat"]["routes"]
        )

    def _rules(self) -> Rules:
        boat, shop = self.records.boat, self.records.boat.shop
        sold = {part.cable_ft for part in self.records.parts if part.cable_ft}
        own = self.records.rules
        slack_ft = float(shop.slack_ft if boat.slack_ft is None else boat.slack_ft)
        return Rules(
            areas=own.areas,
            smallest_awg=max("16", own.smallest_awg or "16", key=SOLD.index),
            compass_cm=own.value("compass_m") * 100,
            slack_ft=max(slack_ft, own.value("slack_ft")) if own.is_own("slack_ft") else slack_ft,
            **{name: own.value(name) for name in SHARED_RULES},
            fuse_minutes=shop.fuse_minutes,
            pull_minutes_base=shop.pull_minutes_base,
            pull_minutes_per_ft=shop.pull_minutes_per_ft,
            minutes=self.records.minutes,
            cables_ft=tuple(sorted(sold)),
            gauges=tuple(part.size for part in self.records.parts if part.use == Part.Use.WIRE),
        )


def _bank(bank: Bank) -> BankFacts:
    return BankFacts(
        key=str(bank.pk),
        label=bank.name,
        volts=float(bank.volts),
        place=bank.location.name if bank.location else "",
        chemistry=bank.chemistry,
        capacity_ah=bank.capacity_ah,
        fuse_a=bank.fuse_a,
        block_a=bank.block_a,
        cutoff_a=bank.cutoff_a,
        rested_v=_thousandth(bank.rested_mv),
        has_charger=_is_there(bank.charger),
    )


def _place(place: Location) -> PlaceFacts:
    width, height = place.opening_width_mm, place.opening_height_mm
    cut = None if width is None or height is None else (width, height)
    return PlaceFacts(
        name=place.name,
        exposure=place.exposure,
        vapour=place.vapour,
        hottest_c=place.hottest_c,
        compass_cm=place.compass_cm,
        aerial_cm=place.aerial_cm,
        in_beam=place.in_beam,
        opening_mm=(0, 0) if width == 0 or height == 0 else cut,
        depth_mm=place.depth_mm,
    )


def _mounting(model: EquipmentModel) -> Mapping[str, Any]:
    width, height = model.cutout_width_mm, model.cutout_height_mm
    return {
        "ignition_protected": model.ignition_protected,
        "water": model.water_rating,
        "most_c": model.most_c,
        "safe_cm": model.compass_safe_cm,
        "aerial": model.aerial,
        "cutout_mm": None if width is None or height is None else (width, height),
        "depth_mm": model.depth_mm,
    }


def _standby(model: EquipmentModel) -> float | None:
    """A switch draws as long as it is fed (common practice, no source)."""
    if model.standby_ma is None and model.kind == Kind.SWITCH:
        return float(model.draw_ma)
    return None if model.standby_ma is None else float(model.standby_ma)


def _is_there(words: str) -> bool | None:
    """Whether something noted in words is there: blank is not known, "none" is no."""
    text = words.strip().casefold()
    return None if not text else text not in NONE_WORDS


def _thousandth(value: int | None) -> float | None:
    return None if value is None else value / 1000


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
