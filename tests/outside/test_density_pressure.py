"""Density of water and pressure of air against handbooks, gsw and CoolProp."""

import gsw
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from app.science.heat import water_density_kg_per_m3
from app.science.oxygen import pressure_from_altitude_atm
from app.science.units import cm_from_inches
from tests.outside.check import Check, Pair, difference, says

# CRC Handbook of Chemistry and Physics, 53rd ed., p. F-4, g/mL; the last three from memory
CRC_DENSITY = {
    0: 0.999841, 4: 0.999973, 10: 0.999700, 15: 0.999099, 20: 0.998207, 25: 0.997048, 30: 0.995650,
}  # fmt: skip
# ASHRAE / NASA standard atmosphere, psia by feet
ATMOSPHERE_PSIA = {
    0: 14.696, 1000: 14.175, 3000: 13.173, 5000: 12.230, 8000: 10.914, 10000: 10.108,
}  # fmt: skip
MM_HG_PER_ATM = 760.0


def kell_1975(celsius: np.ndarray, denominator: float = 16.879850e-3) -> np.ndarray:
    """Density by the older fit of Kell (1975), in Jones and Harris (1992), kg/m3."""
    powers = [999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12]
    polynomial = sum(c * celsius**i for i, c in enumerate(powers))
    return np.asarray(polynomial / (1.0 + denominator * celsius))


CELSIUS = np.linspace(0.0, 40.0, 81)


def _crc() -> Pair:
    celsius = np.array(list(CRC_DENSITY), dtype=float)
    return water_density_kg_per_m3(celsius), [1000 * density for density in CRC_DENSITY.values()]


def _coolprop() -> Pair:
    celsius = np.linspace(1.0, 40.0, 79)
    theirs = PropsSI("D", "T", celsius + 273.15, "P", 101325, "Water")
    return water_density_kg_per_m3(celsius), theirs


def _feet(feet: float) -> float:
    return pressure_from_altitude_atm(cm_from_inches(12.0 * feet) / 100)


def _atmosphere() -> Pair:
    ours = [_feet(feet) * ATMOSPHERE_PSIA[0] for feet in ATMOSPHERE_PSIA]
    return ours, list(ATMOSPHERE_PSIA.values())


CHECKS = (
    Check(
        "Density of water",
        "a handbook table",
        "0 to 30 °C, 7 cells",
        "kg/m3",
        0.004,
        "CRC Handbook of Chemistry and Physics, 53rd ed., p. F-4; above 15 °C from memory",
        _crc,
    ),
    Check(
        "Density of water",
        "gsw, an oceanographic library",
        "0 to 40 °C",
        "%",
        0.001,
        "gsw 3.6, TEOS-10",
        lambda: (water_density_kg_per_m3(CELSIUS), gsw.rho_t_exact(0, CELSIUS, 0)),
    ),
    Check(
        "Density of water",
        "CoolProp, a library of fluid properties",
        "1 to 40 °C",
        "%",
        0.001,
        "CoolProp 8.0, IAPWS-95",
        _coolprop,
    ),
    Check(
        "Density of water",
        "an older fit",
        "0 to 40 °C",
        "%",
        0.001,
        "Kell (1975), in Jones and Harris (1992), J. Res. NIST 97, 335",
        lambda: (water_density_kg_per_m3(CELSIUS), kell_1975(CELSIUS)),
    ),
    Check(
        "Air pressure by altitude",
        "the table of the standard atmosphere",
        "0 to 10 000 ft, 6 cells",
        "%",
        0.12,
        "ASHRAE / NASA standard atmosphere",
        _atmosphere,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_two_transposed_digits_are_found_by_the_table_only() -> None:
    # The archived text of the 1992 paper prints 16.897850e-3 for the denominator of Kell's fit.
    wrong = kell_1975(np.array([15.0]), 16.897850e-3)[0]
    assert abs(wrong - 1000 * CRC_DENSITY[15]) == pytest.approx(0.22, abs=0.01)
    assert abs(wrong - water_density_kg_per_m3(15.0)) > 0.1


def test_the_farm_rule_holds_in_low_country_only() -> None:
    # Wisconsin DNR laboratory note: 26 mm Hg less for each 1000 ft. It is within 0.3 % to 2000 ft,
    # and 2 % low at 8000 ft.
    def rule(feet: float) -> float:
        return (MM_HG_PER_ATM - 26.0 * feet / 1000.0) / MM_HG_PER_ATM

    assert rule(2000) / _feet(2000) == pytest.approx(1.0, abs=0.003)
    assert rule(8000) / _feet(8000) == pytest.approx(0.98, abs=0.005)
