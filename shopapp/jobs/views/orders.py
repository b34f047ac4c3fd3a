"""Pages of shortages and purchase orders: what to buy, what was promised, what came."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs import store_queries as queries
from shopapp.jobs.forms import store as forms
from shopapp.jobs.queries import papers_of
from shopapp.jobs.services import shortages
from shopapp.jobs.services.order_letters import send_out
from shopapp.roles import may, needs
from shopapp.stock import ordering
from shopapp.stock.models import PurchaseLine, PurchaseOrder
from shopapp.stock.order_states import COMING, ENDED, ORDER_MOVES
from shopapp.stock.receiving import receive
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
State = PurchaseOrder.State


@needs("orders.see")
@read_or_send
def shortage_list(request: HttpRequest) -> HttpResponse:
    """What open jobs are short of, by supplier; sent, it goes on each supplier's draft."""
    shop, sent = request.user.shop, request.method == "POST"
    form = forms.ShortagesForm(
        request.POST if sent else None,
        request=request,
        shop=shop,
        groups=shortages.shortages_of(shop),
    )
    if sent and not may(request.user, "orders.edit"):
        raise MoveRefused("Your role may not order.", todo="Ask the parts counter.")
    if sent and form.is_valid():
        try:
            orders = shortages.order_wanted(shop=shop, wants=form.wants(), by=request.user)
        except FactRefused as error:
            form.refuse(error)
        else:
            return _ordered(request, orders)
    status = 422 if sent else 200
    return render(request, "jobs/store/shortages.html", {"form": form}, status=status)


def _ordered(request: HttpRequest, orders: list[PurchaseOrder]) -> HttpResponse:
    if not orders:
        messages.info(request, "Nothing was asked for: write how many to order.")
        return redirect("jobs:shortages")
    messages.success(request, f"On {', '.join(str(order) for order in orders)}, ready to send.")
    if len(orders) == 1:
        return redirect("jobs:order", orders[0].pk)
    return redirect("jobs:orders")


@needs("orders.see")
@require_GET
def orders(request: HttpRequest) -> HttpResponse:
    """Purchase orders; those not ended unless asked otherwise."""
    facts = {
        "page": list_page(request, queries.orders_found(request.user.shop, request.GET)),
        "asked": request.GET,
        "states": State.choices,
    }
    return render(request, "jobs/store/orders.html", facts)


@needs("orders.edit")
@read_or_send
def order_add(request: HttpRequest) -> HttpResponse:
    """Begin an order, or open the draft that the supplier has."""
    form = forms.OrderForm(request.POST or None, request=request)
    if request.method == "POST" and form.is_valid():
        order = ordering.draft_for(supplier=form.cleaned_data["supplier"], by=request.user)
        return redirect("jobs:order", order.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/store/order_add.html", {"form": form}, status=status)


def _order(request: HttpRequest, pk: int) -> PurchaseOrder:
    return get_for(request, PurchaseOrder.objects.select_related("supplier", "made_by"), pk=pk)


def _order_line(request: HttpRequest, pk: int) -> PurchaseLine:
    rows = PurchaseLine.objects.select_related("part", "order__supplier")
    return get_for(request, rows, pk=pk, path="order__shop")


@needs("orders.see")
@require_GET
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """One order: its lines, what was promised, what came, who waits, its paper."""
    return _order_page(request, _order(request, pk))


FORMS = {
    "line_form": forms.OrderLineForm,
    "send_form": forms.SendForm,
    "confirm_form": forms.ConfirmForm,
    "end_form": forms.EndForm,
}


def _order_page(
    request: HttpRequest, row: PurchaseOrder, *, status: int = 200, **facts: object
) -> HttpResponse:
    lines = list(row.lines.select_related("part").prefetch_related("promises", "receipts__by"))
    known = [line.total_cents for line in lines if line.total_cents is not None]
    found = {
        "order": row,
        "lines": lines,
        "total_cents": sum(known),
        "unpriced": len(lines) - len(known),
        "moves": row.moves.select_related("by"),
        "waiting": shortages.waiting_on(row),
        "papers": papers_of(order=row),
        "letters": row.letters.select_related("by"),
        "next": ORDER_MOVES[State(row.state)],
        "coming": row.state in COMING or row.state == State.RECEIVED,
        "ended": row.state in ENDED,
    }
    found |= {name: _form(request, row, name) for name in FORMS}
    return render(request, "jobs/store/order.html", found | facts, status=status)


def _form(
    request: HttpRequest, row: PurchaseOrder, name: str, data: QueryDict | None = None
) -> BaseForm:
    more = {"to": row.supplier.email} if name == "send_form" else {}
    return FORMS[name](data, request=request, **more)


def _act(
    request: HttpRequest, row: PurchaseOrder, name: str, act: Callable[[BaseForm], str]
) -> HttpResponse:
    """Check one of the page's forms and act on it; refused, the page keeps what was typed."""
    form = _form(request, row, name, request.POST)
    if form.is_valid():
        try:
            words = act(form)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, words)
            return redirect("jobs:order", row.pk)
    return _order_page(request, row, status=422, **{name: form})


