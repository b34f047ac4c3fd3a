"""Backbones: shape, nodes, lengths, terminators, load and volts, each fault at its place."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from planner.engine.checks import bone_remedies as cure
from planner.engine.checks.bone_sums import BoneSums, sums_of
from planner.engine.checks.facts import BoneFacts, CheckFacts, Rules
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Finding,
    Measurement,
    figure,
    left_words,
)
from planner.engine.sums import words
from planner.engine.sums.bus import (
    DROP_LIMITS,
    MOST_DEVICES,
    USUAL_LIGHT_FUSE_AMPS,
)

TITLES = {
    "ring": "Backbone shape",
    "not_joined": "Backbone shape",
    "unknown_tee": "Backbone shape",
    "unit_twice": "Backbone shape",
    "no_feed": "Backbone feed",
    "terminators": "Terminators",
    "terminator_place": "Terminators",
    "drop_too_long": "Drop length",
    "drops_too_long": "Drops together",
    "backbone_too_long": "Backbone length",
    "too_many_nodes": "Backbone nodes",
    "too_much_draw": "Backbone load",
    "high_volts": "Backbone volts",
}
OHMS_OFF = 5.0
"""55 to 65 Ω count as 60 (common practice, no source)."""
OHM_HINTS = (
    (20, "a short: open the backbone in the middle and see which half shows it"),
    (35, "four terminators, or two networks joined"),
    (50, "three terminators, one often built into a unit"),
    (66, "two terminators are there, so the drawing lacks one or has one too many"),
    (100, "a bad joint"),
    (200, "one terminator missing or open, or a break on the way to it"),
)
HEAVY_FUSE = 8


def check_bones(facts: CheckFacts) -> Iterator[Finding]:
    """The findings of every backbone, and of units that hang on two of them."""
    yield from _bridges(facts.bones)
    for bone in facts.bones:
        yield from _bone(facts, bone)


def begin(bone: BoneFacts, kind: str, title: str, formula: str = "") -> Finding:
    """A finding of a backbone, not known yet."""
    return Finding(
        kind=kind, title=title, state=UNKNOWN, about=bone.key, label=bone.label, words="",
        formula=formula, source=words.NMEA_2000,
        inputs={"cable": bone.cable, "tees": len(bone.tees), "drops": len(bone.drops)},
    )  # fmt: skip


def _bone(facts: CheckFacts, bone: BoneFacts) -> Iterator[Finding]:
    sums = sums_of(bone)
    if sums is None or sums.refused:
        said = f"{bone.label} is not drawn well enough to be summed up"
        said += f": {sums.refused}" if sums else ": it has fewer than two tees."
        what = f"Tees, cable and drops of {bone.label}, end to end"
        missing = Measurement(f"bone:{bone.key}", what, "backbone")
        yield replace(
            begin(bone, "bus_shape", "Backbone shape"), words=said, measures=(missing,)
        )  # fmt: skip
        return
    yield from _faults(facts, bone, sums)
    yield from _good_shape(bone, sums)
    yield _nodes(bone, sums)
    yield _load(bone, facts.rules)
    yield _volts(bone, sums, facts.rules)
    yield _ohms(bone, sums)


def _faults(facts: CheckFacts, bone: BoneFacts, sums: BoneSums) -> Iterator[Finding]:
    for fault in sums.faults:
        kind, place = fault["kind"], fault["place"]
        if kind not in TITLES:
            continue
        yield replace(
            begin(bone, f"bus_{kind}", TITLES[kind]),
            about=f"{bone.key}/{place}",
            state=STOP,
            words=f"{bone.label}: {fault['message']}",
            place=_where(bone, place),
            remedies=cure.remedies_of(facts, bone, kind, place),
        )


def _where(bone: BoneFacts, place: str) -> str:
    """The place aboard of the first tee that a fault's place names."""
    named = [part.strip(" ;,") for part in place.replace(" on tee ", ",").split(",")]
    tees = [part for part in named if part in bone.places]
    return bone.places[tees[0]] if tees else ""


def _good_shape(bone: BoneFacts, sums: BoneSums) -> Iterator[Finding]:
    kinds = {TITLES.get(fault["kind"]) for fault in sums.faults}
    drops = sum(drop.metres or 0 for drop in bone.drops)
    longest = max((drop.metres or 0 for drop in bone.drops), default=0)
    good = {
        "Backbone shape": (f"one line of {len(bone.tees)} tees", "", "no ring, one network"),
        "Terminators": ("one at each end", "", "two of 120 Ω, one at each end"),
        "Drop length": (
            f"the longest drop has {figure(longest)} m", f"{figure(6 - longest)} m left",
            "each at most 6 m",
        ),
        "Drops together": (
            f"all drops have {figure(drops)} m", f"{figure(78 - drops)} m left", "at most 78 m",
        ),
    }  # fmt: skip
    if sums.metres is not None:
        left = sums.margin.get("backbone_metres")
        margin = f"{figure(left)} m left" if left is not None else ""
        good["Backbone length"] = (
            f"the backbone has {figure(sums.metres)} m", margin,
            "light cable at most 100 m, end drops counted where longer than the way to the end",
        )  # fmt: skip
    yield from _drop_measures(bone)
    if any(drop.metres is None for drop in bone.drops):
        kinds |= {"Drop length", "Drops together"}
    for title, (said, margin, formula) in good.items():
        if title not in kinds:
            kind = "bus_" + title.lower().replace(" ", "_")
            base = begin(bone, kind, title, formula)
            yield replace(base, state=GOOD, words=f"{bone.label}: {said}.", margin=margin)


