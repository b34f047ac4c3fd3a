"""Plates and their pins: how high each is, and where on its edge every line begins."""

from collections import defaultdict
from dataclasses import dataclass, field

from .facts import (
    FATE_WORDS,
    LINE_WORDS,
    Backbone,
    BoatSheet,
    Plate,
    Run,
    feet_words,
    release_words,
)
from .grid import Grid
from .words import LINE_STEP, text_width, wrap, wrap_parts

NAME_SIZE, SMALL_SIZE, LABEL_SIZE = 14.0, 12.0, 12.0
PAD, CHIP = 8.0, 17.0
UNLISTED = "unlisted"
LABEL_STEP, LABEL_FOOT, LABEL_RISE = 14.0, 10.0, 5.0
SIGN, FATE_STEP = 13.0, 16.0


@dataclass
class Pin:
    """Where a line meets a plate; `y` runs from the plate's top until the plate is placed.

    The first `strong` of its label's lines are bold.
    """

    unit: str
    net: str
    port: int | None = None
    lines: tuple[str, ...] = ()
    strong: int = 0
    kind: str = "ethernet"
    fate: str = "kept"
    y: float = 0.0
    side: int = 0


@dataclass
class PlateBox:
    """A plate laid out: its words broken into lines, its pins and its height; `top` comes later."""

    unit: Plate
    names: tuple[str, ...]
    models: tuple[str, ...]
    afters: tuple[str, ...]
    pins: list[Pin] = field(default_factory=list)
    height: float = 0.0
    top: float = 0.0


def name_ends(sheet: BoatSheet) -> tuple[Plate, ...]:
    """Return plates standing in for units that lines speak of and nobody has listed."""
    known = {unit.id for unit in sheet.units}
    ends = [end for run in sheet.runs for end in (run.a, run.b)]
    ends += [tee.unit for bone in sheet.backbone for tee in bone.tees if tee.unit]
    missing = [end for end in dict.fromkeys(ends) if end not in known]
    words = "end of a line, noted nowhere else"
    return tuple(
        Plate(id=end, name=f"Not known: {end}", model=words, kind=UNLISTED) for end in missing
    )


def line_word(fate: str) -> str:
    """Return the word that stands before a line's label, "" for one that stays."""
    return "" if fate == "kept" else LINE_WORDS[fate]


def run_words(run: Run) -> str:
    """Return the label of a run with the word for its fate."""
    return f"{line_word(run.fate)} {run.label or 'no label'}".strip()


def _label_lines(
    words: str, feet: str, room: float, *, bold: bool, between: str = " · "
) -> tuple[tuple[str, ...], int]:
    """Return the lines of a label and how many of them are bold; the length has its own line."""
    whole = between.join(part for part in (words, feet) if part)
    if text_width(whole, LABEL_SIZE, bold=bold) <= room:
        return (whole,), int(bold)
    names = wrap(words, room, LABEL_SIZE, bold=bold)
    return names + wrap(feet, room, LABEL_SIZE), len(names) if bold else 0


def _run_pins(runs: tuple[Run, ...], switches: set[str], room: float) -> list[Pin]:
    pins = []
    for index, run in enumerate(runs):
        far = "a" if run.b in switches and run.a not in switches else "b"
        for end, unit, port in (("a", run.a, run.port_a), ("b", run.b, run.port_b)):
            feet = feet_words(run.feet) if end == far else ""
            label = _label_lines(run_words(run), feet, room, bold=run.fate == "new")
            pins.append(Pin(unit, f"run-{index + 1}", port, *label, fate=run.fate))
    return pins


def _drop_pins(bones: tuple[Backbone, ...], room: float) -> list[Pin]:
    pins = []
    for number, bone in enumerate(bones, 1):
        for index, tee in enumerate(bone.tees, 1):
            if tee.unit:
                words = f"{line_word(tee.fate)} drop".strip()
                bold = tee.fate == "new"
                label = _label_lines(words, feet_words(tee.feet), room, bold=bold, between=" ")
                net = f"drop-{number}-{index}"
                pins.append(Pin(tee.unit, net, None, *label, kind="drop", fate=tee.fate))
    return pins


