"""Plain facts for the checks, good unless said otherwise."""

from dataclasses import replace

from planner.engine.checks import run_checks
from planner.engine.checks.facts import (
    BankFacts,
    BoneFacts,
    BoneFeed,
    CheckFacts,
    DropFacts,
    FeedFacts,
    PlaceFacts,
    RunFacts,
    SpotFacts,
)

FEED = FeedFacts(
    key="d1", label="d1", place="helm", draw_a=3.0, volts=12, bank="house", called_a=5.0,
    fuse_a=5.0, awg="10", run_ft=12.0, insulation_c=105, engine_space=False, fuse_inches=5.0,
    sheathed=True, volts_low=10.8, has_cutoff=True, standby_ma=20.0,
)  # fmt: skip
BANK = BankFacts(
    key="house", label="House", volts=12, chemistry="agm", capacity_ah=200, fuse_a=150,
    block_a=100, cutoff_a=200, rested_v=12.7, has_charger=True,
)  # fmt: skip
HELM = PlaceFacts(
    name="helm", exposure="splash", vapour=False, hottest_c=40, compass_cm=120, aerial_cm=400,
    in_beam=False, opening_mm=(240, 150), depth_mm=140,
)  # fmt: skip
SPOT = SpotFacts(
    key="d1", label="d1", model="Display", place=HELM, is_new=True, petrol=True,
    ignition_protected=True, water="IPX6", most_c=55, safe_cm=60, cutout_mm=(240, 150),
    depth_mm=80, flush=True,
)  # fmt: skip
RUN = RunFacts("N1", "N1", ("d1", "sw1"), ("d1", "sw1"), True, 15.0, 10.0)
BONE = BoneFacts(
    key="backbone", label="Backbone", cable="light",
    segments=(("T1", "T2", 2.0), ("T2", "T3", 2.0), ("T3", "T4", 2.0)),
    drops=(DropFacts("T2", "gps", 2.0, 2, "gps"), DropFacts("T3", "d1", 2.0, 4, "d1")),
    feeds=(BoneFeed("T2", 12.6, 3.0),), terminators=("T1", "T4"), tees=("T1", "T2", "T3", "T4"),
    places={"T1": "bow", "T2": "helm", "T3": "helm", "T4": "stern"}, measured_ohms=60.0,
)  # fmt: skip


def feed(**other):
    return replace(FEED, **other)


def bank(**other):
    return replace(BANK, **other)


def spot(**other):
    of_place = {
        name: other.pop(name) for name in list(other) if hasattr(HELM, name) and name != "depth_mm"
    }
    return replace(SPOT, place=replace(HELM, **of_place), **other)


def bone(**other):
    return replace(BONE, **other)


def facts(**lists):
    return CheckFacts(**lists)


def of(kind, given):
    """The findings of one kind."""
    return [finding for finding in run_checks(given) if finding.kind == kind]


def one(kind, given):
    """The only finding of a kind."""
    (finding,) = of(kind, given)
    return finding
