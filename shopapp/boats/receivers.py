"""What this room does when others change something."""

from typing import Any

from django.dispatch import receiver

from shopapp.boats.services.boats import follow_owner
from shopapp.customers.models import Customer
from shopapp.customers.signals import customer_renamed


@receiver(customer_renamed)
def on_customer_renamed(*, customer: Customer, **_: Any) -> None:
    """The owner's name is among the words by which a boat is found."""
    follow_owner(customer=customer)
