"""The opening in the dash and the room behind it, for a unit that is mounted flush."""

from dataclasses import replace

from planner.engine.checks.facts import Rules, SpotFacts
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Need,
    Remedy,
    worst_of,
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


def judge_opening(spot: SpotFacts, rules: Rules) -> Finding | None:
    """The opening and the depth behind it, for a flush unit that the plan fits; else None."""
    if not spot.is_new or not spot.flush:
        return None
    base = begin(
        spot, "cutout", "Cut-out and depth", "opening against the model's cut-out, and room "
        "behind the panel against its depth",
        f"the maker's template; what a bezel covers: from memory; minutes: {COMMON_PRACTICE}",
    )  # fmt: skip
    base = replace(
        base,
        inputs={
            "cutout_mm": spot.cutout_mm, "opening_mm": spot.place.opening_mm,
            "depth_mm": spot.depth_mm, "room_mm": spot.place.depth_mm,
        },
    )  # fmt: skip
    depth, opening = _depth(base, spot), _opening(base, spot, rules)
    state = worst_of([depth.state, opening.state])
    return replace(
        opening if opening.state == state else depth,
        state=state,
        words=f"{depth.words} {opening.words}",
        measures=(*depth.measures, *opening.measures),
        remedies=() if depth.state == STOP else opening.remedies,
    )


def _depth(base: Finding, spot: SpotFacts) -> Finding:
    there, needed = spot.place.depth_mm, spot.depth_mm
    if there is None or needed is None:
        missing = []
        if there is None:
            what = f"Room behind the panel at {spot.place.name} (mm)"
            missing.append(of_place(spot, "depth", what))
        if needed is None:
            missing.append(of_model(spot, "depth", "Depth behind the panel"))
        said = f"Whether {spot.label} is too deep for {spot.place.name} is not known."
        return replace(base, words=said, measures=tuple(missing))
    said = f"{spot.label} is {needed} mm deep; there are {there} mm at {spot.place.name}."
    return replace(base, state=GOOD if there >= needed else STOP, words=said)


def _opening(base: Finding, spot: SpotFacts, rules: Rules) -> Finding:
    there, needed = spot.place.opening_mm, spot.cutout_mm
    if there is None or needed is None:
        missing = []
        if there is None:
            what = f"Opening in the dash at {spot.place.name} (mm, 0 for none)"
            missing.append(of_place(spot, "opening", what))
        if needed is None:
            missing.append(of_model(spot, "cutout", "Cut-out"))
        said = "Whether the opening fits is not known."
        return replace(base, words=said, measures=tuple(missing))
    sizes = f"{needed[0]} × {needed[1]} mm"
    if there == (0, 0):
        said = f"A new opening of {sizes} is cut; its minutes are in the fitting."
        return replace(base, state=GOOD, words=said)
    return _fits(base, spot, rules, f"The opening is {there[0]} × {there[1]} mm, wanted {sizes}")


def _fits(base: Finding, spot: SpotFacts, rules: Rules, said: str) -> Finding:
    gaps = [
        have - want for have, want in zip(spot.place.opening_mm, spot.cutout_mm, strict=True)
    ]  # fmt: skip
    if max(gaps) > COVERS_MM:
        said += ": larger than the bezel covers."
        return replace(base, state=STOP, words=said, remedies=(_plate(spot, rules),))
    if min(gaps) < 0:
        remedy = _cut(spot, rules)
        return replace(base, state=LOOK, words=f"{said}: to be enlarged.", remedies=(remedy,))
    return replace(base, state=GOOD, words=f"{said}.")


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
