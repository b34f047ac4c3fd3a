"""Boats thrown together by a seed, for the drawing: anything may be missing or doubled."""

from random import Random

from shopapp.boats.drawing import Backbone, BoatSheet, Place, Plate, Run, Tee


def mixed_boat(seed: int) -> BoatSheet:
    """A boat of which anything may be missing, doubled or joined to anything; same by its seed."""
    dice = Random(seed)
    names = ("Helm", "Battery compartment", "Transducer well", "A", "Second helm station")
    kinds = ("console", "helm", "bow", "stern", "engine", "mast", "nav", "locker", "", "other")
    fates = ("kept", "new", "removed", "replaced", "updated", "off-network")
    places = tuple(
        Place(f"p{i}", dice.choice(names), dice.choice(kinds), *dice.choices((None, 0.1, 0.6), k=2))
        for i in range(dice.randint(0, 10))
    )
    homes = [place.id for place in places] + [None]
    units = tuple(
        Plate(
            f"u{i}",
            "Unit" + " long" * dice.randint(0, 6),
            "Some model",
            dice.choice(("switch", "display", "sonar")),
            dice.choice(homes),
            dice.choice(fates),
            dice.choice((None, "2.1")),
            dice.choice((None, "3.0")),
            networked=dice.random() < 0.8,
            ports=dice.randint(0, 8),
        )
        for i in range(dice.randint(1, 30))
    )
    ends = [unit.id for unit in units] + ["ghost"]
    return BoatSheet(
        name=f"Mixture {seed}",
        length_ft=dice.choice((16, 24, 46, 80)),
        beam_ft=dice.choice((None, 8.5, 14)),
        kind=dice.choice(("sail", "cruiser", "open console", "workboat")),
        places=places,
        units=units,
        runs=tuple(_mixed_run(dice, ends, fates[:3]) for _ in range(dice.randint(0, 25))),
        backbone=tuple(_mixed_backbone(dice, ends) for _ in range(dice.choice((0, 1, 1, 2)))),
    )


def _mixed_run(dice: Random, ends: list[str], fates: tuple[str, ...]) -> Run:
    return Run(
        dice.choice(ends),
        dice.choice(ends),
        dice.choice((None, 1, 2, 3)),
        dice.choice((None, 1, 5)),
        "L" * dice.randint(0, 20),
        dice.choice((None, 5, 30.5)),
        dice.choice(fates),
    )


def _mixed_backbone(dice: Random, ends: list[str]) -> Backbone:
    tees = tuple(
        Tee(
            dice.choice((None, "p0", "p1")),
            spare=dice.random() < 0.3,
            unit=dice.choice([*ends, None, None]),
            power=dice.choice(("", "", "Power, 3 A fuse")),
            feet=dice.choice((None, 6)),
            fate=dice.choice(("kept", "new", "removed")),
        )
        for _ in range(dice.randint(0, 18))
    )
    known = (True, False, None)
    return Backbone(
        tees, "Backbone", dice.choice((None, 40)), dice.choice(known), dice.choice(known)
    )
