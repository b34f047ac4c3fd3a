"""One place where the shop's errors become answers."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from shopapp.errors import ShopError

Answer = Callable[[HttpRequest], HttpResponse]


class ShopErrorMiddleware:
    """Turns a `ShopError` that no form took into a page, or a JSON problem under /api/."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; errors come back through `process_exception`."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer with the error's own status and words; anything else is Django's."""
        if not isinstance(error, ShopError):
            return None
        if request.path.startswith("/api/"):
            problem = {"title": error.title, "detail": error.message, "todo": error.todo}
            return JsonResponse(problem, status=error.status)
        return render(request, "problem.html", {"error": error}, status=error.status)
