"""Write the demo's networks: cables, backbones, and how each unit is known."""

from decimal import Decimal
from itertools import pairwise
from random import Random

from shopapp.boats.models import (
    Backbone,
    Cable,
    CableEnd,
    Drop,
    Feed,
    Segment,
    Tee,
    Unit,
)
from shopapp.demo.boat_plans import distances
from shopapp.demo.reading import CABLE_FEET, Catalogue, Plans, save_all


def make_cables(plans: Plans, catalogue: Catalogue, locations: dict, units: dict) -> None:
    """The network as it lies, each cable long enough for its way."""
    cables, ends = [], []
    for boat, plan in plans:
        far = distances(plan)
        places = {unit.name: unit.place for unit in plan.units}
        for number, (one, port, other, other_port) in enumerate(plan.cables, 1):
            run_ft = far[places[one], places[other]] + 1
            feet = next((feet for feet in CABLE_FEET if feet >= run_ft), CABLE_FEET[-1])
            cable = Cable(boat=boat, label=f"N{number}", part=catalogue.cables[feet])
            cables.append(cable)
            for side, name, at in (("a", one, port), ("b", other, other_port)):
                ends.append(
                    CableEnd(
                        cable=cable,
                        side=side,
                        location=locations[boat.pk, places[name]],
                        unit=units[boat.pk, name],
                        port=at,
                    )
                )
    save_all(Cable, cables)
    save_all(CableEnd, ends)


def make_backbones(plans: Plans, locations: dict, units: dict, random: Random) -> None:
    """A backbone on every boat that carries a node for it."""
    nodes = {
        boat.pk: [
            units[boat.pk, unit.name]
            for unit in plan.units
            if unit.model.startswith(("bearing", "hail-b", "teller-2"))
        ]
        for boat, plan in plans
    }
    backbones = save_all(Backbone, (Backbone(boat=boat) for boat, _plan in plans if nodes[boat.pk]))
    for backbone in backbones:
        make_backbone(backbone, nodes[backbone.boat_id], locations, random)


def make_backbone(backbone: Backbone, nodes: list[Unit], locations: dict, random: Random) -> None:
    """Tees in a line, terminators at both ends, a drop for each node, power in the middle."""
    place = nodes[0].location
    count = len(nodes) + 3
    tees = save_all(
        Tee,
        (
            Tee(
                backbone=backbone,
                name=f"T{position}",
                position=position,
                location=place,
                terminated=position in {1, count},
            )
            for position in range(1, count + 1)
        ),
    )
    save_all(
        Segment,
        (
            Segment(
                backbone=backbone,
                from_tee=one,
                to_tee=other,
                metres=Decimal(random.choice(("0.50", "1.00", "2.00", "4.00"))),
            )
            for one, other in pairwise(tees)
        ),
    )
    save_all(
        Drop,
        (
            Drop(tee=tee, unit=unit, metres=Decimal("2.00"), load_units=unit.model.load_units)
            for tee, unit in zip(tees[2:], nodes, strict=False)
        ),
    )
    Feed.objects.create(tee=tees[1], fuse_ma=3000, cutoff="electronics", volts=Decimal("12.6"))
