"""Units of temperature, volume, length, mass and salt, and of nitrogen "as N" and "as the ion".

The first group is exact by definition. The second follows from molar masses; a number without
its basis is off by a factor of up to 4.4, so that both are named in every function.
"""

from __future__ import annotations

from app.science.bounds import FloatOrArray, require_within

KELVIN_AT_0_C = 273.15
ABSOLUTE_ZERO_F = -459.67
FAHRENHEIT_PER_CELSIUS = 1.8

LITERS_PER_US_GALLON = 3.785411784
LITERS_PER_IMPERIAL_GALLON = 4.54609
ML_PER_US_FLUID_OUNCE = LITERS_PER_US_GALLON * 1000.0 / 128.0
CM_PER_INCH = 2.54
KG_PER_POUND = 0.45359237
G_PER_OUNCE = KG_PER_POUND * 1000.0 / 16.0

SOFT_WATER_G_PER_L = 998.0
"""Fresh water at about 21 °C."""

# g/mol, from the abridged standard atomic weights (IUPAC 2021)
MOLAR_MASS_N = 14.007
MOLAR_MASS_NH3 = 17.031
MOLAR_MASS_NH4 = 18.039
MOLAR_MASS_NO2 = 46.005
MOLAR_MASS_NO3 = 62.004


def celsius_from_fahrenheit(temperature_f: FloatOrArray) -> FloatOrArray:
    """Read a temperature in °F as °C.

    Args:
        temperature_f: A thermometer reading in °F, not a difference; at least -459.67.

    Returns:
        The same temperature in °C; exact by definition.

    Raises:
        ValueError: If a temperature lies below absolute zero.
    """
    require_within("temperature_f", temperature_f, ABSOLUTE_ZERO_F)
    return (temperature_f - 32.0) / FAHRENHEIT_PER_CELSIUS


def fahrenheit_from_celsius(temperature_c: FloatOrArray) -> FloatOrArray:
    """Read a temperature in °C as °F.

    Args:
        temperature_c: A thermometer reading in °C, not a difference; at least -273.15.

    Returns:
        The same temperature in °F; exact by definition.

    Raises:
        ValueError: If a temperature lies below absolute zero.
    """
    require_within("temperature_c", temperature_c, -KELVIN_AT_0_C)
    return temperature_c * FAHRENHEIT_PER_CELSIUS + 32.0


def celsius_difference(difference_f: FloatOrArray) -> FloatOrArray:
    """Turn a difference of temperatures ("2 °F colder") from °F to °C; any sign, exact."""
    return difference_f / FAHRENHEIT_PER_CELSIUS


def fahrenheit_difference(difference_c: FloatOrArray) -> FloatOrArray:
    """Turn a difference of temperatures from °C to °F; any sign, exact."""
    return difference_c * FAHRENHEIT_PER_CELSIUS


def liters_from_us_gallons(volume_us_gal: FloatOrArray) -> FloatOrArray:
    """US liquid gallons (231 cubic inches) to liters, exact; a change may be negative."""
    return volume_us_gal * LITERS_PER_US_GALLON


def us_gallons_from_liters(volume_l: FloatOrArray) -> FloatOrArray:
    """Liters to US liquid gallons (231 cubic inches), exact; a change may be negative."""
    return volume_l / LITERS_PER_US_GALLON


def liters_from_imperial_gallons(volume_imperial_gal: FloatOrArray) -> FloatOrArray:
    """Imperial gallons, 20 % larger than US ones, to liters, exact."""
    return volume_imperial_gal * LITERS_PER_IMPERIAL_GALLON


def imperial_gallons_from_liters(volume_l: FloatOrArray) -> FloatOrArray:
    """Liters to imperial gallons, exact."""
    return volume_l / LITERS_PER_IMPERIAL_GALLON


def ml_from_us_fluid_ounces(volume_us_fl_oz: FloatOrArray) -> FloatOrArray:
    """US fluid ounces, 128 to the gallon and no mass, to milliliters, exact."""
    return volume_us_fl_oz * ML_PER_US_FLUID_OUNCE


