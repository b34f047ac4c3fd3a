"""Pages of customers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.customers import services
from shopapp.customers.forms import CustomerForm, customer_sheets
from shopapp.customers.models import Customer
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])


@needs("customers.see")
@require_GET
def customers(request: HttpRequest) -> HttpResponse:
    """The list, searched by name, e-mail and phone; `?retired=1` shows the retired ones."""
    retired = request.GET.get("retired") == "1"
    rows = Customer.objects.of(request.user.shop_id).filter(retired_at__isnull=not retired)
    rows = rows.matching(request.GET.get("q", "")).prefetch_related("phones", "boats")
    facts = {"page": list_page(request, rows), "retired": retired}
    return render(request, "customers/customers.html", facts)


@needs("customers.see")
@require_GET
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    """One customer: how to reach them, who approves, boats, quotes, jobs, changes."""
    row = get_for(request, Customer, pk=pk)
    facts = {
        "customer": row,
        "phones": row.phones.all(),
        "approvers": row.approvers.all(),
        "boats": row.boats.all(),
        "sold": row.ownerships.filter(until__isnull=False).select_related("boat"),
        "quotes": row.quotes.select_related("boat").order_by("-made_at")[:10],
        "changes": changes_of(row, limit=20),
    }
    return render(request, "customers/customer.html", facts)


@needs("customers.edit")
@read_or_send
def add(request: HttpRequest) -> HttpResponse:
    """Add a customer."""
    return _edit(request, Customer(shop=request.user.shop))


@needs("customers.edit")
@read_or_send
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a customer."""
    return _edit(request, get_for(request, Customer, pk=pk))


def _edit(request: HttpRequest, row: Customer) -> HttpResponse:
    data = request.POST or None
    form = CustomerForm(data, instance=row)
    phones, approvers = customer_sheets(data, row)
    sent = request.method == "POST"
    if sent and all([form.is_valid(), phones.is_valid(), approvers.is_valid()]):
        services.save_customer(
            customer=form.instance, phones=phones.rows(), approvers=approvers.rows()
        )
        messages.success(request, f"{form.instance.name} is saved.")
        return redirect("customers:customer", form.instance.pk)
    name = Customer.objects.get(pk=row.pk).name if row.pk else ""
    facts = {"form": form, "phones": phones, "approvers": approvers, "name": name, "row": row}
    return render(request, "customers/edit.html", facts, status=422 if sent else 200)


@needs("customers.edit")
@require_POST
def retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a customer out of the lists."""
    row = get_for(request, Customer, pk=pk)
    services.retire_customer(customer=row)
    messages.info(request, f"{row.name} is retired. Press “Restore” to take that back.")
    return redirect("customers:customer", pk)


@needs("customers.edit")
@require_POST
def restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a retired customer back."""
    row = get_for(request, Customer, pk=pk)
    services.restore_customer(customer=row)
    messages.success(request, f"{row.name} is back in the list.")
    return redirect("customers:customer", pk)


@needs("customers.edit")
@read_or_send
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a customer that nothing refers to; asks first."""
    row = get_for(request, Customer, pk=pk)
    if request.method != "POST":
        return render(request, "customers/delete.html", {"customer": row})
    services.delete_customer(customer=row)
    messages.info(request, f"{row.name} is deleted.")
    return redirect("customers:customers")
