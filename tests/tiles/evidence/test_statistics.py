"""The figures of evidence against published examples and against scipy."""

import warnings
from collections import Counter
from itertools import combinations
from math import isclose, isfinite
from statistics import median

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from tiles.evidence import distributions
from tiles.evidence.drift import creep
from tiles.evidence.paired import (
    Appearing,
    Signs,
    Verdict,
    bootstrap_mean,
    mcnemar,
    mean_change,
    sign_test,
    verdict,
)
from tiles.evidence.proportions import exact, wilson
from tiles.evidence.repeat import pooled_spread, share_alike
from tiles.evidence.runs import Cell, chances, shared

# Student 1908, the extra hours of sleep under two drugs; printed in many texts.
SLEEP_A = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SLEEP_B = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]
SLEEP = [a - b for a, b in zip(SLEEP_A, SLEEP_B, strict=True)]


def test_paired_mean_of_students_sleep():
    # Student 1908: mean -1.58, t -4.0621 on 9 degrees, p 0.002833, 95 % -2.4598858 to -0.7001142
    change = mean_change(SLEEP)

    assert change.estimate.value == pytest.approx(-1.58)
    assert (change.estimate.low, change.estimate.high) == pytest.approx((-2.4598858, -0.7001142), abs=1e-6)
    assert change.p == pytest.approx(0.002833, abs=1e-6)
    assert (change.n, change.verdict) == (10, Verdict.CLEAR)


def test_sign_test_of_students_sleep_leaves_the_equal_pair_out():
    # Dixon and Mood 1946: nine of nine, two-sided p 0.003906
    signs = sign_test(SLEEP)

    assert (signs.rose, signs.fell, signs.same) == (0, 9, 1)
    assert signs.p == pytest.approx(0.003906, abs=1e-6)


@pytest.mark.parametrize(
    ("more", "n", "p"), [(9, 11, 0.0654), (8, 8, 0.0078), (6, 6, 0.0312), (5, 5, 0.0625), (7, 10, 0.3438)]
)
def test_the_sign_test_is_exact(more, n, p):
    # Binomial tails at one half, computed by hand
    assert Signs(more, n - more, 0).p == pytest.approx(p, abs=1e-4)


