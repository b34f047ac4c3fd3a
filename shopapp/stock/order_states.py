"""The life of a purchase order: which moves exist."""

from shopapp.stock.models import PurchaseOrder

State = PurchaseOrder.State

# A supplier may deliver before confirming, and the rest of a delivery may never come.
ORDER_MOVES: dict[str, frozenset[str]] = {
    State.DRAFT: frozenset({State.SENT, State.CANCELLED}),
    State.SENT: frozenset({State.CONFIRMED, State.PART_RECEIVED, State.RECEIVED, State.CANCELLED}),
    State.CONFIRMED: frozenset({State.PART_RECEIVED, State.RECEIVED, State.CANCELLED}),
    State.PART_RECEIVED: frozenset({State.RECEIVED, State.CLOSED}),
    State.RECEIVED: frozenset({State.CLOSED}),
    State.CLOSED: frozenset(),
    State.CANCELLED: frozenset(),
}
COMING = (State.SENT, State.CONFIRMED, State.PART_RECEIVED)
OPEN = (State.DRAFT, *COMING)
ENDED = (State.CLOSED, State.CANCELLED)
