"""What stands between every request and its view: errors become answers, text travels small."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.gzip import GZipMiddleware
from django.shortcuts import render

from shopapp.errors import ShopError

Answer = Callable[[HttpRequest], HttpResponse]


class TextGzipMiddleware(GZipMiddleware):
    """Makes text small for thin lines; photos and papers are that already and pass as they are."""

    TEXTS = (
        "text/",
        "application/json",
        "application/javascript",
        "application/manifest+json",
        "image/svg",
    )

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        """Compress what is text, where the browser takes it."""
        kind = response.get("Content-Type", "")
        if kind.startswith(self.TEXTS):
            return super().process_response(request, response)
        return response


class ShopErrorMiddleware:
    """Turns a `ShopError` that no form took into a page, or a JSON problem under /api/."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; errors come back through `process_exception`."""
        if "%00" in request.META.get("QUERY_STRING", "") or "\x00" in request.path:
            # No database keeps a NUL character, and no person types one.
            error = ShopError("The address holds a character that nothing here is called by.")
            return self.answer(request, error)
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer with the error's own status and words; anything else is Django's."""
        return self.answer(request, error) if isinstance(error, ShopError) else None

    def answer(self, request: HttpRequest, error: ShopError) -> HttpResponse:
        """The error's own page, or a JSON problem under /api/."""
        if request.path.startswith("/api/"):
            problem = {"title": error.title, "detail": error.message, "todo": error.todo}
            return JsonResponse(problem, status=error.status)
        return render(request, "problem.html", {"error": error}, status=error.status)
