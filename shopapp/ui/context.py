"""What every page knows."""

from django.http import HttpRequest


def shop(request: HttpRequest) -> dict[str, object]:
    """The person's shop, None before sign-in."""
    user = getattr(request, "user", None)
    return {"shop": getattr(user, "shop", None) if user else None}
