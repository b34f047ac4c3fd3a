"""What lies where, what is on its way, from whom, and how it was counted."""

from shopapp.stock.models.counting import CountRow, CountSheet
from shopapp.stock.models.items import Movement, Piece, Place, StockItem
from shopapp.stock.models.orders import OrderMove, Promise, PurchaseLine, PurchaseOrder, Receipt
from shopapp.stock.models.supply import KitPart, PriceFile, Substitute, SupplierPrice

__all__ = [
    "CountRow",
    "CountSheet",
    "KitPart",
    "Movement",
    "OrderMove",
    "Piece",
    "Place",
    "PriceFile",
    "Promise",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "StockItem",
    "Substitute",
    "SupplierPrice",
]
