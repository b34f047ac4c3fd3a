"""Conductor sizes, their areas and what they may carry.

Areas: ASTM B258 (exact, by formula, the formula from memory) and SAE J1127/J1128 minimum areas,
which are 3 to 11 % smaller. Allowable amperage: 33 CFR 183.425 Table 5 with notes 1 and 2.
"""

SOLD = ("18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0")
"""The sizes sold for boats, smallest first."""

IN_TABLE_5 = (*SOLD[:8], "3", *SOLD[8:])
"""The sizes of Table 5: it has 3 AWG too, which is hardly sold."""

_AWG_NUMBERS = {"1/0": 0, "2/0": -1, "3/0": -2, "4/0": -3}
MM2_PER_CIRCULAR_MIL = 0.0254**2 * 0.7853981633974483
"""One circular mil is the area of a circle of 0.001 in (0.0254 mm)."""


def _exact_circular_mils(gauge: str) -> float:
    number = _AWG_NUMBERS.get(gauge)
    steps = 36 - (int(gauge) if number is None else number)
    return float((1000 * 0.005 * 92 ** (steps / 39)) ** 2)


AWG_EXACT = {gauge: _exact_circular_mils(gauge) for gauge in IN_TABLE_5}
"""ASTM B258: circular mils of the solid round conductor."""

SAE_MINIMUM = {
    "18": 1537.0, "16": 2336.0, "14": 3702.0, "12": 5833.0, "10": 9343.0, "8": 14810.0,
    "6": 24538.0, "4": 37360.0, "2": 62450.0, "1": 77790.0, "1/0": 98980.0, "2/0": 125100.0,
    "3/0": 158600.0, "4/0": 205500.0,
}  # fmt: skip
"""SAE J1127/J1128 minimum circular mils, as four public wiring handbooks print them."""

AREAS = {"awg": AWG_EXACT, "sae": SAE_MINIMUM}

RATINGS_C = (60, 75, 80, 90, 105, 125, 200)
"""Insulation temperature ratings of Table 5."""

TABLE_5 = {
    "18": (10, 10, 15, 20, 20, 25, 25),
    "16": (15, 15, 20, 25, 25, 30, 35),
    "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55),
    "10": (40, 40, 50, 55, 60, 70, 70),
    "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135),
    "4": (105, 125, 130, 135, 160, 170, 180),
    "3": (120, 145, 150, 155, 180, 195, 210),
    "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325),
    "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430),
    "4/0": (300, 360, 385, 385, 445, 475, 510),
}
"""33 CFR 183.425 Table 5: amperes by insulation rating, at 30 °C outside engine spaces."""

ENGINE_SPACE_PERCENT = {60: 58, 75: 75, 80: 78, 90: 82, 105: 85, 125: 89, 200: 100}
"""Note 1 of Table 5, 50 °C: per cent of the amperage left. Only 105 °C was seen in print."""

ENGINE_SPACE_SEEN = frozenset({105})

BUNDLE_PERCENT = ((25, 40), (7, 50), (4, 60), (3, 70), (1, 100))
"""Note 2 of Table 5: from so many current-carrying conductors, per cent of the amperage left."""


def bundle_percent(conductors: int) -> int:
    """Per cent of the amperage left to each of so many bundled conductors (1 or more)."""
    return next(percent for least, percent in BUNDLE_PERCENT if conductors >= least)