def _drop_measures(bone: BoneFacts) -> Iterator[Finding]:
    """Drops that nobody measured: short ones cannot be told from long ones."""
    unknown = [drop for drop in bone.drops if drop.metres is None]
    if unknown:
        names = ", ".join(drop.label or drop.unit for drop in unknown)
        missing = tuple(
            Measurement(
                f"drop:{drop.unit}", f"Length of the drop to {drop.label or drop.unit} (m)",
                "backbone", bone.places.get(drop.tee, ""),
            )
            for drop in unknown
        )  # fmt: skip
        said = f"{bone.label}: the drops to {names} are not measured."
        base = begin(bone, "bus_drop_length", "Drop length", "each at most 6 m")
        yield replace(base, words=said, measures=missing)


def _nodes(bone: BoneFacts, sums: BoneSums) -> Finding:
    base = begin(bone, "bus_nodes", "Backbone nodes", f"at most {MOST_DEVICES} nodes")
    left = MOST_DEVICES - sums.nodes
    said = f"{bone.label}: {sums.nodes} nodes."
    state = STOP if left < 0 else LOOK if left < 5 else GOOD
    return replace(
        base, state=state, words=said, result=str(sums.nodes), margin=left_words(left, "nodes", 0)
    )


def _load(bone: BoneFacts, rules: Rules) -> Finding:
    base = begin(bone, "bus_load", "Backbone load", "amps = 0.05 × LEN ≤ fuse of the feed")
    load = sum(drop.len or 0 for drop in bone.drops)
    unknown = [drop for drop in bone.drops if drop.len is None]
    most = USUAL_LIGHT_FUSE_AMPS if bone.cable == "light" else HEAVY_FUSE
    fuses = [feed.fuse_a for feed in bone.feeds]
    known = [fuse for fuse in fuses if fuse is not None]
    amps = load * 0.05
    base = replace(
        base, result=f"{load} LEN, {figure(amps, 2)} A",
        inputs=base.inputs | {"len": load, "fuse_a": known, "cable_a": most},
    )  # fmt: skip
    limit = sum(min(fuse, most) for fuse in known)
    cures = cure.fuse_remedies(bone, rules, amps, most)
    if known and len(known) == len(fuses) and amps > limit:
        said = f"{bone.label}: {load} LEN draw {figure(amps, 2)} A; its feed carries "
        return replace(base, state=STOP, words=f"{said}{figure(limit)} A.", remedies=cures)
    too_large = [fuse for fuse in known if fuse > most]
    if too_large:
        said = f"{bone.label}: its {figure(too_large[0])} A fuse is more than the {most} A of "
        return replace(base, state=STOP, words=f"{said}{bone.cable} cable.", remedies=cures)
    return _load_known(base, bone, unknown, limit - amps if len(known) == len(fuses) else None)


def _load_known(base: Finding, bone: BoneFacts, unknown: list, left: float | None) -> Finding:
    missing = [
        Measurement(
            f"len:{drop.unit}", f"Load (LEN) of {drop.label or drop.unit}, by its maker's guide",
            "catalogue", bone.places.get(drop.tee, ""),
        )
        for drop in unknown
    ]  # fmt: skip
    if left is None or not bone.feeds:
        what = f"Fuse of the feed of {bone.label}"
        missing.append(Measurement(f"bus_fuse:{bone.key}", what, "backbone"))
    if missing:
        said = f"{bone.label}: its load or its fuse is not known for all."
        return replace(base, words=said, measures=tuple(missing))
    said = f"{bone.label}: {base.result}; {figure(left, 2)} A are left."
    return replace(base, state=GOOD, words=said, margin=f"{figure(left, 2)} A left")


