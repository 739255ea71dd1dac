"""Outside references: EN 25814, instrument and atmosphere tables, gsw, scipy's solver."""

import math

import gsw  # type: ignore[import-untyped]
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula
from scipy import integrate  # type: ignore[import-untyped]

from app.science import oxygen
from app.science.oxygen import pressure_from_altitude_atm, saturation_mg_per_l
from app.science.units import cm_from_inches

# EN 25814 / ISO 5814 at 101.325 kPa, mg/L
EN_25814 = {
    0: 14.62,
    5: 12.77,
    10: 11.29,
    15: 10.08,
    18: 9.47,
    20: 9.09,
    22: 8.74,
    24: 8.42,
    25: 8.26,
    26: 8.11,
    28: 7.83,
    30: 7.56,
}
# exercise data of published numerical-methods teaching code, mg/L
THREE_DECIMALS = {0: 14.621, 8: 11.843, 16: 9.870, 24: 8.418, 32: 7.305, 40: 6.413}
# ASHRAE / NASA standard atmosphere, psia by feet
ATMOSPHERE_PSIA = {
    0: 14.696,
    1000: 14.175,
    3000: 13.173,
    5000: 12.230,
    8000: 10.914,
    10000: 10.108,
}
# steam tables, kPa (general knowledge of handbooks, from memory)
STEAM_KPA = {10: 1.228, 20: 2.339, 25: 3.169, 30: 4.246}


@pytest.mark.parametrize(("celsius", "expected"), EN_25814.items())
def test_saturation_reproduces_the_standard(celsius: float, expected: float) -> None:
    assert saturation_mg_per_l(float(celsius)) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(("celsius", "expected"), THREE_DECIMALS.items())
def test_saturation_to_three_decimals(celsius: float, expected: float) -> None:
    assert saturation_mg_per_l(float(celsius)) == pytest.approx(expected, abs=0.001)


def test_saturation_agrees_with_an_outside_library() -> None:
    celsius = np.linspace(0.0, 40.0, 41)
    umol_per_kg = gsw.O2sol_SP_pt(0, celsius)
    expected = umol_per_kg * 31.9988e-3 * gsw.rho_t_exact(0, celsius, 0) / 1000
    np.testing.assert_allclose(saturation_mg_per_l(celsius), expected, rtol=5e-4)


# instrument-manual table of saturation by altitude, mg/L at 0, 300, 600 and 900 m
@pytest.mark.parametrize(
    ("celsius", "row"),
    [(20.0, [9.1, 8.8, 8.4, 8.1]), (24.0, [8.4, 8.1, 7.8, 7.5]), (28.0, [7.8, 7.5, 7.3, 7.0])],
)
def test_saturation_falls_with_altitude(celsius: float, row: list[float]) -> None:
    for altitude_m, expected in zip([0.0, 300.0, 600.0, 900.0], row, strict=True):
        pressure = pressure_from_altitude_atm(altitude_m)
        assert saturation_mg_per_l(celsius, pressure) == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(("feet", "psia"), ATMOSPHERE_PSIA.items())
def test_pressure_reproduces_the_standard_atmosphere(feet: float, psia: float) -> None:
    altitude_m = cm_from_inches(12.0 * feet) / 100
    expected = psia / ATMOSPHERE_PSIA[0]
    assert pressure_from_altitude_atm(altitude_m) == pytest.approx(expected, rel=0.0012)


def test_pressure_reduced_to_sea_level_overstates_by_a_fifth() -> None:
    true = saturation_mg_per_l(25.0, pressure_from_altitude_atm(1500.0))
    assert saturation_mg_per_l(25.0) / true == pytest.approx(1.20, abs=0.01)


def test_leaving_out_the_vapor_reads_high_in_warm_thin_air() -> None:
    # by the reference: plain proportion is 1.2 % high at 30 °C and 2000 m
    pressure = pressure_from_altitude_atm(2000.0)
    plain = saturation_mg_per_l(30.0) * pressure
    assert plain / saturation_mg_per_l(30.0, pressure) == pytest.approx(1.012, abs=0.001)


@pytest.mark.parametrize(("celsius", "kpa"), STEAM_KPA.items())
def test_vapor_pressure_of_the_steam_tables(celsius: float, kpa: float) -> None:
    assert oxygen.vapor_pressure_atm(float(celsius)) * 101.325 == pytest.approx(kpa, rel=2e-3)


@given(celsius=st.floats(0, 39), step=st.floats(0.1, 1), pressure=st.floats(0.5, 1.0))
def test_warm_water_and_thin_air_hold_less(celsius: float, step: float, pressure: float) -> None:
    here = saturation_mg_per_l(celsius, pressure)
    assert saturation_mg_per_l(celsius + step, pressure) < here
    assert saturation_mg_per_l(celsius, pressure + 0.05) > here


@pytest.mark.parametrize(("celsius", "pressure"), [(-0.1, 1), (40.1, 1), (25, 0.49), (25, 1.11)])
def test_outside_the_equation_nothing_is_computed(celsius: float, pressure: float) -> None:
    with pytest.raises(ValueError, match="must be within"):
        saturation_mg_per_l(celsius, pressure)


@pytest.mark.parametrize("altitude_m", [-501.0, 5001.0])
def test_altitudes_where_nobody_keeps_fish_are_refused(altitude_m: float) -> None:
    with pytest.raises(ValueError, match="altitude_m"):
        pressure_from_altitude_atm(altitude_m)


def test_percent_saturation_may_pass_a_hundred() -> None:
    assert oxygen.percent_saturation(8.26, 25.0) == pytest.approx(100.0, abs=0.1)  # EN 25814
    assert oxygen.percent_saturation(9.0, 25.0) > 105.0
    with pytest.raises(ValueError, match="measured_mg_per_l"):
        oxygen.percent_saturation(-0.1, 25.0)


