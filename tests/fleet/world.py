"""A small fleet: boats with a display, some beside a radar or a switch, and notes on them."""

from django.utils import timezone

from shopapp.boats.models import Boat, Location, Unit
from shopapp.fleet.services.known import Naming, make_known
from shopapp.jobs.models import Job, Problem
from tests.factories.catalog import EquipmentModelFactory, SwitchFactory
from tests.factories.jobs import make_boat


class Fleet:
    """Lays down boats and notes by a word each."""

    def __init__(self, shop):
        self.shop = shop
        self.display = EquipmentModelFactory(
            shop=shop, code="plover", name="Bench Plover", releases=["1.0", "2.0"]
        )
        self.radar = EquipmentModelFactory(
            shop=shop, code="heron", name="Bench Heron", kind="radar", releases=["3.0", "3.1"]
        )
        self.switch = SwitchFactory(shop=shop, code="weir", name="Bench Weir")
        self.releases = {row.name: row for row in self.display.releases.all()}
        self.releases |= {row.name: row for row in self.radar.releases.all()}
        self.boats: list[Boat] = []

    def boat(self, *units, **facts) -> Boat:
        """A boat with units given as "plover 1.0", "heron", "weir"; a display at 1.0 if none."""
        boat = make_boat(self.shop, name=f"Owner {len(self.boats)}")
        name = f"Boat {len(self.boats):03d}"
        Boat.objects.filter(pk=boat.pk).update(name=name, search=name.lower(), **facts)
        boat.refresh_from_db()
        place = Location.objects.create(boat=boat, name="console")
        models = {row.code: row for row in (self.display, self.radar, self.switch)}
        for number, words in enumerate(units or ("plover 1.0",)):
            code, _, release = words.partition(" ")
            Unit.objects.create(
                boat=boat,
                name=f"u{number}",
                model=models[code],
                release=self.releases.get(release),
                location=place,
                networked=True,
                fitted_on=timezone.localdate(),
            )
        self.boats.append(boat)
        return boat

    def note(self, boat=None, *, model="display", release="1.0", at=None, **facts) -> Problem:
        """A note on a boat; reboots of its display at 1.0 unless said otherwise."""
        boat = boat or self.boat()
        job, _ = Job.objects.get_or_create(
            shop=self.shop,
            boat=boat,
            customer=boat.customer,
            number=f"J-{boat.pk}",
            defaults={"title": "Visit", "state": "done", "done_at": timezone.now()},
        )
        facts = {"symptom": "reboots", "words": "Reboots when the engine starts."} | facts
        return Problem.objects.create(
            shop=self.shop,
            job=job,
            boat=boat,
            model=getattr(self, model) if model else None,
            release=self.releases.get(release),
            noted_at=at or timezone.now(),
            **facts,
        )

    def known(self, *notes, by=None, **facts):
        """A known problem made of notes."""
        facts = {"title": "Reboots at engine start", "symptom": "reboots"} | facts
        facts.setdefault("model", self.display)
        return make_known(shop=self.shop, problems=notes, naming=Naming(**facts), by=by)
