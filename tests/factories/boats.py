"""Boats and all aboard for tests."""

import factory
from factory.django import DjangoModelFactory

from shopapp.boats.models import (
    Backbone,
    Bank,
    Boat,
    Cable,
    CableEnd,
    Drop,
    Evidence,
    Feed,
    How,
    Location,
    Ownership,
    Photo,
    Route,
    Segment,
    Tee,
    Unit,
)
from shopapp.boats.services.words import freshen
from tests.factories.accounts import ShopFactory, UserFactory
from tests.factories.catalog import CablePartFactory, EquipmentModelFactory
from tests.factories.customers import CustomerFactory


class BoatFactory(DjangoModelFactory):
    """A boat of 22 ft of a new customer of the shop, found by its words as in the shop."""

    class Meta:
        model = Boat

    shop = factory.SubFactory(ShopFactory)
    customer = factory.SubFactory(CustomerFactory, shop=factory.SelfAttribute("..shop"))
    name = factory.Sequence(lambda n: f"Boat {n}")
    length_ft = "22.0"
    beam_ft = "8.5"
    fuel = Boat.Fuel.GASOLINE_OUTBOARD
    dc_volts = 12

    @classmethod
    def _create(cls, model_class: type[Boat], *args: object, **kwargs: object) -> Boat:
        boat = model_class(*args, **kwargs)
        freshen(boat)
        boat.save()
        boat.refresh_from_db()
        return boat


class OwnershipFactory(DjangoModelFactory):
    class Meta:
        model = Ownership

    boat = factory.SubFactory(BoatFactory)
    customer = factory.SelfAttribute("boat.customer")


class BankFactory(DjangoModelFactory):
    class Meta:
        model = Bank

    boat = factory.SubFactory(BoatFactory)
    name = factory.Sequence(lambda n: f"Bank {n}")
    use = Bank.Use.HOUSE
    chemistry = Bank.Chemistry.AGM


class LocationFactory(DjangoModelFactory):
    class Meta:
        model = Location

    boat = factory.SubFactory(BoatFactory)
    name = factory.Sequence(lambda n: f"Place {n}")


class RouteFactory(DjangoModelFactory):
    class Meta:
        model = Route

    boat = factory.SubFactory(BoatFactory)
    a = factory.SubFactory(LocationFactory, boat=factory.SelfAttribute("..boat"))
    b = factory.SubFactory(LocationFactory, boat=factory.SelfAttribute("..boat"))
    feet = 14


class UnitFactory(DjangoModelFactory):
    """A display aboard, on the Ethernet, of a model of the boat's shop."""

    class Meta:
        model = Unit

    boat = factory.SubFactory(BoatFactory)
    name = factory.Sequence(lambda n: f"d{n}")
    model = factory.SubFactory(EquipmentModelFactory, shop=factory.SelfAttribute("..boat.shop"))
    location = factory.SubFactory(LocationFactory, boat=factory.SelfAttribute("..boat"))
    networked = True


class CableFactory(DjangoModelFactory):
    """A cable of 10 ft; `ends=[(unit, port), (unit, port)]` puts it into ports."""

    class Meta:
        model = Cable
        skip_postgeneration_save = True

    boat = factory.SubFactory(BoatFactory)
    label = factory.Sequence(lambda n: f"c{n}")
    part = factory.SubFactory(CablePartFactory, shop=factory.SelfAttribute("..boat.shop"))

    @factory.post_generation
    def ends(self: Cable, create: bool, ports: list[tuple], **kwargs: object) -> None:
        for side, (unit, port) in zip("ab", ports or [], strict=False):
            CableEnd.objects.create(
                cable=self, side=side, unit=unit, port=port, location=unit.location
            )


class CableEndFactory(DjangoModelFactory):
    class Meta:
        model = CableEnd

    cable = factory.SubFactory(CableFactory)
    side = "a"
    location = factory.SubFactory(LocationFactory, boat=factory.SelfAttribute("..cable.boat"))


class BackboneFactory(DjangoModelFactory):
    class Meta:
        model = Backbone

    boat = factory.SubFactory(BoatFactory)
    name = factory.Sequence(lambda n: f"Backbone {n}")


class TeeFactory(DjangoModelFactory):
    class Meta:
        model = Tee

    backbone = factory.SubFactory(BackboneFactory)
    name = factory.Sequence(lambda n: f"T{n}")
    position = factory.Sequence(lambda n: n + 1)
    location = factory.SubFactory(LocationFactory, boat=factory.SelfAttribute("..backbone.boat"))


class SegmentFactory(DjangoModelFactory):
    class Meta:
        model = Segment

    backbone = factory.SelfAttribute("from_tee.backbone")
    from_tee = factory.SubFactory(TeeFactory)
    to_tee = factory.SubFactory(TeeFactory, backbone=factory.SelfAttribute("..from_tee.backbone"))
    metres = "2.00"


class DropFactory(DjangoModelFactory):
    class Meta:
        model = Drop

    tee = factory.SubFactory(TeeFactory)
    metres = "1.00"


class FeedFactory(DjangoModelFactory):
    class Meta:
        model = Feed

    tee = factory.SubFactory(TeeFactory)
    fuse_ma = 3000


class EvidenceFactory(DjangoModelFactory):
    """Something seen aboard just now."""

    class Meta:
        model = Evidence

    boat = factory.SubFactory(BoatFactory)
    fact = "length_ft"
    value = "22"
    how = How.SEEN
    by = factory.SubFactory(UserFactory, shop=factory.SelfAttribute("..boat.shop"))


class PhotoFactory(DjangoModelFactory):
    """A photo's row; its file is not on disk."""

    class Meta:
        model = Photo

    boat = factory.SubFactory(BoatFactory)
    digest = factory.Sequence(lambda n: f"{n:064x}")
    image = factory.LazyAttribute(lambda o: f"photos/{o.digest}.jpg")
    by = factory.SubFactory(UserFactory, shop=factory.SelfAttribute("..boat.shop"))
