"""A unit in its place: petrol vapour, compass, antennas, splash, heat, the opening in the dash."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from planner.engine.checks.facts import CheckFacts, Rules, SpotFacts
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Remedy,
    figure,
    left_words,
)
from planner.engine.checks.opening import (
    begin,
    judge_depth_behind,
    judge_opening,
    of_model,
    of_place,
)
from planner.engine.sums.compass import COMPASS_FORMULA, COMPASS_SOURCE, judge_compass
from planner.engine.sums.mounting import (
    IGNITION_FORMULA,
    WATER_FORMULA,
    judge_heat,
    judge_ignition,
    judge_water,
    water_figures,
)

AERIALS = {"vhf": 100, "gnss": 100, "ais": 300, "radar": 100}
"""Least distance in cm to the next antenna: common practice, no source."""
FUELS = {True: "gasoline", False: "diesel", None: "unknown"}
ANSWERS = {True: "yes", False: "no", None: "unknown"}


def check_mounting(facts: CheckFacts) -> Iterator[Finding]:
    """All that concerns each unit's place; findings that do not bear on it are left out."""
    for spot in facts.spots:
        for finding in judge_spot(spot, facts.rules):
            cured = finding.state not in {STOP, LOOK} or finding.remedies
            yield finding if cured else replace(finding, remedies=_elsewhere(facts, spot))


def judge_spot(spot: SpotFacts, rules: Rules) -> list[Finding]:
    """The findings of one unit in one place."""
    found = [judge(spot, rules) for judge in _JUDGES]
    return [finding for finding in found if finding is not None]


def _ignition(spot: SpotFacts, _rules: Rules) -> Finding | None:
    base = begin(spot, "ignition", "Ignition protection", IGNITION_FORMULA, "33 CFR 183.410")
    verdict, why = judge_ignition(
        fuel=FUELS[spot.petrol],
        vapour=ANSWERS[spot.place.vapour],
        protected=ANSWERS[spot.ignition_protected],
    )
    return replace(
        base,
        state=verdict,
        words=f"{spot.label} at {spot.place.name}: {why}",
        inputs={
            "petrol aboard": spot.petrol,
            "vapour": spot.place.vapour,
            "ignition_protected": spot.ignition_protected,
        },
        measures=tuple(_ignition_missing(spot)) if verdict == UNKNOWN else (),
    )


def _ignition_missing(spot: SpotFacts) -> Iterator[Measurement]:
    if spot.petrol is None:
        yield Measurement("fuel", "The boat's fuel", "boat")
    if spot.place.vapour is None:
        what = f"Whether petrol vapour can gather at {spot.place.name}"
        yield of_place(spot, "vapour", what)
    if spot.ignition_protected is None:
        yield of_model(spot, "protected", "Ignition protection")


def _compass(spot: SpotFacts, rules: Rules) -> Finding | None:
    if spot.safe_cm is None and not spot.is_new:
        return None
    there = spot.place.compass_cm
    base = begin(spot, "compass", "Compass-safe distance", COMPASS_FORMULA, COMPASS_SOURCE)
    base = replace(base, inputs={"safe_cm": spot.safe_cm, "place_cm": there})
    verdict, why, asked = judge_compass(spot.safe_cm, there, rules.compass_cm)
    missing = []
    if there is None:
        what = f"Distance from {spot.place.name} to the nearest compass"
        missing.append(of_place(spot, "compass", what))
    else:
        base = replace(base, result=f"{figure(there)} cm", margin=left_words(there - asked, "cm"))
        if spot.safe_cm is None:
            missing.append(of_model(spot, "safe", "Compass-safe distance"))
    said = f"{spot.label} at {spot.place.name}: {why}"
    return replace(base, state=verdict, words=said, measures=tuple(missing))


