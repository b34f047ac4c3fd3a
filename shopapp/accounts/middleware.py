"""Keep the shop's clock and the list of sign-ins in step with each request."""

from collections.abc import Callable
from datetime import timedelta
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone

from shopapp.accounts.models import SignIn

SEEN_EVERY = timedelta(minutes=10)
OPEN_BEFORE_CHANGE = {"accounts:password", "accounts:sign_out"}


class SignInMiddleware:
    """Shows times in the shop's zone and notes when a session was last seen."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer under the shop's clock."""
        user = request.user
        if not (user.is_authenticated and user.shop_id):
            return self.get_response(request)
        note_seen(request)
        with timezone.override(ZoneInfo(user.shop.time_zone)):
            return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: object, args: object, kwargs: object
    ) -> HttpResponse | None:
        """Whoever still has a temporary password chooses an own one first."""
        if not getattr(request.user, "must_change_password", False):
            return None
        if request.resolver_match.view_name in OPEN_BEFORE_CHANGE:
            return None
        if request.path.startswith("/api/"):
            return JsonResponse({"title": "Choose your own password first"}, status=403)
        return redirect("accounts:password")


def note_seen(request: HttpRequest) -> None:
    """Write the time last seen, at most every ten minutes a session."""
    now = timezone.now()
    before = request.session.get("seen_at", 0)
    if now.timestamp() - before < SEEN_EVERY.total_seconds():
        return
    request.session["seen_at"] = now.timestamp()
    SignIn.objects.filter(session_key=request.session.session_key).update(last_seen_at=now)
