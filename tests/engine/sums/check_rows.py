"""Which sum answers a row of the list of check values, and which rows belong to other parts."""

import re

from planner.engine.sums import bus, conductor, sentence, words
from planner.engine.sums.gauges import MM2_PER_CIRCULAR_MIL
from tests.engine.sums.tables import notes, value

CIRCUIT = r"I=(\S+) A; round trip=(\S+) ft; (\S+) V; (\S+) %"
KINDS = {
    "ship": "ship",
    "group of ships": "group",
    "coast station": "coast",
    "SAR aircraft": "aircraft",
    "aid to navigation": "aid",
    "craft of a parent ship": "craft",
    "hand-held VHF": "handheld",
    "AIS search and rescue transmitter": "sart",
    "man overboard device": "mob",
    "EPIRB with AIS": "epirb",
}

WIRES = {
    "DC positive": "dc_positive",
    "DC negative": "dc_negative",
    "bonding / DC grounding": "bonding",
    "bilge blower": "bilge_blower",
    "pumps": "pumps",
    "navigation lights": "navigation_lights",
    "accessory feed": "accessory",
    "ignition and instrument feed": "ignition",
    "cabin and instrument lights": "cabin_lights",
    "water temperature sender": "water_temperature",
    "fuel gauge sender": "fuel_gauge",
    "NMEA 2000 power +": "bus_positive",
    "NMEA 2000 data high": "bus_high",
    "NMEA 2000 data low": "bus_low",
    "NMEA 2000 shield": "bus_shield",
}

ELSEWHERE = {
    "bus messages, decoded from a capture": r"PGN ",
    "serial line facts that no sum works out": r"(normal speed|characters per second|full-length|"
    r"listener |talkers )",
    "pairs of a cable": r"pairs used",
    "degrees of protection": r"(IPX|IP\dX|does IPX)",
    "supply limits of instruments": r"IEC 60945 battery",
    "money": r"(\d+\.\d+ half-|\d lines of)",
}
"""Rows of other parts of the program, by what their inputs begin with."""

NOT_TO_ASSERT = ("do not assert", "range ", "meaning")


def _circuit(amps, feet, volts, percent, **more):
    return {
        "amps": float(amps),
        "round_trip_ft": float(feet),
        "volts": float(volts),
        "drop_percent": float(percent),
        **more,
    }


def _area(gauge, unit):
    return value("area", "mm2" if unit == "mm2" else "circular_mils", awg=gauge, areas="awg")


def _size(amps, feet, volts, percent, unit, areas):
    given = _circuit(amps, feet, volts, percent, areas=areas)
    key = "circular_mils_needed" if unit == "circular mil" else "awg_for_drop"
    return value("conductor", key, **given)


def _ampacity(gauge, rating, **more):
    return value("ampacity", "amps", awg=gauge, insulation_c=int(rating), **more)


def _bundle_factor(count):
    return _ampacity("10", 105, bundled=int(count)) / _ampacity("10", 105)


def _fuse(gauge, rating):
    return value("largest_fuse", "amps", awg=gauge, insulation_c=int(rating))


def _high_fuse(gauge, rating):
    return value("largest_fuse", "amps_from_50_volts", awg=gauge, insulation_c=int(rating))


def _fuse_notes():
    return notes("largest_fuse", awg="10", insulation_c=105)


def _said(what, text, expected):
    """The expected value where a caution says so in words, so that a lost caution fails."""
    return expected if what in text else f"no caution says: {what}"


def _speed(one, other):
    ladder = (10, 100, 1000)
    upto = [[speed for speed in ladder if speed <= int(best)] for best in (one, other)]
    return value("link_speed", "mbit", mbit_a=upto[0], mbit_b=upto[1])


def _kind(number):
    kind = value("mmsi", "kind", text=number)
    return next((words_ for words_, each in KINDS.items() if each == kind), "invalid")


def _hull(number):
    return "valid" if value("hull_number", "valid", text=number) else "invalid"


def _checksum(text):
    return value("sentence", "checksum", text=text)