def gather_pins(sheet: BoatSheet, grid: Grid) -> dict[str, list[Pin]]:
    """Return by unit id the pins of every run and drop, and the spare ports of every switch."""
    room = grid.label - 10
    switches = {unit.id for unit in sheet.units if unit.is_switch}
    pins: dict[str, list[Pin]] = defaultdict(list)
    for pin in _run_pins(sheet.runs, switches, room) + _drop_pins(sheet.backbone, room):
        pins[pin.unit].append(pin)
    for unit in sheet.units:
        if unit.is_switch:
            used = {pin.port for pin in pins[unit.id]}
            spare = [port for port in range(1, unit.ports + 1) if port not in used]
            pins[unit.id] += [Pin(unit.id, "", port, kind="spare") for port in spare]
        pins[unit.id].sort(key=_pin_order)
    return dict(pins)


def _pin_order(pin: Pin) -> tuple[int, int, int]:
    fates = ("removed", "kept", "new")
    if pin.port is None:
        return 1 + (pin.kind == "drop"), 0, fates.index(pin.fate)
    return 0, pin.port, fates.index(pin.fate)


def make_plate(unit: Plate, pins: list[Pin], grid: Grid) -> PlateBox:
    """Lay out one plate: words from its outer edge, pins down its inner edge."""
    room = grid.plate - 2 * PAD - CHIP
    box = PlateBox(
        unit=unit,
        names=wrap(unit.name or "no name", room, NAME_SIZE, bold=True),
        models=wrap(unit.model or unit.kind, room, SMALL_SIZE),
        afters=wrap(f"→ {unit.model_after}", room, SMALL_SIZE) if unit.model_after else (),
        pins=pins,
    )
    y = 5.0
    for pin in pins:
        high = len(pin.lines) * LABEL_STEP + LABEL_FOOT if pin.lines else CHIP + 3
        pin.y = y + high - LABEL_FOOT
        y += high
    words = len(box.names) * NAME_SIZE + (len(box.models) + len(box.afters)) * SMALL_SIZE
    fates = (len(fate_words(unit, grid)) + len(check_words(unit, grid))) * FATE_STEP
    box.height = max(words * LINE_STEP + fates + 13, y + 5)
    return box


def fate_words(unit: Plate, grid: Grid) -> tuple[str, ...]:
    """Return the fate in words with the releases, broken to the plate's width."""
    room = grid.plate - 2 * PAD - CHIP - SIGN - 8
    between = " " if unit.fate == "updated" else " · "
    return wrap_parts(fate_parts(unit), room, SMALL_SIZE, bold=True, between=between)


def check_words(unit: Plate, grid: Grid) -> tuple[str, ...]:
    """Return what a check found, broken to the plate's width; nothing where all is good."""
    room = grid.plate - 2 * PAD - CHIP - SIGN - 8
    return wrap(unit.check[1], room, SMALL_SIZE, bold=True, lines=3)


def describe_fate(unit: Plate) -> str:
    """Return "NEW · release 2.6", "UPDATE 2.2 → 2.6", "stays, off network" and the like."""
    return (" " if unit.fate == "updated" else " · ").join(fate_parts(unit))


def fate_parts(unit: Plate) -> tuple[str, ...]:
    """Return the word of a plate's fate, and its release if it has one."""
    release = release_words(unit)
    words = "NOT LISTED" if unit.kind == UNLISTED else FATE_WORDS[unit.fate]
    if unit.fate == "updated":
        return words, release
    if not unit.networked and unit.fate not in {"off-network", "removed", "replaced"}:
        words += ", off network"
    return (words, f"release {release}") if release else (words,)
