"""Cards: the plates of one place under its letter and name, at port or starboard of the hull."""

from collections import defaultdict
from dataclasses import dataclass, field

from .facts import BoatSheet, Place
from .grid import PORT, SIDES, STARBOARD, Grid, hold_above, spread
from .places import find_spot
from .plates import Pin, PlateBox, gather_pins, make_plate, name_ends
from .words import LINE_STEP, wrap

HEAD_SIZE, BADGE = 13.0, 20.0
PLATE_GAP, CARD_GAP, HEAD_GAP = 7.0, 18.0, 9.0
LEAST_BODY_SHARE = 0.46


@dataclass
class Spot:
    """A place with its letter and where it lies, x stern 0 to bow 1, y port 0 to starboard 1."""

    place: Place
    letter: str
    x: float
    y: float


@dataclass
class Card:
    """A heading and plates; `spot` is None for units whose place is not known."""

    spot: Spot | None
    plates: list[PlateBox]
    heads: tuple[str, ...]
    side: int = PORT
    top: float = 0.0

    @property
    def head(self) -> float:
        """Height of the heading in px."""
        return max(BADGE, len(self.heads) * HEAD_SIZE * LINE_STEP) + HEAD_GAP

    @property
    def height(self) -> float:
        """Height of heading and plates in px."""
        plates = sum(plate.height for plate in self.plates)
        return self.head + plates + PLATE_GAP * max(0, len(self.plates) - 1)


@dataclass
class Columns:
    """The cards of a drawing, placed, and the height that they need between top and bottom."""

    spots: list[Spot]
    cards: list[Card]
    pins: list[Pin] = field(default_factory=list)
    height: float = 0.0


def letter_for(index: int) -> str:
    """Return A..Z, then AA, AB and so on."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def list_spots(sheet: BoatSheet) -> list[Spot]:
    """Return the sheet's places from bow to stern, lettered in that order."""
    found = [(find_spot(place), place) for place in sheet.places]
    found.sort(key=lambda pair: (-pair[0][0], pair[0][1], pair[1].name, pair[1].id))
    return [Spot(place, letter_for(i), *at) for i, (at, place) in enumerate(found)]


def build_columns(sheet: BoatSheet, grid: Grid, *, least: float) -> Columns:
    """Lay out every unit's plate in cards at both sides; `least` is the least height in px."""
    spots = list_spots(sheet)
    pins = gather_pins(sheet, grid)
    by_place: dict[str | None, list[PlateBox]] = defaultdict(list)
    known = {spot.place.id for spot in spots}
    for unit in (*sheet.units, *name_ends(sheet)):
        place = unit.place if unit.place in known else None
        by_place[place].append(make_plate(unit, pins.get(unit.id, []), grid))
    cards = [
        _make_card(spot, by_place[spot.place.id], grid) for spot in spots if by_place[spot.place.id]
    ]
    cards = _choose_sides(cards, grid)
    if by_place[None]:
        stray = _make_card(None, by_place[None], grid)
        stray.side = min(SIDES, key=lambda side: _column_height(cards, side))
        cards.append(stray)
    return Columns(spots, cards, height=max(least, *(_column_height(cards, s) for s in SIDES)))


def _make_card(spot: Spot | None, plates: list[PlateBox], grid: Grid, *, after: str = "") -> Card:
    name = (spot.place.name or "no name") if spot else "Place not known"
    return Card(spot, plates, wrap(name + after, grid.plate - BADGE - 10, HEAD_SIZE, bold=True))


def _column_height(cards: list[Card], side: int) -> float:
    heights = [card.height for card in cards if card.side == side]
    return sum(heights) + CARD_GAP * max(0, len(heights) - 1)


def _is_central(card: Card) -> bool:
    return card.spot is not None and 0.3 <= card.spot.y <= 0.7


def _choose_sides(cards: list[Card], grid: Grid) -> list[Card]:
    """Give cards of the port side to port and so on; those about the centre line even it out."""
    for card in cards:
        card.side = PORT if card.spot.y < 0.5 else STARBOARD
    central = [card for card in cards if _is_central(card)]
    for card in central:
        card.side = 0
    for card in sorted(central, key=lambda card: -card.height):
        card.side = min(SIDES, key=lambda side: _column_height(cards, side))
    return _split_tallest(cards, grid)


def _split_tallest(cards: list[Card], grid: Grid) -> list[Card]:
    """Where one place makes one column far the taller, carry its last plates over to the other."""
    tall, short = sorted(SIDES, key=lambda side: -_column_height(cards, side))
    mine = [card for card in cards if card.side == tall and _is_central(card)]
    most = max(mine, key=lambda card: card.height, default=None)
    excess = _column_height(cards, tall) - _column_height(cards, short)
    if most is None or len(most.plates) < 3 or excess < most.plates[-1].height * 2 + 120:
        return cards
    moved: list[PlateBox] = []
    while len(most.plates) > 1 and excess > 2 * most.plates[-1].height:
        excess -= 2 * most.plates[-1].height
        moved.insert(0, most.plates.pop())
    other = _make_card(most.spot, moved, grid, after=" (continued)")
    other.side = short
    at = cards.index(most) + 1
    return [*cards[:at], other, *cards[at:]]


def place_columns(columns: Columns, *, top: float, hull_top: float, hull_height: float) -> None:
    """Set the tops of cards and plates and the y of every pin, each card abreast of its place."""
    for side in SIDES:
        cards = [card for card in columns.cards if card.side == side]
        wanted = [_wanted_top(card, hull_top, hull_height) for card in cards]
        sizes = [card.height for card in cards]
        tops = spread(wanted, sizes, CARD_GAP, top)
        tops = hold_above(tops, sizes, CARD_GAP, top + columns.height)
        for card, y in zip(cards, tops, strict=True):
            _set_card(card, y, columns.pins)


def _wanted_top(card: Card, hull_top: float, hull_height: float) -> float:
    x = card.spot.x if card.spot else 0.0
    return hull_top + (1 - x) * hull_height - card.height / 2


def _set_card(card: Card, top: float, pins: list[Pin]) -> None:
    card.top = top
    y = top + card.head
    for plate in card.plates:
        plate.top = y
        for pin in plate.pins:
            pin.y, pin.side = pin.y + y, card.side
            pins.append(pin)
        y += plate.height + PLATE_GAP
