"""A small store for tests: parts on shelves, a supplier, jobs that want parts."""

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.catalog.models import Part, Supplier
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.stock.models import Movement, Piece, PurchaseLine, StockItem
from shopapp.stock.ordering import add_to_order, draft_for, send_order
from shopapp.stock.services import reserve
from tests.factories.catalog import (
    CablePartFactory,
    EquipmentPartFactory,
    PartFactory,
    StockItemFactory,
    SupplierFactory,
)
from tests.factories.jobs import make_boat


class Store:
    """What a parts person works with; `job()` lays a pick list, short where stock is short."""

    def __init__(self, shop: Shop, by: User) -> None:
        self.shop, self.by = shop, by
        self.boat: Boat = make_boat(shop)
        self.supplier: Supplier = SupplierFactory(shop=shop, name="Quayside Supply")
        made = {"shop": shop, "supplier": self.supplier}
        self.lead: Part = PartFactory(number="LD-1", name="Power lead", barcode="400001", **made)
        self.cable: Part = CablePartFactory(number="CA-10", cable_ft=10, cost_cents=900, **made)
        self.longer: Part = CablePartFactory(number="CA-20", cable_ft=20, **made)
        self.shorter: Part = CablePartFactory(number="CA-5", cable_ft=5, **made)
        self.box: Part = EquipmentPartFactory(number="EQ-1", name="Bench Display", **made)

    def shelf(self, part: Part, on_hand: int, place: str = "A1") -> StockItem:
        return StockItemFactory(part=part, on_hand=on_hand, place=place)

    def job(self, *wants: tuple[Part, int], number: str = "J-5001", state: str = "waiting") -> Job:
        job = Job.objects.create(
            shop=self.shop,
            number=number,
            boat=self.boat,
            customer=self.boat.customer,
            title="A third display",
            state=state,
        )
        pick_list = PickList.objects.create(job=job)
        position = 0
        for part, count in wants:
            taken = reserve(part=part, count=count, ref=number)
            short = count - sum(pieces for _, pieces in taken)
            for stock, pieces in [*taken, *([(None, short)] if short else [])]:
                position += 1
                PickLine(
                    pick_list=pick_list,
                    position=position,
                    part=part,
                    wanted=pieces,
                    stock=stock,
                    reserved=pieces if stock else 0,
                ).settle_state().save()
        return job

    def ordered(self, part: Part, count: int) -> PurchaseLine:
        """So many on an order that was sent."""
        order = draft_for(supplier=self.supplier, by=self.by)
        line = add_to_order(order=order, part=part, quantity=count)
        send_order(order=order, by=self.by)
        line.refresh_from_db()
        return line

    def boxes(self, item: StockItem, *serials: str) -> list[Piece]:
        return [
            Piece.objects.create(shop=self.shop, part=item.part, serial=serial, stock=item)
            for serial in serials
        ]


def lines_of(job: Job) -> list[PickLine]:
    return list(PickLine.objects.filter(pick_list__job=job).order_by("position"))


def states_of(job: Job) -> list[str]:
    return [line.state for line in lines_of(job)]


def explained(shop: Shop) -> bool:
    """Whether every count is the sum of its movements."""
    for item in StockItem.objects.filter(shop=shop):
        rows = Movement.objects.filter(stock=item)
        for name in ("on_hand", "reserved", "picked"):
            if getattr(item, name) != sum(rows.values_list(name, flat=True)):
                return False
    return True
