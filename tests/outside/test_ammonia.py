"""Free ammonia against the reprinted table of Emerson et al., PHREEQC and the EPA tables."""

import math

import numpy as np
import pytest

from app.science import ammonia
from app.science.ammonia import epa2013_acute, epa2013_chronic, pka, unionized_fraction
from tests.outside.check import Check, Pair, difference, says, two_digits
from tests.outside.speciation import ammonium_fit, free_ammonia_share

NAN = math.nan

# Fractions "calculated from data in Emerson et al. (1975)", reprinted in Univ. of Florida IFAS
# FA16, "Ammonia in Aquatic Systems", and as
# Table 1.4 of Fundamentals of Aquatic Veterinary Medicine.
# Left out: pH 7.4 at 20 °C, a misprint there (.0096), and the 32 °C column, which is not Emerson's.
TABLE_C = [6.0, 10.0, 14.0, 18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 30.0]
TABLE = {
    7.0: [0.0013, 0.0018, 0.0025, 0.0034, 0.0039, 0.0046, 0.0052, 0.0060, 0.0069, 0.0080],
    7.4: [0.0034, 0.0046, 0.0063, 0.0085, NAN, 0.0114, 0.0131, 0.0150, 0.0173, 0.0198],
    7.8: [0.0084, 0.0116, 0.0157, 0.0211, 0.0244, 0.0281, 0.0322, 0.0370, 0.0423, 0.0482],
    8.0: [0.0133, 0.0182, 0.0247, 0.0330, 0.0381, 0.0438, 0.0502, 0.0574, 0.0654, 0.0743],
    8.2: [0.0210, 0.0286, 0.0385, 0.0514, 0.0590, 0.0676, 0.0772, 0.0880, 0.0998, 0.1129],
    8.4: [0.0328, 0.0445, 0.0597, 0.0790, 0.0904, 0.1031, 0.1171, 0.1326, 0.1495, 0.1678],
}
PH, CELSIUS = (grid.T for grid in np.meshgrid(list(TABLE), TABLE_C))
PUBLISHED = np.array(list(TABLE.values()))
ONE_ROUNDING_UNIT = 6e-5

# Oregon DEQ tables of the 2013 criteria, mg/L of total ammonia as N, two significant digits.
EPA_PH = [6.5, 7.0, 7.5, 8.0, 8.5, 9.0]
ACUTE_WITHOUT_TROUT = {
    10.0: [51, 38, 21, 8.8, 3.3, 1.4],
    20.0: [23, 17, 9.2, 3.9, 1.5, 0.62],
    30.0: [9.9, 7.3, 4.0, 1.7, 0.65, 0.27],
}
ACUTE_WITH_TROUT = {**ACUTE_WITHOUT_TROUT, 10.0: [33, 24, 13, 5.6, 2.1, 0.88]}
CHRONIC = {
    5.0: [4.9, 4.4, 3.2, 1.8, 0.80, 0.36],
    20.0: [2.1, 1.9, 1.4, 0.78, 0.35, 0.16],
    30.0: [1.1, 0.99, 0.73, 0.41, 0.18, 0.081],
}

SPECIATED = [(ph, celsius) for ph in (6.5, 7.5, 8.5, 9.0) for celsius in (0.0, 15.0, 25.0, 35.0)]


def _table() -> Pair:
    return unionized_fraction(PH, CELSIUS), PUBLISHED


def _phreeqc_fit() -> Pair:
    a, b, c = ammonium_fit()
    celsius = np.linspace(0.0, 35.0, 36)
    kelvin = celsius + 273.15
    return pka(celsius), -(a + b * kelvin + c / kelvin)


def _phreeqc(calcium_mmol: float) -> Pair:
    ours = [unionized_fraction(ph, celsius) for ph, celsius in SPECIATED]
    theirs = [free_ammonia_share(ph, c, calcium_mmol=calcium_mmol) for ph, c in SPECIATED]
    return ours, theirs


def _epa() -> Pair:
    ours = [two_digits(epa2013_chronic(ph, c)) for c in CHRONIC for ph in EPA_PH]
    ours += [two_digits(epa2013_acute(ph, c)) for c in ACUTE_WITHOUT_TROUT for ph in EPA_PH]
    ours += [two_digits(epa2013_acute(ph, c, True)) for c in ACUTE_WITH_TROUT for ph in EPA_PH]
    tables = (CHRONIC, ACUTE_WITHOUT_TROUT, ACUTE_WITH_TROUT)
    return ours, [cell for table in tables for row in table.values() for cell in row]


