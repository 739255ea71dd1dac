"""Oxygen: worked nights, power cuts and their edges."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import oxygen
from app.science.oxygen import pressure_from_altitude_atm, saturation_mg_per_l


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


@given(celsius=st.floats(0, 40), salt=st.floats(0, 39), more=st.floats(0.1, 1))
def test_salt_leaves_less_room_for_oxygen(celsius: float, salt: float, more: float) -> None:
    here = saturation_mg_per_l(celsius, salinity_g_per_kg=salt)
    assert saturation_mg_per_l(celsius, salinity_g_per_kg=salt + more) < here


@pytest.mark.parametrize("salt", [-0.1, 40.1])
def test_brine_and_less_than_no_salt_are_refused(salt: float) -> None:
    with pytest.raises(ValueError, match="salinity_g_per_kg"):
        saturation_mg_per_l(25.0, salinity_g_per_kg=salt)


def test_transfer_by_temperature() -> None:
    # by hand: 1.024^5 = 1.126
    assert oxygen.transfer_velocity_m_per_h(0.03, 25.0) == pytest.approx(0.03 * 1.126, rel=1e-3)
    with pytest.raises(ValueError, match="temperature_c"):
        oxygen.transfer_velocity_m_per_h(0.03, 41.0)


def test_an_air_stone_adds_to_the_surface() -> None:
    # by hand: 5.4 L/h of the surface and 30 of the stone are 35.4 L/h; in 40 L 0.885 per hour
    surface = oxygen.surface_exchange_per_hour(0.03, 0.18, 40.0)
    stone = oxygen.air_stone_exchange_per_hour(1.0, 40.0, 30.0)
    assert (surface + stone) * 40.0 == pytest.approx(35.4)
    assert oxygen.air_stone_exchange_per_hour(0.0, 40.0, 30.0) == 0.0
    with pytest.raises(ValueError, match="volume_l"):
        oxygen.air_stone_exchange_per_hour(1.0, 0.0, 30.0)


def fitted(start: float, later: float, hours: float, uptake: float) -> float:
    return oxygen.exchange_from_readings_per_hour(
        start_mg_per_l=start,
        later_mg_per_l=later,
        hours=hours,
        saturation_mg_per_l=8.26,
        uptake_mg_per_l_h=uptake,
    )


@given(
    start=st.floats(0, 8.2),
    uptake=st.floats(0, 2),
    exchange=st.floats(0, 0.5),
    hours=st.floats(0.5, 16),
)
def test_two_readings_tell_the_exchange_that_lies_between_them(
    start: float, uptake: float, exchange: float, hours: float
) -> None:
    later = oxygen.after_hours_mg_per_l(
        start_mg_per_l=start,
        saturation_mg_per_l=8.26,
        uptake_mg_per_l_h=uptake,
        exchange_per_hour=exchange,
        hours=hours,
    )
    if 0.0 < later < 8.25:
        assert fitted(start, later, hours, uptake) == pytest.approx(exchange, rel=1e-6, abs=1e-6)


def test_an_evening_and_a_morning() -> None:
    # by hand: without any use (8.26 - 6) / (8.26 - 4) = exp(-10 k), hence 0.0634; and back to a
    # velocity over 0.18 m2 and 40 L: 0.0634 * 0.04 / 0.18 = 0.0141 m/h
    rate = fitted(4.0, 6.0, 10.0, 0.0)
    assert rate == pytest.approx(0.0634, abs=5e-5)
    velocity = oxygen.transfer_velocity_from_exchange_m_per_h(rate, 0.18, 40.0)
    assert velocity == pytest.approx(0.0141, abs=5e-5)
    assert oxygen.surface_exchange_per_hour(velocity, 0.18, 40.0) == pytest.approx(rate)


def test_what_is_left_without_exchange_tells_of_none() -> None:
    assert fitted(8.0, 6.0, 10.0, 0.2) == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ValueError, match="no exchange"):
        fitted(8.0, 5.99, 10.0, 0.2)


@pytest.mark.parametrize(("start", "later"), [(4.0, 8.26), (4.0, 9.0)])
def test_readings_at_saturation_tell_nothing(start: float, later: float) -> None:
    with pytest.raises(ValueError, match="no exchange"):
        fitted(start, later, 10.0, 0.2)


def test_an_evening_above_saturation_is_refused() -> None:
    with pytest.raises(ValueError, match="start_mg_per_l"):
        fitted(8.27, 6.0, 10.0, 0.2)
    with pytest.raises(ValueError, match="hours"):
        fitted(8.0, 6.5, 0.0, 0.2)
    assert math.isnan(fitted(8.0, math.nan, 10.0, 0.2))
    with pytest.raises(ValueError, match="area_m2"):
        oxygen.transfer_velocity_from_exchange_m_per_h(0.1, 0.0, 40.0)


@pytest.mark.parametrize("exchange", [1e-12, 9e-6, 1.1e-5, 1e-3])
def test_hardly_any_exchange_is_as_exact_as_much(exchange: float) -> None:
    # the solution itself, with the part that needs care near 0 taken from the library
    hours = 10.0
    gain = exchange * 8.26 - 0.20
    expected = 8.0 * math.exp(-exchange * hours) - gain * math.expm1(-exchange * hours) / exchange
    assert night(hours, exchange) == pytest.approx(expected, rel=1e-12)


def test_percent_of_saturation_knows_pressure_and_salt() -> None:
    assert oxygen.percent_saturation(8.0, 25.0, 0.9) > oxygen.percent_saturation(8.0, 25.0)
    assert oxygen.percent_saturation(8.0, 25.0, 1.0, 5.0) > oxygen.percent_saturation(8.0, 25.0)
