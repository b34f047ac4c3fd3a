"""The place of a unit: petrol vapour, water and heat, other antennas, the hole in the dash.

Each answers with a `verdict`: good, look, stop or unknown, and `why` in words. What is not known is
never taken as fine.
"""

import re
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import read_choice, read_number, read_number_or_zero, read_text
from planner.engine.sums.results import SumResult

YES_NO = ("yes", "no", "unknown")
FUELS = ("gasoline", "diesel", "electric", "unknown")
ISOLATED = ("none", "bulkhead", "level", "open_air", "unknown")
OPEN_AIR_FT = 2
PLACES = ("dry", "splash", "wet", "standing", "unknown")
ENOUGH = {
    "splash": (frozenset("456789"), "4 or more is asked for where water splashes"),
    "wet": (frozenset("6"), "6 is asked for where seas or a hose reach"),
    "standing": (frozenset("78"), "7 or 8 is asked for where water stands"),
}
"""Second figures of the IP code that suffice: 4 is splashing water, 6 powerful jets, 7 and 8
immersion (IEC 60529). Which place asks for which is common practice, no source."""
BEYOND_JETS = frozenset("789")
PLUG_MM = 50
"""Room for plugs and bends behind a unit: common practice, no source."""
HOTTEST_SPARE_C = 5
"""Less to spare than this is a second look: common practice, no source."""
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
WATER_FORMULA = (
    "second figure of the code 4 or more where water splashes, 6 where seas or a hose reach (7 and "
    "8 do not include it), 7 or 8 where water stands"
)
IGNITION_FORMULA = (
    "protected, or a bulkhead between, or another level with means, or ≥ 2 ft away and open to the "
    "air; else not where petrol vapour can come"
)
HOLE_FORMULA = (
    "cut = unit's cut-out − hole; cover = bezel − hole > 0; depth there ≥ unit, and for the plugs "
    "50 mm more"
)
_MOST_MM = 5000
_SIDES = ("width", "height")
_HOLE_NOTES = (
    "Drilling or cutting: know what is behind (tank, hose, wire, core).",
    "Look behind the dash for steering and hatches before the hole grows.",
)

