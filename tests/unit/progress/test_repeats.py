"""Reliability against Weir's formulas, the table of minimal detectable changes, and statsmodels."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm

from causeline.progress.repeats import compare_repeats, detectable_difference, sem_from_icc

WEIR_TRIALS = np.array(
    [[146, 140], [148, 152], [170, 152], [90, 99], [157, 145], [156, 153], [176, 167], [205, 218]]
)
"""Worked example of Weir (2005), table 1, trials A1 and A2; from memory, so the test checks the
arithmetic against statsmodels and not against the printed coefficients."""

MDC_TABLE = [
    (2.0, 5.5, 2.5, 1.8),
    (3.0, 8.3, 3.7, 2.6),
    (4.0, 11.1, 5.0, 3.5),
    (5.0, 13.9, 6.2, 4.4),
]
"""Computed from MDC95 = 1.96 √2 SEM (Weir 2005): one swing, means of five, means of ten."""


@pytest.mark.parametrize(("sem", "one", "five", "ten"), MDC_TABLE)
def test_smallest_detectable_difference_is_that_of_the_table(
    sem: float, one: float, five: float, ten: float
) -> None:
    rounded_to = 0.051  # the table is given to a tenth
    assert detectable_difference(sem) == pytest.approx(one, abs=rounded_to)
    assert detectable_difference(sem, 5) == pytest.approx(five, abs=rounded_to)
    assert detectable_difference(sem, 10) == pytest.approx(ten, abs=rounded_to)


def test_error_mean_square_is_that_of_a_two_way_analysis_of_variance() -> None:
    subjects, trials = np.indices(WEIR_TRIALS.shape)
    frame = pd.DataFrame(
        {"subject": subjects.ravel(), "trial": trials.ravel(), "value": WEIR_TRIALS.ravel()}
    )
    table = anova_lm(ols("value ~ C(subject) + C(trial)", frame).fit())
    error = table.loc["Residual", "mean_sq"]
    between = table.loc["C(subject)", "mean_sq"]
    found = compare_repeats(WEIR_TRIALS)
    assert found.sem == pytest.approx(np.sqrt(error), rel=1e-9)
    assert found.icc_3_1 == pytest.approx((between - error) / (between + error), rel=1e-9)


def test_trials_that_agree_have_no_error() -> None:
    found = compare_repeats([[1.0, 1.0], [2.0, 2.0], [4.0, 4.0]])
    assert (found.sem, found.icc_2_1, found.icc_3_1, found.bias) == (0.0, 1.0, 1.0, 0.0)


def test_a_constant_offset_counts_against_one_form_only() -> None:
    found = compare_repeats([[1.0, 2.0], [2.0, 3.0], [4.0, 5.0]])
    assert found.icc_3_1 == pytest.approx(1.0)
    assert found.icc_2_1 < 0.9
    assert found.bias == pytest.approx(1.0)


def test_error_from_a_published_coefficient() -> None:
    assert sem_from_icc(10.0, 0.91) == pytest.approx(3.0)


@pytest.mark.parametrize("trials", [[[1.0, 2.0]], [[1.0], [2.0]], [[1.0, np.nan], [2.0, 3.0]]])
def test_too_few_or_missing_values_are_refused(trials: list[list[float]]) -> None:
    with pytest.raises(ValueError, match="two or more"):
        compare_repeats(trials)
