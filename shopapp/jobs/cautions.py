"""Which safety cautions a job calls for. What nobody knows counts as if it were there.

The wording is common practice, with the published rule beside it where there is one. The desk
advises; local law, the maker's guide and a licensed installer stand above it.
"""

from collections.abc import Callable
from dataclasses import dataclass

GASOLINE = {"gasoline_inboard", "gasoline_outboard"}
HIGH_PLACES = ("mast", "tower", "arch", "top", "aloft", "spreader")


@dataclass(frozen=True, slots=True)
class Dangers:
    """What the records say of a boat and of the work on it; empty or None means not known.

    `chemistries` has one entry a battery bank; `touched` the kinds of models that are added,
    replaced, removed or put on the network; `aboard` the kinds of all; `places` where work is.
    """

    fuel: str
    dc_volts: int | None
    chemistries: tuple[str, ...]
    dock_power: bool | None
    passengers: bool
    aboard: frozenset[str]
    touched: frozenset[str]
    places: tuple[str, ...]
    fits: bool
    pulls_cable: bool
    updates: bool


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: its number, what to do, and why it stands here."""

    code: str
    text: str
    why: str = ""

    def as_fact(self) -> dict[str, str]:
        """For a paper's facts."""
        return {"code": self.code, "head": "", "text": self.text, "unknown": self.why}


def cautions_for(dangers: Dangers) -> list[Caution]:
    """The cautions in the order in which they are ticked; none is ever left out for room."""
    return [caution for rule in RULES for caution in rule(dangers)]


def _always(_dangers: Dangers) -> list[Caution]:
    return [
        Caution(
            "Z1",
            "Batteries, chargers and shore power OFF before work; insulated tools. "
            "Find out which switch kills which bank and try it.",
        )
    ]


def _dock_power(dangers: Dangers) -> list[Caution]:
    if dangers.dock_power is False:
        return []
    text = "Dock power: stay out of the water; work on AC is for an electrician."
    return [Caution("Z16", text, _unknown(dangers.dock_power is None, "dock power"))]


def _fuel(dangers: Dangers) -> list[Caution]:
    if dangers.fuel and dangers.fuel not in GASOLINE:
        return []
    text = (
        "Gasoline: blow, sniff, open up before any switch is thrown or hole drilled. Whatever is "
        "fitted in a vapour space is ignition-protected or isolated (33 CFR 183.410)."
    )
    return [Caution("Z5", text, _unknown(not dangers.fuel, "fuel"))]


def _lithium(dangers: Dangers) -> list[Caution]:
    banks = dangers.chemistries
    suspects = [one for one in banks if one in {"lithium", ""}]
    if banks and not suspects:
        return []
    why = _unknown("lithium" not in banks, "battery chemistry")
    found = [
        Caution(
            "Z6",
            "Lithium bank: isolate it as its maker says; take off jewellery, cover terminals; "
            "never parallel unlike banks; high-fault-current fuse at the bank (ABYC E-13).",
            why,
        )
    ]
    if len(banks) <= 1:
        text = "One lithium bank alone: its manager unit can cut every display at once."
        found.append(Caution("Z7", text, why))
    return found


def _volts(dangers: Dangers) -> list[Caution]:
    if dangers.dc_volts == 12:
        return []
    if dangers.dc_volts is None:
        text = "Measure the DC system before anything is connected; take it as more than 12 V."
        return [Caution("V1", text, _unknown(True, "DC voltage"))]
    text = f"{dangers.dc_volts} V system: check each unit's voltage range before it is connected."
    return [Caution("V1", text)]


def _feeds(dangers: Dangers) -> list[Caution]:
    if not dangers.fits:
        return []
    return [
        Caution(
            "Z2",
            "Fuse at the source: within 7 in, or 40 in where sheathed or enclosed; at most 150 % "
            "of the conductor's rating (33 CFR 183.455).",
        ),
        Caution("Z3", "The fuse protects the wire. Never a larger one to stop it from blowing."),
        Caution("Z10", "Keep the compass-safe distance; swing the compass again after fitting."),
    ]


def _drilling(dangers: Dangers) -> list[Caution]:
    if not (dangers.fits or dangers.pulls_cable):
        return []
    return [Caution("Z12", "Before each hole: know what is behind (tank, hose, wire, core).")]


def _radar(dangers: Dangers) -> list[Caution]:
    if "radar" not in dangers.aboard:
        return []
    text = "Radar to standby and locked off before anyone is near it or aloft; mind implants."
    return [Caution("Z8", text)]


def _aloft(dangers: Dangers) -> list[Caution]:
    words = " ".join(dangers.places).lower()
    if "radar" not in dangers.touched and not any(high in words for high in HIGH_PLACES):
        return []
    return [Caution("Z9", "Aloft: trained rigger, two lines, a second person, nobody under.")]


def _below_water(dangers: Dangers) -> list[Caution]:
    if "sounder" not in dangers.touched:
        return []
    text = (
        "Transducer and through-hull work: lift, props and stands are the yard's; let sealant "
        "cure; look for leaks at the splash and never leave at once."
    )
    return [Caution("Z11", text)]


def _radio(dangers: Dangers) -> list[Caution]:
    if "other" not in dangers.touched:
        return []
    text = (
        "Where a radio or AIS is among the work: its identity is entered by the seller or a "
        "qualified installer, never by the owner, and with correct data only (47 CFR 80.231)."
    )
    return [Caution("Z13", text)]


def _updates(dangers: Dangers) -> list[Caution]:
    if not dangers.updates:
        return []
    text = "Updates: waypoints saved first, power held all the way, no way back on some releases."
    return [Caution("Z15", text)]


def _hire(dangers: Dangers) -> list[Caution]:
    if not dangers.passengers:
        return []
    return [Caution("Z17", "Carries passengers for hire: other rules apply (46 CFR 183).")]


def _aids(_dangers: Dangers) -> list[Caution]:
    return [Caution("Z14", "Displays are aids: charts and lookout stay; never rely on one source.")]


def _unknown(missing: bool, what: str) -> str:
    return f"{what} is not known: taken as present" if missing else ""


RULES: tuple[Callable[[Dangers], list[Caution]], ...] = (
    _always,
    _dock_power,
    _fuel,
    _lithium,
    _volts,
    _radar,
    _aloft,
    _below_water,
    _drilling,
    _feeds,
    _radio,
    _updates,
    _hire,
    _aids,
)
