"""What cures a backbone: a terminator, a segment out, a tee nearer, another feed, heavier cable."""

from collections import Counter
from dataclasses import replace

from planner.engine.checks.bone_sums import sums_of
from planner.engine.checks.facts import USUAL_MINUTES, BoneFacts, BoneFeed, CheckFacts, Rules
from planner.engine.checks.finding import Change, Need, Remedy
from planner.engine.sums.bus import USUAL_LIGHT_FUSE_AMPS
from planner.engine.sums.fuses import RATINGS

SHORT_DROP_M = 2.0
UNPLUG_MINUTES = 5
HEAVY_OHMS_METRES = 200


def remedies_of(facts: CheckFacts, bone: BoneFacts, kind: str, place: str) -> tuple[Remedy, ...]:
    """The remedies of a fault of this kind; none where only a person can decide."""
    cures = {
        "terminators": lambda: _terminate(bone, facts.rules),
        "terminator_place": lambda: _terminate(bone, facts.rules),
        "ring": lambda: _open_ring(bone, place, facts.rules),
        "drop_too_long": lambda: _nearer(bone, _unit(place, " on tee "), facts.rules),
        "drops_too_long": lambda: _nearer(bone, _longest(bone), facts.rules),
        "unit_twice": lambda: (unplug(bone, _unit(place, " on tees "), keep_first=True),),
        "no_feed": lambda: () if bone.feeds else feed_remedies(bone, facts.rules),
        "backbone_too_long": lambda: _recable(bone),
    }
    return cures[kind]() if kind in cures else ()


def _unit(place: str, between: str) -> str:
    return place.partition(between)[0]


def _longest(bone: BoneFacts) -> str:
    return max(bone.drops, key=lambda drop: drop.metres or 0).unit


def ends_of(bone: BoneFacts) -> list[str]:
    """Tees with one neighbour."""
    degrees = Counter(tee for one, other, _ in bone.segments for tee in (one, other))
    return [tee for tee in bone.tees if degrees[tee] == 1]


def unplug(bone: BoneFacts, unit: str, *, keep_first: bool = False) -> Remedy:
    """Take a unit off a backbone; with `keep_first` all but its first drop."""
    mine = [drop for drop in bone.drops if drop.unit == unit]
    gone = mine[1:] if keep_first else mine
    label = mine[0].label or unit if mine else unit
    where = ", ".join(drop.tee for drop in gone)
    return Remedy(
        key=f"unplug:{bone.key}:{unit}",
        words=f"Unplug the drop of {label} from tee {where} of {bone.label}.",
        minutes=UNPLUG_MINUTES,
        changes=(_set(bone, "drops", tuple(drop for drop in bone.drops if drop not in gone)),),
    )


def feed_remedies(bone: BoneFacts, rules: Rules) -> tuple[Remedy, ...]:
    """The first that holds: the feed at a better tee, a second feed, heavier cable."""
    for feeds, words, more in _feedings(bone):
        if _holds(replace(bone, feeds=feeds), rules):
            needs = (Need("power_tee", "", more, "where power enters"),) if more else ()
            fuse = (Need("fuse", "3", 1, "for the feed of the backbone"),) if more else ()
            return (
                Remedy(
                    key=f"bus_feed:{bone.key}",
                    words=words,
                    minutes=rules.minutes_of("T16"),
                    changes=(_set(bone, "feeds", feeds),),
                    needs=(*needs, *fuse),
                ),
            )
    heavier = _recable(bone)
    return heavier if heavier and _holds(replace(bone, cable="heavy"), rules) else ()


def fuse_remedies(bone: BoneFacts, rules: Rules, amps: float, most: float) -> tuple[Remedy, ...]:
    """The largest blade fuse that the cable takes at each feed; none where that is too little."""
    rating = max(float(rating) for rating in RATINGS if rating <= most)
    wrong = [feed for feed in bone.feeds if feed.fuse_a != rating]
    if not wrong or amps > rating * len(bone.feeds):
        return ()
    where = " and ".join(feed.tee for feed in wrong)
    feeds = tuple(replace(feed, fuse_a=rating) for feed in bone.feeds)
    return (
        Remedy(
            key=f"bus_fuse:{bone.key}",
            words=f"Fit a {rating:g} A fuse in the feed of {bone.label} at tee {where}.",
            minutes=rules.fuse_minutes * len(wrong),
            changes=(_set(bone, "feeds", feeds),),
            needs=(Need("fuse", f"{rating:g}", len(wrong), "the most that its cable takes"),),
        ),
    )


def _feedings(bone: BoneFacts) -> list[tuple[tuple[BoneFeed, ...], str, int]]:
    """Ways to feed it, smallest first: one feed from each tee, then a second feed with it."""
    middle = sorted(bone.tees, key=lambda tee: abs(bone.tees.index(tee) - len(bone.tees) / 2))
    volts = min((feed.volts for feed in bone.feeds if feed.volts), default=None)
    one = bone.feeds[0] if bone.feeds else None
    fuse = float(USUAL_LIGHT_FUSE_AMPS)
    ways = []
    for tee in middle:
        if one is None or (len(bone.feeds) == 1 and tee != one.tee):
            said = "Feed" if one is None else "Move the feed of"
            words = f"{said} {bone.label} at tee {tee}, near its middle."
            ways.append(((BoneFeed(tee, volts, fuse),), words, 1))
    for tee in middle:
        if one is not None and tee not in {feed.tee for feed in bone.feeds}:
            words = (
                f"Feed {bone.label} at tee {tee} as well, from an isolated supply or with an "
                "isolating tee between the feeds."
            )
            ways.append(((*bone.feeds, BoneFeed(tee, volts, fuse)), words, 1))
    return ways


