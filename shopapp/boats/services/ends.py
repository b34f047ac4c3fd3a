"""A cable's end in words, and back: `d1:2` is unit d1 port 2, `d1` any port, `@bow` loose there."""

from shopapp.boats.models import Cable, CableEnd, Location, Unit
from shopapp.errors import FactRefused


def end_text(*, location: Location, unit: Unit | None, port: int | None) -> str:
    """The end in words."""
    if unit is None:
        return f"@{location.name}"
    return unit.name if port is None else f"{unit.name}:{port}"


def end_words(text: str) -> str:
    """The end as a person reads it."""
    if text.startswith("@"):
        return f"loose at {text[1:]}"
    name, _, port = text.partition(":")
    return f"{name} port {port}" if port else text


def move_end(*, cable: Cable, side: str, text: str) -> None:
    """Put one end of a cable where the words say; nothing is done where it lies there already."""
    end = cable.ends.select_related("location", "unit").filter(side=side).first()
    now = end and end_text(location=end.location, unit=end.unit, port=end.port)
    if not text or now == text:
        return
    unit, port, location = _place(cable, text)
    taken = CableEnd.objects.filter(unit=unit, port=port).exclude(cable=cable, side=side)
    if unit and port and taken.exists():
        raise FactRefused(f"Port {port} of {unit.name} holds another cable.", field=f"port_{side}")
    CableEnd.objects.update_or_create(
        cable=cable, side=side, defaults={"unit": unit, "port": port, "location": location}
    )


def _place(cable: Cable, text: str) -> tuple[Unit | None, int | None, Location]:
    if text.startswith("@"):
        location = cable.boat.locations.filter(name=text[1:]).first()
        unit, port = None, None
    else:
        name, _, number = text.partition(":")
        unit = cable.boat.units.aboard().filter(name=name).select_related("location").first()
        location, port = unit and unit.location, int(number) if number else None
    if location is None:
        raise FactRefused(f"“{end_words(text)}” is no longer aboard.", todo="Add it first.")
    return unit, port, location
