"""The fleet's statistics against published examples and against SciPy."""

import math

import pytest

from shopapp.fleet.figures import (
    before_and_after,
    binomial_tail,
    corrected,
    gamma_share,
    percent,
    poisson_interval,
    rate_interval,
    wilson,
)

stats = pytest.importorskip("scipy.stats")
special = pytest.importorskip("scipy.special")


# R. G. Newcombe, "Two-sided confidence intervals for the single proportion: comparison of seven
# methods", Statistics in Medicine 17 (1998), 857-872, table I, method 3 (score, no correction).
@pytest.mark.parametrize(
    ("affected", "at_risk", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_gives_newcombes_table(affected, at_risk, low, high):
    assert wilson(affected, at_risk) == (
        pytest.approx(low, abs=5e-5),
        pytest.approx(high, abs=5e-5),
    )


@pytest.mark.parametrize(
    ("affected", "at_risk"), [(0, 8), (3, 12), (30, 400), (9, 9), (777, 90210)]
)
def test_wilson_equals_scipys(affected, at_risk):
    ours = wilson(affected, at_risk)
    theirs = stats.binomtest(affected, at_risk).proportion_ci(method="wilson")
    assert ours == (pytest.approx(theirs.low, abs=1e-12), pytest.approx(theirs.high, abs=1e-12))


@pytest.mark.parametrize(("affected", "at_risk"), [(1, 0), (3, 2), (-1, 5)])
def test_counts_that_cannot_be_are_refused(affected, at_risk):
    with pytest.raises(ValueError, match="cannot be"):
        wilson(affected, at_risk)


# Garwood's limits as tabulated, for example, in E. S. Pearson, H. O. Hartley, Biometrika Tables
# for Statisticians I (1966), table 40: 0: 0-3.69, 1: 0.0253-5.57, 5: 1.62-11.67, 10: 4.80-18.39.
@pytest.mark.parametrize(
    ("count", "low", "high"),
    [(0, 0, 3.69), (1, 0.0253, 5.57), (5, 1.62, 11.67), (10, 4.80, 18.39)],
)
def test_the_poisson_interval_is_garwoods(count, low, high):
    assert poisson_interval(count) == (
        pytest.approx(low, abs=5e-3),
        pytest.approx(high, abs=5e-3),
    )


@pytest.mark.parametrize("count", [0, 1, 2, 7, 40, 365, 12000])
def test_the_poisson_interval_equals_scipys_chi_square(count):
    low = stats.chi2.ppf(0.025, 2 * count) / 2 if count else 0
    high = stats.chi2.ppf(0.975, 2 * count + 2) / 2
    assert poisson_interval(count) == (pytest.approx(low, rel=1e-9), pytest.approx(high, rel=1e-9))


@pytest.mark.parametrize("shape", [0.5, 1, 3, 30, 1000])
@pytest.mark.parametrize("times", [0, 0.1, 0.9, 1.0, 1.3, 4])
def test_the_gamma_share_equals_scipys(shape, times):
    x = shape * times
    assert gamma_share(shape, x) == pytest.approx(special.gammainc(shape, x), abs=1e-12)


def test_a_rate_needs_time_and_a_count_that_can_be():
    assert rate_interval(5, 10.0) == tuple(end / 10 for end in poisson_interval(5))
    with pytest.raises(ValueError, match="no time"):
        rate_interval(1, 0)
    with pytest.raises(ValueError, match="below zero"):
        poisson_interval(-1)


@pytest.mark.parametrize(
    ("affected", "at_risk", "share"),
    [(0, 10, 0.2), (1, 1, 0.3), (3, 12, 0.05), (8, 10, 0.9), (900, 15000, 0.05), (2, 50, 0.5)],
)
def test_the_binomial_tail_equals_scipys(affected, at_risk, share):
    theirs = stats.binom.sf(affected - 1, at_risk, share)
    assert binomial_tail(affected, at_risk, share) == pytest.approx(theirs, rel=1e-8, abs=1e-300)


def test_the_tail_at_the_ends():
    assert binomial_tail(3, 5, 0.0) == 0.0
    assert binomial_tail(3, 5, 1.0) == 1.0


# Y. Benjamini, Y. Hochberg (1995), section 3.1: fifteen chances from a trial of thrombolysis; at
# 0.05 the four smallest are called out.
BH_1995 = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
    0.5719, 0.6528, 0.7590, 1.0000,
]  # fmt: skip


def test_the_correction_calls_out_the_four_of_the_paper():
    assert [p <= 0.05 for p in corrected(BH_1995, 15)] == [True] * 4 + [False] * 11


def test_the_correction_equals_scipys():
    theirs = stats.false_discovery_control(BH_1995)
    assert corrected(BH_1995, 15) == pytest.approx(list(theirs))
    mixed = BH_1995[::2] + BH_1995[1::2]
    assert corrected(mixed, 15) == pytest.approx(list(stats.false_discovery_control(mixed)))


def test_looks_not_given_count_as_ones():
    padded = stats.false_discovery_control([*BH_1995, *[1.0] * 20])[:15]
    assert corrected(BH_1995, 35) == pytest.approx(list(padded))
    with pytest.raises(ValueError, match="fewer looks"):
        corrected(BH_1995, 3)


@pytest.mark.parametrize(("before", "after"), [(0, 0), (4, 4), (12, 3), (3, 12), (0, 6)])
def test_before_and_after_is_the_exact_test_given_the_sum(before, after):
    ours = before_and_after(before, after)
    both = before + after
    theirs = stats.binomtest(before, both, 0.5).pvalue if both else 1.0
    assert ours == pytest.approx(theirs)


def test_percents_are_written_as_people_do():
    assert [percent(x) for x in (0.25, 0.0894, 1.0)] == ["25", "8.9", "100"]
    assert not math.isnan(float(percent(1 / 3)))
