"""Errors of the API as JSON problems with clear words."""

from typing import Any

from rest_framework.response import Response
from rest_framework.views import exception_handler

from shopapp.errors import ShopError


def handle(error: Exception, context: dict[str, Any]) -> Response | None:
    """The shop's errors with their own status; the rest as the framework has them."""
    if isinstance(error, ShopError):
        problem = {"title": error.title, "detail": error.message, "todo": error.todo}
        if field := getattr(error, "field", ""):
            problem["field"] = field
        return Response(problem, status=error.status)
    return exception_handler(error, context)
