"""First-order arithmetic of a value and its standard deviation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from causeline.quantities.uncertain import NORMAL_90, Uncertain

VALUES = st.floats(-1e6, 1e6)
SPREADS = st.floats(0, 1e3)
NUMBERS = st.builds(Uncertain, VALUES, SPREADS)
DRAWS = 200_000


def _drawn(number: Uncertain, seed: int) -> np.typing.NDArray[np.float64]:
    return np.random.default_rng(seed).normal(number.value, number.sd, DRAWS)


class TestByHand:
    def test_sum_and_difference_of_3_and_4(self) -> None:
        a, b = Uncertain(10.0, 3.0), Uncertain(2.0, 4.0)
        assert a + b == Uncertain(12.0, 5.0)
        assert a - b == Uncertain(8.0, 5.0)

    def test_quotient(self) -> None:
        """10 ± 0.3 over 5 ± 0.2: relative errors of 3 % and 4 % make 5 % of 2."""
        ratio = Uncertain(10.0, 0.3) / Uncertain(5.0, 0.2)
        assert ratio.value == 2.0
        assert ratio.sd == pytest.approx(0.1)

    def test_a_negative_factor_keeps_the_spread_positive(self) -> None:
        assert Uncertain(2.0, 0.5).times(-3.0) == Uncertain(-6.0, 1.5)

    def test_the_interval_of_90_per_cent(self) -> None:
        low, high = Uncertain(100.0, 10.0).interval_90()
        assert (low, high) == pytest.approx((83.55, 116.45), abs=0.005)

    def test_division_by_zero_is_refused(self) -> None:
        with pytest.raises(ZeroDivisionError):
            Uncertain(1.0, 0.1) / Uncertain(0.0, 0.1)

    @pytest.mark.parametrize(
        ("value", "sd"), [(math.nan, 1.0), (1.0, math.nan), (math.inf, 1.0), (1.0, -0.1)]
    )
    def test_what_is_no_number_is_refused(self, value: float, sd: float) -> None:
        with pytest.raises(ValueError, match="expected finite numbers"):
            Uncertain(value, sd)


class TestAgainstChance:
    """Outside reference: a Monte Carlo of 200,000 draws; its own error is 0.16 % of a spread."""

    @pytest.mark.parametrize(
        ("a", "b"),
        [
            (Uncertain(50.0, 2.0), Uncertain(20.0, 0.6)),
            (Uncertain(-3.0, 0.4), Uncertain(8.0, 0.1)),
            (Uncertain(0.0, 1.0), Uncertain(100.0, 2.0)),
        ],
    )
    def test_sum_difference_and_quotient(self, a: Uncertain, b: Uncertain) -> None:
        x, y = _drawn(a, 1), _drawn(b, 2)
        for found, drawn in ((a + b, x + y), (a - b, x - y), (a / b, x / y)):
            # The second order of a quotient is (3 %)² here, a tenth of what is allowed.
            assert found.sd == pytest.approx(drawn.std(), rel=0.015)
            assert found.value == pytest.approx(drawn.mean(), abs=0.1 * found.sd)

    def test_nine_of_ten_draws_lie_in_the_interval(self) -> None:
        number = Uncertain(-7.0, 2.5)
        low, high = number.interval_90()
        share = np.mean((_drawn(number, 3) > low) & (_drawn(number, 3) < high))
        assert share == pytest.approx(0.9, abs=0.003)

    def test_the_half_width_is_that_of_scipy(self) -> None:
        assert stats.norm.ppf(0.95) == pytest.approx(NORMAL_90, abs=1e-12)


class TestProperties:
    @given(NUMBERS, NUMBERS)
    def test_the_order_of_a_sum_does_not_matter(self, a: Uncertain, b: Uncertain) -> None:
        assert a + b == b + a

    @given(NUMBERS, NUMBERS)
    def test_a_sum_is_never_surer_than_its_parts(self, a: Uncertain, b: Uncertain) -> None:
        assert (a + b).sd >= max(a.sd, b.sd)
        assert (a - b).sd == (a + b).sd

    @given(NUMBERS, st.floats(1, 1e6), st.floats(0.01, 100))
    def test_a_quotient_has_no_unit(self, a: Uncertain, divisor: float, unit: float) -> None:
        b = Uncertain(divisor, 0.01 * divisor)
        there, here = a.times(unit) / b.times(unit), a / b
        assert there.value == pytest.approx(here.value, rel=1e-9)
        assert there.sd == pytest.approx(here.sd, rel=1e-9)

    @given(NUMBERS)
    def test_the_interval_is_centred_on_the_value(self, a: Uncertain) -> None:
        low, high = a.interval_90()
        assert low <= a.value <= high
        assert (low + high) / 2 == pytest.approx(a.value, abs=1e-6)
