"""Keep the shop's clock and the list of sign-ins in step with each request."""

from collections.abc import Callable
from datetime import timedelta
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shopapp.accounts.models import SignIn

SEEN_EVERY = timedelta(minutes=10)


class SignInMiddleware:
    """Shows times in the shop's zone and notes when a session was last seen."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        user = request.user
        if not (user.is_authenticated and user.shop_id):
            return self.get_response(request)
        note_seen(request)
        with timezone.override(ZoneInfo(user.shop.time_zone)):
            return self.get_response(request)


def note_seen(request: HttpRequest) -> None:
    """Write the time last seen, at most every ten minutes a session."""
    now = timezone.now()
    before = request.session.get("seen_at", 0)
    if now.timestamp() - before < SEEN_EVERY.total_seconds():
        return
    request.session["seen_at"] = now.timestamp()
    SignIn.objects.filter(session_key=request.session.session_key).update(last_seen_at=now)
