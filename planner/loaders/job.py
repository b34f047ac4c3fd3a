"""The job of a case: wishes turned into requests, with the words that a person would use."""

from typing import Any

from planner.loaders.records import Records, Shelf
from shopapp.boats.models import Boat, Location, Unit
from shopapp.catalog.models import Kind
from shopapp.errors import FactRefused

Wish = dict[str, Any]
KIND_WORDS = dict(Kind.choices)


def resolve_wishes(*, wishes: dict[str, Any], shelf: Shelf, units: list[Unit]) -> list[Wish]:
    """Each wish with its `models` spelled out; "any that fits" becomes all that can be bought."""
    kinds = {unit.name: unit.model.kind for unit in units}
    own = {unit.name: unit.model.code for unit in units}
    return [_resolve(wish, shelf, kinds, own) for wish in wishes.get("requests", [])]


def _resolve(wish: Wish, shelf: Shelf, kinds: dict[str, str], own: dict[str, str]) -> Wish:
    device = wish.get("device")
    if device and device not in kinds:
        raise FactRefused(
            f"{device} is no longer aboard.", todo="Change the wishes and plan again."
        )
    if wish["kind"] not in {"add", "replace"}:
        return wish
    gone = [code for code in wish.get("models") or [] if code not in shelf.kinds]
    if gone:
        raise FactRefused(
            f"{', '.join(gone)} is no longer in the catalogue.",
            todo="Change the wishes and plan again.",
        )
    kind = wish.get("kind_wanted") or kinds.get(device, "")
    models = wish.get("models") or shelf.of_kind(kind)
    return wish | {
        "any": not wish.get("models"),
        "kind_wanted": kind,
        "models": [code for code in models if code != own.get(device)],
    }


def job_of(*, records: Records, wishes: dict[str, Any], resolved: list[Wish]) -> dict[str, Any]:
    """The `job` of the case."""
    places = {location.name for location in records.locations}
    names = {code: model.name for code, model in records.models.items()}
    switches = wishes.get("switches", {})
    shop = records.shop
    return {
        "requests": [_request(wish, places, names) for wish in resolved],
        "switches": {
            "models": [code for code in switches.get("models", []) if code in names],
            "locations": [name for name in switches.get("locations", []) if name in places],
            "max_new": switches.get("max_new", 2),
        },
        "penalties": {
            "offnet_cents": shop.offnet_penalty_cents,
            "lost_cents": shop.lost_penalty_cents,
        },
    }


def _request(wish: Wish, places: set[str], names: dict[str, str]) -> dict[str, Any]:
    shared = {"id": wish["id"], "words": wish_words(wish, names)}
    kind = wish["kind"]
    if kind == "add":
        if wish["location"] not in places:
            raise FactRefused(
                f"There is no location {wish['location']} on this boat.",
                todo="Change the wishes and plan again.",
            )
        networked = bool(wish.get("networked", True))
        return shared | {
            "add": wish["models"],
            "location": wish["location"],
            "networked": networked,
        }
    if kind == "replace":
        return shared | {"replace": wish["device"], "by": wish["models"]}
    return shared | {kind: wish["device"]}


def wish_words(wish: Wish, names: dict[str, str]) -> str:
    """The wish as one would say it: "Add a GX 9 at bow, on the network"."""
    kind, device = wish["kind"], wish.get("device")
    if kind == "add":
        way = "on the network" if wish.get("networked", True) else "off the network"
        return f"Add {_wanted(wish, names)} at {wish['location']}, {way}"
    if kind == "replace":
        return f"Replace {device} by {_wanted(wish, names)}"
    words = {
        "network": f"Put {device} on the network",
        "keep": f"Keep {device}",
        "remove": f"Take {device} out",
    }
    return words[kind]


def _wanted(wish: Wish, names: dict[str, str]) -> str:
    if wish.get("any") or not wish.get("models"):
        kind = KIND_WORDS.get(wish.get("kind_wanted", ""), "model")
        return f"any {kind.lower()} that fits"
    return " or ".join(names.get(code, code) for code in wish["models"])


def default_switches(*, boat: Boat, shelf: Shelf) -> dict[str, Any]:
    """What may be planned with unless said otherwise: every switch sold, every place for one."""
    places = Location.objects.filter(boat=boat, switch_place=True)
    return {
        "models": shelf.of_kind("switch"),
        "locations": list(places.values_list("name", flat=True)),
        "max_new": 2,
    }
