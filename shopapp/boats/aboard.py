"""All that is aboard a boat, fetched once: for its sheet, its drawing and its copy."""

from dataclasses import dataclass, field

from shopapp.boats.models import (
    Backbone,
    Bank,
    Boat,
    Cable,
    CableEnd,
    Drop,
    Feed,
    Location,
    Route,
    Segment,
    Tee,
    Unit,
)


@dataclass
class Bone:
    """A backbone with its tees in order; segments, drops and feeds by the tee's number."""

    row: Backbone
    tees: list[Tee] = field(default_factory=list)
    runs: dict[int, Segment] = field(default_factory=dict)
    drops: dict[int, list[Drop]] = field(default_factory=dict)
    feeds: dict[int, list[Feed]] = field(default_factory=dict)


@dataclass
class Aboard:
    """A boat's locations, routes, units, cables with ends, banks and backbones."""

    boat: Boat
    locations: list[Location]
    routes: list[Route]
    units: list[Unit]
    cables: list[Cable]
    ends: dict[int, dict[str, CableEnd]]
    banks: list[Bank]
    bones: list[Bone]

    @property
    def fitted(self) -> list[Unit]:
        """Units aboard now."""
        return [unit for unit in self.units if unit.state in {"fitted", "unknown"}]


def load_aboard(boat: Boat) -> Aboard:
    """Fetch all of it; eleven queries at most, six for a boat without backbone."""
    locations = list(boat.locations.all())
    places = {place.pk: place for place in locations}
    routes = list(boat.routes.all())
    for route in routes:
        route.a, route.b = places[route.a_id], places[route.b_id]
    units = list(boat.units.exclude(state__in=["removed", "stolen"]).for_sheet())
    cables = list(boat.cables.filter(retired_at__isnull=True).select_related("part"))
    banks = list(boat.banks.filter(retired_at__isnull=True))
    return Aboard(
        boat=boat,
        locations=locations,
        routes=routes,
        units=units,
        cables=cables,
        ends=_ends(boat, units, places),
        banks=banks,
        bones=_bones(boat, units, places),
    )


def _ends(
    boat: Boat, units: list[Unit], places: dict[int, Location]
) -> dict[int, dict[str, CableEnd]]:
    aboard = {unit.pk: unit for unit in units}
    ends: dict[int, dict[str, CableEnd]] = {}
    for end in CableEnd.objects.filter(cable__boat=boat, cable__retired_at__isnull=True):
        end.location = places[end.location_id]
        if end.unit_id in aboard:
            end.unit = aboard[end.unit_id]
        ends.setdefault(end.cable_id, {})[end.side] = end
    return ends


def _bones(boat: Boat, units: list[Unit], places: dict[int, Location]) -> list[Bone]:
    bones = {row.pk: Bone(row) for row in boat.backbones.all()}
    if not bones:
        return []
    aboard = {unit.pk: unit for unit in units}
    home = {}
    for tee in Tee.objects.filter(backbone__in=bones):
        tee.location = places[tee.location_id]
        bones[tee.backbone_id].tees.append(tee)
        home[tee.pk] = bones[tee.backbone_id]
    for run in Segment.objects.filter(backbone__in=bones):
        bones[run.backbone_id].runs[run.to_tee_id] = run
    for drop in Drop.objects.filter(tee__in=home):
        if drop.unit_id in aboard:
            drop.unit = aboard[drop.unit_id]
        home[drop.tee_id].drops.setdefault(drop.tee_id, []).append(drop)
    for feed in Feed.objects.filter(tee__in=home):
        home[feed.tee_id].feeds.setdefault(feed.tee_id, []).append(feed)
    return list(bones.values())
