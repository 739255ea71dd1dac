"""Oxygen against EN 25814, textbook and instrument tables, gsw, CoolProp and an ODE solver."""

import math

import gsw
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy import integrate

from app.science import oxygen
from app.science.heat import water_density_kg_per_m3
from app.science.oxygen import pressure_from_altitude_atm, saturation_mg_per_l
from tests.outside.check import Check, Pair, difference, says

# EN 25814 / ISO 5814 at 101.325 kPa, mg/L
EN_25814 = {
    0: 14.62, 5: 12.77, 10: 11.29, 15: 10.08, 18: 9.47, 20: 9.09, 22: 8.74, 24: 8.42, 25: 8.26,
    26: 8.11, 28: 7.83, 30: 7.56,
}  # fmt: skip
# exercise data of published numerical-methods teaching code, mg/L
THREE_DECIMALS = {0: 14.621, 8: 11.843, 16: 9.870, 24: 8.418, 32: 7.305, 40: 6.413}
# instrument-manual table "B", mg/L at 0, 300, 600 and 900 m. Above 1000 m such tables disagree
# among themselves by 2 % and are no fine test.
BY_ALTITUDE_M = [0.0, 300.0, 600.0, 900.0]
BY_ALTITUDE = {20: [9.1, 8.8, 8.4, 8.1], 24: [8.4, 8.1, 7.8, 7.5], 28: [7.8, 7.5, 7.3, 7.0]}
# EN 25814: mg/L less for each g/kg of salt
EN_SALT = {10: 0.0650, 20: 0.0475, 25: 0.0421, 30: 0.0371}

CELSIUS = np.linspace(0.0, 40.0, 41)


def _gsw(celsius: np.ndarray, salinity: float) -> np.ndarray:
    umol_per_kg = gsw.O2sol_SP_pt(salinity, celsius)
    kg_per_l = gsw.rho_t_exact(gsw.SR_from_SP(salinity), celsius, 0) / 1000
    return np.asarray(umol_per_kg * 31.9988e-3 * kg_per_l)


def _table(table: dict[int, float]) -> Pair:
    return saturation_mg_per_l(np.array(list(table), dtype=float)), list(table.values())


def _altitude() -> Pair:
    ours = [
        [saturation_mg_per_l(float(c), pressure_from_altitude_atm(m)) for m in BY_ALTITUDE_M]
        for c in BY_ALTITUDE
    ]
    return ours, list(BY_ALTITUDE.values())


def _salty() -> Pair:
    grams = (1.0, 3.0, 5.0, 10.0)
    return (
        [saturation_mg_per_l(CELSIUS, salinity_g_per_kg=g) for g in grams],
        [_gsw(CELSIUS, g) for g in grams],
    )


def _salt_of_the_standard() -> Pair:
    # the standard gives one figure up to sea water, which is a mean over 35 g/kg
    ours = [
        (saturation_mg_per_l(float(c)) - saturation_mg_per_l(float(c), 1.0, 35.0)) / 35.0
        for c in EN_SALT
    ]
    return ours, list(EN_SALT.values())


def _vapor() -> Pair:
    celsius = np.linspace(1.0, 40.0, 40)
    theirs = PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water") / 101325
    return oxygen.vapor_pressure_atm(celsius), theirs


def _night() -> Pair:
    ours, theirs = [], []
    for exchange in (0.0, 0.02, 0.15):

        def rate(_: float, c: list[float], k: float = exchange) -> list[float]:
            return [k * (8.26 - c[0]) - 0.20]

        solution = integrate.solve_ivp(rate, (0.0, 20.0), [8.0], rtol=1e-10, atol=1e-10)
        theirs.append(solution.y[0, -1])
        ours.append(_after(8.0, 0.20, exchange, 20.0))
    return ours, theirs


def _after(start: float, uptake: float, exchange: float, hours: float) -> float:
    return oxygen.after_hours_mg_per_l(
        start_mg_per_l=start,
        saturation_mg_per_l=8.26,
        uptake_mg_per_l_h=uptake,
        exchange_per_hour=exchange,
        hours=hours,
    )


