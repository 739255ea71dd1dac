"""Outside references: PyCO2SYS, measured constants, a published table of factors, the USGS rule."""

import math

import numpy as np
import PyCO2SYS as pyco2  # type: ignore[import-untyped]  # noqa: N813  # its own manual's name
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from app.science import carbonate
from app.science.carbonate import co2_mg_per_l
from app.science.hardness import HardnessUnit, convert
from app.science.units import n_from_no3

# Harned and Davis (1943), Harned and Scholes (1941): measured at 0, 5, ... 30 °C (from memory)
MEASURED_C = [0, 5, 10, 15, 20, 25, 30]
MEASURED_PK1 = [6.579, 6.517, 6.464, 6.419, 6.381, 6.352, 6.327]
MEASURED_PK2 = [10.625, 10.557, 10.490, 10.430, 10.377, 10.329, 10.290]

# Tucker (1984), reprinted in aquaculture handbooks: mg/L CO2 per mg/L CaCO3 of alkalinity
TUCKER_C = [5, 10, 15, 20, 25, 30]
TUCKER = {
    6.0: [2.915, 2.539, 2.315, 2.112, 1.970, 1.882],
    6.4: [1.160, 1.010, 0.921, 0.841, 0.784, 0.749],
    6.8: [0.462, 0.402, 0.367, 0.335, 0.313, 0.298],
    7.0: [0.291, 0.254, 0.232, 0.211, 0.197, 0.188],
    7.4: [0.116, 0.101, 0.092, 0.084, 0.078, 0.075],
}


def test_constants_at_25_degrees() -> None:
    # Plummer and Busenberg (1982) as listed in public code; 14.00 is in every textbook
    assert carbonate.pk1(25.0) == pytest.approx(6.3519, abs=2e-4)
    assert carbonate.pk2(25.0) == pytest.approx(10.3289, abs=2e-4)
    assert carbonate.pkw(25.0) == pytest.approx(14.00, abs=0.002)


@pytest.mark.parametrize(
    ("celsius", "first", "second"), list(zip(MEASURED_C, MEASURED_PK1, MEASURED_PK2, strict=True))
)
def test_constants_reproduce_the_measured_ones(celsius: float, first: float, second: float) -> None:
    assert carbonate.pk1(celsius) == pytest.approx(first, abs=0.0015)
    assert carbonate.pk2(celsius) == pytest.approx(second, abs=0.004)


def test_constants_and_carbon_dioxide_agree_with_an_outside_library() -> None:
    celsius, ph, kh = (
        grid.ravel()
        for grid in np.meshgrid([0.0, 10, 20, 25, 30, 35], [6.0, 7.0, 8.0], [1.0, 4, 15])
    )
    meq = convert(kh, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MEQ_PER_L)
    # option 8: fresh water; pH scale 3: free
    theirs = pyco2.sys(
        par1=meq * 1000,
        par1_type=1,
        par2=ph,
        par2_type=3,
        salinity=0,
        temperature=celsius,
        opt_k_carbonic=8,
        opt_pH_scale=3,
    )
    pk1, pk2 = (-np.log10(theirs[f"k_carbonic_{i}"]) for i in (1, 2))
    np.testing.assert_allclose(carbonate.pk1(celsius), pk1, atol=0.0015)
    np.testing.assert_allclose(carbonate.pk2(celsius), pk2, atol=0.002)
    np.testing.assert_allclose(
        co2_mg_per_l(kh, ph, celsius), theirs["aqueous_CO2"] * 44.009e-3, rtol=3.5e-3
    )


@pytest.mark.parametrize("ph", TUCKER)
def test_factors_of_the_aquaculture_table(ph: float) -> None:
    kh = 4.0
    caco3 = convert(kh, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MG_PER_L_CACO3)
    for celsius, factor in zip(TUCKER_C, TUCKER[ph], strict=True):
        # 1.1 %, and half of the last printed digit
        assert co2_mg_per_l(kh, ph, float(celsius)) / caco3 == pytest.approx(
            factor, rel=0.011, abs=5e-4
        )


@pytest.mark.parametrize("ph", [6.5, 7.0, 7.5])
def test_rule_of_the_geological_survey(ph: float) -> None:
    # Skougstad et al. (1979), USGS TWRI 5-A1: CO2 = 1.60 * 10^(6.0 - pH) * HCO3, in mg/L
    bicarbonate = convert(5.0, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MEQ_PER_L) * 61.017
    expected = 1.60 * 10 ** (6.0 - ph) * bicarbonate
    assert co2_mg_per_l(5.0, ph, 25.0) == pytest.approx(expected, rel=0.015)


