"""Heat: worked tanks, cooling curves and their edges."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import optimize

from app.science import heat
from app.science.heat import HeatLoss, water_density_kg_per_m3
from app.science.units import fahrenheit_difference


def test_water_is_densest_at_four_degrees() -> None:
    assert water_density_kg_per_m3(4.0) > water_density_kg_per_m3(3.0)
    assert water_density_kg_per_m3(4.0) > water_density_kg_per_m3(5.0)


@pytest.mark.parametrize("celsius", [-0.1, 40.1])
def test_density_keeps_to_its_range(celsius: float) -> None:
    with pytest.raises(ValueError, match="temperature_c"):
        water_density_kg_per_m3(celsius)


def small_tank(room_c: float, *, covered: bool = False, humidity: float = 0.5) -> HeatLoss:
    """60 x 30 cm, 59 L, 25 °C."""
    depth_m = 0.059 / 0.18
    return heat.heat_loss(
        glass_m2=1.8 * depth_m,
        base_m2=0.18,
        surface_m2=0.18,
        water_c=25.0,
        room_c=room_c,
        relative_humidity=humidity,
        covered=covered,
    )


def test_parts_of_the_loss_of_a_small_tank() -> None:
    # Worked example of the reference, room at 20 °C: glass 20, base 2, surface 9, evaporation 24 W
    loss = small_tank(20.0)

    assert loss.glass_w == pytest.approx(20, abs=1)
    assert loss.base_w == pytest.approx(2, abs=0.5)
    assert loss.surface_w == pytest.approx(9, abs=0.5)
    assert loss.evaporation_w == pytest.approx(24, abs=0.5)
    assert heat.evaporation_mm_per_day(25.0, 20.0, 0.5) == pytest.approx(4.7, abs=0.05)


@pytest.mark.parametrize(
    ("room_c", "covered", "watts"),
    [(20.0, False, 55), (20.0, True, 26), (15.0, False, 90), (15.0, True, 52)],
)
def test_loss_of_a_small_tank_in_all(room_c: float, covered: bool, watts: float) -> None:
    assert small_tank(room_c, covered=covered).total_w == pytest.approx(watts, abs=1.5)


def test_evaporation_cools_even_where_room_and_water_are_equal() -> None:
    assert small_tank(25.0).total_w > 5.0
    assert small_tank(25.0, covered=True).total_w == 0.0


@pytest.mark.parametrize(("humidity", "settles_c"), [(0.3, 21.0), (0.5, 21.9), (0.7, 22.7)])
def test_an_open_tank_without_heater_stays_colder_than_its_room(
    humidity: float, settles_c: float
) -> None:
    def loss_w(water_c: float) -> float:
        return heat.heat_loss(
            glass_m2=0.59,
            base_m2=0.18,
            surface_m2=0.18,
            water_c=water_c,
            room_c=24.0,
            relative_humidity=humidity,
            covered=False,
        ).total_w

    assert optimize.brentq(loss_w, 10.0, 24.0) == pytest.approx(settles_c, abs=0.1)


def test_damp_warm_air_does_not_fill_the_tank() -> None:
    assert heat.evaporation_w_per_m2(15.0, 30.0, 1.0) == 0.0
    assert math.isnan(heat.evaporation_w_per_m2(25.0, math.nan, 0.5))


@pytest.mark.parametrize("humidity", [-0.01, 1.01, 50.0])
def test_humidity_is_a_share_and_not_a_percentage(humidity: float) -> None:
    with pytest.raises(ValueError, match="relative_humidity must be within 0 to 1"):
        heat.evaporation_w_per_m2(25.0, 20.0, humidity)


def test_power_that_warms_a_tank() -> None:
    # by the US unit: 1 Btu warms 1 lb by 1 °F; 100 lb of water, 10 °F, 2 h are 500 Btu/h = 146.5 W
    liters = 100 * 0.45359237
    assert fahrenheit_difference(10 / 1.8) == pytest.approx(10)
    assert heat.warming_power_w(liters, 10 / 1.8, 2.0) == pytest.approx(146.5, rel=2e-3)
    with pytest.raises(ValueError, match="hours"):
        heat.warming_power_w(liters, 1.0, 0.0)


def test_a_tank_tells_its_time_constant_by_two_readings() -> None:
    # By hand, 25.0 then 24.0 after 3 h in a room of 18.0: 3 / ln(7 / 6) = 19.46 h;
    # 22 °C after 19.46 ln(7 / 4) = 10.89 h; 85 L lose 1.163 * 85 / 19.46 = 5.08 W per °C.
    hours = heat.time_constant_h(25.0, 24.0, 18.0, 3.0)
    assert hours == pytest.approx(19.46, abs=0.005)
    assert heat.hours_to_reach(25.0, 22.0, 18.0, hours) == pytest.approx(10.89, abs=0.005)
    loss = heat.loss_w_per_c(85.0, hours)
    assert loss == pytest.approx(5.08, abs=0.005)
    assert heat.holding_power_w(25.0, 18.0, loss) == pytest.approx(35.6, abs=0.1)


def test_a_heater_too_small_for_a_cold_night() -> None:
    # By hand: 12 + 50 / 5.08 = 21.84; 13 * 5.08 = 66 W
    assert heat.held_c(50.0, 5.08, 12.0) == pytest.approx(21.84, abs=0.005)
    assert heat.holding_power_w(25.0, 12.0, 5.08) == pytest.approx(66.0, abs=0.1)
    assert heat.holding_power_w(25.0, 26.0, 5.08) == 0.0


def test_cooling_of_a_small_tank() -> None:
    # By hand: 18 + 7 exp(-4 / 7.4) = 22.1; 18 + 7 exp(-12 / 7.4) = 19.4
    assert heat.cooled_c(25.0, 18.0, 4.0, 7.4) == pytest.approx(22.1, abs=0.05)
    assert heat.cooled_c(25.0, 18.0, 12.0, 7.4) == pytest.approx(19.4, abs=0.05)
    assert heat.cooled_c(25.0, 18.0, 0.0, 7.4) == 25.0


@given(start_c=st.floats(10, 35), room_c=st.floats(5, 35), share=st.floats(0.05, 0.95))
def test_time_constant_and_cooling_undo_each_other(
    start_c: float, room_c: float, share: float
) -> None:
    assume(abs(start_c - room_c) > 0.5)
    later_c = room_c + share * (start_c - room_c)
    hours = heat.time_constant_h(start_c, later_c, room_c, 3.0)
    assert heat.cooled_c(start_c, room_c, 3.0, hours) == pytest.approx(later_c)
    assert heat.hours_to_reach(start_c, later_c, room_c, hours) == pytest.approx(3.0)


@pytest.mark.parametrize("later_c", [25.0, 25.1, 18.0, 17.9])
def test_a_tank_that_did_not_move_toward_the_room_tells_nothing(later_c: float) -> None:
    with pytest.raises(ValueError, match="later_c must lie between"):
        heat.time_constant_h(25.0, later_c, 18.0, 3.0)


def test_one_reading_is_no_cooling_curve() -> None:
    with pytest.raises(ValueError, match="hours must be above 0"):
        heat.time_constant_h(25.0, 24.0, 18.0, 0.0)
    assert math.isnan(heat.time_constant_h(25.0, math.nan, 18.0, 3.0))


def test_when_a_temperature_is_reached() -> None:
    assert heat.hours_to_reach(25.0, 25.0, 18.0, 20.0) == 0.0
    assert heat.hours_to_reach(25.0, 26.0, 18.0, 20.0) == 0.0
    assert math.isinf(heat.hours_to_reach(25.0, 18.0, 18.0, 20.0))
    assert math.isinf(heat.hours_to_reach(25.0, 17.0, 18.0, 20.0))
    assert math.isinf(heat.hours_to_reach(25.0, 24.0, 25.0, 20.0))
    assert heat.hours_to_reach(25.0, 25.0, 25.0, 20.0) == 0.0
    assert heat.hours_to_reach(20.0, 22.0, 26.0, 20.0) == pytest.approx(20 * math.log(6 / 4))
    assert math.isnan(heat.hours_to_reach(25.0, math.nan, 18.0, 20.0))


def test_areas_of_a_box() -> None:
    # By hand: 2 x (78 + 34) x 36 = 8064 cm2 of walls, 78 x 34 = 2652 cm2 of floor
    assert heat.box_areas_m2(78.0, 34.0, 36.0) == pytest.approx((0.8064, 0.2652))
    with pytest.raises(ValueError, match="depth_cm"):
        heat.box_areas_m2(78.0, 34.0, -1.0)


@pytest.mark.parametrize(
    ("loss_w", "watts"), [(36.0, 60.0), (40.0, 60.0), (40.1, 70.0), (0.0, 0.0), (-5.0, 0.0)]
)
def test_a_heater_has_half_as_much_again_in_full_steps(loss_w: float, watts: float) -> None:
    assert heat.heater_size_w(loss_w, 1.5, 10.0) == watts


def test_no_heater_is_smaller_than_the_loss() -> None:
    with pytest.raises(ValueError, match="margin"):
        heat.heater_size_w(36.0, 0.9, 10.0)
    assert math.isnan(heat.heater_size_w(math.nan, 1.5, 10.0))


def test_energy_of_a_day() -> None:
    # By hand: 35.5 W through 24 hours are 0.85 kWh
    assert heat.energy_kwh_per_day(35.5) == pytest.approx(0.852)