def _volts(bone: BoneFacts, sums: BoneSums, rules: Rules) -> Finding:
    base = begin(
        bone, "bus_volts", "Backbone volts",
        "node by node: feed − Σ 2 × Ω/m × metres × amps; upper estimate 0.1 × LEN × m × Ω/m",
    )  # fmt: skip
    base = replace(
        base, notes=(DROP_LIMITS, "A node's 9 V is from memory."),
        inputs=base.inputs | {"feeds": {feed.tee: feed.volts for feed in bone.feeds}},
    )  # fmt: skip
    solved = sums.solved_drop
    too_low = sums.worst_volts is not None and sums.worst_volts < rules.bus_lowest_volts
    over = solved is not None and solved > rules.bus_drop_volts + 1e-9
    if over or (too_low and not sums.feed_volts_missing):
        return _low(base, bone, sums, rules)
    missing = _missing_volts(bone, sums)
    if missing or solved is None:
        said = f"{bone.label}: the volts at its nodes are not known."
        return replace(base, words=said, measures=tuple(missing))
    left = rules.bus_drop_volts - solved
    base = replace(
        base, result=f"{figure(sums.worst_volts, 2)} V at {sums.worst_node}",
        margin=f"{figure(left, 2)} V left of {figure(rules.bus_drop_volts, 2)} V",
    )  # fmt: skip
    said = (
        f"{bone.label}: {sums.worst_node} gets {figure(sums.worst_volts, 2)} V, "
        f"{figure(solved, 2)} V less than the feed."
    )
    if sums.estimate is not None and sums.estimate > rules.bus_drop_volts + 1e-9:
        said += f" The standard's upper estimate is {figure(sums.estimate, 2)} V."
        cures = cure.feed_remedies(bone, rules)
        return replace(base, state=LOOK, words=said, remedies=cures)
    return replace(base, state=GOOD, words=said)


def _low(base: Finding, bone: BoneFacts, sums: BoneSums, rules: Rules) -> Finding:
    said = (
        f"{bone.label}: {sums.worst_node} gets {figure(sums.worst_volts, 2)} V, "
        f"{figure(sums.solved_drop or 0, 2)} V less than the feed; "
        f"{figure(rules.bus_drop_volts, 2)} V may be lost and "
        f"{figure(rules.bus_lowest_volts, 2)} V must arrive."
    )
    place = bone.places.get(sums.worst_tee, "")
    return replace(
        base,
        state=STOP,
        words=said,
        place=place,
        measures=tuple(_missing_volts(bone, sums)),
        remedies=cure.feed_remedies(bone, rules),
    )


def _missing_volts(bone: BoneFacts, sums: BoneSums) -> list[Measurement]:
    found = [
        Measurement(
            f"len:{drop.unit}", f"Load (LEN) of {drop.label or drop.unit}, by its maker's guide",
            "catalogue", bone.places.get(drop.tee, ""),
        )
        for drop in bone.drops
        if drop.len is None
    ]  # fmt: skip
    if sums.feed_volts_missing:
        what = f"Volts at the feed of {bone.label}, electronics on"
        found.append(Measurement(f"bus_volts:{bone.key}", what, "backbone"))
    return found


def _ohms(bone: BoneFacts, sums: BoneSums) -> Finding:
    base = begin(bone, "bus_ohms", "Ohms to expect", "Ω = 120 / terminators, power off")
    expected = sums.expected_ohms
    said = f"{bone.label}: {figure(expected)} Ω are to be read" if expected else ""
    if expected is None or bone.measured_ohms is None:
        what = f"Ohms white to blue on {bone.label}, power off"
        said = said or f"{bone.label}: what to read is not known while it is drawn wrong"
        missing = Measurement(f"ohms:{bone.key}", what, "backbone")
        return replace(base, words=f"{said}; nobody noted a reading.", measures=(missing,))
    base = replace(
        base, result=f"{figure(bone.measured_ohms)} Ω read, {figure(expected)} Ω expected",
        notes=(f"{figure(OHMS_OFF, 0)} Ω either way: {COMMON_PRACTICE}.",),
    )  # fmt: skip
    if abs(bone.measured_ohms - expected) <= OHMS_OFF:
        return replace(base, state=GOOD, words=f"{said}, {figure(bone.measured_ohms)} Ω were.")
    hint = next((hint for most, hint in OHM_HINTS if bone.measured_ohms < most), "no terminator")
    said += f", but {figure(bone.measured_ohms)} Ω were: {hint}. Find it before all else."
    return replace(base, state=STOP, words=said)


def _bridges(bones: tuple[BoneFacts, ...]) -> Iterator[Finding]:
    """A unit that is no gateway and hangs on two backbones joins two networks."""
    hangs = defaultdict(list)
    for bone in bones:
        for drop in bone.drops:
            if not drop.is_gateway and bone.key not in {key for key, _ in hangs[drop.unit]}:
                hangs[drop.unit].append((bone.key, drop))
    labels = {bone.key: bone for bone in bones}
    for unit, found in hangs.items():
        if len(found) < 2:
            continue
        (one, first), (other, _) = found[:2]
        said = (
            f"{first.label or unit} hangs on {labels[one].label} and on {labels[other].label}: two "
            "networks joined, unless it is a bridge."
        )
        yield replace(
            begin(labels[one], "bus_joined", "Backbone shape"), state=STOP, words=said,
            about=unit, label=first.label or unit, place=labels[one].places.get(first.tee, ""),
            remedies=(cure.unplug(labels[other], unit),),
        )  # fmt: skip