def _aerials(spot: SpotFacts, _rules: Rules) -> Finding | None:
    if not spot.aerial:
        return None
    least = AERIALS[spot.aerial]
    base = begin(
        spot, "aerial", "Antennas apart",
        f"at least {least} cm to the next antenna, and out of a radar's beam",
        COMMON_PRACTICE,
    )  # fmt: skip
    there, beam = spot.place.aerial_cm, spot.place.in_beam
    base = replace(
        base, inputs={"least_cm": least, "place_cm": there, "in_beam": beam},
        notes=("The maker's guide stands above these distances.",),
    )  # fmt: skip
    beam_bears = spot.aerial != "radar"
    if there is not None and there < least:
        said = f"{spot.label} is {figure(there)} cm from the next antenna; {least} cm are usual."
        return replace(base, state=STOP, words=said)
    if beam and beam_bears:
        said = f"{spot.label} at {spot.place.name} would stand in a radar's beam."
        return replace(base, state=STOP, words=said)
    missing = []
    if there is None:
        what = f"Distance from {spot.place.name} to the next antenna"
        missing.append(of_place(spot, "aerial", what))
    if beam is None and beam_bears:
        what = f"Whether {spot.place.name} lies in a radar's beam"
        missing.append(of_place(spot, "beam", what))
    if missing:
        said = f"Whether the antenna of {spot.label} is far enough from others is not known."
        return replace(base, words=said, measures=tuple(missing))
    said = f"{spot.label} is {figure(there)} cm from the next antenna; {least} cm are usual."
    margin = f"{figure(there - least)} cm left"
    return replace(base, state=GOOD, words=said, margin=margin)


def _water(spot: SpotFacts, _rules: Rules) -> Finding | None:
    base = begin(
        spot, "water", "Splash and wet", WATER_FORMULA,
        f"IEC 60529 for the figures; which place asks for which: {COMMON_PRACTICE}",
    )  # fmt: skip
    place = spot.place
    base = replace(
        base, inputs={"rating": spot.water, "place": place.exposure}, result=spot.water
    )  # fmt: skip
    if not place.exposure:
        what = f"Whether {place.name} is dry, splashed or wet"
        said = f"How wet {place.name} gets is not noted, so {spot.label} is not judged there."
        return replace(base, words=said, measures=(of_place(spot, "exposure", what),))
    verdict, why = judge_water(place.exposure, water_figures(spot.water) or "")
    missing = (of_model(spot, "water", "Water rating (IP code)"),) if verdict == UNKNOWN else ()
    said = f"{spot.label} at {place.name}: {why}"
    return replace(base, state=verdict, words=said, measures=missing)


def _heat(spot: SpotFacts, _rules: Rules) -> Finding | None:
    if spot.most_c is None and spot.place.hottest_c is None:
        return None
    base = begin(
        spot, "heat", "Heat of the place", "hottest of the place ≤ what the maker allows",
        "the maker's guide",
    )  # fmt: skip
    base = replace(base, inputs={"most_c": spot.most_c, "place_c": spot.place.hottest_c})
    missing = []
    if spot.most_c is None:
        missing.append(of_model(spot, "heat", "Highest temperature allowed"))
    if spot.place.hottest_c is None:
        what = f"How hot {spot.place.name} gets (°C, closed up in the sun, engine warm)"
        missing.append(of_place(spot, "heat", what))
    if missing:
        said = f"Whether {spot.place.name} is too hot for {spot.label} is not known."
        return replace(base, words=said, measures=tuple(missing))
    verdict, why = judge_heat(spot.place.hottest_c, spot.most_c)
    left = left_words(spot.most_c - spot.place.hottest_c, "°C")
    said = f"{spot.label} at {spot.place.name}: {why}"
    return replace(base, state=verdict, words=said, margin=left)


def _elsewhere(facts: CheckFacts, spot: SpotFacts) -> tuple[Remedy, ...]:
    """The nearest place aboard where everything about this unit is good; a new unit's alone.

    A unit that is fitted is taken out and fitted anew, which its minutes say.
    """
    ways = []
    for place in facts.places:
        feet = facts.distance(spot.place.name, place.name)
        if place.name != spot.place.name and feet is not None:
            ways.append((feet, place.name, place))
    for feet, name, place in sorted(ways, key=lambda way: way[:2]):
        moved = replace(spot, place=place)
        if all(finding.state == GOOD for finding in judge_spot(moved, facts.rules)):
            minutes = spot.move_minutes + facts.rules.pull_minutes_per_ft * feet
            return (
                Remedy(
                    key=f"place:{spot.key}",
                    words=f"Put {spot.label} at {name}, {feet} ft away, and plan its cables again.",
                    minutes=max(minutes, facts.rules.fuse_minutes),
                    changes=(Change("spots", spot.key, (("place", place),)),),
                ),
            )
    return ()


_JUDGES: tuple[Callable[[SpotFacts, Rules], Finding | None], ...] = (
    _ignition,
    _compass,
    _aerials,
    _water,
    _heat,
    judge_opening,
    judge_depth_behind,
)
