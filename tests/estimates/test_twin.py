"""The running twin: what is expected of a reading, what fits, and why one may not.

The tank holds 85.0 L and gets 0.25 g of food with 45 % protein a day: 0.54 mg/L of nitrate a day
when nothing takes any, 7.5 in two weeks (worked out in `test_nitrate`).
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.estimates.temperature import temperature_at
from app.estimates.twin import Compared, Fit, Way, as_it_stood, compared, expected_now
from app.estimates.twin_causes import causes, most_useful
from tests.estimates.test_nitrate import KNOWN, NOW, TAPPED, meals, written
from tests.rules.checks import KNOWLEDGE
from tests.situations import Thing, at, fed, job, look, reading, warm

TWENTY = (10.0, 20.0, 40.0)
FORTY = (20.0, 40.0, 80.0)


def ago(days: float) -> datetime:
    """A moment so many days before now."""
    return at(NOW) - timedelta(days=days)


def read(quantity: Quantity, value: float, days: float, **more: Any) -> Reading:
    return reading(quantity, value, ago(days), **more)


def card(color: tuple[float, float, float], days: float = 0.0) -> Reading:
    """Nitrate by a card as (low, color, high)."""
    low, value, high = color
    return read(Quantity.NITRATE, value, days, low=low, high=high)


def after_a_change(*more: Thing) -> TankSnapshot:
    """10 mg/L after a change two weeks ago, 0.25 g of food a day since."""
    return written(*meals(), read(Quantity.NITRATE, 10.0, 14), *more)


def of_nitrate(snapshot: TankSnapshot) -> Compared:
    found = compared(Quantity.NITRATE, snapshot, KNOWLEDGE)
    assert found is not None
    return found


def test_two_weeks_of_food_after_a_change_are_expected_to_show() -> None:
    # 10 and two weeks at 0.80 to 1.0 of what food makes are 16.0 to 17.5 (by hand)
    expected = of_nitrate(after_a_change(card(TWENTY))).expected

    assert expected.way is Way.PACE
    assert 16.0 <= expected.best <= 17.5
    assert expected.low < 16.0
    assert expected.high > 17.5


@pytest.mark.parametrize(("color", "fit"), [(TWENTY, Fit.FITS), (FORTY, Fit.MORE)])
def test_a_card_of_twenty_fits_and_one_of_forty_does_not(
    color: tuple[float, float, float], fit: Fit
) -> None:
    assert of_nitrate(after_a_change(card(color))).fit is fit


def test_a_change_that_was_written_explains_a_fall() -> None:
    tests = [read(Quantity.NITRATE, 30.0, days) for days in (42, 35, 28, 21, 14)]
    half = job(JobKind.WATER_CHANGE, ago(1), liters_out=42.5, liters_in=42.5)
    low = read(Quantity.NITRATE, 18.0, 0)

    assert of_nitrate(written(*meals(), *tests, low)).fit is Fit.LESS
    assert of_nitrate(written(*meals(), *tests, half, low)).fit is Fit.FITS


def test_the_expectation_is_frozen_two_weeks_before_the_test() -> None:
    """What was read since says nothing about the test: else each rise would explain itself."""
    before = [read(Quantity.NITRATE, 12.0 + week, 35 - 7 * week) for week in range(3)]
    since = [read(Quantity.NITRATE, 45.0, 7), read(Quantity.NITRATE, 50.0, 0)]

    found = of_nitrate(written(*meals(), *before, *since))

    assert found.fit is Fit.MORE
    assert found.expected.high < 40.0


def test_a_record_as_it_stood_holds_nothing_later() -> None:
    now = written(*meals(), *(read(Quantity.NITRATE, 10.0, days) for days in (21, 14, 7, 0)))

    then = as_it_stood(now, ago(10))

    assert [r.at for r in then.readings] == [ago(d) for d in (21, 14)]
    assert max(f.happened_at for f in then.feedings) <= then.as_of


def test_a_first_test_is_held_against_nothing() -> None:
    assert compared(Quantity.NITRATE, written(*meals(), card(FORTY)), KNOWLEDGE) is None
    assert compared(Quantity.NITRATE, written(*meals()), KNOWLEDGE) is None


@pytest.mark.parametrize(
    ("quantity", "history", "newest", "fit"),
    [
        (Quantity.PH, (7.4, 7.4, 7.5, 7.4), 7.6, Fit.FITS),
        (Quantity.PH, (7.4, 7.4, 7.5, 7.4), 6.7, Fit.LESS),
        (Quantity.AMMONIA, (0.0, 0.0, 0.0, 0.0), 0.25, Fit.FITS),
        (Quantity.AMMONIA, (0.0, 0.0, 0.0, 0.0), 0.5, Fit.MORE),
        (Quantity.GH, (8.0, 9.0, 8.0, 8.0), 10.0, Fit.FITS),
        (Quantity.GH, (8.0, 9.0, 8.0, 8.0), 15.0, Fit.MORE),
    ],
)  # fmt: skip
def test_other_readings_are_held_against_the_tank_s_own_history(
    quantity: Quantity, history: Sequence[float], newest: float, fit: Fit
) -> None:
    past = [read(quantity, value, 7 * (n + 1)) for n, value in enumerate(history)]

    found = compared(quantity, written(*past, read(quantity, newest, 0)), KNOWLEDGE)

    assert found is not None
    assert found.expected.way is Way.HISTORY
    assert found.fit is fit


def test_three_readings_are_too_few_for_a_history() -> None:
    past = [read(Quantity.PH, 7.4, days) for days in (21, 14, 7)]

    assert compared(Quantity.PH, written(*past, read(Quantity.PH, 6.0, 0)), KNOWLEDGE) is None


def test_a_wide_swing_of_its_own_is_expected_again() -> None:
    # spread by the median: 1.48 x 0.3 = 0.44, three of them 1.33 around 7.4 (by hand)
    past = [read(Quantity.PH, v, 7.0 * n) for n, v in enumerate((7.0, 7.8, 7.1, 7.7, 7.4), 1)]

    expected = expected_now(Quantity.PH, written(*past), KNOWLEDGE)

    assert expected is not None
    assert (expected.low, expected.high) == pytest.approx((6.07, 8.73), abs=0.01)


def test_warmth_is_expected_around_the_set_point() -> None:
    set_to = replace(KNOWN, set_point_c=25.0)

    expected = expected_now(Quantity.TEMPERATURE, written(tank=set_to), KNOWLEDGE)
    warmer = [warm(25.2, ago(days)) for days in range(5)]
    again = expected_now(Quantity.TEMPERATURE, written(*warmer, tank=set_to), KNOWLEDGE)

    assert expected is not None
    assert (expected.low, expected.best, expected.high) == (24.0, 25.0, 26.0)
    assert expected.way is Way.SET_POINT
    assert again is not None
    assert again.best == 25.0


def test_kh_is_expected_to_fall_by_what_the_filter_uses() -> None:
    # 0.54 mg/L of nitrate a day are 0.12 of N, 2 / 14.007 x 2.804 of it in °dKH: 0.049 a day,
    # 1.4 in four weeks (by hand)
    expected = expected_now(Quantity.KH, written(*meals(), read(Quantity.KH, 6.0, 28)), KNOWLEDGE)

    assert expected is not None
    assert expected.way is Way.LOSS
    assert expected.best == pytest.approx(6.0 - 1.37, abs=0.05)
    assert expected.low < expected.best < expected.high


def test_kh_after_a_change_needs_the_tap_water_s_own() -> None:
    change = job(JobKind.WATER_CHANGE, ago(1), liters_out=42.5)
    test = read(Quantity.KH, 3.0, 7)
    hard = replace(TAPPED, tap=(*TAPPED.tap, (Quantity.KH, 13.0)))

    without = expected_now(Quantity.KH, written(*meals(), test, change), KNOWLEDGE)
    expected = expected_now(Quantity.KH, written(*meals(), test, change, site=hard), KNOWLEDGE)

    assert without is None
    assert expected is not None
    assert expected.best == pytest.approx(7.8, abs=0.2)


def not_fitting(*more: Thing, test: Reading | None = None) -> tuple[str, ...]:
    """What is said of nitrate that is more than expected, the likeliest first."""
    snapshot = after_a_change(test or card(FORTY), *more)
    found = of_nitrate(snapshot)
    assert found.fit is Fit.MORE
    return tuple(f"{c.what} {c.written}".strip() for c in causes(found, snapshot, KNOWLEDGE))


def test_what_fits_has_no_cause() -> None:
    snapshot = after_a_change(card(TWENTY))

    assert causes(of_nitrate(snapshot), snapshot, KNOWLEDGE) == ()


def test_a_count_that_came_short_speaks_for_a_dead_fish() -> None:
    said = not_fitting(look(ago(2), 14, expected=16))

    assert said[0] == "A dead fish lies where nobody sees it. The last count saw 14 of 16."


def test_a_full_count_since_then_does_not() -> None:
    said = not_fitting(look(ago(3), 14, expected=16), look(ago(2), 16, expected=16))

    assert "A dead fish lies where nobody sees it." in said


def test_two_meals_a_day_speak_for_food() -> None:
    said = not_fitting(*(fed(ago(d), grams=0.0) for d in (3, 5)))

    assert said[0].startswith("More food went in than was written. On 2 days two meals")


def test_many_hands_speak_for_food() -> None:
    hands = [fed(ago(20), by=who, grams=0.0) for who in "ABC"]

    assert "4 people fed." in not_fitting(*hands)[0]


def test_an_old_kit_speaks_for_the_kit() -> None:
    kit = Kit(id=3, quantity=Quantity.NITRATE, name="Card", unit="mg/L", opened_on=date(2025, 6, 1))

    said = not_fitting(kit, test=replace(card(FORTY), kit_id=3))

    assert said[0].startswith("The kit is old")
    assert "Card was opened 621 days before." in said[0]


@pytest.mark.parametrize(
    ("value", "basis", "fit"),
    [(75.0, "as N", Fit.MORE), (3.8, "as nitrate", Fit.LESS)],
)
def test_a_basis_that_was_mixed_up_is_named_first(value: float, basis: str, fit: Fit) -> None:
    # 17 as nitrate is 3.8 as N, and 17 as N is 75 as nitrate (x 4.43, arithmetic); a number that
    # was typed as nitrate and meant as N, and one that was typed as N and meant as nitrate
    test = read(Quantity.NITRATE, value, 0, unit="mg/L", basis=basis)
    snapshot = after_a_change(test)
    found = of_nitrate(snapshot)

    first = causes(found, snapshot, KNOWLEDGE)[0]

    assert found.fit is fit
    assert first.what == "The unit was mixed up."
    assert "17 mg/L (as nitrate)" in first.written.replace("\u00a0", " ")


def test_the_next_test_is_the_same_again_and_then_what_tells_more() -> None:
    assert "Then test ammonia" in most_useful(of_nitrate(after_a_change(card(FORTY))))


def test_high_nitrite_asks_for_nitrite_alone() -> None:
    # pH tells how much of the ammonia can hurt, and nothing of nitrite
    steady = [read(Quantity.NITRITE, 0.0, days) for days in (40, 30, 20, 10)]
    found = compared(Quantity.NITRITE, written(*steady, read(Quantity.NITRITE, 2.0, 0)), KNOWLEDGE)
    assert found is not None

    assert found.fit is Fit.MORE
    assert most_useful(found) == "Test nitrite once more, with a fresh tube."


# 5 as N is 16.4 as nitrite, 0.5 as N is 1.64 (arithmetic, x 3.28)
NITRITE_AS_N = read(Quantity.NITRITE, 1.64227, 0, unit="mg/L", basis="as N")
# 76 °F is 24.4 °C, 7.6 °F is -13.6 °C
IN_FAHRENHEIT = read(Quantity.TEMPERATURE, -13.555556, 0, unit="°F", basis="")


@pytest.mark.parametrize(
    ("usual", "test", "said"),
    [
        (16.4, NITRITE_AS_N, "5 mg/L (as N) would fit."),
        (24.4, IN_FAHRENHEIT, "76 °F would fit."),
    ],
)
def test_a_point_that_slipped_is_told_in_the_unit_that_was_typed(
    usual: float, test: Reading, said: str
) -> None:
    steady = [read(test.quantity, usual, days) for days in (20, 15, 10, 5)]
    told = written(*steady, test)
    found = compared(test.quantity, told, KNOWLEDGE)
    assert found is not None

    assert causes(found, told, KNOWLEDGE)[0].written.replace("\u00a0", " ") == said


def test_the_next_temperature_is_what_the_look_ahead_says() -> None:
    days = [warm(24.0 + 0.2 * (day % 2), ago(day)) for day in range(12)]
    snapshot = written(*days)
    ahead = temperature_at(snapshot.as_of, snapshot, KNOWLEDGE)

    expected = expected_now(Quantity.TEMPERATURE, snapshot, KNOWLEDGE)

    assert expected is not None
    assert expected.way is Way.LAST_DAYS
    assert (expected.low, expected.best, expected.high) == (ahead.low, ahead.best, ahead.high)
    assert expected.high - expected.low < 1.0
