"""Where a place lies on a boat when nobody has said so: by the word for its kind or its name.

Common practice, no source: the survey's own x and y, where given, always stand.
"""

from .facts import Place

# (words, x from stern 0 to bow 1, y from port 0 to starboard 1); the first word found counts.
USUAL_PLACES = (
    (("trolling",), 0.94, 0.5),
    (("second helm", "helm 2"), 0.42, 0.3),
    (("flybridge", "fly bridge", "upper station", "upper helm"), 0.5, 0.5),
    (("hardtop", "t-top", "roof"), 0.54, 0.62),
    (("arch", "radar"), 0.36, 0.5),
    (("mast",), 0.6, 0.5),
    (("bridge", "wheelhouse", "pilothouse"), 0.62, 0.56),
    (("nav",), 0.46, 0.32),
    (("console", "dash"), 0.52, 0.5),
    (("helm", "cockpit"), 0.48, 0.66),
    (("anchor", "locker", "v-berth", "forepeak"), 0.86, 0.5),
    (("cabin", "saloon", "salon", "galley"), 0.68, 0.46),
    (("battery", "day box"), 0.26, 0.36),
    (("engine",), 0.18, 0.5),
    (("lazarette", "bilge"), 0.1, 0.38),
    (("well", "transducer"), 0.12, 0.6),
    (("transom", "outboard", "swim"), 0.03, 0.56),
    (("bow", "fore", "foredeck"), 0.9, 0.5),
    (("stern", "aft"), 0.07, 0.5),
    (("port",), 0.5, 0.15),
    (("starboard",), 0.5, 0.85),
)
AMIDSHIPS = (0.4, 0.5)


def _find_usual(text: str) -> tuple[float, float] | None:
    words = text.lower().replace("_", " ")
    for keys, x, y in USUAL_PLACES:
        if any(key in words for key in keys):
            return x, y
    return None


def _within(value: float) -> float:
    return min(1.0, max(0.0, value))


def find_spot(place: Place) -> tuple[float, float]:
    """Return (x, y) of a place, each 0 to 1, from what is known of it, else its usual spot."""
    usual = _find_usual(place.kind) or _find_usual(place.name) or AMIDSHIPS
    x = usual[0] if place.x is None else place.x
    y = usual[1] if place.y is None else place.y
    return _within(x), _within(y)
