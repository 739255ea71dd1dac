"""Outside references: reprinted tables of Emerson et al. (1975) and of the US EPA criteria."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science.ammonia import (
    epa2013_acute,
    epa2013_chronic,
    pka,
    unionized_fraction,
    unionized_mg_per_l,
    unionized_range,
)

NAN = math.nan

# Fractions "calculated from data in Emerson et al. (1975)", reprinted in Univ. of Florida IFAS
# FA16, "Ammonia in Aquatic Systems", and as
# Table 1.4 of Fundamentals of Aquatic Veterinary Medicine.
# Left out: pH 7.4 at 20 °C, a misprint there (.0096), and the 32 °C column, which is not Emerson's.
TABLE_C = [6, 10, 14, 18, 20, 22, 24, 26, 28, 30]
TABLE = {
    7.0: [0.0013, 0.0018, 0.0025, 0.0034, 0.0039, 0.0046, 0.0052, 0.0060, 0.0069, 0.0080],
    7.4: [0.0034, 0.0046, 0.0063, 0.0085, NAN, 0.0114, 0.0131, 0.0150, 0.0173, 0.0198],
    7.8: [0.0084, 0.0116, 0.0157, 0.0211, 0.0244, 0.0281, 0.0322, 0.0370, 0.0423, 0.0482],
    8.0: [0.0133, 0.0182, 0.0247, 0.0330, 0.0381, 0.0438, 0.0502, 0.0574, 0.0654, 0.0743],
    8.2: [0.0210, 0.0286, 0.0385, 0.0514, 0.0590, 0.0676, 0.0772, 0.0880, 0.0998, 0.1129],
    8.4: [0.0328, 0.0445, 0.0597, 0.0790, 0.0904, 0.1031, 0.1171, 0.1326, 0.1495, 0.1678],
}
CELLS = [
    (ph, float(celsius), fraction)
    for ph, row in TABLE.items()
    for celsius, fraction in zip(TABLE_C, row, strict=True)
    if not math.isnan(fraction)
]

# Oregon DEQ tables of the 2013 criteria, mg/L of total ammonia as N, two significant digits.
EPA_PH = [6.5, 7.0, 7.5, 8.0, 8.5, 9.0]
ACUTE_WITHOUT_TROUT = {
    10: [51, 38, 21, 8.8, 3.3, 1.4],
    20: [23, 17, 9.2, 3.9, 1.5, 0.62],
    30: [9.9, 7.3, 4.0, 1.7, 0.65, 0.27],
}
ACUTE_WITH_TROUT = {
    10: [33, 24, 13, 5.6, 2.1, 0.88],
    20: [23, 17, 9.2, 3.9, 1.5, 0.62],
    30: [9.9, 7.3, 4.0, 1.7, 0.65, 0.27],
}
CHRONIC = {
    5: [4.9, 4.4, 3.2, 1.8, 0.80, 0.36],
    20: [2.1, 1.9, 1.4, 0.78, 0.35, 0.16],
    30: [1.1, 0.99, 0.73, 0.41, 0.18, 0.081],
}

PH = st.floats(6, 10)
CELSIUS = st.floats(0, 50)
TAN = st.floats(0, 10)


def two_digits(value: float) -> float:
    return float(f"{value:.2g}")


@pytest.mark.parametrize(("ph", "celsius", "fraction"), CELLS)
def test_fraction_reproduces_the_published_table(
    ph: float, celsius: float, fraction: float
) -> None:
    assert unionized_fraction(ph, celsius) == pytest.approx(fraction, abs=6e-5)


def test_pka_carries_the_right_coefficient() -> None:
    # The true 2729.92 gives 9.2464; a circulating misprint, 2727.92, gives 9.2397 and shifts every
    # result by 1.5 %, which a looser check would let pass.
    assert pka(25.0) == pytest.approx(9.2464, abs=2e-4)


def test_worked_example_of_the_extension_sheet() -> None:
    # Univ. of Florida IFAS FA16: total ammonia 1.0 mg/L, 24 °C, pH 8.0 gives 0.0502 mg/L.
    assert unionized_mg_per_l(1.0, 8.0, 24.0) == pytest.approx(0.0502, abs=5e-5)


def test_half_is_free_where_ph_equals_pka() -> None:
    assert unionized_fraction(pka(25.0), 25.0) == pytest.approx(0.5)


def test_result_keeps_the_basis_of_the_input() -> None:
    # At so high a pH nearly all is free, and 1 mg/L as N stays 1 mg/L as N, not 1.22 as NH3.
    assert unionized_mg_per_l(1.0, 14.0, 25.0) == pytest.approx(1.0, abs=1e-4)


def test_a_tenth_of_ph_adds_a_quarter() -> None:
    # 10^0.1 = 1.259: the error of the reading outweighs that of the equation.
    assert unionized_fraction(7.1, 25.0) / unionized_fraction(7.0, 25.0) == pytest.approx(
        10**0.1, rel=0.003
    )


def test_harm_range_of_two_color_cards() -> None:
    # Total ammonia card 0.5 (neighbors 0.25 and 1.0), pH card 7.4 (7.2 to 7.6), 25 °C. By hand with
    # pKa 9.2464: 0.25 / (1 + 10^2.0464) = 0.0022 and 1.0 / (1 + 10^1.6464) = 0.0221.
    low, high = unionized_range(0.25, 1.0, 7.2, 7.6, 25.0, 25.0)

    assert low == pytest.approx(0.0022, abs=5e-5)
    assert high == pytest.approx(0.0221, abs=5e-5)


@given(
    tans=st.tuples(TAN, TAN).map(sorted),
    phs=st.tuples(PH, PH).map(sorted),
    temperatures=st.tuples(CELSIUS, CELSIUS).map(sorted),
    share=st.floats(0, 1),
)
def test_nothing_between_the_ends_lies_outside_the_range(
    tans: list[float], phs: list[float], temperatures: list[float], share: float
) -> None:
    low, high = unionized_range(*tans, *phs, *temperatures)

    tan, ph, celsius = (a + share * (b - a) for a, b in (tans, phs, temperatures))
    assert low * (1 - 1e-9) <= unionized_mg_per_l(tan, ph, celsius) <= high * (1 + 1e-9)


def test_above_the_last_color_there_is_no_highest_value() -> None:
    low, high = unionized_range(8.0, math.inf, 7.0, 7.2, 25.0, 25.0)

    assert low == pytest.approx(8.0 * unionized_fraction(7.0, 25.0))
    assert math.isinf(high)


@pytest.mark.parametrize(
    "readings",
    [(1.0, 0.5, 7.0, 7.0, 25.0, 25.0), (0.5, 1.0, 7.2, 7.0, 25.0, 25.0), (0.5, 1.0, 7, 7, 25, 24)],
)
def test_an_interval_upside_down_is_refused(
    readings: tuple[float, float, float, float, float, float],
) -> None:
    with pytest.raises(ValueError, match="must not be above"):
        unionized_range(*readings)


@given(ph=PH, celsius=st.floats(0, 49), step=st.floats(0.01, 1))
def test_warmer_or_less_acid_water_holds_more_free_ammonia(
    ph: float, celsius: float, step: float
) -> None:
    here = unionized_fraction(ph, celsius)
    assert 0 < here < unionized_fraction(ph + step, celsius) < 1
    assert here < unionized_fraction(ph, celsius + step) < 1


@pytest.mark.parametrize("celsius", [-0.01, 50.01])
def test_outside_the_fit_nothing_is_computed(celsius: float) -> None:
    with pytest.raises(ValueError, match="temperature_c must be within 0 to 50"):
        unionized_fraction(7.0, celsius)


@pytest.mark.parametrize("celsius", [0.0, 50.0])
def test_the_ends_of_the_fit_belong_to_it(celsius: float) -> None:
    assert 0 < unionized_fraction(7.0, celsius) < 1


def test_kelvin_in_place_of_celsius_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature_c"):
        pka(298.15)


@pytest.mark.parametrize("ph", [-0.1, 14.1, 74.0])
def test_ph_off_the_scale_is_refused(ph: float) -> None:
    with pytest.raises(ValueError, match="ph must be within"):
        unionized_fraction(ph, 25.0)


def test_negative_ammonia_is_refused() -> None:
    with pytest.raises(ValueError, match="tan_mg_per_l"):
        unionized_mg_per_l(-0.1, 7.0, 25.0)


def test_a_reading_not_taken_gives_no_result() -> None:
    assert math.isnan(unionized_mg_per_l(0.5, math.nan, 25.0))
    fractions = unionized_fraction(np.array([8.0, math.nan]), np.array([24.0, 24.0]))
    np.testing.assert_allclose(fractions, [0.0502, math.nan], atol=6e-5)


@pytest.mark.parametrize("celsius", CHRONIC)
def test_chronic_criterion_reproduces_the_tables(celsius: float) -> None:
    assert [two_digits(epa2013_chronic(ph, celsius)) for ph in EPA_PH] == CHRONIC[int(celsius)]


@pytest.mark.parametrize("celsius", ACUTE_WITHOUT_TROUT)
def test_acute_criterion_reproduces_the_tables(celsius: float) -> None:
    expected = ACUTE_WITHOUT_TROUT[int(celsius)]
    assert [two_digits(epa2013_acute(ph, celsius)) for ph in EPA_PH] == expected


@pytest.mark.parametrize("celsius", ACUTE_WITH_TROUT)
def test_acute_criterion_with_trout_reproduces_the_tables(celsius: float) -> None:
    expected = ACUTE_WITH_TROUT[int(celsius)]
    assert [two_digits(epa2013_acute(ph, celsius, salmonids=True)) for ph in EPA_PH] == expected


def test_chronic_criterion_is_not_halved() -> None:
    # A published implementation writes 10 for 20 in the temperature term and gets 0.99 here.
    assert epa2013_chronic(7.0, 20.0) == pytest.approx(1.9, abs=0.05)


def test_below_seven_degrees_the_chronic_criterion_no_longer_rises() -> None:
    assert epa2013_chronic(7.0, 3.0) == epa2013_chronic(7.0, 7.0)
    assert epa2013_chronic(7.0, 7.1) < epa2013_chronic(7.0, 7.0)


@pytest.mark.parametrize(("ph", "celsius"), [(6.49, 20), (9.01, 20), (7, -0.1), (7, 30.1)])
def test_criteria_stay_inside_their_tables(ph: float, celsius: float) -> None:
    with pytest.raises(ValueError, match="must be within"):
        epa2013_chronic(ph, celsius)
    with pytest.raises(ValueError, match="must be within"):
        epa2013_acute(ph, celsius)


def test_criteria_take_arrays_and_keep_gaps() -> None:
    ph, celsius = np.array([7.0, math.nan]), np.array([20.0, 20.0])
    np.testing.assert_allclose(epa2013_chronic(ph, celsius), [1.9, math.nan], atol=0.05)
    np.testing.assert_allclose(epa2013_acute(ph, celsius), [17.0, math.nan], atol=0.5)
