"""Makers, parts and models for tests; each row is found by its words, as in the shop."""

import factory
from factory.django import DjangoModelFactory

from shopapp.catalog.models import (
    EquipmentModel,
    Family,
    Kind,
    LabourTask,
    Maker,
    Part,
    PortLight,
    Release,
    Supplier,
    Update,
)
from shopapp.catalog.services.search import words_of_model
from shopapp.stock.models import Movement, StockItem
from tests.factories.accounts import ShopFactory


class SupplierFactory(DjangoModelFactory):
    class Meta:
        model = Supplier

    shop = factory.SubFactory(ShopFactory)
    name = factory.Sequence(lambda n: f"Dockside Wholesale {n}")


class PartFactory(DjangoModelFactory):
    """A small part with a price; the kinds have factories of their own below."""

    class Meta:
        model = Part

    shop = factory.SubFactory(ShopFactory)
    number = factory.Sequence(lambda n: f"P-{n:04d}")
    name = factory.Sequence(lambda n: f"Small part {n}")
    kind = Part.PartKind.SMALL
    price_cents = 1500
    search = factory.LazyAttribute(
        lambda o: f"{o.number} {o.name} {Part.PartKind(o.kind).label}".lower()
    )


class EquipmentPartFactory(PartFactory):
    """What a model is sold as."""

    number = factory.Sequence(lambda n: f"EQ-{n:04d}")
    name = factory.Sequence(lambda n: f"Equipment {n}")
    kind = Part.PartKind.EQUIPMENT
    price_cents = 150000
    cost_cents = 110000


class AdapterFactory(PartFactory):
    number = factory.Sequence(lambda n: f"AD-{n:03d}")
    name = factory.Sequence(lambda n: f"Adapter lead {n}")
    kind = Part.PartKind.ADAPTER
    price_cents = 2900


class LeadFactory(PartFactory):
    number = factory.Sequence(lambda n: f"LD-{n:03d}")
    name = factory.Sequence(lambda n: f"Power lead {n}")
    kind = Part.PartKind.LEAD
    price_cents = 3900


class FuseFactory(PartFactory):
    number = factory.LazyAttributeSequence(lambda o, n: f"FU-{o.fuse_ma}-{n}")
    name = factory.LazyAttribute(lambda o: f"Fuse {o.fuse_ma} mA")
    kind = Part.PartKind.FUSE
    price_cents = 450
    fuse_ma = 5000


class CablePartFactory(PartFactory):
    number = factory.LazyAttributeSequence(lambda o, n: f"CA-{o.cable_ft}-{n}")
    name = factory.LazyAttribute(lambda o: f"Network cable {o.cable_ft} ft")
    kind = Part.PartKind.CABLE
    price_cents = 4500
    cable_ft = 10


class StockItemFactory(DjangoModelFactory):
    """Ten pieces on a shelf, none spoken for."""

    class Meta:
        model = StockItem

    shop = factory.SelfAttribute("part.shop")
    part = factory.SubFactory(PartFactory)
    place = factory.Sequence(lambda n: f"Shelf {n}")
    on_hand = 10
    reserved = 0

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        item = super()._create(model_class, *args, **kwargs)
        explain(item)
        return item


def explain(item: StockItem) -> StockItem:
    """The movement that makes the counts of a row written straight."""
    counts = {name: getattr(item, name) for name in ("on_hand", "reserved", "picked")}
    if any(counts.values()):
        Movement.objects.create(
            shop_id=item.shop_id, stock=item, kind="adjust", reason="as laid down", **counts
        )
    return item


class MakerFactory(DjangoModelFactory):
    class Meta:
        model = Maker

    shop = factory.SubFactory(ShopFactory)
    name = factory.Sequence(lambda n: f"Bench Maker {n}")


class FamilyFactory(DjangoModelFactory):
    class Meta:
        model = Family

    maker = factory.SubFactory(MakerFactory)
    name = factory.Sequence(lambda n: f"Line {n}")


class EquipmentModelFactory(DjangoModelFactory):
    """A display of one port without firmware.

    `releases=["1.0", "2.0"]` lays releases down, oldest first, and ships the
    newest (or the one named by `ships="1.0"`); `updates=[("1.0", "2.0", 20)]` lays
    down the steps with their minutes; `sold=False` leaves it without a part.
    """

    class Meta:
        model = EquipmentModel
        skip_postgeneration_save = True
        exclude = ["sold"]

    class Params:
        sold = True

    shop = factory.SubFactory(ShopFactory)
    family = factory.SubFactory(FamilyFactory, maker__shop=factory.SelfAttribute("...shop"))
    code = factory.Sequence(lambda n: f"model-{n}")
    name = factory.Sequence(lambda n: f"Bench Model {n}")
    kind = Kind.DISPLAY
    ports = 1
    bridges = factory.LazyAttribute(lambda o: o.kind == Kind.SWITCH)
    fit_minutes = 60
    remove_minutes = 30
    draw_ma = 1500
    part = factory.Maybe(
        "sold",
        factory.SubFactory(EquipmentPartFactory, shop=factory.SelfAttribute("..shop")),
        None,
    )

    @factory.post_generation
    def releases(self: EquipmentModel, create: bool, names: list[str], **kwargs: object) -> None:
        rows = [
            Release.objects.create(model=self, name=name, rank=rank)
            for rank, name in enumerate(names or [], start=1)
        ]
        ships = kwargs.get("ships")
        chosen = [row for row in rows if row.name == ships] or rows
        self.ships_with = chosen[-1] if chosen else None

    @factory.post_generation
    def updates(self: EquipmentModel, create: bool, steps: list[tuple], **kwargs: object) -> None:
        rows = {row.name: row for row in self.releases.all()}
        for old, new, minutes in steps or []:
            Update.objects.create(
                model=self, from_release=rows[old], to_release=rows[new], minutes=minutes
            )

    @classmethod
    def _after_postgeneration(
        cls, instance: EquipmentModel, create: bool, results: object = None
    ) -> None:
        instance.search = words_of_model(instance)
        instance.save()


class SwitchFactory(EquipmentModelFactory):
    """A network switch of five ports, without firmware."""

    code = factory.Sequence(lambda n: f"switch-{n}")
    name = factory.Sequence(lambda n: f"Bench Switch {n}")
    kind = Kind.SWITCH
    ports = 5
    draw_ma = 400


class ReleaseFactory(DjangoModelFactory):
    class Meta:
        model = Release

    model = factory.SubFactory(EquipmentModelFactory)
    name = factory.Sequence(lambda n: f"{n}.0")
    rank = factory.Sequence(lambda n: n + 1)


class PortLightFactory(DjangoModelFactory):
    class Meta:
        model = PortLight

    model = factory.SubFactory(EquipmentModelFactory)
    colour = "green"
    pattern = PortLight.Pattern.STEADY
    meaning = "Link is up"


class LabourTaskFactory(DjangoModelFactory):
    class Meta:
        model = LabourTask

    shop = factory.SubFactory(ShopFactory)
    code = factory.Sequence(lambda n: f"T{n:02d}")
    name = factory.Sequence(lambda n: f"Task {n}")
    low_minutes = 10
    typical_minutes = 20
    high_minutes = 30
