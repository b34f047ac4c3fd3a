"""How sure a rate is: k of n boats with its 95 % interval."""

from math import sqrt

Z_95 = 1.959963984540054
TOO_FEW = 5


def wilson(affected: int, at_risk: int) -> tuple[float, float]:
    """The 95 % interval of a share, as (low, high) from 0 to 1.

    E. B. Wilson, "Probable inference, the law of succession, and statistical inference",
    J. Am. Stat. Assoc. 22 (1927), 209-212. ValueError where the counts cannot be.
    """
    if not 0 <= affected <= at_risk or at_risk == 0:
        raise ValueError(f"{affected} of {at_risk} boats cannot be")
    share, weight = affected / at_risk, Z_95**2 / at_risk
    middle = (share + weight / 2) / (1 + weight)
    half = Z_95 * sqrt(share * (1 - share) / at_risk + weight / (4 * at_risk)) / (1 + weight)
    return max(0.0, middle - half), min(1.0, middle + half)


def percent(share: float) -> str:
    """A share as `8.9`: percent with one place, none where it is whole."""
    return f"{share * 100:.1f}".removesuffix(".0")
