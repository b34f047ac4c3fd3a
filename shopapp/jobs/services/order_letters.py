"""A purchase order on its way to the supplier: its paper, and an e-mail where that is wished."""

from django.db import transaction
from django.template.loader import render_to_string

from shopapp.accounts.models import User
from shopapp.errors import FactRefused
from shopapp.jobs.documents.store_sheets import order_for_paper, purchase_facts
from shopapp.jobs.models import Document, Letter
from shopapp.jobs.services.letters import write_letter
from shopapp.jobs.services.papers import request_document
from shopapp.stock.models import PurchaseOrder
from shopapp.stock.ordering import send_order


@transaction.atomic
def send_out(
    *, order: PurchaseOrder, by: User, note: str = "", by_mail: bool = False
) -> Letter | None:
    """The order is sent and its paper asked for; by mail, a letter waits for the paper.

    The letter says the lines in plain words too, so that it is an order even where the PDF could
    not be made. FactRefused (`by_mail`) where the supplier has no address; MoveRefused where
    nothing stands on the order, or it was sent before.
    """
    to = order.supplier.email
    if by_mail and not to:
        raise FactRefused(
            f"No e-mail address of {order.supplier} is on record.",
            field="by_mail",
            todo="Write it on the supplier's page, or send the order another way.",
        )
    said = f"By e-mail to {to}." if by_mail else ""
    send_order(order=order, by=by, note=f"{said} {note}".strip())
    paper = request_document(kind=Document.DocumentKind.PURCHASE, by=by, order=order)
    return _letter(order, paper, by) if by_mail else None


def _letter(order: PurchaseOrder, paper: Document, by: User) -> Letter | None:
    facts = purchase_facts(order_for_paper(order.pk))
    return write_letter(
        shop=order.shop,
        order=order,
        about=Letter.About.ORDER,
        once=f"order-{order.pk}-sent",
        to=order.supplier.email,
        subject=f"{order.shop.name}: purchase order {order}",
        body=render_to_string("jobs/order_letter.txt", {"facts": facts}),
        paper=paper,
        by=by,
    )
