"""The opening in the dash and the room behind it, for a unit that is mounted flush."""

from dataclasses import replace

from planner.engine.checks.facts import Rules, SpotFacts
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Need,
    Remedy,
    left_words,
)
from planner.engine.sums.mounting import HOLE_FORMULA, judge_depth, judge_hole

HOLE_SOURCE = (
    f"the maker's template; what a bezel covers: from memory; plugs, minutes: {COMMON_PRACTICE}"
)
COVERS_MM = 10
"""A bezel covers an opening so much larger than the cut-out, both sides together (from memory)."""


def begin(spot: SpotFacts, kind: str, title: str, formula: str, source: str) -> Finding:
    """A finding of a unit's place, not known yet."""
    return Finding(
        kind=kind, title=title, state=UNKNOWN, about=spot.key, label=spot.label,
        place=spot.place.name, words="", formula=formula, source=source,
    )  # fmt: skip


def of_place(spot: SpotFacts, fact: str, what: str) -> Measurement:
    """A measurement at the unit's place."""
    return Measurement(f"{fact}:{spot.place.name}", what, "places", spot.place.name)


def of_model(spot: SpotFacts, fact: str, what: str) -> Measurement:
    """A fact that the maker's guide says."""
    return Measurement(f"{fact}:{spot.model}", f"{what} of {spot.model}", "catalogue")


def judge_depth_behind(spot: SpotFacts, _rules: Rules) -> Finding | None:
    """The room behind the panel, for a flush unit that the plan fits; else None."""
    if not spot.is_new or not spot.flush:
        return None
    there, needed = spot.place.depth_mm, spot.depth_mm
    base = begin(spot, "depth", "Room behind the panel", HOLE_FORMULA, HOLE_SOURCE)
    base = replace(base, inputs={"depth_mm": needed, "room_mm": there})
    missing = []
    if there is None:
        what = f"Room behind the panel at {spot.place.name} (mm)"
        missing.append(of_place(spot, "depth", what))
    if needed is None:
        missing.append(of_model(spot, "depth", "Depth behind the panel"))
    if missing:
        said = f"Whether {spot.label} is too deep for {spot.place.name} is not known."
        return replace(base, words=said, measures=tuple(missing))
    state, why = judge_depth(there, needed)
    said = f"{spot.label} is {needed} mm deep; there are {there} mm at {spot.place.name}. {why}"
    left = left_words(there - needed, "mm")
    return replace(base, state=state, words=said.strip(), margin=left)


def judge_opening(spot: SpotFacts, rules: Rules) -> Finding | None:
    """The opening in the dash, for a flush unit that the plan fits; else None."""
    if not spot.is_new or not spot.flush:
        return None
    there, needed = spot.place.opening_mm, spot.cutout_mm
    base = begin(spot, "cutout", "Cut-out", HOLE_FORMULA, HOLE_SOURCE)
    base = replace(base, inputs={"cutout_mm": needed, "opening_mm": there})
    missing = []
    if there is None:
        what = f"Opening in the dash at {spot.place.name} (mm, 0 for none)"
        missing.append(of_place(spot, "opening", what))
    if needed is None:
        missing.append(of_model(spot, "cutout", "Cut-out"))
    if missing:
        said = f"Whether {spot.label} fits the opening at {spot.place.name} is not known."
        return replace(base, words=said, measures=tuple(missing))
    sizes = f"{needed[0]} × {needed[1]} mm"
    if there == (0, 0):
        said = f"A new opening of {sizes} is cut for {spot.label}; its minutes are in the fitting."
        return replace(base, state=GOOD, words=said)
    said = f"The opening is {there[0]} × {there[1]} mm; {spot.label} asks for {sizes}"
    return _fits(base, spot, rules, said)


def _fits(base: Finding, spot: SpotFacts, rules: Rules, said: str) -> Finding:
    sides = zip(("width", "height"), spot.place.opening_mm, spot.cutout_mm, strict=True)
    gaps = {side: have - want for side, have, want in sides}
    cut = {side: -gap for side, gap in gaps.items()}
    state, why = judge_hole(cut, {side: COVERS_MM - gap for side, gap in gaps.items()})
    cures = {GOOD: (), LOOK: (_cut(spot, rules),)}.get(state, (_plate(spot, rules),))
    return replace(base, state=state, words=f"{said}. {why}", remedies=cures)


def _plate(spot: SpotFacts, rules: Rules) -> Remedy:
    return Remedy(
        key=f"plate:{spot.key}",
        words=f"Cover the opening at {spot.place.name} with an adapter plate for {spot.label}.",
        minutes=rules.minutes_of("T07"),
        changes=(_at(spot, "opening_mm", spot.cutout_mm),),
        needs=(Need("plate", "", 1, f"cut for {spot.label}"),),
    )


def _cut(spot: SpotFacts, rules: Rules) -> Remedy:
    return Remedy(
        key=f"cut:{spot.key}",
        words=f"Enlarge the opening at {spot.place.name} for {spot.label}.",
        minutes=rules.minutes_of("T07"),
        changes=(_at(spot, "opening_mm", spot.cutout_mm),),
    )


def _at(spot: SpotFacts, name: str, value: object) -> Change:
    return Change("spots", spot.key, (("place", replace(spot.place, **{name: value})),))
