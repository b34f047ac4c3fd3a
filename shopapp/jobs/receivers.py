"""What this room does when the stock room receives goods or ends an order."""

from typing import Any

from django.dispatch import receiver

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.jobs.services.arrivals import serve_waiting
from shopapp.jobs.services.shortages import lines_of_order_short_again
from shopapp.stock.models import PurchaseLine, PurchaseOrder
from shopapp.stock.signals import goods_received, order_ended


@receiver(goods_received)
def on_goods_received(*, line: PurchaseLine, part: Part, count: int, by: User, **_: Any) -> None:
    """Received pieces go to the pick lines that wait for them."""
    serve_waiting(order_line=line, part=part, count=count, by=by)


@receiver(order_ended)
def on_order_ended(*, order: PurchaseOrder, **_: Any) -> None:
    """What will not come is short again."""
    lines_of_order_short_again(order=order)
