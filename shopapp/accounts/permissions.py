"""The API asks the same table of roles as the pages do."""

from django.http import HttpRequest
from rest_framework.permissions import BasePermission

from shopapp.roles import may


class RolePermission(BasePermission):
    """A view names its action for reading (`action_see`) and writing (`action_edit`)."""

    def has_permission(self, request: HttpRequest, view: object) -> bool:
        """Whether the role allows it; a view that names no action is closed."""
        reading = request.method in {"GET", "HEAD", "OPTIONS"}
        action = getattr(view, "action_see" if reading else "action_edit", None)
        return bool(action) and may(request.user, action)