@needs("orders.edit")
@require_POST
def order_line_add(request: HttpRequest, pk: int) -> HttpResponse:
    """One more part on a draft."""
    row = _order(request, pk)

    def act(form: BaseForm) -> str:
        line = ordering.add_to_order(order=row, **form.cleaned_data)
        shortages.speak_for_waiting(shop=request.user.shop, part=line.part)
        return f"{line.quantity} × {line.part.number} stand on {row}."

    return _act(request, row, "line_form", act)


@needs("orders.edit")
@read_or_send
def order_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Another quantity or price on a draft; a new promise on an order that was sent."""
    line = _order_line(request, pk)
    draft = line.order.state == State.DRAFT
    kind = forms.ChangeLineForm if draft else forms.PromiseForm
    start = {"quantity": line.quantity, "unit_cents": line.unit_cents} if draft else {}
    form = kind(request.POST or None, request=request, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            if draft:
                ordering.change_line(line=line, **form.cleaned_data)
            else:
                ordering.note_promise(line=line, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            return redirect("jobs:order", line.order_id)
    facts = {"line": line, "order": line.order, "form": form, "draft": draft}
    facts["promises"] = line.promises.select_related("noted_by")
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/store/order_line.html", facts, status=status)


@needs("orders.edit")
@require_POST
def order_line_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a part off a draft."""
    line = _order_line(request, pk)
    ordering.drop_line(line=line)
    messages.info(request, f"{line.part.number} is off the order.")
    return redirect("jobs:order", line.order_id)


@needs("orders.edit")
@require_POST
def order_send(request: HttpRequest, pk: int) -> HttpResponse:
    """The order goes out, by e-mail where that is ticked; its paper is asked for."""
    row = _order(request, pk)

    def act(form: BaseForm) -> str:
        letter = send_out(order=row, by=request.user, **form.cleaned_data)
        if letter is None:
            return f"{row} is sent; its paper is being made."
        return f"{row} goes to {letter.to} as soon as its paper is made."

    return _act(request, row, "send_form", act)


@needs("orders.edit")
@require_POST
def order_confirm(request: HttpRequest, pk: int) -> HttpResponse:
    """The supplier confirmed it."""
    row = _order(request, pk)

    def act(form: BaseForm) -> str:
        ordering.confirm_order(order=row, by=request.user, **form.cleaned_data)
        return f"{row} is confirmed."

    return _act(request, row, "confirm_form", act)


@needs("orders.edit")
@require_POST
def order_end(request: HttpRequest, pk: int, after: str) -> HttpResponse:
    """Close or cancel an order; what has not come is short again."""
    row = _order(request, pk)
    if after not in ENDED:
        raise MoveRefused("An order is closed or cancelled.", todo="Use the buttons of its page.")

    def act(form: BaseForm) -> str:
        ordering.end_order(order=row, after=after, by=request.user, **form.cleaned_data)
        return f"{row} is {row.get_state_display().lower()}."

    return _act(request, row, "end_form", act)


@needs("orders.edit")
@read_or_send
def order_receive(request: HttpRequest, pk: int) -> HttpResponse:
    """Receive against one line."""
    line = _order_line(request, pk)
    form = forms.ReceiveForm(request.POST or None, request=request, line=line)
    if request.method == "POST" and form.is_valid():
        try:
            receive(line=line, delivery=form.delivery(), by=request.user)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{line.part.number} is booked in.")
            return redirect("jobs:order", line.order_id)
    facts = {"line": line, "order": line.order, "form": form}
    facts["receipts"] = line.receipts.select_related("by", "came_as", "stock")
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/store/receive.html", facts, status=status)
