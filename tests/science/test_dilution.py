"""Water changes, top-ups and mixing, by balances worked by hand."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.science import dilution
from app.science.dilution import CannotBeReached, after_change, after_changes, fraction_for_target

AMOUNT = st.floats(0, 200)
SHARE = st.floats(0.01, 0.95)


def test_half_changed_with_clean_water_leaves_half() -> None:
    assert after_change(40.0, 0.0, 0.5) == pytest.approx(20.0)


def test_the_tap_brings_its_own_nitrate() -> None:
    # By hand: 0.7 * 30 + 0.3 * 5
    assert after_change(30.0, 5.0, 0.3) == pytest.approx(22.5)


def test_two_changes_are_less_than_one_of_the_sum() -> None:
    # By hand: 30 -> 25 -> 21 with tap 5; and two quarters of clean water remove 43.75 %, not half.
    assert after_changes(30.0, 5.0, 0.2, 2) == pytest.approx(21.0)
    assert after_changes(100.0, 0.0, 0.25, 2) == pytest.approx(56.25)
    assert after_changes(100.0, 0.0, 0.5, 2) == pytest.approx(25.0)


def test_no_change_changes_nothing_and_a_full_one_leaves_tap_water() -> None:
    assert after_changes(30.0, 5.0, 0.2, 0) == 30.0
    assert after_change(30.0, 5.0, 0.0) == 30.0
    assert after_change(30.0, 5.0, 1.0) == 5.0


@given(value=AMOUNT, tap=AMOUNT, fraction=SHARE, times=st.integers(0, 12))
def test_repeated_changes_are_single_ones_in_a_row(
    value: float, tap: float, fraction: float, times: int
) -> None:
    one_by_one = value
    for _ in range(times):
        one_by_one = one_by_one * (1 - fraction) + tap * fraction
    assert after_changes(value, tap, fraction, times) == pytest.approx(one_by_one, abs=1e-9)


@pytest.mark.parametrize("fraction", [-0.01, 1.01, 40.0])
def test_a_fraction_is_no_percentage(fraction: float) -> None:
    with pytest.raises(ValueError, match="fraction must be within 0 to 1"):
        after_change(30.0, 5.0, fraction)


def test_what_was_not_measured_stays_so() -> None:
    after = after_change(np.array([30.0, math.nan]), np.array([5.0, 5.0]), np.array([0.3, 0.3]))
    np.testing.assert_allclose(after, [22.5, math.nan])
    assert math.isnan(fraction_for_target(30.0, 20.0, math.nan))


def test_fraction_for_a_target() -> None:
    # By hand: (30 - 20) / (30 - 5)
    assert fraction_for_target(30.0, target=20.0, tap=5.0) == pytest.approx(0.40)


def test_tap_water_can_raise_hardness_too() -> None:
    assert fraction_for_target(2.0, target=4.0, tap=10.0) == pytest.approx(0.25)


@given(value=AMOUNT, tap=AMOUNT, share=SHARE)
def test_changing_that_fraction_arrives_at_the_target(
    value: float, tap: float, share: float
) -> None:
    target = value + share * (tap - value)
    assume(min(value, tap) < target < max(value, tap))
    fraction = fraction_for_target(value, target, tap)
    assert after_change(value, tap, fraction) == pytest.approx(target, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "target", "tap"),
    [
        pytest.param(30, 4, 5, id="below the tap water"),
        pytest.param(30, 5, 5, id="exactly the tap water"),
        pytest.param(30, 20, 30, id="tap water as bad as the tank"),
        pytest.param(30, 20, 40, id="tap water worse than the tank"),
        pytest.param(10, 20, 5, id="the wrong way"),
    ],
)
def test_what_this_tap_water_cannot_reach_is_said_so(
    value: float, target: float, tap: float
) -> None:
    with pytest.raises(CannotBeReached) as refusal:
        fraction_for_target(value, target, tap)
    assert (refusal.value.target, refusal.value.tap) == (target, tap)


def test_just_above_the_tap_water_takes_nearly_all_of_it() -> None:
    assert 0.99 < fraction_for_target(30.0, target=5.1, tap=5.0) < 1.0


def test_already_there_needs_no_change() -> None:
    assert fraction_for_target(20.0, target=20.0, tap=5.0) == 0.0
    assert dilution.changes_for_target(20.0, 20.0, 5.0, 0.2) == 0


def test_negative_readings_are_refused_as_such() -> None:
    with pytest.raises(ValueError, match="target must be at least 0"):
        fraction_for_target(30.0, target=-1.0, tap=5.0)


def test_number_of_changes_until_the_target() -> None:
    # By hand with tap 5 and 20 % each: 30, 25, 21, 17.8
    assert dilution.changes_for_target(30.0, 20.0, 5.0, 0.2) == 3
    assert dilution.changes_for_target(30.0, 21.0, 5.0, 0.2) == 2
    assert dilution.changes_for_target(30.0, 20.0, 5.0, 0.4) == 1


@given(value=AMOUNT, tap=AMOUNT, share=SHARE, fraction=SHARE)
def test_one_change_fewer_would_not_arrive(
    value: float, tap: float, share: float, fraction: float
) -> None:
    assume(abs(value - tap) > 0.01)
    target = value + share * (tap - value)
    times = dilution.changes_for_target(value, target, tap, fraction)
    slack = 1e-6
    assert abs(after_changes(value, tap, fraction, times) - tap) <= abs(target - tap) + slack
    assert abs(after_changes(value, tap, fraction, times - 1) - tap) >= abs(target - tap) - slack


@pytest.mark.parametrize("fraction", [0.0, 1.0])
def test_number_of_changes_needs_a_partial_change(fraction: float) -> None:
    with pytest.raises(ValueError, match="fraction"):
        dilution.changes_for_target(30.0, 20.0, 5.0, fraction)


def test_number_of_changes_needs_known_values() -> None:
    with pytest.raises(ValueError, match="must be known"):
        dilution.changes_for_target(30.0, 20.0, math.nan, 0.2)


def test_settle_points_of_a_weekly_quarter_and_a_weekly_tenth() -> None:
    # By hand, tap 5 and +3.77 a week: 5 + 3.77 / 0.25 = 20.08; less 3.77 = 16.31; 5 + 37.7 = 42.7
    quarter = dilution.settles_at(5.0, 3.77, 0.25)
    assert quarter.before_change == pytest.approx(20.08)
    assert quarter.after_change == pytest.approx(16.31)
    assert dilution.settles_at(5.0, 3.77, 0.10).before_change == pytest.approx(42.7)


def test_alkalinity_that_the_filter_uses_settles_below_the_tap() -> None:
    # By hand: 8 - 0.34 / 0.25
    assert dilution.settles_at(8.0, -0.34, 0.25).before_change == pytest.approx(6.64)


@given(tap=AMOUNT, rise=st.floats(0, 50), fraction=st.floats(0.1, 1), start=AMOUNT)
def test_any_tank_ends_at_the_settle_point(
    tap: float, rise: float, fraction: float, start: float
) -> None:
    before = start
    for _ in range(300):
        before = after_change(before, tap, fraction) + rise
    assert dilution.settles_at(tap, rise, fraction).before_change == pytest.approx(before, abs=1e-6)


def test_without_changes_nothing_settles() -> None:
    with pytest.raises(ValueError, match="fraction must be above 0"):
        dilution.settles_at(5.0, 3.77, 0.0)


def test_fraction_that_holds_a_target() -> None:
    # By hand, 7 days of 0.64 over tap 10, at most 25: 4.48 / 15
    assert dilution.fraction_to_hold(25.0, 10.0, 7 * 0.64) == pytest.approx(0.30, abs=0.005)


@given(tap=AMOUNT, above=st.floats(0.1, 100), share=st.floats(0.01, 1))
def test_holding_and_settling_are_two_views_of_one_balance(
    tap: float, above: float, share: float
) -> None:
    target, rise = tap + above, above * share * 0.999
    fraction = dilution.fraction_to_hold(target, tap, rise)
    assert dilution.settles_at(tap, rise, fraction).before_change == pytest.approx(target)


@pytest.mark.parametrize(("target", "rise"), [(10.0, 1.0), (9.0, 1.0), (14.9, 5.0)])
def test_what_no_fraction_holds_is_said_so(target: float, rise: float) -> None:
    with pytest.raises(CannotBeReached):
        dilution.fraction_to_hold(target, 10.0, rise)


def test_changing_all_the_water_is_the_last_fraction_that_holds() -> None:
    assert dilution.fraction_to_hold(15.0, 10.0, 5.0) == pytest.approx(1.0)


def test_evaporation_thickens_and_a_top_up_adds() -> None:
    # By hand, 85 L less 3.18 L, nitrate 20, tap 5: 20 * 85 / 81.82 = 20.78;
    # (20 * 85 + 5 * 3.18) / 85 = 20.19
    low = dilution.after_evaporation(20.0, 85.0, 3.18)
    assert low == pytest.approx(20.78, abs=0.005)
    assert dilution.after_top_up(low, 5.0, 85.0 - 3.18, 3.18) == pytest.approx(20.19, abs=0.005)


def test_a_top_up_is_no_water_change() -> None:
    # Clean top-up water only brings the old value back; a change of the same size lowers it.
    low = dilution.after_evaporation(20.0, 100.0, 10.0)
    assert dilution.after_top_up(low, 0.0, 90.0, 10.0) == pytest.approx(20.0)
    assert after_change(20.0, 0.0, 0.1) == pytest.approx(18.0)


def test_hardness_settles_above_the_tap_where_tap_water_replaces_evaporation() -> None:
    # Worked example: 100 L, 1 L a day, a quarter each week, tap 200 mg/L for both: 256 mg/L.
    rise = dilution.rise_from_top_ups(200.0, 7.0, 100.0)
    assert dilution.settles_at(200.0, rise, 0.25).before_change == pytest.approx(256.0)
    rain = dilution.rise_from_top_ups(0.0, 7.0, 100.0)
    assert dilution.settles_at(200.0, rain, 0.25).before_change == pytest.approx(200.0)


def test_more_than_all_cannot_evaporate() -> None:
    with pytest.raises(ValueError, match="lost_l must be less"):
        dilution.after_evaporation(20.0, 85.0, 85.0)


def test_new_water_of_18_degrees() -> None:
    # By hand: (25 * 51 + 18 * 34) / 85 = 22.2; for 1 °C at most: 25 - 85 / 34 = 22.5
    assert dilution.mixing_temperature(25.0, 51.0, 18.0, 34.0) == pytest.approx(22.2)
    assert dilution.lowest_new_water_c(25.0, 51.0, 34.0, 1.0) == pytest.approx(22.5)


@given(
    tank_c=st.floats(15, 32),
    remaining_l=st.floats(1, 200),
    new_l=st.floats(1, 200),
    drop_c=st.floats(0, 3),
)
def test_the_lowest_new_water_gives_just_the_allowed_drop(
    tank_c: float, remaining_l: float, new_l: float, drop_c: float
) -> None:
    new_c = dilution.lowest_new_water_c(tank_c, remaining_l, new_l, drop_c)
    assume(new_c >= 0)
    mixed_c = dilution.mixing_temperature(tank_c, remaining_l, new_c, new_l)
    assert tank_c - mixed_c == pytest.approx(drop_c, abs=1e-9)


def test_mixing_needs_water() -> None:
    with pytest.raises(ValueError, match="must be above 0"):
        dilution.mixing_temperature(25.0, 0.0, 18.0, 0.0)
    with pytest.raises(ValueError, match="new_l must be above 0"):
        dilution.lowest_new_water_c(25.0, 51.0, 0.0, 1.0)


def test_conditioner_follows_the_label() -> None:
    # Label "5 mL per 50 L", 34 L of new water: by hand 3.4 mL.
    assert dilution.conditioner_ml(34.0, label_ml=5.0, label_l=50.0) == pytest.approx(3.4)
    with pytest.raises(ValueError, match="label_l"):
        dilution.conditioner_ml(34.0, label_ml=5.0, label_l=0.0)


def test_salt_by_the_figure_of_a_label() -> None:
    # by hand: 1 g/L in 85 L; a tenth percent is the same 1 g/L
    assert dilution.salt_g(1.0, 85.0) == pytest.approx(85.0)
    assert dilution.salt_g(0.0, 85.0) == 0.0
    with pytest.raises(ValueError, match="target_g_per_l"):
        dilution.salt_g(-1.0, 85.0)


def test_only_what_a_change_took_out_is_replaced() -> None:
    # by hand: 85 g in the tank, 30 % changed; a whole tank's worth would pile up
    assert dilution.removed_by_change(85.0, 0.3) == pytest.approx(25.5)
    assert dilution.removed_by_change(85.0, 0.0) == 0.0
    with pytest.raises(ValueError, match="fraction"):
        dilution.removed_by_change(85.0, 30.0)


@given(target=st.floats(0, 5), volume_l=st.floats(1, 500), fraction=st.floats(0, 1))
def test_a_change_and_its_replacement_leave_the_concentration(
    target: float, volume_l: float, fraction: float
) -> None:
    whole_g = dilution.salt_g(target, volume_l)
    left = after_change(target, 0.0, fraction)
    added = dilution.removed_by_change(whole_g, fraction) / volume_l
    assert left + added == pytest.approx(target, abs=1e-12)


def test_re_dosing_the_whole_tank_piles_up() -> None:
    # by hand, 1 g/L and 25 % a week: it ends at 1 / 0.25 = 4 g/L
    assert dilution.settles_at(0.0, 1.0, 0.25).before_change == pytest.approx(4.0)


def test_chloramine_and_the_taps_own_ammonia_come_in_together() -> None:
    # by hand: 2 mg/L leave 0.395 as N; with 0.1 of its own and a third changed 0.165
    brought = dilution.n_from_chloramine(2.0) + 0.1
    assert after_change(0.0, brought, 1 / 3) == pytest.approx(0.165, abs=5e-4)
    with pytest.raises(ValueError, match="chloramine_mg_per_l"):
        dilution.n_from_chloramine(-0.1)
    assert math.isnan(dilution.n_from_chloramine(math.nan))


STEP = st.one_of(
    st.tuples(st.just("change"), st.floats(0, 0.9), AMOUNT),
    st.tuples(st.just("evaporate"), st.floats(0, 0.3), st.just(0.0)),
    st.tuples(st.just("top up"), st.floats(0, 0.3), AMOUNT),
)


@given(start=AMOUNT, steps=st.lists(STEP, max_size=12))
def test_no_step_makes_or_loses_anything(
    start: float, steps: list[tuple[str, float, float]]
) -> None:
    """What is dissolved is what was, plus what came in, less what went out with the water."""
    value, volume_l, mass_mg = start, 100.0, start * 100.0
    for kind, share, new in steps:
        liters = share * volume_l
        if kind == "change":
            mass_mg += liters * (new - value)
            value = after_change(value, new, share)
        elif kind == "evaporate":
            value = dilution.after_evaporation(value, volume_l, liters)
            volume_l -= liters
        else:
            mass_mg += liters * new
            value = dilution.after_top_up(value, new, volume_l, liters)
            volume_l += liters
        assert value * volume_l == pytest.approx(mass_mg, rel=1e-9, abs=1e-6)


@given(value=AMOUNT, tap=AMOUNT, fraction=SHARE, more=st.floats(0, 0.04))
def test_a_change_never_overshoots_the_tap_and_a_larger_one_goes_further(
    value: float, tap: float, fraction: float, more: float
) -> None:
    small, large = (after_change(value, tap, f) for f in (fraction, fraction + more))
    low, high = sorted((value, tap))
    assert low - 1e-9 <= small <= high + 1e-9
    assert abs(large - tap) <= abs(small - tap) + 1e-9


def test_evaporation_takes_no_salt_out_and_a_top_up_needs_none() -> None:
    # 1 g/L, a tenth evaporated and replaced by fresh water: all the salt is still there
    low = dilution.after_evaporation(1.0, 100.0, 10.0)
    assert low == pytest.approx(1.111, abs=5e-4)
    assert dilution.after_top_up(low, 0.0, 90.0, 10.0) == pytest.approx(1.0)
