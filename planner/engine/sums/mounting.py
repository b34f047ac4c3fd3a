"""The place of a unit: petrol vapour, water and heat, other antennas, the hole in the dash.

Each answers with a `verdict`: good, look, stop or unknown, and `why` in words. What is not known is
never taken as fine.
"""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import read_choice, read_number, read_number_or_zero, read_text
from planner.engine.sums.results import SumResult

YES_NO = ("yes", "no", "unknown")
FUELS = ("gasoline", "diesel", "electric", "unknown")
ISOLATED = ("none", "bulkhead", "level", "open_air", "unknown")
OPEN_AIR_FT = 2
PLACES = ("dry", "splash", "wet", "unknown")
LEAST_SECOND_FIGURE = {"dry": 0, "splash": 4, "wet": 7}
"""Least second figure of the IP code: splash from IEC 60529 (4: splashing water); wet, 7
(immersed for a time), common practice."""
ANTENNAS = ("vhf", "gnss", "ais", "radar", "other")
_APART_M = {
    frozenset({"vhf"}): 1.0,
    frozenset({"vhf", "other"}): 1.0,
    frozenset({"vhf", "gnss"}): 1.0,
    frozenset({"ais", "gnss"}): 1.0,
    frozenset({"ais", "other"}): 1.0,
    frozenset({"vhf", "ais"}): 3.0,
    frozenset({"ais"}): 3.0,
}
_CFR_410 = "33 CFR 183.410"
_MOST_MM = 5000
_SIDES = ("width", "height")
_HOLE_NOTES = (
    "Drilling or cutting: know what is behind (tank, hose, wire, core).",
    "Look behind the dash for steering and hatches before the hole grows.",
)

Verdict = tuple[str, str]


def check_ignition(
    *, fuel: Any, vapour: Any, protected: Any, isolated: Any, distance_ft: Any = 0
) -> SumResult:
    """Whether a unit may sit in a place where petrol vapour can come (33 CFR 183.410).

    `isolated` is how it is cut off from the petrol source: none, bulkhead, level (lower or higher,
    with means that keep vapour away), open_air (with `distance_ft` from the source), unknown.
    """
    read = {
        "fuel": read_choice("fuel", fuel, FUELS),
        "vapour": read_choice("vapour", vapour, YES_NO),
        "protected": read_choice("protected", protected, YES_NO),
        "isolated": read_choice("isolated", isolated, ISOLATED),
        "distance_ft": read_number_or_zero("distance_ft", distance_ft, most=500, unit="ft"),
    }
    verdict, why = _ignition(**read)
    return SumResult(
        values={"verdict": verdict, "why": why},
        formula="protected, or a bulkhead between, or another level with means, or ≥ 2 ft away "
        "and open to the air; else not here",
        source=_CFR_410,
        inputs=read,
        notes=(
            "A bulkhead counts if it holds water to 12 in or a third of its height, the less.",
            "SAE J1171 is the usual test of a protected part (from memory).",
            words.LAW_BINDS,
            words.ESTIMATE,
        ),
        margin={"distance_ft": read["distance_ft"] - OPEN_AIR_FT}
        if read["isolated"] == "open_air"
        else {},
    )


def check_separation(*, one: Any, other: Any, metres: Any, stacked: Any = "no") -> SumResult:
    """Whether two antennas stand far enough apart; `stacked`: one straight above the other."""
    pair = (read_choice("one", one, ANTENNAS), read_choice("other", other, ANTENNAS))
    apart = read_number("metres", metres, most=200, unit="m")
    above = read_choice("stacked", stacked, YES_NO)
    needed = _APART_M.get(frozenset(pair))
    verdict, why = _separation(pair, apart, above, needed)
    return SumResult(
        values={"verdict": verdict, "why": why, "needed_m": needed},
        formula="VHF ≥ 1 m from others, GNSS ≥ 1 m from VHF and out of the radar beam, AIS and "
        "voice VHF ≥ 3 m or one above the other",
        source="common practice, no source",
        inputs={"one": pair[0], "other": pair[1], "metres": apart, "stacked": above},
        notes=(
            "Radar: by the maker's radiation distance; eyes and other antennas out of the beam. "
            "Standby and locked before anyone is near.",
            "The makers' guides stand above these distances.",
        ),
        margin={"metres": None if needed is None else apart - needed},
    )


