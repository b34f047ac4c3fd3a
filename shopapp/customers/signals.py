"""What other rooms may want to hear from this one."""

from django.dispatch import Signal

# Sent with `customer` after its name or the ways to reach it changed: rooms that
# keep the owner's name in a search column bring it up to date.
customer_renamed = Signal()