CHECKS = (
    Check(
        "Oxygen saturation",
        "the table of the standard",
        "0 to 30 °C, 1 atm, 12 cells",
        "mg/L",
        0.01,
        "EN 25814 / ISO 5814",
        lambda: _table(EN_25814),
    ),
    Check(
        "Oxygen saturation",
        "a table of three decimals",
        "0 to 40 °C, 1 atm, 6 cells",
        "mg/L",
        0.001,
        "exercise data of published numerical-methods teaching code",
        lambda: _table(THREE_DECIMALS),
    ),
    Check(
        "Oxygen saturation",
        "gsw, an oceanographic library",
        "0 to 40 °C, 1 atm, fresh water",
        "%",
        0.05,
        "gsw 3.6, TEOS-10",
        lambda: (saturation_mg_per_l(CELSIUS), _gsw(CELSIUS, 0.0)),
    ),
    Check(
        "Oxygen saturation with salt",
        "gsw, an oceanographic library",
        "0 to 40 °C, 1 to 10 g/kg",
        "%",
        0.06,
        "gsw 3.6, TEOS-10",
        _salty,
    ),
    Check(
        "Oxygen less for each g/kg of salt",
        "the figures of the standard",
        "10 to 30 °C, mean up to 35 g/kg",
        "%",
        2.5,
        "EN 25814",
        _salt_of_the_standard,
    ),
    Check(
        "Oxygen saturation by altitude",
        "an instrument manual",
        "20 to 28 °C, 0 to 900 m, 12 cells",
        "mg/L",
        0.06,
        "instrument-manual table of one decimal",
        _altitude,
    ),
    Check(
        "Vapor pressure of water",
        "CoolProp, a library of fluid properties",
        "1 to 40 °C",
        "%",
        0.2,
        "CoolProp 8.0, IAPWS-95",
        _vapor,
    ),
    Check(
        "Oxygen in a night",
        "a numerical solver",
        "20 hours, exchange 0 to 0.15 per hour",
        "mg/L",
        1e-6,
        "scipy, solve_ivp",
        _night,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


# steam tables, kPa (general knowledge of handbooks, from memory)
@pytest.mark.parametrize(("celsius", "kpa"), [(10, 1.228), (20, 2.339), (25, 3.169), (30, 4.246)])
def test_vapor_pressure_of_the_steam_tables(celsius: float, kpa: float) -> None:
    assert oxygen.vapor_pressure_atm(float(celsius)) * 101.325 == pytest.approx(kpa, rel=2e-3)


def test_one_flipped_sign_still_runs_and_the_standard_finds_it() -> None:
    coefficients = [-139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11]
    published = saturation_mg_per_l(20.0)

    def with_signs(signs: list[float]) -> float:
        terms = zip(coefficients, signs, strict=True)
        return math.exp(min(sum(c * s / 293.15**i for i, (c, s) in enumerate(terms)), 700.0))

    assert with_signs([1.0] * 5) == pytest.approx(published, rel=1e-6)
    for flipped in range(5):
        signs = [-1.0 if i == flipped else 1.0 for i in range(5)]
        assert abs(with_signs(signs) - EN_25814[20]) > 0.01


def test_pressure_reduced_to_sea_level_overstates_by_a_fifth() -> None:
    true = saturation_mg_per_l(25.0, pressure_from_altitude_atm(1500.0))
    assert saturation_mg_per_l(25.0) / true == pytest.approx(1.20, abs=0.01)


def test_leaving_out_the_vapor_reads_high_in_warm_thin_air() -> None:
    # by the equation itself: plain proportion is 1.2 % high at 30 °C and 2000 m
    pressure = pressure_from_altitude_atm(2000.0)
    plain = saturation_mg_per_l(30.0) * pressure
    assert plain / saturation_mg_per_l(30.0, pressure) == pytest.approx(1.012, abs=0.001)


def test_oxygen_that_a_filter_uses() -> None:
    # EPA nitrogen control manuals: 4.57 mg per mg of N (64/14)
    assert oxygen.oxygen_used_by_nitrification_mg(1.0) == pytest.approx(4.57, abs=0.005)


def test_transfer_grows_with_warmth_as_practice_has_it() -> None:
    # 1.024 of Elmore and West (1961); Chin (2006) uses 1.025, which is 1 % off at 10 and 30 °C
    for celsius in (10.0, 30.0):
        ours = oxygen.transfer_velocity_m_per_h(1.0, celsius)
        assert ours == pytest.approx(1.025 ** (celsius - 20.0), rel=0.011)
    assert oxygen.transfer_velocity_m_per_h(0.03, 20.0) == 0.03


@pytest.mark.parametrize(("k600_m_per_day", "m_per_h"), [(0.35, 0.019), (0.74, 0.039)])
def test_calm_lakes_have_the_exchange_of_a_tank_with_a_moving_surface(
    k600_m_per_day: float, m_per_h: float
) -> None:
    # Cole et al. (2010): 0.35 to 0.74 m/day below 3 m/s of wind, for a Schmidt number of 600;
    # oxygen has about 530 at 20 °C and 418 at 25 °C (from memory), power 2/3 in calm air
    at_25 = k600_m_per_day / 24 * (600 / 418) ** (2 / 3)
    assert at_25 == pytest.approx(m_per_h, abs=5e-4)
    at_20 = k600_m_per_day / 24 * (600 / 530) ** (2 / 3)
    assert oxygen.transfer_velocity_m_per_h(at_20, 25.0) == pytest.approx(at_25, rel=0.06)


def test_half_time_of_a_still_tank_is_most_of_a_night() -> None:
    # Chin (2006), usual least transfer 0.6 m/day: ln 2 * 0.33 m / 0.6 = 9.1 h; 1 m2 over 33 cm
    rate = oxygen.surface_exchange_per_hour(0.6 / 24, 1.0, 330.0)
    assert math.log(2) / rate == pytest.approx(9.15, abs=0.05)


def test_air_in_bubbles_holds_far_more_than_the_water_takes() -> None:
    # A liter of air at 25 °C and 1 atm holds 0.2095 * 31.998 / 24.465 g = 274 mg of oxygen (gas
    # law; 20.95 % of air). 1.5 % of it, 60 minutes, over 8.26 mg/L are the 30 L/h that are assumed
    # (the 1.5 % from memory).
    per_l = 0.2095 * 31.998 / (8.314462 * 298.15 / 101.325) * 1000
    assert per_l == pytest.approx(274, abs=1)
    renewed_l_per_h = per_l * 60 * 0.015 / saturation_mg_per_l(25.0)
    assert renewed_l_per_h == pytest.approx(30, abs=0.2)
    assert oxygen.air_stone_exchange_per_hour(1.0, 40.0, renewed_l_per_h) == pytest.approx(
        0.75, abs=0.01
    )


def test_a_day_worked_by_hand_comes_out_of_the_same_solution() -> None:
    # 40 L, 0.18 m2, 25 °C, 5.4 L/h; 20.76 mg/h used in the dark, 31.1 mg/h made in ten hours of
    # light: 5.09 mg/L at dawn, 8.86 at dusk, when every day is the same.
    exchange = oxygen.surface_exchange_per_hour(0.03, 0.18, 40.0)
    dark, made = 20.76 / 40, 31.1 / 40
    dawn = 7.0
    for _ in range(30):
        dusk = _after(dawn, dark - made, exchange, 10.0)
        dawn = _after(dusk, dark, exchange, 14.0)
    assert [dawn, dusk] == pytest.approx([5.09, 8.86], abs=0.01)


def test_liters_of_water_weigh_about_a_kilogram_where_saturation_is_per_liter() -> None:
    # gsw gives oxygen per kilogram: forgetting the density would be 0.4 % at 28 °C
    assert 1000 / water_density_kg_per_m3(28.0) - 1 == pytest.approx(0.004, abs=3e-4)