CHECKS = (
    Check(
        "Share of free ammonia",
        "the table of Emerson et al.",
        "pH 7.0 to 8.4, 6 to 30 °C, 59 cells",
        "",
        ONE_ROUNDING_UNIT,
        "Emerson et al. (1975), reprinted in Univ. of Florida IFAS FA16",
        _table,
    ),
    Check(
        "pKa of ammonium",
        "the data base of PHREEQC",
        "0 to 35 °C",
        "pK",
        0.003,
        "USGS, phreeqc.dat",
        _phreeqc_fit,
    ),
    Check(
        "Share of free ammonia",
        "PHREEQC, water with few salts",
        "pH 6.5 to 9, 0 to 35 °C",
        "%",
        2.5,
        "phreeqpython 1.6.2",
        lambda: _phreeqc(0.0),
    ),
    Check(
        "Share of free ammonia",
        "PHREEQC, hard water, where we read high",
        "pH 6.5 to 9, 0 to 35 °C",
        "%",
        11.0,
        "phreeqpython 1.6.2",
        lambda: _phreeqc(2.6),
    ),
    Check(
        "Ammonia criteria for wild waters",
        "the published tables, two digits",
        "pH 6.5 to 9, 5 to 30 °C, 54 cells",
        "mg/L",
        1e-6,
        "US EPA (2013), EPA 822-R-13-001, tables of Oregon DEQ",
        _epa,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def _mistake(constant: float = 2729.92, base: float = 10.0, offset: float = 273.15) -> float:
    """Largest distance from the table with one thing wrong."""
    pk = 0.09018 + constant / (CELSIUS + offset)
    wrong = 1.0 / (1.0 + base ** np.minimum(pk - PH, 300.0))
    return float(np.nanmax(np.abs(wrong - PUBLISHED)))


def test_the_table_finds_every_known_mistake() -> None:
    assert _mistake() < ONE_ROUNDING_UNIT
    assert _mistake(constant=2727.92) > 10 * ONE_ROUNDING_UNIT  # misprint of a statistics manual
    assert _mistake(base=math.e) > 0.1  # natural for common logarithm
    assert _mistake(offset=0.0) > 0.01  # °C for K
    percent = 100.0 * unionized_fraction(PH, CELSIUS)  # a percentage taken for a share
    assert np.nanmin(np.abs(percent - PUBLISHED)) > 0.1


def test_pka_carries_the_right_coefficient() -> None:
    # The true 2729.92 gives 9.2464; a circulating misprint, 2727.92, gives 9.2397 and shifts every
    # result by 1.5 %, which a looser check would let pass.
    assert pka(25.0) == pytest.approx(9.2464, abs=2e-4)
    assert 1.0 / (1.0 + 10 ** (9.2397 - 7.0)) / unionized_fraction(7.0, 25.0) == pytest.approx(
        1.015, abs=0.001
    )


def test_the_misprinted_cell_and_column_of_the_reprint_are_not_emersons() -> None:
    assert unionized_fraction(7.4, 20.0) == pytest.approx(0.0098, abs=5e-5)  # printed .0096
    assert 0.0093 / unionized_fraction(7.0, 32.0) > 1.01  # printed .0093
    assert 0.1948 / unionized_fraction(8.4, 32.0) > 1.01  # printed .1948


@pytest.mark.parametrize(
    ("celsius", "percent"), [(10.0, 1.83), (15.0, 2.65), (20.0, 3.83), (25.0, 5.28)]
)
def test_an_older_table_is_within_its_own_error(celsius: float, percent: float) -> None:
    # Trussell (1972), reprinted in a test-kit manual: up to 2.5 % from Emerson, so no fine check
    assert 100 * unionized_fraction(8.0, celsius) == pytest.approx(percent, rel=0.025)


def test_worked_example_of_the_extension_sheet() -> None:
    # Univ. of Florida IFAS FA16: total ammonia 1.0 mg/L, 24 °C, pH 8.0 gives 0.0502 mg/L.
    assert ammonia.unionized_mg_per_l(1.0, 8.0, 24.0) == pytest.approx(0.0502, abs=5e-5)


def test_hard_water_is_read_high_and_never_low() -> None:
    ours, theirs = (np.asarray(side) for side in _phreeqc(2.6))
    assert np.all(ours > theirs)


def test_a_guideline_on_the_other_basis_is_converted_first() -> None:
    # Canadian water quality guideline for ammonia: 0.019 mg/L as NH3 is 0.0156 as N (0.8224).
    at_limit = 0.0156 / unionized_fraction(8.0, 25.0)
    assert ammonia.unionized_mg_per_l(at_limit, 8.0, 25.0) == pytest.approx(
        0.019 * 0.8224, rel=2e-3
    )


def test_chronic_criterion_is_not_halved() -> None:
    # A published implementation writes 10 for 20 in the temperature term and gets 0.99 here.
    assert epa2013_chronic(7.0, 20.0) == pytest.approx(1.89, abs=0.005)
    assert epa2013_acute(7.0, 20.0) == pytest.approx(16.8, abs=0.05)


def test_criteria_are_those_of_2013() -> None:
    # the chronic criterion of 1999 at pH 7 and 20 °C, still quoted: 0.0577, 2.487, 1.45 and 25
    of_1999 = (0.0577 / (1 + 10**0.688) + 2.487 / (1 + 10**-0.688)) * 1.45 * 10 ** (0.028 * 5)
    assert of_1999 / epa2013_chronic(7.0, 20.0) > 1.5