# Newcombe 1998, Stat. Med. 17:857, table I, method 3
@pytest.mark.parametrize(
    ("found", "n", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilsons_interval(found, n, low, high):
    share = wilson(found, n)

    assert (share.low, share.high) == pytest.approx((low, high), abs=5e-5)


def test_the_exact_interval_of_the_handbook():
    # NIST/SEMATECH e-Handbook 7.2.4.2: 4 failures of 20, 90 %: 0.071354 to 0.401029
    share = exact(4, 20, 0.90)

    assert (share.low, share.high) == pytest.approx((0.071354, 0.401029), abs=2e-6)


def test_wilsons_formula_of_the_handbook():
    # NIST/SEMATECH e-Handbook 7.2.4.1, same data: 0.118 to 0.371 for 90 % two-sided, computed with the formula there
    z, share = 1.6448536, 0.2
    low = (share + z * z / 40 - z * (0.2 * 0.8 / 20 + z * z / 1600) ** 0.5) / (1 + z * z / 20)

    assert wilson(4, 20, 0.90).low == pytest.approx(low, abs=1e-7)


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_shares_agree_with_scipy(found_of):
    found, n = found_of
    test = stats.binomtest(found, n)

    for ours, method in ((wilson(found, n), "wilson"), (exact(found, n), "exact")):
        theirs = test.proportion_ci(0.95, method=method)
        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@settings(max_examples=200)
@given(st.floats(0.001, 0.999), st.floats(0.1, 300), st.floats(0.1, 300))
def test_distributions_agree_with_scipy(share, a, b):
    assert distributions.beta_below(share, a, b) == pytest.approx(stats.beta.cdf(share, a, b), abs=1e-10)
    assert distributions.t_quantile(share, max(a, 1)) == pytest.approx(
        stats.t.ppf(share, max(a, 1)), rel=1e-6, abs=1e-9
    )
    assert distributions.chi_square_quantile(share, a) == pytest.approx(
        stats.chi2.ppf(share, a), rel=1e-7, abs=1e-12
    )


measured = st.lists(st.floats(-50, 50).map(lambda value: round(value, 1)), min_size=2, max_size=30)


@given(measured)
def test_paired_figures_agree_with_scipy(differences):
    change = mean_change(differences)
    assume(len(set(differences)) > 1)
    theirs = stats.ttest_1samp(differences, 0)
    interval = theirs.confidence_interval(0.95)

    assert change.p == pytest.approx(theirs.pvalue, rel=1e-6, abs=1e-9)
    assert (change.estimate.low, change.estimate.high) == pytest.approx(
        (interval.low, interval.high), rel=1e-6, abs=1e-6
    )


@given(measured)
def test_signs_agree_with_scipy(differences):
    signs = sign_test(differences)
    changed = signs.rose + signs.fell

    assert signs.n == len(differences)
    assert signs.p == pytest.approx(stats.binomtest(signs.rose, changed).pvalue if changed else 1.0)


@given(measured)
def test_turning_the_pairs_round_turns_the_change_round(differences):
    there, back = mean_change(differences), mean_change([-value for value in differences])

    assert there.estimate.value == pytest.approx(-back.estimate.value)
    assert there.p == pytest.approx(back.p)


def test_the_bootstrap_lies_near_the_t_interval_where_nothing_is_odd():
    # The percentile interval is a little narrower for small n (Efron and Tibshirani 1993).
    low, high = stats.bootstrap(
        (SLEEP,), lambda x: sum(x) / len(x), vectorized=False, n_resamples=4000, method="percentile", rng=5
    ).confidence_interval
    ours = bootstrap_mean(SLEEP)

    assert (ours.low, ours.high) == pytest.approx((low, high), abs=0.08)
    assert ours == bootstrap_mean(SLEEP)


def test_equal_differences_leave_no_doubt_but_little_data_still_is_not_enough():
    change = mean_change([2.0, 2.0, 2.0])

    assert (change.estimate.low, change.estimate.high, change.p) == (2.0, 2.0, 0.0)
    assert change.verdict == Verdict.NOT_ENOUGH
    assert mean_change([2.0]) is None


def test_mcnemar_is_exact():
    # Agresti, Categorical Data Analysis: approval ratings 794, 150, 86, 570, discordant 150 and 86; exact p 3.7e-5
    # (table from memory, unverified; p computed by scipy's binomial test)
    appearing = Appearing(794, 150, 86, 570)

    assert appearing.p == pytest.approx(stats.binomtest(86, 236).pvalue)
    assert appearing.difference.value == pytest.approx(-0.04)
    assert appearing.difference.low < -0.04 < appearing.difference.high < 0


@given(st.lists(st.tuples(st.booleans(), st.booleans()), min_size=1, max_size=60))
def test_flaws_appearing_and_vanishing_are_counted_once(pairs):
    appearing = mcnemar(*zip(*pairs, strict=True))

    assert appearing.n == len(pairs)
    assert -1 <= appearing.difference.low <= appearing.difference.value <= appearing.difference.high <= 1


def test_six_pairs_are_the_bar():
    # Five of five cannot reach 0.05 (p 0.0625), six of six can (p 0.031)
    assert verdict(5, 0.0) == Verdict.NOT_ENOUGH
    assert sign_test([1] * 5).verdict == Verdict.NOT_ENOUGH
    assert sign_test([1] * 6).verdict == Verdict.CLEAR
    assert sign_test([1, 1, 1, -1, -1, -1]).verdict == Verdict.NO_CHANGE


def in_columns(groups):
    """Groups of figures as one column, and which group each is of."""
    return [one for group in groups for one in group], [at for at, group in enumerate(groups) for _ in group]


def test_repeats_are_pooled():
    # s_r² = sum of squares / sum of (n - 1); computed by hand: 2.4037 on 6 degrees, r 6.73
    found = pooled_spread(*in_columns([[62, 65, 60], [80, 84], [41, 44, 46, 45], [99]]))

    assert found.spread.value == pytest.approx(2.4037, abs=1e-4)
    assert found.limit == pytest.approx(6.73, abs=5e-3)
    assert (found.degrees, found.groups) == (6, 3)
    # e-Handbook 7.2.3.1: s times the root of df over the chi-square quantile
    assert found.spread.high == pytest.approx(2.4037 * (6 / stats.chi2.ppf(0.025, 6)) ** 0.5, abs=1e-3)


def test_the_spread_of_pairs():
    # s_r = root of the sum of d² / 2n: 0.8683 for 1.2 -0.8 0.5 2.0 -1.1
    pairs = [[0, difference] for difference in (1.2, -0.8, 0.5, 2.0, -1.1)]

    assert pooled_spread(*in_columns(pairs)).spread.value == pytest.approx(0.8683, abs=1e-4)
    assert pooled_spread(*in_columns(pairs[:4])).spread is None


def test_repeats_judged_alike():
    groups = [["satin", "satin"], ["matt", "satin"], ["dry"], ["matt"] * 3, ["glossy"] * 2, ["dry"] * 2]

    assert share_alike(*in_columns(groups[:4])) is None
    assert share_alike(*in_columns(groups)) == wilson(4, 5)


def test_a_creep_is_not_faked_by_one_odd_result():
    # Theil 1950, Sen 1968: median of slopes 1.0667 where least squares gives 4.4286
    found = creep([1, 2, 3, 4, 5, 6], [1.0, 2.1, 2.9, 4.2, 5.0, 30.0])

    assert found.value == pytest.approx(1.0667, abs=1e-4)


# NIST StRD Norris, x and y, 36 points
NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0
228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"""
NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7
228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"""


def test_the_slope_of_norris():
    # NIST StRD Norris: least squares 1.00212; Theil-Sen by scipy 1.002197, 1.001115 to 1.003053
    x, y = ([float(word) for word in text.split()] for text in (NORRIS_X, NORRIS_Y))
    found = creep(x, y)

    assert (found.value, found.low, found.high) == pytest.approx((1.002197, 1.001115, 1.003053), abs=1e-6)
    assert found.value == pytest.approx(1.00211681802045, abs=2e-4)


points = st.lists(st.tuples(st.integers(0, 30), st.integers(0, 12)), min_size=6, max_size=25)


@given(points)
def test_slopes_agree_with_scipy(points):
    times, values = zip(*points, strict=True)
    assume(len(set(times)) > 1)
    with warnings.catch_warnings(action="ignore"):
        found, theirs = creep(times, values), stats.theilslopes(values, times, 0.95)

    assert found.value == pytest.approx(theirs.slope)
    assume(isfinite(theirs.low_slope))
    assert found.low == pytest.approx(min(theirs.low_slope, theirs.slope))
    assert found.high == pytest.approx(max(theirs.high_slope, theirs.slope))


@given(st.lists(points, min_size=2, max_size=4))
def test_of_several_groups_only_pairs_within_one_are_taken(groups):
    times, values, of = zip(
        *[(time, value, at) for at, group in enumerate(groups) for time, value in group], strict=True
    )
    slopes = [
        (b[1] - a[1]) / (b[0] - a[0]) for group in groups for a, b in combinations(group, 2) if a[0] != b[0]
    ]
    told = [group for group in groups if len({time for time, _ in group}) > 1]
    assume(told)
    found = creep(times, values, of)
    half = 1.959964 * sum(sens_variance(group) for group in told) ** 0.5
    low = sorted(slopes)[max(round((len(slopes) - half) / 2) - 1, 0)]

    assert found.value == pytest.approx(median(slopes))
    assert found.n == sum(map(len, told))
    assert found.low == pytest.approx(min(low, found.value))


def sens_variance(group):
    """Sen's variance with its ties counted one by one."""
    n = len(group)
    ties = [k for column in zip(*group, strict=True) for k in Counter(column).values()]
    taken = sum(k * (k - 1) * (2 * k + 5) for k in ties)
    return max(n * (n - 1) * (2 * n + 5) - taken, 0) / 18


def test_a_sign_test_of_thousands_of_pairs_is_exact_too():
    for fewer, more in ((90, 130), (2_400, 2_600), (12_000, 12_500), (0, 3_000)):
        assert Signs(more, fewer, 7).p == pytest.approx(
            stats.binomtest(fewer, fewer + more).pvalue, rel=1e-9, abs=1e-300
        )


@pytest.mark.parametrize("degrees", [1_000, 40_000])
def test_intervals_of_very_many_repeats_agree_with_scipy(degrees):
    for share in (0.025, 0.975):
        assert distributions.chi_square_quantile(share, degrees) == pytest.approx(
            stats.chi2.ppf(share, degrees), rel=1e-9
        )


# Tumours in 70 groups of rats and a current one, 4 of 14: Gelman et al., Bayesian Data Analysis, table 5.1 (from
# memory, unverified; the published mean 0.136 and spread 0.103 of the 70 rates, and moments 1.4 and 8.6, hold for it).
RATS = """0/20 0/20 0/20 0/20 0/20 0/20 0/20 0/19 0/19 0/19 0/19 0/18 0/18 0/17 1/20 1/20 1/20 1/20 1/19 1/19 1/18 1/18
2/25 2/24 2/23 2/20 2/20 2/20 2/20 2/20 2/20 1/10 5/49 2/19 5/46 3/27 2/17 7/49 7/47 3/20 3/20 2/13 9/48 10/50 4/20
4/20 4/20 4/20 4/20 4/20 4/20 10/48 4/19 4/19 4/19 5/22 11/46 12/49 5/20 5/20 6/23 5/19 6/22 6/20 6/20 6/20 16/52
15/46 15/47 9/24 4/14"""
CELLS = [Cell(*map(int, one.split("/"))) for one in RATS.split()]


def test_the_table_of_rats_is_the_published_one():
    rates = [cell.ran_off / cell.n for cell in CELLS[:70]]
    mean = sum(rates) / 70
    spread = (sum((rate - mean) ** 2 for rate in rates) / 69) ** 0.5

    assert (len(CELLS), round(mean, 3), round(spread, 3)) == (71, 0.136, 0.103)


def test_what_the_cells_share_is_as_published():
    # Bayesian Data Analysis, section 5.3: posterior mean of a 2.4, of b 14.3 (from memory, unverified)
    a, b, likely = shared(CELLS)

    assert float((likely * a).sum()) == pytest.approx(2.4, abs=0.1)
    assert float((likely * b).sum()) == pytest.approx(14.3, abs=0.5)


def test_a_cell_leans_towards_its_kin():
    # 4 of 14 is 0.286 alone; leaning on 70 groups around 0.14 it is about 0.21 (same section, figure 5.4)
    current = chances(CELLS)[-1]

    assert current.value == pytest.approx(0.21, abs=0.01)
    assert current.low < current.value < 4 / 14 < current.high


def test_few_tiles_give_no_chance():
    assert chances([Cell(1, 4), Cell(0, 5)]) == [None, None]
    few, many = chances([Cell(1, 2), Cell(0, 30)])
    assert few is None
    assert many.value < 0.08


@settings(max_examples=40)
@given(st.lists(st.integers(0, 30).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), max_size=8))
def test_chances_lie_between_nothing_and_certainty_and_among_kin(counts):
    cells = [Cell(*one) for one in counts]

    for cell, chance in zip(cells, chances(cells), strict=True):
        if chance is not None:
            assert cell.n >= 3
            assert 0 <= chance.low <= chance.value <= chance.high <= 1
    assert chances(cells) == chances(cells)


def test_many_tiles_speak_for_themselves():
    runny, *_ = chances([Cell(180, 200), Cell(0, 40), Cell(1, 40), Cell(2, 40)])

    assert isclose(runny.value, 0.9, abs_tol=0.02)
