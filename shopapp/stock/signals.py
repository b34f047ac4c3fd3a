"""What other rooms may want to hear from this one."""

from django.dispatch import Signal

# Sent inside the transaction with `line` (the purchase line), `part` (what really came), `stock`
# (where it lies), `count` (good pieces) and `by`: rooms that wait for parts take theirs first.
goods_received = Signal()

# Sent inside the transaction with `order` and `by` when its open lines will not come any more:
# rooms that had spoken for them are short again.
order_ended = Signal()
