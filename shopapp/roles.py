"""Who may do what: one table of actions and roles, asked everywhere.

An action is named `room.verb`. A view says `@needs("boats.edit")`; templates
ask `{% may "boats.edit" as ok %}`; the API names its actions likewise.
"""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import HttpRequest, HttpResponse


class Role(models.TextChoices):
    """What a person does in the shop."""

    WRITER = "writer", "Service writer"
    TECHNICIAN = "technician", "Technician"
    MANAGER = "manager", "Manager"
    PARTS = "parts", "Parts counter"
    OWNER = "owner", "Owner of the system"


EVERYONE = frozenset(Role.values)
DESK = frozenset({Role.WRITER, Role.MANAGER, Role.OWNER})
OFFICE = DESK | {Role.PARTS}

ACTIONS: dict[str, frozenset[str]] = {
    "home.see": EVERYONE,
    "search.use": EVERYONE,
    "customers.see": DESK | {Role.PARTS},
    "customers.edit": DESK,
    "boats.see": EVERYONE,
    "boats.edit": DESK | {Role.TECHNICIAN},
    "boats.retire": DESK,
    "catalog.see": EVERYONE,
    "catalog.edit": frozenset({Role.MANAGER, Role.PARTS, Role.OWNER}),
    "catalog.costs": OFFICE,
    "parts.see": EVERYONE,
    "parts.edit": frozenset({Role.MANAGER, Role.PARTS, Role.OWNER}),
    "parts.count": frozenset({Role.MANAGER, Role.PARTS, Role.OWNER}),
    "orders.see": OFFICE,
    "orders.edit": frozenset({Role.MANAGER, Role.PARTS, Role.OWNER}),
    "statements.see": EVERYONE,
    "statements.edit": frozenset({Role.MANAGER, Role.OWNER}),
    "enquiries.see": DESK,
    "enquiries.edit": DESK,
    "quotes.see": OFFICE,
    "quotes.edit": DESK,
    "quotes.send": DESK,
    "quotes.look": DESK,
    "deposits.note": DESK,
    "surveys.see": EVERYONE,
    "surveys.make": DESK,
    "surveys.fill": DESK | {Role.TECHNICIAN},
    "plans.see": EVERYONE,
    "plans.make": DESK,
    "sums.use": EVERYONE,
    "jobs.see": EVERYONE,
    "jobs.schedule": DESK,
    "jobs.pick": OFFICE,
    "jobs.work": frozenset({Role.TECHNICIAN, Role.MANAGER, Role.OWNER}),
    "jobs.close": frozenset({Role.TECHNICIAN, Role.MANAGER, Role.OWNER}),
    "documents.see": EVERYONE,
    "documents.make": EVERYONE,
    "changes.see": EVERYONE,
    "changes.make": DESK | {Role.TECHNICIAN},
    "queue.see": frozenset({Role.MANAGER, Role.OWNER}),
    "problems.note": frozenset({Role.TECHNICIAN, Role.WRITER, Role.MANAGER, Role.OWNER}),
    "fleet.see": frozenset({Role.MANAGER, Role.OWNER, Role.WRITER}),
    "fleet.sort": frozenset({Role.TECHNICIAN, Role.WRITER, Role.MANAGER, Role.OWNER}),
    "fleet.call": DESK,
    "fleet.edit": frozenset({Role.MANAGER, Role.OWNER}),
    "settings.edit": frozenset({Role.OWNER, Role.MANAGER}),
    "people.edit": frozenset({Role.OWNER}),
    "self.edit": EVERYONE,
}


def may(user: object, action: str) -> bool:
    """Whether this person's role allows the action; an unknown action is an error."""
    roles = ACTIONS[action]
    return bool(
        getattr(user, "is_authenticated", False)
        and getattr(user, "is_active", False)
        and getattr(user, "shop_id", None)
        and getattr(user, "role", None) in roles
    )


View = Callable[..., HttpResponse]


def needs(action: str) -> Callable[[View], View]:
    """Bind a view to an action: sign-in first, then the role, else 403."""
    if action not in ACTIONS:
        raise ValueError(f"unknown action {action!r}")

    def bind(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            if not may(request.user, action):
                raise PermissionDenied(action)
            return view(request, *args, **kwargs)

        bound = login_required(guarded)
        bound.action = action
        return bound

    return bind


def open_to_all(view: View) -> View:
    """Mark a view as meant for people without a login (sign-in, a customer's link)."""
    view.action = None
    return view
