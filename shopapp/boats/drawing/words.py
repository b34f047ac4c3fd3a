"""How wide words are and where they break, from a table of character widths.

The table is of a wide sans face, rounded up, so that in any narrower system face the same text
takes less room than was kept for it.
"""

import re
from functools import lru_cache
from unicodedata import east_asian_width

PLAIN_EM = {
    0.25: "′",
    0.3: "'IJijl",
    0.35: " \u00a0,./:;\\|·",
    0.4: "()-[]ft″",
    0.45: "!r",
    0.5: '"*_`–°',
    0.55: "?csz",
    0.6: "FLkvxy",
    0.65: "$0123456789EPSTYabdeghnopqu{}",
    0.7: "ABCKRVXZ",
    0.75: "NU",
    0.8: "&DGHOQΩ",
    0.85: "#+<=>^w~→×±≥≤",
    0.9: "M",
    1.0: "%@Wm—…½",
}
BOLD_EM = {
    0.3: "′",
    0.35: " \u00a0'ijl",
    0.4: ",./:;IJ\\|·",
    0.45: "-f″",
    0.5: "!()[]_`rt–°",
    0.55: '"*',
    0.6: "?csz",
    0.65: "Lx",
    0.7: "$0123456789EFTaekovy",
    0.75: "CPSYZbdghnpqu{}",
    0.8: "ABKRVX",
    0.85: "#+<=>DGHNU^~→×±≥≤",
    0.9: "&OQΩ",
    0.95: "w",
    1.0: "@M—…",
    1.05: "%m½",
    1.15: "W",
}
_PLAIN = {char: em for em, chars in PLAIN_EM.items() for char in chars}
_BOLD = {char: em for em, chars in BOLD_EM.items() for char in chars}
LINE_STEP = 1.25
# A number stays with its unit.
_UNIT_GAP = re.compile(r"(\d) (A|V|W|kW|Ah|Hz|kHz|ft|in|m)\b")


def _unlisted_em(char: str) -> float:
    return 1.1 if east_asian_width(char) in "WF" else 0.85


@lru_cache(maxsize=4096)
def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the width in px that `text` takes at most."""
    table = _BOLD if bold else _PLAIN
    return size * sum(table.get(char) or _unlisted_em(char) for char in text)


def _break_word(word: str, width: float, size: float, *, bold: bool) -> list[str]:
    pieces, piece = [], ""
    for char in word:
        if piece and text_width(piece + char, size, bold=bold) > width:
            pieces.append(piece)
            piece = ""
        piece += char
    return [*pieces, piece]


def wrap(
    text: str, width: float, size: float, *, bold: bool = False, lines: int = 6
) -> tuple[str, ...]:
    """Break `text` into at most `lines` lines no wider than `width` px, the last one cut with …."""
    done: list[str] = []
    if not text.strip():
        return ()
    for word in _UNIT_GAP.sub("\\1\u00a0\\2", " ".join(text.split())).split(" "):
        joined = f"{done[-1]} {word}" if done else word
        if text_width(joined, size, bold=bold) <= width:
            done[-1:] = [joined]
        else:
            done.extend(_break_word(word, width, size, bold=bold))
    if len(done) <= lines:
        return tuple(done)
    last = done[lines - 1]
    while last and text_width(last + "…", size, bold=bold) > width:
        last = last[:-1]
    return (*done[: lines - 1], last + "…")


def wrap_parts(
    parts: tuple[str, ...], width: float, size: float, *, bold: bool = False, between: str = " · "
) -> tuple[str, ...]:
    """Put the parts on one line if they fit there, else each on lines of its own."""
    parts = tuple(part for part in parts if part)
    whole = between.join(parts)
    if text_width(whole, size, bold=bold) <= width:
        return (whole,) if whole else ()
    return tuple(line for part in parts for line in wrap(part, width, size, bold=bold))
