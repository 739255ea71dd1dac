"""Forecasts against what came: hit or miss, error, coverage, ranges that widen by themselves."""

from datetime import datetime, timedelta

import pytest

from app.domain.forecast import Forecast, stretched
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.estimates.score import (
    Outcome,
    Scored,
    apart,
    covered_text,
    score,
    skill,
    skill_text,
    widening,
    widening_text,
)
from tests.rules.checks import KNOWLEDGE
from tests.situations import at, reading

DAY = timedelta(days=1)
MADE = at("2027-02-01 16:00")
ABOUT = MADE + 7 * DAY
LATER = MADE + 60 * DAY


def amount(apart: float) -> str:
    return f"{apart:.1f} mg/L"


def forecast(number: int = 1, made: datetime = MADE, **more: object) -> Forecast:
    """Nitrate of a week later: 15, could be 12 to 19; it was 13."""
    known = {
        "id": number, "quantity": Quantity.NITRATE, "made_at": made, "about_at": made + 7 * DAY,
        "low": 12.0, "best": 15.0, "high": 19.0, "last": 13.0,
    }  # fmt: skip
    return Forecast(**{**known, **more})  # type: ignore[arg-type]


def nitrate(value: float | None, when: datetime = ABOUT, **ends: float | None) -> Reading:
    return reading(Quantity.NITRATE, value, when, **ends)


def scored(*readings: Reading, now: datetime = LATER, of: Forecast | None = None) -> Scored:
    (found,) = score([of or forecast()], readings, now=now, knowledge=KNOWLEDGE)
    return found


def weekly(*values: float, last: float = 13.0) -> tuple[Scored, ...]:
    """One forecast a week, each with its test by a meter, the newest first."""
    made = [forecast(n, MADE + 7 * n * DAY, last=last) for n in range(len(values))]
    tests = [nitrate(v, f.about_at) for v, f in zip(values, made, strict=True)]
    return score(made, tests, now=LATER + 365 * DAY, knowledge=KNOWLEDGE)


@pytest.mark.parametrize(
    ("value", "outcome"),
    [(12.0, Outcome.HIT), (19.0, Outcome.HIT), (11.9, Outcome.MISS), (19.1, Outcome.MISS)],
)
def test_a_meter_hits_inside_the_range(value: float, outcome: Outcome) -> None:
    assert scored(nitrate(value)).outcome is outcome


@pytest.mark.parametrize(
    ("color", "low", "high", "outcome"),
    [
        (20.0, 10.0, 40.0, Outcome.HIT),
        (5.0, 0.0, 10.0, Outcome.MISS),
        (40.0, 19.0, 80.0, Outcome.HIT),
        (40.0, 20.0, 80.0, Outcome.MISS),
        (None, 80.0, None, Outcome.MISS),
    ],
)
def test_a_card_hits_where_the_two_ranges_overlap(
    color: float | None, low: float, high: float | None, outcome: Outcome
) -> None:
    assert scored(nitrate(color, low=low, high=high)).outcome is outcome


def test_a_widened_range_is_hit_as_it_was_shown() -> None:
    # 15 - 2 x 3 = 9 and 15 + 2 x 4 = 23
    wide = forecast(factor=2.0)
    assert wide.ends == (9.0, 23.0)
    assert scored(nitrate(22.0), of=wide).outcome is Outcome.HIT
    assert scored(nitrate(8.9), of=wide).outcome is Outcome.MISS


def test_no_range_is_widened_below_zero() -> None:
    assert stretched(1.0, 5.0, 8.0, 3.0) == (0.0, 14.0)
    assert stretched(1.0, 5.0, 8.0, 1.0) == (1.0, 8.0)


@pytest.mark.parametrize(
    ("off_days", "met"), [(-2.0, True), (2.0, True), (-2.1, False), (2.1, False)]
)
def test_only_a_test_near_the_day_meets_a_forecast(off_days: float, met: bool) -> None:
    found = scored(nitrate(15.0, ABOUT + off_days * DAY))
    assert (found.reading is not None) is met
    assert found.outcome is (Outcome.HIT if met else Outcome.NO_TEST)


@pytest.mark.parametrize(("hours", "met"), [(-12, True), (-13, False), (12, True), (13, False)])
def test_a_forecast_for_tomorrow_is_not_met_by_this_afternoon(hours: int, met: bool) -> None:
    tomorrow = forecast(about_at=MADE + DAY)
    found = scored(nitrate(15.0, MADE + DAY + timedelta(hours=hours)), of=tomorrow)
    assert (found.reading is not None) is met


def test_of_two_tests_the_nearer_one_counts() -> None:
    found = scored(nitrate(30.0, ABOUT - DAY), nitrate(15.0, ABOUT + DAY / 2))
    assert found.outcome is Outcome.HIT


def test_what_was_known_when_it_was_made_proves_nothing() -> None:
    soon = forecast(about_at=MADE + DAY)
    assert scored(nitrate(15.0, MADE - DAY / 4), of=soon, now=MADE).outcome is Outcome.WAITING


def test_a_forecast_waits_until_its_days_are_over() -> None:
    assert scored(now=ABOUT + 2 * DAY).outcome is Outcome.WAITING
    assert scored(now=ABOUT + 2.1 * DAY).outcome is Outcome.NO_TEST