def us_fluid_ounces_from_ml(volume_ml: FloatOrArray) -> FloatOrArray:
    """Milliliters to US fluid ounces, exact."""
    return volume_ml / ML_PER_US_FLUID_OUNCE


def cm_from_inches(length_in: FloatOrArray) -> FloatOrArray:
    """Inches to centimeters, exact."""
    return length_in * CM_PER_INCH


def inches_from_cm(length_cm: FloatOrArray) -> FloatOrArray:
    """Centimeters to inches, exact."""
    return length_cm / CM_PER_INCH


def kg_from_pounds(mass_lb: FloatOrArray) -> FloatOrArray:
    """Pounds to kilograms, exact."""
    return mass_lb * KG_PER_POUND


def pounds_from_kg(mass_kg: FloatOrArray) -> FloatOrArray:
    """Kilograms to pounds, exact."""
    return mass_kg / KG_PER_POUND


def g_from_ounces(mass_oz: FloatOrArray) -> FloatOrArray:
    """Ounces of mass, not of volume, to grams, exact."""
    return mass_oz * G_PER_OUNCE


def ounces_from_g(mass_g: FloatOrArray) -> FloatOrArray:
    """Grams to ounces of mass, exact."""
    return mass_g / G_PER_OUNCE


def salt_ppt_from_g_per_l(salt_g_per_l: FloatOrArray) -> FloatOrArray:
    """Salt dissolved in each liter of water to parts per thousand of the solution.

    Below 5 the two are the same for every purpose here; 0.3 % is 3 ppt, 3 g/L or 3000 mg/L.

    Args:
        salt_g_per_l: Salt in g to each liter of fresh water, at least 0; any shape.

    Returns:
        Grams of salt in a kilogram of solution.

    Raises:
        ValueError: If a value is negative.
    """
    require_within("salt_g_per_l", salt_g_per_l, 0.0)
    return 1000.0 * salt_g_per_l / (salt_g_per_l + SOFT_WATER_G_PER_L)


def salt_g_per_l_from_ppt(salt_ppt: FloatOrArray) -> FloatOrArray:
    """Parts per thousand of the solution to grams of salt in each liter of water.

    Args:
        salt_ppt: Grams of salt in a kilogram of solution, 0 to 300; any shape.

    Returns:
        Salt in g to each liter of fresh water.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("salt_ppt", salt_ppt, 0.0, 300.0)
    return SOFT_WATER_G_PER_L * salt_ppt / (1000.0 - salt_ppt)


def nh3_from_n(n_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Ammonia in mg/L as N to mg/L as NH3 (times 1.216)."""
    return n_mg_per_l * MOLAR_MASS_NH3 / MOLAR_MASS_N


def n_from_nh3(nh3_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Ammonia in mg/L as NH3 to mg/L as N."""
    return nh3_mg_per_l * MOLAR_MASS_N / MOLAR_MASS_NH3


def nh4_from_n(n_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Ammonium in mg/L as N to mg/L as the ion NH4+ (times 1.288)."""
    return n_mg_per_l * MOLAR_MASS_NH4 / MOLAR_MASS_N


def n_from_nh4(nh4_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Ammonium in mg/L as the ion NH4+ to mg/L as N."""
    return nh4_mg_per_l * MOLAR_MASS_N / MOLAR_MASS_NH4


def no2_from_n(n_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Nitrite in mg/L as N to mg/L as the ion NO2- (times 3.284)."""
    return n_mg_per_l * MOLAR_MASS_NO2 / MOLAR_MASS_N


def n_from_no2(no2_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Nitrite in mg/L as the ion NO2- to mg/L as N."""
    return no2_mg_per_l * MOLAR_MASS_N / MOLAR_MASS_NO2


def no3_from_n(n_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Nitrate in mg/L as N to mg/L as the ion NO3- (times 4.427)."""
    return n_mg_per_l * MOLAR_MASS_NO3 / MOLAR_MASS_N


def n_from_no3(no3_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Nitrate in mg/L as the ion NO3- to mg/L as N."""
    return no3_mg_per_l * MOLAR_MASS_N / MOLAR_MASS_NO3