def _holds(bone: BoneFacts, rules: Rules) -> bool:
    sums = sums_of(bone)
    if sums is None or sums.refused or sums.solved_drop is None:
        return False
    if max(sums.solved_drop, sums.estimate or 0) > rules.bus_drop_volts:
        return False
    # What a feed of volts not known gives at the last node waits for a meter.
    return sums.feed_volts_missing or sums.worst_volts >= rules.bus_lowest_volts


def _terminate(bone: BoneFacts, rules: Rules) -> tuple[Remedy, ...]:
    ends = ends_of(bone)
    if len(ends) != 2:
        return ()
    wanted = max(0, 2 - len(bone.terminators))
    needs = (Need("terminator", "", wanted, "at an end without one"),) if wanted else ()
    return (
        Remedy(
            key=f"terminators:{bone.key}",
            words=f"One terminator at each end of {bone.label}: {' and '.join(ends)}, no more.",
            minutes=rules.minutes_of("T23"),
            changes=(
                Change("bones", bone.key, (("terminators", tuple(ends)), ("measured_ohms", None))),
            ),
            needs=needs,
        ),
    )


def _open_ring(bone: BoneFacts, place: str, rules: Rules) -> tuple[Remedy, ...]:
    ring = {part.strip() for part in place.split(",")}
    closing = [seg for seg in bone.segments if {seg[0], seg[1]} <= ring]
    if not closing:
        return ()
    out = closing[-1]
    kept = list(bone.segments)
    del kept[len(kept) - 1 - kept[::-1].index(out)]
    return (
        Remedy(
            key=f"ring:{bone.key}:{out[0]}:{out[1]}",
            words=f"Take the segment between tees {out[0]} and {out[1]} out of {bone.label}.",
            minutes=rules.minutes_of("T20"),
            changes=(_set(bone, "segments", tuple(kept)),),
        ),
    )


def _nearer(bone: BoneFacts, unit: str, rules: Rules) -> tuple[Remedy, ...]:
    """A tee nearer to the unit: the backbone runs out to it, so that the drop is short."""
    mine = [drop for drop in bone.drops if drop.unit == unit]
    if not mine:
        return ()
    drop = max(mine, key=lambda each: each.metres or 0)
    out = round((drop.metres or 0) - SHORT_DROP_M, 2)
    if out <= 0:
        return ()
    tee = f"{drop.tee}+"
    segments, terminators, lengths = _stretched(bone, drop.tee, tee, out)
    drops = tuple(
        replace(each, tee=tee, metres=SHORT_DROP_M) if each is drop else each
        for each in bone.drops
    )  # fmt: skip
    where = bone.tees.index(drop.tee) + 1 if drop.tee in bone.tees else len(bone.tees)
    values = (
        ("segments", segments), ("drops", drops), ("terminators", terminators),
        ("tees", (*bone.tees[:where], tee, *bone.tees[where:])),
    )  # fmt: skip
    cables = tuple(Need("bus_cable", f"{metres:g}", 1, f"to tee {tee}") for metres in lengths)
    return (
        Remedy(
            key=f"tee:{bone.key}:{unit}",
            words=f"Put a tee within {SHORT_DROP_M:g} m of {drop.label or unit}, in the line.",
            minutes=rules.minutes_of("T21"),
            changes=(Change("bones", bone.key, values),),
            needs=(
                Need("tee", "", 1, f"for {drop.label or unit}"),
                Need("drop", f"{SHORT_DROP_M:g}", 1, f"for {drop.label or unit}"),
                *cables,
            ),
        ),
    )


def _stretched(
    bone: BoneFacts, tee: str, new: str, out: float
) -> tuple[tuple[tuple[str, str, float], ...], tuple[str, ...], list[float]]:
    """Segments and terminators with a new tee `out` metres from an old one; cables to buy."""
    next_to = next((seg for seg in bone.segments if tee in seg[:2]), None)
    if next_to is None or tee in ends_of(bone):
        moved = tuple(new if end == tee else end for end in bone.terminators)
        return (*bone.segments, (tee, new, out)), moved, [out]
    far = next_to[1] if next_to[0] == tee else next_to[0]
    kept = list(bone.segments)
    kept.remove(next_to)
    back = round(out + next_to[2], 2)
    return (*kept, (tee, new, out), (new, far, back)), bone.terminators, [out, back]


def _recable(bone: BoneFacts) -> tuple[Remedy, ...]:
    metres = sum(segment[2] for segment in bone.segments)
    if bone.cable == "heavy" or metres > HEAVY_OHMS_METRES:
        return ()
    return (
        Remedy(
            key=f"recable:{bone.key}",
            words=f"Lay {bone.label} anew with heavy cable.",
            minutes=USUAL_MINUTES["T22"],
            changes=(_set(bone, "cable", "heavy"),),
            needs=(Need("bus_cable", f"{metres:g}", 1, "heavy cable, the whole line"),),
        ),
    )


def _set(bone: BoneFacts, name: str, value: object) -> Change:
    return Change("bones", bone.key, ((name, value),))