def test_what_was_not_measured_stays_so() -> None:
    saturation = saturation_mg_per_l(np.array([25.0, math.nan]))
    np.testing.assert_allclose(saturation, [8.26, math.nan], atol=0.01)
    assert math.isnan(oxygen.percent_saturation(math.nan, 25.0))
    assert math.isnan(hours_until(start=math.nan))


def test_exchange_of_a_small_tank() -> None:
    # Worked example: 0.03 m/h over 0.18 m2 are 5.4 L/h; in 40 L a time constant of 7.41 h.
    rate = oxygen.surface_exchange_per_hour(0.03, 0.18, 40.0)
    assert rate * 40.0 == pytest.approx(5.4)
    assert 1 / rate == pytest.approx(7.41, abs=0.005)
    with pytest.raises(ValueError, match="volume_l"):
        oxygen.surface_exchange_per_hour(0.03, 0.18, 0.0)


def test_half_time_of_a_still_tank_is_most_of_a_night() -> None:
    # by hand: ln 2 * 0.33 m / 0.6 m per day = 9.1 h; 1 m2 over 33 cm are 330 L
    rate = oxygen.surface_exchange_per_hour(0.6 / 24, 1.0, 330.0)
    assert math.log(2) / rate == pytest.approx(9.15, abs=0.05)


def night(hours: float, exchange_per_hour: float = 0.15, start: float = 8.0) -> float:
    return oxygen.after_hours_mg_per_l(
        start_mg_per_l=start,
        saturation_mg_per_l=8.26,
        uptake_mg_per_l_h=0.20,
        exchange_per_hour=exchange_per_hour,
        hours=hours,
    )


def hours_until(
    start: float = 7.0, line: float = 5.0, uptake: float = 0.20, exchange: float = 0.05
) -> float:
    return oxygen.hours_until_line(
        start_mg_per_l=start,
        line_mg_per_l=line,
        saturation_mg_per_l=8.26,
        uptake_mg_per_l_h=uptake,
        exchange_per_hour=exchange,
    )


def test_oxygen_at_dawn() -> None:
    # By hand: 8.26 - 0.20 / 0.15 = 6.93; 6.93 + (8.0 - 6.93) exp(-2.1) = 7.06
    assert night(14.0) == pytest.approx(7.06, abs=0.005)
    assert night(1000.0) == pytest.approx(6.93, abs=0.005)


@pytest.mark.parametrize("exchange_per_hour", [0.0, 0.02, 0.15])
def test_oxygen_agrees_with_a_numerical_solver(exchange_per_hour: float) -> None:
    def rate(_: float, c: list[float]) -> list[float]:
        return [exchange_per_hour * (8.26 - c[0]) - 0.20]

    solution = integrate.solve_ivp(rate, (0.0, 20.0), [8.0], rtol=1e-9, atol=1e-9)
    assert night(20.0, exchange_per_hour) == pytest.approx(solution.y[0, -1], abs=1e-6)


def test_oxygen_does_not_fall_below_nothing() -> None:
    assert night(100.0, exchange_per_hour=0.0) == 0.0


def test_hours_left_after_the_filter_stops() -> None:
    # By hand: end 8.26 - 0.20 / 0.05 = 4.26; ln(2.74 / 0.74) / 0.05 = 26.2;
    # without exchange 2 / 0.2 = 10
    assert hours_until() == pytest.approx(26.2, abs=0.05)
    assert hours_until(exchange=0.0) == pytest.approx(10.0)


def test_hours_left_in_a_power_cut() -> None:
    # Worked example: 19.66 mg/h and 1.8 L/h in 40 L; from 8.26 and from 5.09 down to 3.0 mg/L.
    uptake, exchange = 19.66 / 40, 1.8 / 40
    assert hours_until(8.26, 3.0, uptake, exchange) == pytest.approx(14.6, abs=0.05)
    assert hours_until(5.09, 3.0, uptake, exchange) == pytest.approx(7.0, abs=0.05)


def test_a_line_below_the_settle_point_is_never_reached() -> None:
    assert math.isinf(hours_until(line=4.25))
    assert math.isfinite(hours_until(line=4.27))


def test_a_line_passed_already_is_reached_now() -> None:
    assert hours_until(start=5.0, line=5.0) == 0.0
    assert hours_until(start=4.0, line=5.0) == 0.0


@given(
    start=st.floats(5, 12),
    fall=st.floats(0.1, 4),
    uptake=st.floats(0.05, 2),
    exchange=st.just(0.0) | st.floats(1e-9, 0.3),
)
def test_after_the_hours_the_line_is_reached(
    start: float, fall: float, uptake: float, exchange: float
) -> None:
    hours = hours_until(start, start - fall, uptake, exchange)
    if math.isfinite(hours):
        left = oxygen.after_hours_mg_per_l(
            start_mg_per_l=start,
            saturation_mg_per_l=8.26,
            uptake_mg_per_l_h=uptake,
            exchange_per_hour=exchange,
            hours=hours,
        )
        assert left == pytest.approx(start - fall, abs=1e-5)


def test_oxygen_that_the_filter_uses() -> None:
    # EPA nitrogen control manuals: 4.57 mg per mg of N (64/14); molmass for the masses
    assert oxygen.oxygen_used_by_nitrification_mg(1.0) == pytest.approx(4.57, abs=0.005)
    by_mass = 2 * Formula("O2").mass / Formula("N").mass
    assert oxygen.oxygen_used_by_nitrification_mg(1.0) == pytest.approx(by_mass, rel=1e-4)
