"""The list behind every type-ahead field."""

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from shopapp.roles import may
from shopapp.ui.pick import pick_of


@require_GET
@login_required
def pick(request: HttpRequest, kind: str) -> HttpResponse:
    """Options of one kind for the words typed (`?q=`), bound by the kind's own action."""
    found = pick_of(kind)
    if found is None:
        raise Http404(f"Nothing to pick under {kind}.")
    if not may(request.user, found.action):
        raise PermissionDenied(found.action)
    options = found.options(request, request.GET.get("q", ""))
    return render(request, "ui/_pick_options.html", {"options": options})


# The action depends on the kind and is asked above.
pick.action = "by kind"
