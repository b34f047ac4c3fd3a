"""The tablet's shell, its worker and its scanner: pages without a person's data in them."""

from csp.decorators import csp_update
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shopapp.roles import open_to_all
from shopapp.tablet import shell


@open_to_all
@require_safe
def app(request: HttpRequest) -> HttpResponse:
    """The shell: the same for everybody, so that it may lie on the tablet."""
    facts = {
        "styles": [shell.address(one) for one in shell.STYLES],
        "drawing_styles": [shell.address(one) for one in shell.DRAWING_STYLES],
        "start": shell.address(shell.START),
        "modules": [shell.module_address(one) for one in shell.modules()],
        "build": shell.build_mark(),
        "icon": shell.address(shell.MARK),
    }
    return render(request, "tablet/shell.html", facts)


@open_to_all
@require_safe
@csp_update({"script-src": ["'self'", "'wasm-unsafe-eval'"]})
def scan(request: HttpRequest) -> HttpResponse:
    """The scanner: the only page whose policy lets a reader of codes be compiled."""
    facts = {
        "styles": [shell.address(one) for one in shell.STYLES],
        "start": shell.address(shell.SCAN_START),
        "icon": shell.address(shell.MARK),
        "library": shell.module_address(shell.SCANNER[0]),
        "wasm": shell.module_address(shell.SCANNER[1]),
    }
    return render(request, "tablet/scan.html", facts)


@open_to_all
@never_cache
@require_safe
def service_worker(request: HttpRequest) -> HttpResponse:
    """The worker that answers when there is no signal; a new build is a new worker."""
    facts = {
        "build": shell.build_mark(),
        "files": [reverse("tablet:app"), reverse("tablet:scan"), *shell.shell_files()],
        "scanner_files": shell.scanner_files(),
        "scanner_mark": shell.scanner_mark(),
    }
    return render(request, "tablet/sw.js", facts, content_type="text/javascript")


@open_to_all
@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """What a tablet must know to install the page like an app."""
    icons = [
        {"src": shell.address(f"img/tablet-{size}.png"), "sizes": f"{size}x{size}",
         "type": "image/png", "purpose": "any maskable"}
        for size in (192, 512)
    ]  # fmt: skip
    facts = {
        "name": "Refit desk at the boat",
        "short_name": "At the boat",
        "start_url": reverse("tablet:app"),
        "scope": reverse("tablet:app"),
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#0a4f46",
        "icons": icons,
    }
    return JsonResponse(facts, content_type="application/manifest+json")
