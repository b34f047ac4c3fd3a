"""The widths that a drawing is laid out on: plates at both sides, labels, tracks, the hull between.

| plates | labels | tracks |  hull: places, backbone  | tracks | labels | plates |
"""

from dataclasses import dataclass, replace

PORT, STARBOARD = -1, 1
SIDES = (PORT, STARBOARD)
NARROW = 900
ZONE_LEAST, TRUNK_EXTRA, PLATE_LEAST = 130.0, 70.0, 144.0
MARGIN = 12.0


class NoRoomError(Exception):
    """A part finds no free place at this height; the drawing is laid out again, taller."""


@dataclass(frozen=True)
class Grid:
    """Widths in px; `tracks` are how many vertical tracks stand at port and at starboard.

    Plates give way first when many tracks need room; below their least width the drawing grows
    wider than was asked.
    """

    asked: int
    label: float
    trunks: int = 1
    tracks: tuple[int, int] = (3, 3)

    @property
    def pitch(self) -> float:
        """Distance from track to track."""
        return 8.0 if self.asked >= NARROW else 7.0

    @property
    def inside(self) -> float:
        """Width of labels, tracks and the narrowest middle, all that is not plates."""
        zone = ZONE_LEAST + TRUNK_EXTRA * max(0, self.trunks - 1)
        return 2 * (MARGIN + self.label + 10) + sum(self.tracks) * self.pitch + zone

    @property
    def plate(self) -> float:
        """Width of a plate."""
        wish = min(260.0, max(PLATE_LEAST, self.asked * 0.232))
        return max(PLATE_LEAST, min(wish, (self.asked - self.inside) / 2))

    @property
    def width(self) -> float:
        """The whole drawing's width: as asked, or more when lines would not find room."""
        return max(float(self.asked), self.inside + 2 * self.plate)

    def edge(self, side: int) -> float:
        """Return x of the edge of the plates that looks at the hull."""
        inset = MARGIN + self.plate
        return inset if side == PORT else self.width - inset

    def label_end(self, side: int) -> float:
        """Return x where the labels end and the tracks begin."""
        return self.edge(side) - side * self.label

    def track(self, side: int, index: int) -> float:
        """Return x of a track, counted from the labels inward."""
        return self.label_end(side) - side * (5 + index * self.pitch)

    @property
    def zone(self) -> tuple[float, float]:
        """From x to x, the middle that holds places and backbone."""
        left, right = self.tracks
        return self.track(PORT, left) + 2, self.track(STARBOARD, right) - 2

    @property
    def hull(self) -> tuple[float, float]:
        """From x to x, the room in which the outline may lie, tracks and all."""
        return self.label_end(PORT) + 2, self.label_end(STARBOARD) - 2

    def with_tracks(self, used: tuple[int, int]) -> "Grid":
        """Return the grid with room for as many tracks as are used, never fewer than now."""
        most = tuple(max(pair) for pair in zip(self.tracks, used, strict=True))
        return replace(self, tracks=most)


def choose_grid(width: int, trunks: int) -> Grid:
    """Return the grid for a drawing of `width` px with so many backbones."""
    return Grid(asked=width, label=min(140.0, max(92.0, width * 0.118)), trunks=trunks)


def spread(wanted: list[float], sizes: list[float], gap: float, top: float) -> list[float]:
    """Return tops for things of `sizes`, in order, without overlap, as near to `wanted` as can be.

    Those that would overlap are pushed apart as one block about the mean of their wishes.
    """
    blocks: list[list[float]] = []  # each: mean offset wish, count
    offset, offsets = 0.0, []
    for wish, size in zip(wanted, sizes, strict=True):
        offsets.append(offset)
        blocks.append([max(top, wish) - offset, 1])
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            mean, count = blocks.pop()
            first = blocks[-1]
            first[0] = (first[0] * first[1] + mean * count) / (first[1] + count)
            first[1] += count
        offset += size + gap
    means = [mean for mean, count in blocks for _ in range(int(count))]
    return [max(top, mean) + offset for mean, offset in zip(means, offsets, strict=True)]


def hold_above(tops: list[float], sizes: list[float], gap: float, bottom: float) -> list[float]:
    """Push things up, last first, until all end above `bottom`."""
    held, limit = [], bottom
    for top, size in zip(reversed(tops), reversed(sizes), strict=True):
        held.append(min(top, limit - size))
        limit = held[-1] - gap
    return held[::-1]