Verdict = tuple[str, str]
_IP = re.compile(r"IP[0-6X][0-9X][A-Z]{0,2}(/(IP)?[0-6X]?[0-9X][A-Z]{0,2})*")
_PART = re.compile(r"(?:IP)?[0-6X]?([0-9X])[A-Z]{0,2}")


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
    verdict, why = judge_ignition(**read)
    return SumResult(
        values={"verdict": verdict, "why": why},
        formula=IGNITION_FORMULA,
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
    code, figures = _read_ip(ip)
    heat, most = _temperature("place_c", place_c), _temperature("unit_most_c", unit_most_c)
    verdict, why = worse(judge_water(where, figures), _heat(heat, most))
    return SumResult(
        values={"verdict": verdict, "why": why},
        formula=f"{WATER_FORMULA}; place °C ≤ unit's °C",
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
    plug_mm: Any = PLUG_MM,
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
    deep = [read[name] for name in ("depth_there_mm", "unit_depth_mm", "plug_mm")]
    cut = {side: read[f"unit_{side}_mm"] - read[f"hole_{side}_mm"] for side in _SIDES}
    over = {side: read[f"bezel_{side}_mm"] - read[f"hole_{side}_mm"] for side in _SIDES}
    verdict, why = worse(judge_hole(cut, over), judge_depth(*deep))
    return SumResult(
        values={"verdict": verdict, "why": why}
        | {f"cut_{side}_mm": max(cut[side], 0) for side in _SIDES},
        formula=HOLE_FORMULA,
        source="common practice, no source; the maker's template decides",
        inputs=read,
        notes=_HOLE_NOTES,
        margin={"depth_mm": deep[0] - deep[1] - deep[2]}
        | {f"cover_{side}_mm": over[side] for side in _SIDES},
    )


def _read_hole(given: dict[str, Any]) -> dict[str, float]:
    read = {name: read_number(name, each, most=_MOST_MM, unit="mm") for name, each in given.items()}
    for side in _SIDES:
        if read[f"bezel_{side}_mm"] < read[f"unit_{side}_mm"]:
            refuse(f"bezel_{side}_mm", "The bezel cannot be smaller than the unit's cut-out.")
    return read


def judge_ignition(
    *, fuel: str, vapour: str, protected: str, isolated: str = "none", distance_ft: float = 0
) -> Verdict:
    """What 33 CFR 183.410 makes of a unit in its place; what is not known is never good."""
    if protected == "yes":
        return "good", "The unit is ignition protected."
    if vapour == "no":
        return "good", "No petrol vapour can come to this place."
    if isolated in {"bulkhead", "level", "open_air"}:
        return _isolated(isolated, distance_ft)
    if vapour == "unknown" and fuel in {"diesel", "electric"}:
        return "unknown", "No petrol engine; look whether a portable petrol tank stows here."
    missing = ignition_missing(vapour, protected, isolated)
    if missing:
        return "unknown", f"Not known: {', '.join(missing)}. Treat it as dangerous until it is."
    return "stop", "A part that may spark must not sit where petrol vapour can come."


def _isolated(isolated: str, distance_ft: float) -> Verdict:
    if isolated != "open_air":
        return "good", "It is isolated from the petrol source."
    if distance_ft >= OPEN_AIR_FT:
        return "good", f"{distance_ft:g} ft away and open to the air."
    return "stop", f"{distance_ft:g} ft is too near: at least {OPEN_AIR_FT} ft in open air."


def ignition_missing(vapour: str, protected: str, isolated: str) -> list[str]:
    """What would have to be known."""
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
    if needed > 1 and above == "yes":
        return "good", "One stands straight above the other."
    if needed > 1 and above == "unknown":
        return "unknown", "Look whether one stands straight above the other."
    return "stop", f"{apart:g} m is too near: {needed:g} m is asked for."


def water_figures(code: str) -> str | None:
    """The second figures of a code as printed, also of double ones (IP66/67); None for no code.

    "" where the code leaves water out (IP6X).
    """
    plain = code.strip().upper().replace(" ", "")
    if not _IP.fullmatch(plain):
        return None
    found = [_PART.fullmatch(part) for part in plain.split("/")]
    return "".join(part[1] for part in found if part and part[1] != "X")


def _read_ip(value: Any) -> tuple[str, str]:
    code = read_text("ip", value, most=20).strip().upper().replace(" ", "")
    figures = "" if code == "UNKNOWN" else water_figures(code)
    if figures is None:
        refuse("ip", 'That is no IP code: write it like IP67, IPX7 or IP66/67, or "unknown".')
    return code, figures


def _temperature(field: str, value: Any) -> float | None:
    return None if value is None else read_number(field, value, most=150, unit="°C")


def judge_water(where: str, figures: str) -> Verdict:
    """Whether the second figures of a unit's code suit a place; "" for none known."""
    if where == "dry":
        return "good", "The place is dry."
    immersed = any(figure in BEYOND_JETS for figure in figures)
    if where == "unknown" and immersed:
        return "look", "The place is not known; the code stands water at most places."
    if where == "unknown":
        return "unknown", "Whether water comes here is not known: look."
    if not figures:
        return "unknown", "What water the unit stands is not known: read its label or its guide."
    return _enough(where, figures, immersed=immersed)


def _enough(where: str, figures: str, *, immersed: bool) -> Verdict:
    enough, asked = ENOUGH[where]
    told = f"Water figure {' and '.join(figures)}"
    if any(figure in enough for figure in figures):
        return "good", f"{told}; {asked}."
    if where == "wet" and immersed:
        return "look", f"{told} stands being under water, which does not say that it stands jets."
    return "stop", f"{told} is not enough: {asked}."


def judge_heat(heat: float, most: float) -> Verdict:
    """Whether a place is too hot for a unit."""
    if heat > most:
        return "stop", f"{heat:g} °C there is too hot: the unit takes {most:g} °C."
    state = "good" if most - heat >= HOTTEST_SPARE_C else "look"
    return state, f"{heat:g} °C there; the unit takes {most:g} °C."


def _heat(heat: float | None, most: float | None) -> Verdict:
    if heat is None and most is None:
        return "good", ""
    if heat is None or most is None:
        return "unknown", "Of place and unit only one temperature is known."
    return judge_heat(heat, most)


def worse(one: Verdict, other: Verdict) -> Verdict:
    """The worse of two, with the words of both."""
    order = ("good", "look", "unknown", "stop")
    worst = max(one, other, key=lambda each: order.index(each[0]))
    return worst[0], " ".join(filter(None, (one[1], other[1])))


def judge_depth(depth_there: float, unit_depth: float, plug: float = PLUG_MM) -> Verdict:
    """Whether there is room behind the panel for the unit and for its plugs."""
    spare = depth_there - unit_depth
    if spare < 0:
        return "stop", f"{-spare:g} mm too shallow behind the dash."
    if spare < plug:
        return "look", (
            f"Behind the unit {spare:g} mm are left; plugs and bends take {plug:g} mm: look "
            "whether angled plugs go in."
        )
    return "good", ""


def judge_hole(cut: dict[str, float], over: dict[str, float]) -> Verdict:
    """Whether a unit fits a hole: `cut` is what is wanting, `over` what its front covers beyond."""
    bare = [side for side, margin in over.items() if margin <= 0]
    if bare:
        return "stop", f"The hole is larger than the bezel covers ({' and '.join(bare)})."
    grow = [f"{side} by {mm:g} mm" for side, mm in cut.items() if mm > 0]
    if grow:
        return "look", f"The hole must be cut larger: {', '.join(grow)}."
    return "good", "It fits the hole that is there."
