"""Boats that are hard to draw: odd names, gaps, everything in one place."""

from dataclasses import replace

from shopapp.boats.drawing import Backbone, BoatSheet, Place, Plate, Run, Tee

from .drawing_samples import small_boat

NASTY = "<b>&\"'\x07</b>"
EMPTY = BoatSheet("Bare Hull", 18)


def nasty_boat() -> BoatSheet:
    boat = small_boat()
    units = tuple(replace(unit, name=NASTY, model=NASTY) for unit in boat.units)
    runs = tuple(replace(run, label=NASTY) for run in boat.runs)
    places = tuple(replace(place, name=NASTY) for place in boat.places)
    return replace(boat, name=NASTY, units=units, runs=runs, places=places)


def gappy_boat() -> BoatSheet:
    """Little is known: no beam, a place nobody listed, ports, lengths and a unit not known."""
    return BoatSheet(
        name="Unasked",
        length_ft=19,
        places=(Place("x", "Somewhere dry"), Place("y", "Somewhere wet")),
        units=(
            Plate("a", "Display", "", "display", "nowhere"),
            Plate("b", "Sonar box", "", "sonar", None, "updated", None, "2.6"),
            Plate("c", "Switch", "", "switch", "x", ports=5),
        ),
        runs=(Run("a", "c"), Run("b", "c", None, 9), Run("ghost", "c", 1, 2), Run("a", "a")),
        backbone=(
            Backbone(terminator_first=None, terminator_last=False),
            Backbone((Tee(unit="a"), Tee(unit="phantom"), Tee()), name="Second backbone"),
        ),
    )


def many_in_one_place() -> BoatSheet:
    units = tuple(
        Plate(f"u{i}", f"Unit with a rather long name, number {i}", "A model", place="c")
        for i in range(14)
    )
    return BoatSheet("Heap", 24, 8.5, "sail", (Place("c", "Console", "console"),), units)


def long_words() -> BoatSheet:
    word = "Extraordinarilylongwordwithoutanybreak" * 2
    boat = small_boat()
    units = tuple(replace(unit, name=word, model=word) for unit in boat.units)
    runs = tuple(replace(run, label=word) for run in boat.runs)
    return replace(boat, name=word, kind="workboat", units=units, runs=runs)
