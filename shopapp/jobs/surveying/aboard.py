"""What is aboard and how it is known, read once for a survey sheet."""

from datetime import datetime
from functools import cached_property

from django.utils import timezone

from shopapp.boats.facts import is_soft, subject_of
from shopapp.boats.models import Backbone, Bank, Boat, Cable, Evidence, Location, Route, Unit
from shopapp.catalog.models import EquipmentModel


class Aboard:
    """A boat's rows by name, and its holding evidence; each read at most once."""

    def __init__(self, boat: Boat, now: datetime | None = None) -> None:
        self.boat = boat
        self.now = now or timezone.now()

    @cached_property
    def units(self) -> dict[str, Unit]:
        """Units aboard, or not known to be gone, by name."""
        rows = self.boat.units.exclude(state__in=["removed", "stolen"])
        rows = rows.select_related("model__family", "location")
        return {row.name: row for row in rows.prefetch_related("model__releases")}

    @cached_property
    def banks(self) -> dict[str, Bank]:
        """Battery banks in use by name."""
        return {row.name: row for row in self.boat.banks.all() if row.retired_at is None}

    @cached_property
    def locations(self) -> dict[str, Location]:
        """Places by name."""
        return {row.name: row for row in self.boat.locations.all()}

    @cached_property
    def routes(self) -> dict[frozenset[str], Route]:
        """Ways by the names of their two places."""
        rows = self.boat.routes.select_related("a", "b")
        return {frozenset((row.a.name, row.b.name)): row for row in rows}

    @cached_property
    def cables(self) -> dict[str, Cable]:
        """Cables by label."""
        return {row.label: row for row in self.boat.cables.prefetch_related("ends")}

    @cached_property
    def backbones(self) -> dict[str, Backbone]:
        """Backbones by their number, with their drops."""
        rows = self.boat.backbones.prefetch_related("tees__drops__unit")
        return {str(row.pk): row for row in rows}

    @cached_property
    def evidence(self) -> list[Evidence]:
        """What holds, newest first."""
        return list(self.boat.evidence.filter(standing=Evidence.Standing.HOLDS))

    @cached_property
    def known(self) -> set[tuple[str, int, str]]:
        """Facts with evidence that holds and is not too old: (kind of thing, its number, fact)."""
        found = set()
        for row in self.evidence:
            slot, number = subject_of(row)
            if row.value and not is_soft(
                slot=slot, fact=row.fact, seen_at=row.seen_at, now=self.now
            ):
                found.add((slot, number, row.fact))
        return found

    def of_unit(self, unit: Unit) -> list[Evidence]:
        """The evidence of one unit."""
        return [row for row in self.evidence if row.unit_id == unit.pk]

    def siblings(self, unit: Unit) -> list[EquipmentModel]:
        """The models of the unit's family: what it could be mistaken for."""
        return list(
            EquipmentModel.objects.filter(family=unit.model.family_id, kind=unit.model.kind)
            .order_by("name")
            .only("code", "name")
        )
