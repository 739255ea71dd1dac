"""Temperature, volume, length, mass and salt against pint and scipy.constants."""

import numpy as np
import pint
import pytest
from scipy import constants

from app.science import units
from tests.outside.check import Check, Pair, difference, says

_registry: pint.UnitRegistry[float] = pint.UnitRegistry()
_quantity = _registry.Quantity

FACTORS = [
    (units.liters_from_us_gallons, "gallon", "liter"),
    (units.us_gallons_from_liters, "liter", "gallon"),
    (units.liters_from_imperial_gallons, "imperial_gallon", "liter"),
    (units.imperial_gallons_from_liters, "liter", "imperial_gallon"),
    (units.ml_from_us_fluid_ounces, "fluid_ounce", "milliliter"),
    (units.us_fluid_ounces_from_ml, "milliliter", "fluid_ounce"),
    (units.cm_from_inches, "inch", "centimeter"),
    (units.inches_from_cm, "centimeter", "inch"),
    (units.kg_from_pounds, "pound", "kilogram"),
    (units.pounds_from_kg, "kilogram", "pound"),
    (units.g_from_ounces, "ounce", "gram"),
    (units.ounces_from_g, "gram", "ounce"),
    (units.celsius_difference, "delta_degF", "delta_degC"),
    (units.fahrenheit_difference, "delta_degC", "delta_degF"),
]


def _factors() -> Pair:
    ours = [convert(7.5) for convert, _, _ in FACTORS]
    return ours, [_quantity(7.5, unit).to(to).magnitude for _, unit, to in FACTORS]


def _thermometers() -> Pair:
    fahrenheit = np.linspace(-40.0, 120.0, 33)
    theirs = _quantity(fahrenheit, _registry.degF).to("degC").magnitude
    return units.celsius_from_fahrenheit(fahrenheit), theirs


CHECKS = (
    Check(
        "Volumes, lengths, masses, temperature differences",
        "pint, a library of units",
        "14 conversions",
        "%",
        1e-9,
        "pint 0.25",
        _factors,
    ),
    Check(
        "Thermometer readings in °F and °C",
        "pint, a library of units",
        "-40 to 120 °F",
        "°C",
        1e-9,
        "pint 0.25",
        _thermometers,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_definitions_agree_with_a_second_library() -> None:
    assert units.liters_from_us_gallons(1.0) == pytest.approx(constants.gallon_US * 1e3, rel=1e-15)
    assert units.liters_from_imperial_gallons(1.0) == pytest.approx(
        constants.gallon_imp * 1e3, rel=1e-15
    )
    assert units.cm_from_inches(1.0) == pytest.approx(constants.inch * 1e2, rel=1e-15)
    assert units.kg_from_pounds(1.0) == pytest.approx(constants.pound, rel=1e-15)


# Fixed points of the two scales, by definition; 77 °F is 25 °C by the same.
@pytest.mark.parametrize(
    ("f", "c"), [(-40, -40), (32, 0), (77, 25), (212, 100), (-459.67, -273.15)]
)
def test_fixed_points_of_the_two_scales(f: float, c: float) -> None:
    assert units.celsius_from_fahrenheit(f) == pytest.approx(c)
    assert units.fahrenheit_from_celsius(c) == pytest.approx(f)


def test_a_swing_is_no_reading() -> None:
    # pint keeps the two apart; read as a thermometer, a swing of 2 °F would be -16.7 °C
    swing = _quantity(2.0, "delta_degF").to("delta_degC").magnitude
    assert units.celsius_difference(2.0) == pytest.approx(swing)
    assert abs(units.celsius_from_fahrenheit(2.0) - swing) > 17


def test_gallons_of_two_countries() -> None:
    # by definition: 29 US gallons are 109.8 L; 10 imperial gallons are 45.46 L, a fifth more
    assert units.liters_from_us_gallons(29.0) == pytest.approx(109.8, abs=0.05)
    assert units.liters_from_imperial_gallons(10.0) == pytest.approx(45.46, abs=0.005)
    assert units.liters_from_imperial_gallons(1.0) / units.liters_from_us_gallons(
        1.0
    ) == pytest.approx(1.201, abs=1e-3)


def test_a_pound_of_salt_in_a_hundred_gallons() -> None:
    # aquaculture sheets give salt by the pound; pint: 1 lb in 100 US gallons is 1.198 g/L
    g_per_l = (
        _quantity(1.0, "pound").to("gram").magnitude
        / _quantity(100.0, "gallon").to("liter").magnitude
    )
    assert g_per_l == pytest.approx(1.198, abs=5e-4)
    ours = units.kg_from_pounds(1.0) * 1000 / units.liters_from_us_gallons(100.0)
    assert ours == pytest.approx(g_per_l)


@pytest.mark.parametrize(("g_per_l", "ppt"), [(1.0, 1.00), (5.0, 4.985), (10.0, 9.92)])
def test_grams_per_liter_and_parts_per_thousand(g_per_l: float, ppt: float) -> None:
    # by hand from the definition: 1000 S / (S + 998)
    assert units.salt_ppt_from_g_per_l(g_per_l) == pytest.approx(ppt, abs=0.005)


def test_percent_is_ten_times_parts_per_thousand() -> None:
    # pint: 0.3 % is 3 permille, and so near 3 g/L that no spoon knows better
    permille = _quantity(0.3, "percent").to("permille").magnitude
    assert units.salt_g_per_l_from_ppt(permille) == pytest.approx(3.0, abs=0.01)
