"""Areas of conductors, the size by voltage drop and current, and the metric drop."""

from dataclasses import dataclass
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.current import (
    allowed_amps,
    read_surroundings,
    smallest_for_current,
    surroundings_notes,
)
from planner.engine.sums.faults import refuse
from planner.engine.sums.gauges import AREAS, AWG_EXACT, MM2_PER_CIRCULAR_MIL, SOLD
from planner.engine.sums.inputs import read_choice, read_number
from planner.engine.sums.results import SumResult

OHM_CIRCULAR_MILS_PER_FT = 10.75
"""The K of ABYC E-11."""
OHM_MM2_PER_M = 0.0164
"""The constant of the ISO annex: about 9 % less copper than K asks for."""

MOST_AMPS = 5000
MOST_FEET = 10_000
MOST_VOLTS = 1000
MOST_METRES = 5000
MOST_MM2 = 1000
NEARLY = 1 + 1e-9
"""A need above an area by less than this is the rounding of the machine, not copper."""

PRINTED_SMALLER = {
    (15.0, 60.0): ("6", ("awg", "sae")),
    (60.0, 120.0): ("4/0", ("awg", "sae")),
    (5.0, 170.0): ("6", ("sae",)),
}
"""12 V, 3 %, amps and feet: cells of the printed grids that fall short of the formula, with the
area lists by which they do."""

_FORMULA = "circular mils = 10.75 × amps × round trip ft / (volts × drop % / 100); the larger of it"
_OTHER = {"awg": "sae", "sae": "awg"}
_AREA_SOURCE = {"awg": words.B258, "sae": words.SAE}
_AREA_NAMES = {"awg": "exact AWG areas", "sae": "SAE minimum areas"}


@dataclass(frozen=True, slots=True)
class _Circuit:
    amps: float
    round_trip_ft: float
    volts: float
    drop_percent: float
    areas: str
    rating: int
    inside: bool
    count: int

    @property
    def circular_mils(self) -> float:
        allowed = self.volts * self.drop_percent / 100
        return OHM_CIRCULAR_MILS_PER_FT * self.amps * self.round_trip_ft / allowed

    def as_inputs(self) -> dict[str, Any]:
        return {
            "amps": self.amps,
            "round_trip_ft": self.round_trip_ft,
            "volts": self.volts,
            "drop_percent": self.drop_percent,
            "areas": self.areas,
            "insulation_c": self.rating,
            "engine_space": self.inside,
            "bundled": self.count,
        }


def find_area(*, awg: Any, areas: Any) -> SumResult:
    """Area of a gauge: `circular_mils` and `mm2`, exact or the SAE minimum."""
    gauge = read_choice("awg", awg, tuple(AWG_EXACT))
    kind = read_choice("areas", areas, tuple(AREAS))
    if gauge not in AREAS[kind]:
        refuse("awg", f"The SAE list gives no area for {gauge} AWG: use one of {', '.join(SOLD)}.")
    mils = AREAS[kind][gauge]
    exact = "(1000 × 0.005 × 92^((36 − n) / 39))², 1/0 to 4/0 being n = 0 to −3"
    return SumResult(
        values={"circular_mils": mils, "mm2": mils * MM2_PER_CIRCULAR_MIL},
        formula=f"circular mils = {exact if kind == 'awg' else 'as listed'}; mm² = × 0.00050671",
        source=_AREA_SOURCE[kind],
        inputs={"awg": gauge, "areas": kind},
        notes=(
            "SAE minimum areas are 3 to 11 % smaller than AWG; lists that round the AWG areas "
            "are up to 1.8 % off.",
        ),
    )


def size_conductor(
    *,
    amps: Any,
    round_trip_ft: Any,
    volts: Any,
    drop_percent: Any,
    areas: Any = "sae",
    insulation_c: Any = 105,
    engine_space: Any = False,
    bundled: Any = 2,
) -> SumResult:
    """The size that a circuit needs: by drop, by current, and the larger of the two.

    `round_trip_ft` is from the source to the device and back. Null sizes are beyond 4/0.
    """
    circuit = _Circuit(
        read_number("amps", amps, most=MOST_AMPS, unit="A"),
        read_number("round_trip_ft", round_trip_ft, most=MOST_FEET, unit="ft"),
        read_number("volts", volts, most=MOST_VOLTS, unit="V"),
        read_number("drop_percent", drop_percent, most=50, unit="%"),
        read_choice("areas", areas, tuple(AREAS)),
        *read_surroundings(insulation_c, engine_space, bundled),
    )
    values = _sizes(circuit)
    return SumResult(
        values=values,
        formula=f"{_FORMULA} and of the size that Table 5 asks for",
        source=f"{words.E11}; {_AREA_SOURCE[circuit.areas]}; {words.TABLE_5}",
        inputs=circuit.as_inputs(),
        notes=_notes(circuit, values),
        margin=_margin(circuit, values),
    )


