"""How sure a rate is: shares, rates per year, many looks at once; pure, without a library.

Every formula names its source; tests hold them to worked examples and to SciPy.
"""

from collections.abc import Sequence
from math import exp, lgamma, log, sqrt

Z_95 = 1.959963984540054
TOO_FEW = 5
LEAST_BOATS = 3
FALSE_SHARE = 0.05
HALVINGS = 60
TERMS = 10_000
TINY = 1e-15


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


def gamma_share(shape: float, x: float) -> float:
    """The regularised lower incomplete gamma function P(shape, x).

    By series below shape + 1, by Lentz's continued fraction above: Abramowitz and Stegun,
    Handbook of Mathematical Functions (1964), 6.5.29 and 6.5.31.
    """
    if x <= 0:
        return 0.0
    front = exp(shape * log(x) - x - lgamma(shape))
    if x < shape + 1:
        return front * _series(shape, x)
    return 1.0 - front * _fraction(shape, x)


def _series(shape: float, x: float) -> float:
    term = total = 1.0 / shape
    for place in range(1, TERMS):
        term *= x / (shape + place)
        total += term
        if term < total * TINY:
            break
    return total


def _fraction(shape: float, x: float) -> float:
    b = x + 1.0 - shape
    c, d = 1e300, 1.0 / b
    value = d
    for place in range(1, TERMS):
        a = -place * (place - shape)
        b += 2.0
        d = 1.0 / (a * d + b)
        c = b + a / c
        value *= d * c
        if abs(d * c - 1.0) < TINY:
            break
    return value


def poisson_interval(count: int) -> tuple[float, float]:
    """The exact 95 % interval of a Poisson mean after `count` events.

    F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28 (1936), 437-442.
    """
    if count < 0:
        raise ValueError("a count cannot be below zero")
    low = _where(lambda mean: gamma_share(count, mean) >= 0.025, count) if count else 0.0
    high = _where(lambda mean: gamma_share(count + 1, mean) >= 0.975, count + 1)
    return low, high


def _where(reached: object, near: float) -> float:
    low, high = 0.0, near + 20 * sqrt(near) + 20
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if reached(middle):
            high = middle
        else:
            low = middle
    return (low + high) / 2


def rate_interval(count: int, years: float) -> tuple[float, float]:
    """Events per year of exposure, as (low, high); ValueError without exposure."""
    if years <= 0:
        raise ValueError("no time was watched")
    low, high = poisson_interval(count)
    return low / years, high / years


def binomial_tail(affected: int, at_risk: int, share: float) -> float:
    """The chance of `affected` or more of `at_risk` where each has the chance `share`; exact."""
    if affected <= 0 or share >= 1:
        return 1.0
    if share <= 0:
        return 0.0
    if affected > at_risk * share:
        return min(1.0, _sum_from(affected, at_risk, share, up=True))
    return max(0.0, 1.0 - _sum_from(affected - 1, at_risk, share, up=False))


def _sum_from(k: int, n: int, share: float, *, up: bool) -> float:
    term = exp(
        lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)
        + k * log(share) + (n - k) * log(1 - share)
    )  # fmt: skip
    odds, total = share / (1 - share), 0.0
    while 0 <= k <= n:
        total += term
        if term <= total * TINY:
            break
        term *= odds * (n - k) / (k + 1) if up else k / (odds * (n - k + 1))
        k += 1 if up else -1
    return total


def corrected(chances: Sequence[float], looks: int) -> list[float]:
    """Each chance corrected for looking at many (`looks` in all; those not given count as 1).

    Y. Benjamini, Y. Hochberg, "Controlling the false discovery rate", J. R. Stat. Soc. B 57
    (1995), 289-300: of what is called out at 0.05, one in twenty is false at most on average.
    """
    if looks < len(chances):
        raise ValueError("fewer looks than chances")
    order = sorted(range(len(chances)), key=lambda place: -chances[place])
    found, least = [1.0] * len(chances), 1.0
    for place, rank in zip(order, range(len(chances), 0, -1), strict=True):
        least = min(least, chances[place] * looks / rank)
        found[place] = least
    return found


def before_and_after(before: int, after: int) -> float:
    """How easily chance alone parts two counts over the same boats and the same length of watch.

    Exact and two-sided, given their sum: J. Przyborowski, H. Wilenski, "Homogeneity of results
    in testing samples from Poisson series", Biometrika 31 (1940), 313-323.
    """
    both = before + after
    if both == 0:
        return 1.0
    return min(1.0, 2 * binomial_tail(max(before, after), both, 0.5))
