"""The radio identity number (MMSI) and what kind of station it names."""

from typing import Any

from planner.engine.sums.inputs import read_text
from planner.engine.sums.results import SumResult

LENGTH = 9
FIGURES = "0123456789"
FIRST_COUNTRY, LAST_COUNTRY = 201, 775
"""Country figures (MID): from memory."""

WITHOUT_COUNTRY = {"970": "sart", "972": "mob", "974": "epirb"}
BEFORE_COUNTRY = (
    ("111", "aircraft"),
    ("00", "coast"),
    ("99", "aid"),
    ("98", "craft"),
    ("0", "group"),
    ("8", "handheld"),
)
"""What stands before the country figures, longest first; a ship has nothing there."""


def read_mmsi(*, text: Any) -> SumResult:
    """Read an identity number: `valid`, `kind` (null where it has none), `fault` (or null)."""
    number = read_text("text", text).strip()
    kind, fault = _read(number)
    return SumResult(
        values={"valid": fault is None, "kind": kind, "fault": fault},
        formula="nine figures; what stands before the three country figures gives the kind",
        source="ITU-R M.585 formats as listed publicly",
        inputs={"text": text},
        notes=(
            f"The range of country figures, {FIRST_COUNTRY} to {LAST_COUNTRY}, is from memory.",
            "A number of the right form is not proof that it was given to this boat. In the "
            "United States only the seller or a qualified installer enters it (47 CFR 80.231).",
        ),
    )


def _read(number: str) -> tuple[str | None, str | None]:
    strange = next((sign for sign in number if sign not in FIGURES), None)
    if strange is not None:
        return None, f"It has figures only, not “{strange}”."
    if len(number) != LENGTH:
        return None, f"It has {len(number)} figures; {LENGTH} are wanted."
    if number[:3] in WITHOUT_COUNTRY:
        return WITHOUT_COUNTRY[number[:3]], None
    before, kind = _kind(number)
    country = number[len(before) : len(before) + 3]
    if FIRST_COUNTRY <= int(country) <= LAST_COUNTRY:
        return kind, None
    return None, (
        f"{country} are no country figures: they run from {FIRST_COUNTRY} to {LAST_COUNTRY} "
        "(from memory)."
    )


def _kind(number: str) -> tuple[str, str]:
    for before, kind in BEFORE_COUNTRY:
        if number.startswith(before):
            return before, kind
    return "", "ship"
