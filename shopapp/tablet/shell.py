"""The tablet's shell: which files it is made of, and the mark of their build."""

import hashlib
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.exceptions import ImproperlyConfigured
from django.template.loader import get_template

STYLES = ("css/tokens.css", "css/base.css", "css/tablet.css", "css/work.css", "tablet/tablet.css")
DRAWING_STYLES = ("css/drawing.css",)
START = "tablet/app.js"
SCAN_START = "tablet/scan.js"
SCANNER = ("tablet/vendor/barcode-detector.js", "tablet/vendor/zxing_reader.wasm")
ICONS = ("img/mark.svg", "img/tablet-192.png", "img/tablet-512.png")
MARK = "img/mark.svg"
TEMPLATES = ("tablet/shell.html", "tablet/scan.html", "tablet/sw.js")


def modules() -> list[str]:
    """The plain modules that the start imports, by their own names."""
    folder = Path(_found("tablet/app.js")).parent
    names = sorted(path.name for path in folder.glob("*.js"))
    return [f"tablet/{name}" for name in names if f"tablet/{name}" not in {START, SCAN_START}]


def address(name: str) -> str:
    """The address under which pages name a file."""
    return staticfiles_storage.url(name)


def module_address(name: str) -> str:
    """The address under which one module imports another: its plain name."""
    return f"{settings.STATIC_URL}{name}"


def shell_files() -> list[str]:
    """All addresses that must lie on the tablet before it is without signal."""
    named = [*STYLES, *DRAWING_STYLES, START, SCAN_START, *ICONS]
    plain = modules()
    return [address(one) for one in named] + [module_address(one) for one in plain]


def scanner_files() -> list[str]:
    """The reader of codes: large, the same for years, so kept apart from the builds."""
    return [module_address(one) for one in SCANNER]


def scanner_mark() -> str:
    """A mark that changes only with the reader itself."""
    total = hashlib.sha256()
    for name in SCANNER:
        total.update(Path(_found(name)).read_bytes())
    return total.hexdigest()[:12]


def build_mark() -> str:
    """A mark that changes whenever a file of the shell does."""
    return _mark() if settings.PRODUCTION else _mark.__wrapped__()


@lru_cache(maxsize=1)
def _mark() -> str:
    total = hashlib.sha256()
    for name in [*STYLES, *DRAWING_STYLES, START, SCAN_START, *ICONS, *modules()]:
        total.update(Path(_found(name)).read_bytes())
    for name in TEMPLATES:
        total.update(Path(get_template(name).origin.name).read_bytes())
    return total.hexdigest()[:16]


def _found(name: str) -> str:
    path = finders.find(name)
    if not isinstance(path, str):
        raise ImproperlyConfigured(f"static/{name} is missing")
    return path