def check_splash(*, place: Any, ip: Any, place_c: Any = None, unit_most_c: Any = None) -> SumResult:
    """Whether a unit's IP code and its highest temperature suit a place.

    `ip` is the code as printed (IP67, IPX7), or "unknown"; temperatures may be left out (null).
    """
    where = read_choice("place", place, PLACES)
    code = read_text("ip", ip, most=10).strip().upper().replace(" ", "")
    figure = None if code == "UNKNOWN" else _second_figure(code)
    heat, most = _temperature("place_c", place_c), _temperature("unit_most_c", unit_most_c)
    verdict, why = _worse(_splash(where, figure), _heat(heat, most))
    return SumResult(
        values={"verdict": verdict, "why": why},
        formula="second figure of the code ≥ 4 where water splashes, 7 or 8 where it stands; "
        "place °C ≤ unit's °C",
        source="IEC 60529 for the figures; which place asks for which: common practice",
        inputs={"place": where, "ip": code, "place_c": heat, "unit_most_c": most},
        notes=(
            "7 and 8 (immersion) do not include 5 and 6 (jets): hose it down only with both.",
            "The rating holds with plugs and caps on; connectors not up.",
        ),
        margin={"celsius": None if heat is None or most is None else most - heat},
    )


def check_cutout(
    *,
    hole_width_mm: Any,
    hole_height_mm: Any,
    unit_width_mm: Any,
    unit_height_mm: Any,
    bezel_width_mm: Any,
    bezel_height_mm: Any,
    depth_there_mm: Any,
    unit_depth_mm: Any,
    plug_mm: Any = 50,
) -> SumResult:
    """Whether a unit fits the hole in the dash: as it is, after cutting, or not at all.

    `unit_*` is the cut-out that the unit asks for, `bezel_*` what its front covers, `plug_mm` the
    room for plugs and bends behind it.
    """
    read = _read_hole(
        {
            "hole_width_mm": hole_width_mm,
            "hole_height_mm": hole_height_mm,
            "unit_width_mm": unit_width_mm,
            "unit_height_mm": unit_height_mm,
            "bezel_width_mm": bezel_width_mm,
            "bezel_height_mm": bezel_height_mm,
            "depth_there_mm": depth_there_mm,
            "unit_depth_mm": unit_depth_mm,
            "plug_mm": plug_mm,
        }
    )
    depth = read["depth_there_mm"] - read["unit_depth_mm"] - read["plug_mm"]
    cut = {side: read[f"unit_{side}_mm"] - read[f"hole_{side}_mm"] for side in _SIDES}
    over = {side: read[f"bezel_{side}_mm"] - read[f"hole_{side}_mm"] for side in _SIDES}
    verdict, why = _cutout(cut, over, depth)
    return SumResult(
        values={"verdict": verdict, "why": why}
        | {f"cut_{side}_mm": max(cut[side], 0) for side in _SIDES},
        formula="cut = unit's cut-out − hole; cover = bezel − hole > 0; depth there ≥ unit + plugs",
        source="common practice, no source; the maker's template decides",
        inputs=read,
        notes=_HOLE_NOTES,
        margin={"depth_mm": depth} | {f"cover_{side}_mm": over[side] for side in _SIDES},
    )


def _read_hole(given: dict[str, Any]) -> dict[str, float]:
    read = {name: read_number(name, each, most=_MOST_MM, unit="mm") for name, each in given.items()}
    for side in _SIDES:
        if read[f"bezel_{side}_mm"] < read[f"unit_{side}_mm"]:
            refuse(f"bezel_{side}_mm", "The bezel cannot be smaller than the unit's cut-out.")
    return read


def _ignition(
    *, fuel: str, vapour: str, protected: str, isolated: str, distance_ft: float
) -> Verdict:
    if protected == "yes":
        return "good", "The unit is ignition protected."
    if vapour == "no":
        return "good", "No petrol vapour can come to this place."
    if isolated in {"bulkhead", "level", "open_air"}:
        return _isolated(isolated, distance_ft)
    if vapour == "unknown" and fuel in {"diesel", "electric"}:
        return "unknown", "No petrol engine; look whether a portable petrol tank stows here."
    missing = _ignition_missing(vapour, protected, isolated)
    if missing:
        return "unknown", f"Not known: {', '.join(missing)}. Treat it as dangerous until it is."
    return "stop", "A part that may spark must not sit where petrol vapour can come."


