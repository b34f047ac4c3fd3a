"""Customers: people, how to reach them, and who may approve what."""

from typing import Self

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Retirable, Shop


class CustomerQuerySet(Retirable):
    """Questions about customers."""

    def matching(self, words: str) -> Self:
        """Those whose name, e-mail or phone holds every word."""
        found = self
        for word in words.lower().split():
            found = found.filter(search__contains=word)
        return found


class Customer(models.Model):
    """A person or firm that owns boats and pays for work."""

    class Way(models.TextChoices):
        PHONE = "phone", "Phone"
        TEXT = "text", "Text message"
        EMAIL = "email", "E-mail"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="customers")
    name = models.CharField(max_length=120)
    billing_name = models.CharField(max_length=160, blank=True)
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    preferred_way = models.CharField(max_length=5, choices=Way.choices, default=Way.PHONE)
    hours = models.CharField("hours to reach", max_length=80, blank=True)
    approve_limit_cents = models.PositiveIntegerField(
        "may go on without asking up to", null=True, blank=True
    )
    tax_exempt = models.BooleanField(default=False)
    tax_certificate = models.CharField(max_length=80, blank=True)
    payment_terms = models.CharField(max_length=120, blank=True)
    office_note = models.TextField("note for the office", blank=True)
    technician_note = models.TextField("note for the technician", blank=True)
    search = models.CharField(max_length=400, editable=False, default="")
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["search"])

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        indexes = [models.Index(fields=["shop", "name", "id"])]
        constraints = [
            models.CheckConstraint(
                name="customer_exemption_has_certificate",
                condition=Q(tax_exempt=False) | ~Q(tax_certificate=""),
                violation_error_message="A tax-exempt customer needs the certificate's number.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Phone(models.Model):
    """A number to ring, in the order to try."""

    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="phones")
    number = models.CharField(max_length=40)
    label = models.CharField(max_length=40, blank=True)
    position = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["customer", "number"], name="phone_once_a_customer"),
        ]

    def __str__(self) -> str:
        return self.number


class Approver(models.Model):
    """Somebody who may say yes for the customer, up to an amount."""

    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="approvers")
    name = models.CharField(max_length=120)
    relation = models.CharField(max_length=60, blank=True)
    up_to_cents = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["customer", "name"], name="approver_once_a_customer"),
        ]

    def __str__(self) -> str:
        return self.name
