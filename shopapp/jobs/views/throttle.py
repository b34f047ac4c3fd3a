"""Bounds of the public page: who guesses at addresses is let wait.

An address of 256 random bits is not guessed; this keeps the tries from costing the shop anything.
Counted in the cache of each web process, so several processes allow that many times more.
"""

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest

MISSES, MINUTES = 20, 10


def address_of(request: HttpRequest) -> str:
    """The visitor's address, as the outermost of the shop's own proxies saw it."""
    direct = request.META.get("REMOTE_ADDR") or ""
    count = settings.AXES_IPWARE_PROXY_COUNT
    told = [one.strip() for one in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    return told[-count] if count and len(told) >= count and told[-count] else direct


def note_miss(request: HttpRequest) -> None:
    """Count an address behind which there is nothing."""
    key = _key(request)
    if not cache.add(key, 1, MINUTES * 60):
        cache.incr(key)


def is_tired(request: HttpRequest) -> bool:
    """Whether this visitor missed too often of late."""
    return cache.get(_key(request), 0) >= MISSES


def _key(request: HttpRequest) -> str:
    return f"customer-misses:{address_of(request)[:45].replace(' ', '')}"