def test_one_test_is_one_proof() -> None:
    older, newer = forecast(1), forecast(2, MADE + DAY)
    found = score([older, newer], [nitrate(15.0)], now=LATER, knowledge=KNOWLEDGE)
    assert [(s.forecast.id, s.outcome) for s in found] == [(2, Outcome.HIT), (1, Outcome.TAKEN)]


def test_a_forecast_falls_with_the_test_it_began_with() -> None:
    fallen = scored(nitrate(15.0), of=forecast(stands=False))
    assert (fallen.outcome, fallen.error) == (Outcome.FELL, None)


def test_a_corrected_test_scores_anew() -> None:
    assert scored(nitrate(44.0)).outcome is Outcome.MISS
    assert scored(nitrate(14.0)).outcome is Outcome.HIT


@pytest.mark.parametrize(
    ("guess", "off"),
    # colors 10, 20, 40: 20 looks nearest from 15 to 30
    [(15.0, 0.0), (30.0, 0.0), (12.0, 3.0), (34.0, -4.0)],
)
def test_a_card_is_off_only_where_another_color_would_show(guess: float, off: float) -> None:
    assert apart(guess, nitrate(20.0, low=10.0, high=40.0)) == pytest.approx(off)


def test_a_meter_is_off_by_the_difference() -> None:
    found = scored(nitrate(18.0))
    assert (found.error, found.error_of_last) == (3.0, 5.0)


def test_skill_compares_mean_errors_with_the_same_as_last_time() -> None:
    # off by 1, 1, 0, 2, 1 against 3, 1, 2, 4, 3: means 1.0 and 2.6
    found = skill(weekly(16.0, 14.0, 15.0, 17.0, 16.0), KNOWLEDGE)
    assert (found.met, found.hits) == (5, 5)
    assert found.error == pytest.approx(1.0)
    assert found.error_of_last == pytest.approx(2.6)
    assert found.against_last == pytest.approx(1.0 - 1.0 / 2.6)
    assert "62 % less" in skill_text(found, amount, KNOWLEDGE)


def test_a_model_that_is_worse_is_told_so() -> None:
    found = skill(weekly(13.0, 13.0, 13.5, 13.0, 12.5), KNOWLEDGE)
    assert found.against_last is not None
    assert found.against_last < 0
    assert "Trust it less." in skill_text(found, amount, KNOWLEDGE)


def test_a_gain_that_chance_could_make_is_not_told() -> None:
    found = skill(weekly(12.0, 18.0, 13.0, 12.5, 17.5, 12.5), KNOWLEDGE)
    assert not found.clear
    assert "cannot be told" in skill_text(found, amount, KNOWLEDGE)


def test_few_tests_tell_no_skill() -> None:
    found = skill(weekly(16.0, 14.0), KNOWLEDGE)
    assert "from 5 tests on" in skill_text(found, amount, KNOWLEDGE)
    assert covered_text(skill((), KNOWLEDGE), KNOWLEDGE) == "No forecast has met a test yet."


def test_coverage_says_how_little_a_few_tests_prove() -> None:
    # by hand, z = 1.645: (0.8 + 0.2706 ± 1.645 √(0.032 + 0.0271)) ÷ 1.5411 = 0.44 and 0.95
    text = covered_text(skill(weekly(15.0, 15.0, 30.0, 15.0, 15.0), KNOWLEDGE), KNOWLEDGE)
    assert "4 of 5 tests lay inside the range. It promises 90 %" in text
    assert "44 to 95 %" in text


def test_a_range_that_holds_is_not_widened() -> None:
    assert widening(weekly(15.0, 12.0, 19.0, 16.0, 13.0), KNOWLEDGE) == 1.0
    # one miss of ten is what 90 % promises
    assert widening(weekly(*[15.0] * 9, 60.0), KNOWLEDGE) == 1.0


def test_a_range_that_misses_widens_until_it_would_have_held() -> None:
    # 21 is 6 above the best, the high end 4: 1.5 times; the largest of nine is needed
    found = weekly(*[15.0] * 8, 21.0)
    assert widening(found, KNOWLEDGE) == pytest.approx(1.5)
    assert "1.5 times as wide" in widening_text(1.5, KNOWLEDGE)
    # 9 is 6 below, the low end 3: 2 times; of ten the largest but one
    assert widening(weekly(*[15.0] * 8, 21.0, 9.0), KNOWLEDGE) == pytest.approx(1.5)


def test_a_widened_range_that_holds_goes_back() -> None:
    # the stretch is that of the range as worked out, whatever it was shown as
    held = [forecast(n, MADE + 7 * n * DAY, factor=3.0) for n in range(6)]
    tests = [nitrate(15.5, f.about_at) for f in held]
    found = score(held, tests, now=LATER + 365 * DAY, knowledge=KNOWLEDGE)
    assert widening(found, KNOWLEDGE) == 1.0


def test_only_the_last_forecasts_widen() -> None:
    old_misses, new_hits = [60.0] * 6, [15.0] * 20
    assert widening(weekly(*old_misses, *new_hits), KNOWLEDGE) == 1.0
    assert widening(weekly(*new_hits, *old_misses), KNOWLEDGE) > 1.0


def test_nothing_is_widened_without_end_or_on_few_tests() -> None:
    assert widening(weekly(60.0, 60.0, 60.0, 60.0), KNOWLEDGE) == 1.0
    assert widening(weekly(*[200.0] * 8), KNOWLEDGE) == 4.0
    assert "do not build on them" in widening_text(4.0, KNOWLEDGE)
    assert widening_text(1.0, KNOWLEDGE) == "The ranges are shown as they are worked out."
