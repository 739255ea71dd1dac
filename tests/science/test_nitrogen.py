"""Outside references: the rule of Timmons and Ebeling, stoichiometry (molmass), worked examples."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from app.science import nitrogen
from app.science.dilution import fraction_to_hold, settles_at

FEED_G = st.floats(0, 10)
PROTEIN = st.floats(0, 1)


def test_ammonia_from_a_quarter_gram_of_food() -> None:
    # Timmons and Ebeling (2013): feed * protein * 0.092. By hand: 250 mg * 0.45 * 0.092
    assert nitrogen.ammonia_n_mg(0.25, 0.45) == pytest.approx(10.35)
    assert nitrogen.ammonia_n_mg(0.14, 0.45) == pytest.approx(5.80, abs=0.005)


def test_the_rule_is_the_product_of_its_published_shares() -> None:
    # 16 % nitrogen in protein, 80 % assimilated, 80 % excreted, 90 % as ammonia
    assert pytest.approx(0.16 * 0.80 * 0.80 * 0.90, abs=5e-4) == nitrogen.TAN_PER_PROTEIN


def test_protein_is_nitrogen_times_six_and_a_quarter() -> None:
    # the convention behind "crude protein" on labels
    assert nitrogen.most_nitrogen_mg(1.0, 1.0) == pytest.approx(1000 / 6.25)


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


def test_one_nitrogen_becomes_one_nitrate() -> None:
    # molmass, an outside table of atomic masses
    expected = Formula("NO3").mass / Formula("N").mass
    assert nitrogen.nitrate_rise_mg_per_l(1.0, 1.0) == pytest.approx(expected, rel=1e-4)


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


def test_chloramine_leaves_ammonia() -> None:
    # Utilities add chlorine to ammonia nitrogen about 5 : 1 by weight, that is 0.20 N per Cl2;
    # 4 mg/L in half of the water adds 0.40 mg/L to the tank.
    assert nitrogen.n_from_chloramine(1.0) == pytest.approx(0.20, abs=0.005)
    assert 0.5 * nitrogen.n_from_chloramine(4.0) == pytest.approx(0.40, abs=0.005)
    by_mass = Formula("N").mass / Formula("Cl2").mass  # molmass
    assert nitrogen.n_from_chloramine(1.0) == pytest.approx(by_mass, rel=2e-4)


def test_what_was_not_measured_stays_so() -> None:
    assert math.isnan(nitrogen.ammonia_n_mg(math.nan, 0.45))
    assert math.isnan(nitrogen.nitrate_rise_mg_per_l(10.0, math.nan))


def test_a_tank_without_water_is_refused() -> None:
    with pytest.raises(ValueError, match="net_volume_l must be above 0"):
        nitrogen.nitrate_rise_mg_per_l(10.0, 0.0)