@pytest.mark.parametrize(
    ("celsius", "ionic_strength", "constant"),
    [(25.0, 0.0, 3.53), (25.0, 0.005, 3.27), (20.0, 0.0, 3.78), (20.0, 0.005, 3.50)],
)
def test_the_constant_three_of_hobby_books_is_too_low(
    celsius: float, ionic_strength: float, constant: float
) -> None:
    # "3 * KH * 10^(7 - pH)", common practice; the reference works out what 3 ought to be
    per_dkh = co2_mg_per_l(4.0, 7.0, celsius, ionic_strength) / 4.0
    assert per_dkh == pytest.approx(constant, abs=0.01)
    assert per_dkh > 3.0


def test_carbon_dioxide_against_a_full_speciation_code() -> None:
    # PHREEQC, a full speciation, with KH 3, pH 6.8, 25 °C and the ions that such water holds
    # (about 0.002 mol/L): 15.8 mg/L
    assert co2_mg_per_l(3.0, 6.8, 25.0, ionic_strength=0.002) == pytest.approx(15.8, rel=0.03)


def test_a_ph_read_two_tenths_wrong_is_a_factor_of_1_6() -> None:
    assert co2_mg_per_l(4.0, 6.8, 25.0) / co2_mg_per_l(4.0, 7.0, 25.0) == pytest.approx(
        1.6, abs=0.02
    )


@given(kh=st.floats(1, 14), ph=st.floats(6, 8.2), celsius=st.floats(0, 50))
def test_more_buffer_or_more_acid_means_more_carbon_dioxide(
    kh: float, ph: float, celsius: float
) -> None:
    here = co2_mg_per_l(kh, ph, celsius)
    assert here > 0
    assert co2_mg_per_l(kh + 1, ph, celsius) > here
    assert co2_mg_per_l(kh, ph + 0.1, celsius) < here
    assert co2_mg_per_l(kh, ph, celsius, 0.01) < here


@pytest.mark.parametrize(
    ("kh", "ph", "celsius", "ionic_strength", "name"),
    [
        (0.99, 7.0, 25.0, 0.0, "kh_dkh"),
        (15.01, 7.0, 25.0, 0.0, "kh_dkh"),
        (4.0, 5.99, 25.0, 0.0, "ph"),
        (4.0, 8.31, 25.0, 0.0, "ph"),
        (4.0, 7.0, -0.1, 0.0, "temperature_c"),
        (4.0, 7.0, 50.1, 0.0, "temperature_c"),
        (4.0, 7.0, 25.0, 0.11, "ionic_strength"),
    ],
)
def test_outside_its_range_nothing_is_computed(
    kh: float, ph: float, celsius: float, ionic_strength: float, name: str
) -> None:
    with pytest.raises(ValueError, match=f"^{name} must be"):
        co2_mg_per_l(kh, ph, celsius, ionic_strength)


def test_what_was_not_measured_stays_so() -> None:
    assert math.isnan(co2_mg_per_l(4.0, math.nan, 25.0))
    assert math.isnan(carbonate.alkalinity_used_by_nitrification_dkh(math.nan))


def test_ionic_strength_of_tap_water() -> None:
    # rule of water chemistry textbooks (from memory): 500 uS/cm are 0.008 mol/L
    assert carbonate.ionic_strength_from_conductivity(500.0) == pytest.approx(0.008)


def test_alkalinity_that_the_filter_uses() -> None:
    # EPA nitrogen control manuals: 7.14 mg of CaCO3 per mg of N (100/14)
    used = carbonate.alkalinity_used_by_nitrification_dkh(1.0)
    assert used == pytest.approx(0.400, abs=5e-4)
    caco3 = convert(used, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MG_PER_L_CACO3)
    assert caco3 == pytest.approx(7.14, abs=0.01)
    assert caco3 == pytest.approx(Formula("CaCO3").mass / Formula("N").mass, rel=2e-4)


def test_nitrate_as_the_ion_must_be_converted_first() -> None:
    # By hand: 10 mg/L as the ion are 2.26 as N, hence 0.90 dKH; unconverted it would be 4.0.
    used = carbonate.alkalinity_used_by_nitrification_dkh(n_from_no3(10.0))
    assert used == pytest.approx(0.90, abs=0.005)