def _colour(what):
    return value("wire_colour", "colour", circuit=WIRES[what])


def _watts(kind, end):
    return value("poe_power", f"{end}_watts", poe_type=int(kind))


def _days(bank, usable, amps):
    given = {"bank_ah": float(bank), "usable_percent": float(usable) * 100}
    return value("standby", "days", draw_ma=float(amps) * 1000, **given)


def _ohms(count):
    return value("bus_ohms", "ohms", terminators=count)


def _drop(load, metres, ohms):
    return value(
        "bus_drop", "drop_volts", len=int(load), metres=float(metres), ohm_per_m=float(ohms)
    )


def _metric(amps, metres, area):
    given = {"amps": float(amps), "both_ways_m": float(metres), "mm2": float(area)}
    return value("metric_drop", "drop_volts", **given)


def _iso_constant():
    return conductor.OHM_CIRCULAR_MILS_PER_FT * MM2_PER_CIRCULAR_MIL / 0.3048


# Each pattern with what answers it: the groups of the pattern, then the row.
ANSWERS = [
    (r"AWG (\S+) exact area", lambda g, row: _area(g, row["unit"])),
    (
        r"SAE J1127/J1128 minimum area, gauge (\S+)",
        lambda g, _: value("area", "circular_mils", awg=g, areas="sae"),
    ),
    (CIRCUIT + r"(?:; handbook AWG areas)?", lambda *g: _size(*g[:4], g[4]["unit"], "awg")),
    (CIRCUIT + r"; SAE minimum areas", lambda *g: _size(*g[:4], g[4]["unit"], "sae")),
    (
        r"published example: (\S+) A, (\S+) ft, (\S+) V, (\S+) %(?:, AWG wire)?",
        lambda *g: _size(*g[:4], g[4]["unit"], "awg"),
    ),
    (
        r"published example: (\S+) A, (\S+) ft, (\S+) V, (\S+) %, SAE wire",
        lambda *g: _size(*g[:4], g[4]["unit"], "sae"),
    ),
    (
        r"E-11 Table IX grid, 12 V 3 %: (\S+) A, (\S+) ft",
        lambda amps, feet, row: _size(amps, feet, 12, 3, row["unit"], "sae"),
    ),
    (
        r"AWG (\S+); insulation (\d+)C; outside engine space; up to 2 conductors",
        lambda g, c, _: _ampacity(g, c),
    ),
    (
        r"AWG (\S+); (\d+)C; inside engine space",
        lambda g, c, _: _ampacity(g, c, engine_space=True),
    ),
    (
        r"AWG (\S+); (\d+)C; (\d+) current-carrying conductors bundled; outside engine space",
        lambda g, c, n, _: _ampacity(g, c, bundled=int(n)),
    ),
    (
        r"AWG (\S+); (\d+)C; (\d+) bundled; inside engine space",
        lambda g, c, n, _: _ampacity(g, c, bundled=int(n), engine_space=True),
    ),
    (r"note 2 factor, (\d+) conductors", lambda n, _: _bundle_factor(n)),
    (
        r"note 2 factor mandatory .*",
        lambda row: _said(
            "only three or more conductors of 50 V",
            notes("ampacity", awg="14", insulation_c=105, bundled=3),
            row["expected"],
        ),
    ),
    (
        r"smallest conductor (?:installed|inside) .*",
        lambda row: _said(f"{row['expected']} AWG", words.SMALLEST, row["expected"]),
    ),
    (
        r"I=(\S+) A; L=(\S+) m \(both ways\); S=(\S+) mm2",
        lambda amps, metres, area, _: _metric(amps, metres, area),
    ),
    (r"ABYC constant 10\.75 .*", lambda _: _iso_constant()),
    (r"AWG (\S+); (\d+)C; circuit under 50 V: .*", lambda g, c, _: _fuse(g, c)),
    (r"circuit of 50 V or more, AWG (\S+) (\d+)C, .*", lambda g, c, _: _high_fuse(g, c)),
    (r"blade fuse (\S+) A", lambda a, _: value("fuse_colour", "colour", amps=float(a))),
    (
        r"(?:same, conductor in a sheath|conductor straight from|fuse not at the source).*",
        lambda row: _said(f" {row['expected']} in", _fuse_notes(), row["expected"]),
    ),
    (
        r"continuous load (\S+) A; .*",
        lambda a, _: value("fuse_for_load", "amps", continuous_amps=float(a)),
    ),
    (r"1 LEN", lambda _: bus.MA_PER_LEN),
    (r"most physical devices", lambda _: bus.MOST_DEVICES),
    (r"longest single drop", lambda _: bus.LONGEST_DROP_M),
    (r"all drops together", lambda _: bus.LONGEST_DROPS_M),
    (r"longest backbone, (\w+)(?: \(\w+\))? cable", lambda c, _: bus.LONGEST_BACKBONE_M[c]),
    (r"terminators on a backbone", lambda _: 120 / _ohms(2)),
    (r"largest current a device may draw .*", lambda _: bus.MOST_DEVICE_MA),
    (r"each terminator", lambda _: _ohms(1)),
    (r"same, one terminator missing", lambda _: _ohms(1)),
    (r"same, three terminators", lambda _: _ohms(3)),
    (r"device draws (\d+) mA", lambda ma, _: value("bus_units", "len", draw_ma=int(ma))),
    (r"(\d+) LEN; (\S+) m to the furthest device; (\S+) ohm/m", lambda *g: _drop(*g[:3])),
    (r"lowest voltage at a node", lambda _: bus.LOWEST_NODE_VOLTS),
    (
        r"largest drop, .*",
        lambda row: _said(row["expected"], bus.DROP_LIMITS, row["expected"]),
    ),
    (
        r"(\d+) chained (\d+)-port switches: free ports",
        lambda n, p, _: value("switch_chain", "free_ports", switches=int(n), ports_each=int(p)),
    ),
    (r"both ends auto-negotiate, best speeds (\d+) and (\d+)", lambda a, b, _: _speed(a, b)),
    (
        r"4-pair cable, (\S+) mm outside diameter: .*",
        lambda d, _: value("bend_radius", "radius_mm", diameter_mm=float(d)),
    ),
    (
        r"two cables between the same two unmanaged switches",
        lambda row: _said(
            "No loop", notes("switch_chain", switches=2, ports_each=5), row["expected"]
        ),
    ),
    (r"(\$HEHDT,178\.3,T) is printed .*", lambda text, _: _checksum(text)),
    (r"(\$GP.*)", lambda text, _: _checksum(text)),
    (r"longest sentence .*", lambda _: sentence.LONGEST),
    (
        r"(standard|steering) compass, H=(\S+) uT: .*",
        lambda kind, field, _: value(
            "compass", "largest_deviation_deg", kind=kind, field_ut=float(field)
        ),
    ),
    (r"MMSI (\S+)", lambda number, _: _kind(number)),
    (r"HIN (\S+)", lambda number, _: _hull(number)),
    (
        r"lowest insulation rating, engine space",
        lambda row: _said(
            f"{row['expected']} °C or more",
            notes("ampacity", awg="10", insulation_c=60, engine_space=True),
            row["expected"],
        ),
    ),
    (f"({'|'.join(map(re.escape, WIRES))})", lambda what, _: _colour(what)),
    (
        r"802\.3\w+ type (\d): power at the (source|device)",
        lambda kind, end, _: _watts(kind, end),
    ),
    (r"(\S+) Ah; usable (\S+); standby (\S+) A", lambda *g: _days(*g[:3])),
    (r"usable fraction, .*", lambda row: row["expected"]),
]


def find_answer(row):
    """What the sums say to a row, as a function without arguments; None where none fits."""
    for pattern, answer in ANSWERS:
        match = re.fullmatch(pattern, row["inputs"])
        if match:
            return lambda: answer(*match.groups(), row)
    return None


def is_elsewhere(row):
    return any(re.match(pattern, row["inputs"]) for pattern in ELSEWHERE.values())