def _isolated(isolated: str, distance_ft: float) -> Verdict:
    if isolated != "open_air":
        return "good", "It is isolated from the petrol source."
    if distance_ft >= OPEN_AIR_FT:
        return "good", f"{distance_ft:g} ft away and open to the air."
    return "stop", f"{distance_ft:g} ft is too near: at least {OPEN_AIR_FT} ft in open air."


def _ignition_missing(vapour: str, protected: str, isolated: str) -> list[str]:
    answers = {
        "whether vapour can come here": vapour,
        "whether the unit is ignition protected": protected,
        "how the place is isolated": isolated,
    }
    return [what for what, answer in answers.items() if answer == "unknown"]


def _separation(pair: tuple[str, str], apart: float, above: str, needed: float | None) -> Verdict:
    if "radar" in pair:
        return "unknown", (
            "Keep it out of the radar beam, at the distance in the radar maker's guide."
        )
    if needed is None:
        return "unknown", "No distance is laid down for these two: ask the makers' guides."
    if apart >= needed:
        return "good", f"{apart:g} m; {needed:g} m is asked for."
    if "ais" in pair and above == "yes" and pair != ("ais", "gnss"):
        return "good", "One stands straight above the other."
    if "ais" in pair and above == "unknown" and needed > 1:
        return "unknown", "Look whether one stands straight above the other."
    return "stop", f"{apart:g} m is too near: {needed:g} m is asked for."


def _second_figure(code: str) -> int:
    # IP, a figure or X for solids, a figure or X for water, perhaps letters behind.
    sound = code.startswith("IP") and len(code) >= 4 and code[2] in "0123456X"
    if not sound or code[3] not in "0123456789X":
        refuse("ip", 'That is no IP code: write it like IP67 or IPX7, or "unknown".')
    return -1 if code[3] == "X" else int(code[3])


def _temperature(field: str, value: Any) -> float | None:
    return None if value is None else read_number(field, value, most=150, unit="°C")


def _splash(where: str, figure: int | None) -> Verdict:
    if where == "dry":
        return "good", "The place is dry."
    if where == "unknown":
        if figure in {7, 8, 9}:
            return "look", "The place is not known; the code stands water at most places."
        return "unknown", "Whether water comes here is not known: look."
    if figure is None or figure < 0:
        return "unknown", "What water the unit stands is not known: read its label or its guide."
    least = LEAST_SECOND_FIGURE[where]
    asked = "7 or 8" if where == "wet" else f"{least} or more"
    if figure >= least and (where, figure) != ("wet", 9):
        return "good", f"Water figure {figure}; {asked} is asked for in a {where} place."
    return "stop", f"Water figure {figure} is not enough in a {where} place: {asked} is asked for."


def _heat(heat: float | None, most: float | None) -> Verdict:
    if heat is None and most is None:
        return "good", ""
    if heat is None or most is None:
        return "unknown", "Of place and unit only one temperature is known."
    if heat <= most:
        return "good", f"{heat:g} °C there; the unit takes {most:g} °C."
    return "stop", f"{heat:g} °C there is too hot: the unit takes {most:g} °C."


def _worse(one: Verdict, other: Verdict) -> Verdict:
    order = ("good", "look", "unknown", "stop")
    worst = max(one, other, key=lambda each: order.index(each[0]))
    return worst[0], " ".join(filter(None, (one[1], other[1])))


def _cutout(cut: dict[str, float], over: dict[str, float], depth: float) -> Verdict:
    if depth < 0:
        return "stop", f"{-depth:g} mm too shallow behind the dash."
    bare = [side for side, margin in over.items() if margin <= 0]
    if bare:
        return "stop", f"The hole is larger than the bezel covers ({' and '.join(bare)})."
    grow = [f"{side} by {mm:g} mm" for side, mm in cut.items() if mm > 0]
    if grow:
        return "look", f"The hole must be cut larger: {', '.join(grow)}."
    return "good", "It fits the hole that is there."
