"""What every paper shows: the shop, the boat, dates, the code that opens the record."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import segno
from django.conf import settings

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat
from shopapp.customers.models import Customer
from shopapp.ui.templatetags.ui import day

Facts = dict[str, object]


def shop_facts(shop: Shop) -> Facts:
    """The letterhead."""
    return {
        "name": shop.name,
        "address": [line for line in shop.address.splitlines() if line.strip()],
        "phone": shop.phone,
        "email": shop.email,
        "currency": shop.currency,
    }


def boat_facts(boat: Boat) -> Facts:
    """The boat's identity and where it lies."""
    return {
        "name": boat.name,
        "hull_number": boat.hull_number or boat.hull_number_read,
        "registration": boat.registration,
        "builder": boat.builder,
        "length_ft": _number(boat.length_ft),
        "beam_ft": _number(boat.beam_ft),
        "berth": ", ".join(one for one in (boat.marina, boat.berth) if one),
        "fuel": boat.get_fuel_display(),
        "dc_volts": boat.dc_volts,
    }


def customer_facts(customer: Customer) -> Facts:
    """How to reach the customer; reads the phones (one query unless prefetched)."""
    return {
        "name": customer.name,
        "billing_name": customer.billing_name,
        "address": [line for line in customer.address.splitlines() if line.strip()],
        "email": customer.email,
        "phones": [
            f"{phone.number} ({phone.label})" if phone.label else phone.number
            for phone in customer.phones.all()
        ],
        "way": customer.get_preferred_way_display(),
        "hours": customer.hours,
    }


def local_day(moment: datetime | None, shop: Shop) -> date | None:
    """The day of a moment where the shop is."""
    return None if moment is None else moment.astimezone(ZoneInfo(shop.time_zone)).date()


def day_words(value: date | None) -> str:
    """A date as on every page, `25 Nov 2026`; empty where there is none."""
    return "" if value is None else day(value)


def site_address(path: str) -> str:
    """A full address of the desk, for codes on paper."""
    return f"{settings.SITE_ADDRESS}{path}"


def code_picture(address: str) -> str:
    """A QR code as inline SVG; black on white, readable from print."""
    return segno.make(address, error="m", micro=False).svg_inline(
        border=2, omitsize=True, lineclass=None, svgclass="qr", dark="#000", light="#fff"
    )


def _number(value: object) -> str:
    return "" if value is None else f"{value:f}".rstrip("0").rstrip(".")
