"""A unit in its place: petrol vapour, compass, antennas, splash, heat, the opening in the dash."""

import re
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
from planner.engine.checks.opening import begin, judge_opening, of_model, of_place

AERIALS = {"vhf": 100, "gnss": 100, "ais": 300, "radar": 100}
"""Least distance in cm to the next antenna: common practice, no source."""
NEEDED_IP = {"dry": 0, "splash": 4, "wet": 6}
"""The second IP digit asked for: which place needs which is common practice, no source."""
_IP = re.compile(r"IP[X0-9]([0-9X])", re.IGNORECASE)


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
    base = begin(
        spot, "ignition", "Ignition protection",
        "in a place with petrol vapour only what is ignition-protected, or isolated by a bulkhead, "
        "or at least 2 ft away and open to the air",
        "33 CFR 183.410",
    )  # fmt: skip
    base = replace(base, inputs={"vapour": spot.place.vapour, "petrol": spot.petrol})
    if spot.petrol is False or spot.place.vapour is False:
        why = "no petrol aboard" if spot.petrol is False else "no petrol vapour gathers there"
        return replace(base, state=GOOD, words=f"{spot.label} at {spot.place.name}: {why}.")
    if spot.ignition_protected:
        said = f"{spot.label} is ignition-protected, so it may be at {spot.place.name}."
        return replace(base, state=GOOD, words=said)
    if spot.place.vapour and spot.petrol and spot.ignition_protected is False:
        said = f"{spot.label} is not ignition-protected; petrol vapour can gather at "
        return replace(base, state=STOP, words=f"{said}{spot.place.name}.")
    return replace(
        base, words=f"Whether {spot.label} may be at {spot.place.name} is not known.",
        measures=tuple(_ignition_missing(spot)),
    )  # fmt: skip


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
    asked = rules.compass_cm if spot.safe_cm is None else spot.safe_cm
    base = begin(
        spot, "compass", "Compass-safe distance", "distance to the nearest compass ≥ the model's "
        "safe distance; swing the compass again after fitting",
        "ISO 25862 / IEC 60945; 3 ft where the maker gives none: a public note",
    )  # fmt: skip
    there = spot.place.compass_cm
    base = replace(base, inputs={"safe_cm": spot.safe_cm, "place_cm": there})
    if there is None:
        what = f"Distance from {spot.place.name} to the nearest compass"
        said = f"How far {spot.label} at {spot.place.name} is from a compass is not noted."
        return replace(base, words=said, measures=(of_place(spot, "compass", what),))
    base = replace(base, result=f"{figure(there)} cm", margin=left_words(there - asked, "cm"))
    if spot.safe_cm is None:
        return _compass_by_default(base, spot, rules)
    said = f"{spot.label} is {figure(there)} cm from the nearest compass; its maker asks for "
    state = GOOD if there >= asked else STOP
    return replace(base, state=state, words=f"{said}{figure(asked)} cm.")


def _compass_by_default(base: Finding, spot: SpotFacts, rules: Rules) -> Finding:
    missing = of_model(spot, "safe", "Compass-safe distance")
    near = (spot.place.compass_cm or 0) < rules.compass_cm
    said = (
        f"{spot.label} is {figure(spot.place.compass_cm or 0)} cm from the nearest compass; its "
        f"maker's distance is not noted, {figure(rules.compass_cm)} cm is the usual one."
    )
    return replace(base, state=UNKNOWN if near else LOOK, words=said, measures=(missing,))


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
        spot, "water", "Splash and wet",
        "dry place: any; splash: second digit 4 or more; wet: 6 (7 and 8 do not include it)",
        f"IEC 60529 for the digits; which place asks for which: {COMMON_PRACTICE}",
    )  # fmt: skip
    base = replace(base, inputs={"rating": spot.water, "place": spot.place.exposure})
    if not spot.place.exposure:
        what = f"Whether {spot.place.name} is dry, splashed or wet"
        said = f"How wet {spot.place.name} gets is not noted, so {spot.label} is not judged there."
        return replace(base, words=said, measures=(of_place(spot, "exposure", what),))
    needed = NEEDED_IP[spot.place.exposure]
    if not needed:
        said = f"{spot.label} is in a dry place."
        return replace(base, state=GOOD, words=said)
    found = _IP.fullmatch(spot.water.replace(" ", ""))
    if found is None or found[1].upper() == "X":
        said = f"The water rating of {spot.label} is not noted; {spot.place.name} is "
        missing = of_model(spot, "water", "Water rating (IP code)")
        return replace(base, words=f"{said}{spot.place.exposure}.", measures=(missing,))
    return _rated(base, spot, int(found[1]), needed)


def _rated(base: Finding, spot: SpotFacts, digit: int, needed: int) -> Finding:
    said = f"{spot.label} is rated {spot.water}; {spot.place.name} is {spot.place.exposure}"
    base = replace(base, result=spot.water)
    if digit >= 7:
        note = f"{said}: it stands being under water, which does not say that it stands jets."
        return replace(base, state=LOOK if needed > 4 else GOOD, words=note)
    if digit >= needed:
        return replace(base, state=GOOD, words=f"{said}.")
    return replace(base, state=STOP, words=f"{said} and asks for IPX{needed}.")


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
    left = spot.most_c - spot.place.hottest_c
    said = (
        f"{spot.place.name} gets {figure(spot.place.hottest_c)} °C; {spot.label} stands "
        f"{figure(spot.most_c)} °C."
    )
    state = GOOD if left >= 5 else LOOK if left >= 0 else STOP
    return replace(base, state=state, words=said, margin=left_words(left, "°C"))


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
)
