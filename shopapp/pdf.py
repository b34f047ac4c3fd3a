"""Print a template as PDF: our own style sheet, our own static files, nothing from anywhere else.

The same facts give the same bytes: no clock is written, only the date that the template names.
The printer (WeasyPrint) is loaded by workers alone; web pages do not import this module.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.template.loader import render_to_string
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

PAPERS = {"letter": "Letter", "a4": "A4"}


@dataclass(frozen=True, slots=True)
class Printed:
    """A finished PDF and how many pages it has."""

    body: bytes
    pages: int


class OwnFilesOnly(URLFetcher):
    """Opens files below the static folder; every other address is refused."""

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        """The file, or ValueError for any other address."""
        parts = urlsplit(url)
        path = Path(unquote(parts.path)).resolve()
        if parts.scheme != "file" or parts.netloc or not path.is_relative_to(static_folder()):
            raise ValueError(f"a paper may not load {url}")
        return super().fetch(url, headers)


def static_folder() -> Path:
    """Where our own style sheets and pictures lie."""
    return (Path(settings.BASE_DIR) / "static").resolve()


def print_pdf(template: str, context: dict[str, object], *, paper: str = "") -> Printed:
    """Render the template on `letter` or `a4` (the shop's setting where none is named)."""
    html = render_to_string(template, context)
    return print_html(html, paper=paper or settings.PAPER)


def render_pdf(template: str, context: dict[str, object], *, paper: str = "") -> bytes:
    """The PDF's bytes alone."""
    return print_pdf(template, context, paper=paper).body


def print_html(html: str, *, paper: str) -> Printed:
    """Print finished markup with the papers' style sheet; KeyError for an unknown paper."""
    base = static_folder().as_uri() + "/"
    source = HTML(string=html, base_url=base, url_fetcher=OwnFilesOnly())
    fonts = _fonts()
    pages = source.render(stylesheets=[_style(), _size(PAPERS[paper])], font_config=fonts)
    return Printed(body=pages.write_pdf(), pages=len(pages.pages))


# Fonts and style sheets are parsed once a process: it keeps a worker's memory flat.
@cache
def _fonts() -> FontConfiguration:
    return FontConfiguration()


@cache
def _style() -> CSS:
    return CSS(filename=static_folder() / "css" / "documents.css", font_config=_fonts())


@cache
def _size(name: str) -> CSS:
    return CSS(string=f"@page {{ size: {name} }}", font_config=_fonts())