def smallest_for_area(circular_mils: float, areas: str) -> str | None:
    """The smallest size sold that is not under the area; None beyond 4/0."""
    for gauge in SOLD:
        if circular_mils <= AREAS[areas][gauge] * NEARLY:
            return gauge
    return None


def find_metric_drop(*, amps: Any, both_ways_m: Any, mm2: Any) -> SumResult:
    """Volts lost in a conductor of `mm2`, there and back `both_ways_m` long, by the ISO rule."""
    current = read_number("amps", amps, most=MOST_AMPS, unit="A")
    metres = read_number("both_ways_m", both_ways_m, most=MOST_METRES, unit="m")
    area = read_number("mm2", mm2, most=MOST_MM2, unit="mm²")
    notes = [
        "ABYC's 10.75 asks for about 9 % more copper: keep the two methods apart.",
        words.ESTIMATE,
    ]
    if area < 1:
        notes.insert(
            0,
            "ISO 10133: at least 1 mm² alone (over 200 mm long); 0.75 mm² only in a sheath and "
            "not over 800 mm out of it.",
        )
    return SumResult(
        values={"drop_volts": OHM_MM2_PER_M * current * metres / area},
        formula="V = 0.0164 × amps × metres both ways / mm²",
        source=words.ISO_DROP,
        inputs={"amps": current, "both_ways_m": metres, "mm2": area},
        notes=tuple(notes),
    )


def _sizes(circuit: _Circuit) -> dict[str, Any]:
    need = circuit.circular_mils
    by_drop = smallest_for_area(need, circuit.areas)
    by_current = smallest_for_current(circuit.amps, circuit.rating, circuit.inside, circuit.count)
    chosen, lost = None, None
    if by_drop is not None and by_current is not None:
        chosen = max(by_drop, by_current, key=SOLD.index)
        run = OHM_CIRCULAR_MILS_PER_FT * circuit.amps * circuit.round_trip_ft
        lost = run / AREAS[circuit.areas][chosen]
    return {
        "circular_mils_needed": need,
        "awg_for_drop": by_drop,
        "awg_for_current": by_current,
        "awg": chosen,
        "drop_volts": lost,
        "drop_percent": None if lost is None else lost / circuit.volts * 100,
    }


def _margin(circuit: _Circuit, values: dict[str, Any]) -> dict[str, float | None]:
    gauge = values["awg"]
    if gauge is None:
        return {"drop_percent": None, "amps": None}
    amps = allowed_amps(gauge, circuit.rating, circuit.inside, circuit.count)
    return {
        "drop_percent": circuit.drop_percent - values["drop_percent"],
        "amps": amps - circuit.amps,
    }


def _notes(circuit: _Circuit, values: dict[str, Any]) -> tuple[str, ...]:
    notes = []
    if values["awg_for_drop"] is None:
        notes.append("The drop asks for more than 4/0: shorten the run or split the load.")
    if values["awg_for_current"] is None:
        notes.append("The current asks for more than 4/0: no size sold for boats carries it.")
    notes += _list_notes(circuit, values["awg_for_drop"])
    notes += surroundings_notes(values["awg"], circuit.rating, circuit.inside, circuit.count)
    if circuit.volts >= 50:
        notes.append("From 50 V other rules hold too: 33 CFR 183.435 and 183.455(c)(2).")
    if circuit.amps < 1:
        notes.append(words.NOT_UNDER_183_425)
    if circuit.drop_percent > 3:
        notes.append(
            "ABYC E-11 allows 3 % for panel feeders, blowers, electronics and navigation lights; "
            "10 % only where the drop is not critical."
        )
    return (*notes, words.LAW_BINDS, words.ESTIMATE)


def _list_notes(circuit: _Circuit, by_drop: str | None) -> list[str]:
    notes = []
    other = _OTHER[circuit.areas]
    by_other = smallest_for_area(circuit.circular_mils, other)
    if by_other != by_drop:
        size = "more than 4/0" if by_other is None else f"{by_other} AWG"
        notes.append(f"By the {_AREA_NAMES[other]} the drop alone asks for {size}.")
    printed = PRINTED_SMALLER.get((circuit.amps, circuit.round_trip_ft))
    usual = circuit.volts == 12 and circuit.drop_percent == 3
    if usual and printed and circuit.areas in printed[1]:
        notes.append(
            f"Known exception: a printed 12 V 3 % table shows {printed[0]} AWG here, less than "
            "its own formula asks for. The formula stands."
        )
    return notes
