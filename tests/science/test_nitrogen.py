"""Nitrogen from food to nitrate and plants, by examples worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from app.science import nitrogen
from app.science.dilution import CannotBeReached, fraction_to_hold, settles_at

FEED_G = st.floats(0, 10)
PROTEIN = st.floats(0, 1)


def test_ammonia_from_a_quarter_gram_of_food() -> None:
    # Timmons and Ebeling (2013): feed * protein * 0.092. By hand: 250 mg * 0.45 * 0.092
    assert nitrogen.ammonia_n_mg(0.25, 0.45) == pytest.approx(10.35)
    assert nitrogen.ammonia_n_mg(0.14, 0.45) == pytest.approx(5.80, abs=0.005)


@given(feed_g=FEED_G, protein=PROTEIN)
def test_fish_never_give_off_more_than_they_were_fed(feed_g: float, protein: float) -> None:
    given_off = nitrogen.ammonia_n_mg(feed_g, protein)
    assert 0 <= given_off <= nitrogen.most_nitrogen_mg(feed_g, protein)


@pytest.mark.parametrize("protein_share", [-0.01, 1.01, 45.0])
def test_protein_is_a_share_and_not_a_percentage(protein_share: float) -> None:
    with pytest.raises(ValueError, match="protein_share must be within 0 to 1"):
        nitrogen.ammonia_n_mg(0.25, protein_share)


def test_nitrate_rise_of_a_day_and_of_a_week() -> None:
    # By hand: 10.35 mg N / 85 L * 62.004 / 14.007 = 0.539 mg/L; 3.77 in a week
    per_day = nitrogen.nitrate_rise_mg_per_l(10.35, 85.0)
    assert per_day == pytest.approx(0.539, abs=5e-4)
    assert 7 * per_day == pytest.approx(3.77, abs=0.005)


def test_plants_take_their_share_and_rot_adds_one() -> None:
    alone = nitrogen.nitrate_rise_mg_per_l(10.0, 85.0)
    assert nitrogen.nitrate_rise_mg_per_l(10.0, 85.0, 0.2) == pytest.approx(0.8 * alone)
    assert nitrogen.nitrate_rise_mg_per_l(10.0, 85.0, 1.0) == 0.0
    assert nitrogen.nitrate_rise_mg_per_l(10.0, 85.0, -0.6) == pytest.approx(1.6 * alone)
    with pytest.raises(ValueError, match="share_taken_up"):
        nitrogen.nitrate_rise_mg_per_l(10.0, 85.0, 1.01)


def test_rise_of_a_small_tank_and_its_settle_point() -> None:
    # Worked example: 0.14 g a day, 45 % protein, 40 L: 0.64 mg/L a day; a quarter each week with
    # tap 10: peak 28.0, after the change 23.5; to stay at 25 change 0.30.
    week = 7 * nitrogen.nitrate_rise_mg_per_l(nitrogen.ammonia_n_mg(0.14, 0.45), 40.0)
    assert week / 7 == pytest.approx(0.64, abs=0.005)
    settled = settles_at(10.0, week, 0.25)
    assert settled.before_change == pytest.approx(28.0, abs=0.05)
    assert settled.after_change == pytest.approx(23.5, abs=0.05)
    assert fraction_to_hold(25.0, 10.0, week) == pytest.approx(0.30, abs=0.005)


def test_forecast_narrows_with_the_measured_rise() -> None:
    # By hand: from 12 to 20 at 0.539 a day 14.8 days; measured 3.0 in place of 3.77 a week means
    # that a fifth is taken up, and 8 / (3 / 7) = 18.7 days.
    assert nitrogen.days_until(12.0, 20.0, 0.539) == pytest.approx(14.8, abs=0.05)
    assert nitrogen.share_taken_up(3.77, 3.0) == pytest.approx(0.20, abs=0.005)
    assert nitrogen.days_until(12.0, 20.0, 3.0 / 7) == pytest.approx(18.7, abs=0.05)


def test_more_nitrate_than_the_food_explains_is_a_negative_share() -> None:
    assert nitrogen.share_taken_up(3.0, 4.5) == pytest.approx(-0.5)
    with pytest.raises(ValueError, match="expected_rise"):
        nitrogen.share_taken_up(0.0, 1.0)


def test_days_until_at_its_edges() -> None:
    assert nitrogen.days_until(20.0, 20.0, 0.5) == 0.0
    assert nitrogen.days_until(25.0, 20.0, 0.5) == 0.0
    assert math.isinf(nitrogen.days_until(19.9, 20.0, 0.0))
    assert math.isinf(nitrogen.days_until(19.9, 20.0, -0.5))
    assert math.isnan(nitrogen.days_until(19.9, 20.0, math.nan))


def test_what_was_not_measured_stays_so() -> None:
    assert math.isnan(nitrogen.ammonia_n_mg(math.nan, 0.45))
    assert math.isnan(nitrogen.nitrate_rise_mg_per_l(10.0, math.nan))


def test_a_tank_without_water_is_refused() -> None:
    with pytest.raises(ValueError, match="net_volume_l must be above 0"):
        nitrogen.nitrate_rise_mg_per_l(10.0, 0.0)


def test_plants_of_a_small_tank() -> None:
    # by hand: 60 g/m2 on 0.18 m2 are 10.8 g; growing 0.01 a day with 26.5 mg/g they take 2.86 mg,
    # half of the 5.80 mg that the fish give off
    grams = nitrogen.plant_dry_mass_g(0.18, 60.0)
    uptake = nitrogen.plant_uptake_mg_per_day(grams, 0.01, 26.5)
    assert grams == pytest.approx(10.8)
    assert uptake == pytest.approx(2.86, abs=0.005)
    assert uptake / nitrogen.ammonia_n_mg(0.14, 0.45) == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("growth", [-0.001, 0.21, 1.0])
def test_growth_is_a_share_per_day(growth: float) -> None:
    with pytest.raises(ValueError, match="growth_per_day"):
        nitrogen.plant_uptake_mg_per_day(10.8, growth, 26.5)


def test_nitrate_of_a_day_less_what_plants_take() -> None:
    # by hand: 4.427 * (5.80 - 2.86) / 40 = 0.325; without plants 0.64; with rot of 1.6 1.03
    daily = nitrogen.nitrate_per_day_mg_per_l
    assert daily(5.80, 40.0) == pytest.approx(0.64, abs=0.005)
    assert daily(5.80, 40.0, plant_uptake_mg_per_day=2.86) == pytest.approx(0.325, abs=0.001)
    assert daily(5.80, 40.0, yield_share=1.6) == pytest.approx(1.03, abs=0.005)
    assert daily(5.80, 40.0) == pytest.approx(nitrogen.nitrate_rise_mg_per_l(5.80, 40.0))


def test_more_plants_than_food_make_nitrate_fall() -> None:
    assert nitrogen.nitrate_per_day_mg_per_l(5.80, 40.0, plant_uptake_mg_per_day=6.0) < 0.0


def test_peak_and_level_after_a_change() -> None:
    # by hand: 10 + 7 * 0.64 / 0.25 = 27.9; after the change 27.9 * 0.75 + 2.5 = 23.4
    settled = nitrogen.nitrate_between_changes(10.0, 0.64, 7.0, 0.25)
    assert settled.before_change == pytest.approx(27.92)
    assert settled.after_change == pytest.approx(27.92 * 0.75 + 0.25 * 10.0)


def test_fraction_for_a_peak() -> None:
    # by hand: 7 * 0.64 / (25 - 10) = 0.30
    fraction = nitrogen.fraction_for_peak(25.0, 10.0, 0.64, 7.0)
    assert fraction == pytest.approx(0.30, abs=0.002)
    assert nitrogen.nitrate_between_changes(10.0, 0.64, 7.0, fraction).before_change == (
        pytest.approx(25.0)
    )


def test_a_peak_below_the_tap_water_cannot_be_reached() -> None:
    with pytest.raises(CannotBeReached):
        nitrogen.fraction_for_peak(10.0, 10.0, 0.64, 7.0)
    with pytest.raises(ValueError, match="days"):
        nitrogen.fraction_for_peak(25.0, 10.0, 0.64, 0.0)
    with pytest.raises(ValueError, match="days"):
        nitrogen.nitrate_between_changes(10.0, 0.64, 0.0, 0.25)


def test_ammonia_for_a_tank_without_animals() -> None:
    # By hand: 2 mg/L x 85 L = 170 mg as N = 206.7 mg as NH3, in a solution of 95 mg/mL: 2.18 mL;
    # 170 mg x 53.489 / 14.007 = 649 mg of ammonium chloride
    assert nitrogen.ammonia_solution_ml(2.0, 85.0, 9.5) == pytest.approx(2.176, abs=5e-4)
    assert nitrogen.ammonium_chloride_g(2.0, 85.0) == pytest.approx(0.649, abs=5e-4)
    assert nitrogen.ammonium_chloride_g(2.0, 85.0, 0.5) == pytest.approx(1.298, abs=5e-4)


def test_mass_of_ammonium_chloride() -> None:
    ours = nitrogen.MOLAR_MASS_NH4CL

    assert ours == pytest.approx(Formula("NH4Cl").mass, rel=1e-4)


@pytest.mark.parametrize(("strength", "share"), [(0.0, 0.0), (36.0, 1.1), (-1.0, -1.0)])
def test_no_amount_from_a_strength_that_cannot_be(strength: float, share: float) -> None:
    with pytest.raises(ValueError, match="nh3_g_per_100_ml"):
        nitrogen.ammonia_solution_ml(2.0, 85.0, strength)
    with pytest.raises(ValueError, match="share"):
        nitrogen.ammonium_chloride_g(2.0, 85.0, share)
