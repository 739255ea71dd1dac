"""Standing tap water and chloramine against the published losses."""

import pytest

from app.science import dilution, tap_water


@pytest.mark.parametrize(("lost", "loss_per_hour"), [(0.62, 0.040), (0.51, 0.030)])
def test_standing_a_day_leaves_about_half_of_the_free_chlorine(
    lost: float, loss_per_hour: float
) -> None:
    # Sheikhi et al. (2021), Toxin Reviews 40, 1407-1420: 62 and 51 % lost in 24 hours
    left = tap_water.left_after_standing(1.0, loss_per_hour, 24.0)
    assert left == pytest.approx(1.0 - lost, abs=0.01)


@pytest.mark.parametrize(("per_day", "half_life_days"), [(0.08, 8.7), (0.04, 17.0), (0.35, 2.0)])
def test_chloramine_hardly_leaves(per_day: float, half_life_days: float) -> None:
    # Garcia and Anderson (2017), Chemosphere 192, 244-249: open, sealed, bubbled
    hours = tap_water.hours_of_standing(1.0, 0.5, per_day / 24)
    assert hours / 24 == pytest.approx(half_life_days, rel=0.02)


def test_from_a_usual_residual_to_next_to_nothing_takes_days() -> None:
    # 1 mg/L to 0.02 mg/L at the published rates: four to five days, far beyond what was measured
    days = [tap_water.hours_of_standing(1.0, 0.02, rate) / 24 for rate in (0.040, 0.030)]
    assert days == [pytest.approx(4.1, abs=0.1), pytest.approx(5.4, abs=0.1)]


def test_a_half_change_with_chloramine_brings_ammonia() -> None:
    # Arithmetic of the 5 : 1 by which utilities add chlorine to ammonia nitrogen (0.20), at the
    # highest yearly mean of 40 CFR 141.65, 4 mg/L: half of it new is 0.40 mg/L as N in the tank.
    brought = dilution.n_from_chloramine(4.0)
    assert dilution.after_change(0.0, brought, 0.5) == pytest.approx(0.40, abs=0.005)


def test_a_report_in_chloramine_itself_needs_another_factor() -> None:
    # as NH2Cl 0.2721, as Cl2 0.1976 (molar masses 51.476 and 70.906, ordinary tables)
    assert dilution.n_from_chloramine(70.906 / 51.476) == pytest.approx(0.2721, abs=5e-4)
