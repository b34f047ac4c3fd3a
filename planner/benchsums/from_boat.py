"""What a boat's record fills in: its backbone, its Ethernet cables."""

from typing import Any

from django.db.models import Prefetch

from planner.benchsums.rows import address_of
from shopapp.boats.models import Backbone, Boat, Cable, CableEnd, Drop


def backbones_of(boat: Boat) -> list[Backbone]:
    """The boat's backbones with all that lies on them; a fixed number of queries."""
    drops = Drop.objects.select_related("unit", "tee").order_by("tee__position", "pk")
    rows = Backbone.objects.filter(boat=boat).prefetch_related(
        "segments__from_tee", "segments__to_tee", "tees__feeds", Prefetch("tees__drops", drops)
    )
    return list(rows)


def backbone_address(backbone: Backbone) -> str:
    """The backbone sum's address filled with a recorded backbone; unknown cells are empty."""
    tees = list(backbone.tees.all())
    rows: dict[str, list[dict[str, Any]]] = {
        "segments": [
            {"from": row.from_tee.name, "to": row.to_tee.name, "metres": _plain(row.metres)}
            for row in backbone.segments.all()
        ],
        "drops": [
            {
                "tee": tee.name,
                "metres": _plain(drop.metres),
                "unit": drop.unit.name if drop.unit else drop.node or None,
                "len": drop.load_units,
            }
            for tee in tees
            for drop in tee.drops.all()
        ],
        "feeds": [
            {"tee": tee.name, "volts": _plain(feed.volts)}
            for tee in tees
            for feed in tee.feeds.all()
        ],
    }
    ends = ", ".join(tee.name for tee in tees if tee.terminated)
    return address_of("backbone", rows, cable=backbone.cable, ends=ends)


def cables_address(boat: Boat) -> str:
    """The loop sum's address filled with the cables in use among what passes traffic on."""
    ends = CableEnd.objects.select_related("unit__model").order_by("side")
    cables = Cable.objects.filter(boat=boat, retired_at=None).order_by("label")
    rows = []
    for cable in cables.prefetch_related(Prefetch("ends", ends)):
        units = [end.unit for end in cable.ends.all() if end.unit]
        if len(units) == 2 and all(unit.model.bridges for unit in units):
            rows.append({"from": units[0].name, "to": units[1].name})
    return address_of("ethernet_loops", {"links": rows})


def _plain(number: Any) -> str | None:
    return None if number is None else f"{number.normalize():f}"
