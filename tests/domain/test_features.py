"""What a month shows, on both sides of every boundary."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from app.domain import features
from app.domain.features import Change, FeatureKind, Limits, Row

START = datetime(2027, 2, 1, 9, 0, tzinfo=UTC)  # a Monday
LIMITS = Limits(
    resolution=0.1, rows=6, gap_days=4, holes=2, outlier=3.5, step_side=3, step_size=3.0,
    step_fit=0.6, readers=3, pairs=2, share_apart=0.05, confidence=0.9,
)  # fmt: skip


def rows(values: Sequence[float], days: Sequence[int] | None = None) -> list[Row]:
    """Meter readings, one a day or on these days."""
    found = []
    for value, day in zip(values, days or range(len(values)), strict=True):
        at = START + timedelta(days=day)
        found.append(Row(at=at, day=at.date(), value=value))
    return found


def cards(*ranges: tuple[float, float, float]) -> list[Row]:
    """Colors of a card as (low, color, high), one a week."""
    return [
        replace(row, low=low, high=high)
        for row, (low, _, high) in zip(
            rows([color for _, color, _ in ranges], [7 * i for i in range(len(ranges))]),
            ranges,
            strict=True,
        )
    ]


LOW, MIDDLE, HIGH, TOP = (
    (0.0, 5.0, 10.0),
    (5.0, 10.0, 20.0),
    (10.0, 20.0, 40.0),
    (40.0, 80.0, 160.0),
)
# these five lie one spread of 0.15 around 24.5, by the median distance
CALM = [24.4, 24.5, 24.6, 24.5, 24.4, 24.6, 24.5]


@pytest.mark.parametrize(("value", "found"), [(25.0, False), (25.2, True), (23.8, True)])
def test_a_reading_far_off_is_more_than_three_and_a_half_spreads_away(
    value: float, found: bool
) -> None:
    """The others have the median 24.5 and a spread of 1.4826 × 0.1 = 0.148: 3.5 of it are 0.52."""
    seen = features.outlier(rows([*CALM[:4], value, *CALM[4:]]), LIMITS)
    assert (seen is not None) is found
    assert seen is None or seen.places == (4,)


def test_two_readings_far_off_are_no_single_one() -> None:
    assert features.outlier(rows([*CALM, 26.0, 26.0]), LIMITS) is None


@pytest.mark.parametrize(("count", "found"), [(5, False), (6, True)])
def test_few_readings_have_nothing_far_off(count: int, found: bool) -> None:
    values = [*CALM[: count - 1], 30.0]
    assert (features.outlier(rows(values), LIMITS) is not None) is found


@pytest.mark.parametrize(("color", "found"), [(HIGH, False), (TOP, True)])
def test_a_color_is_far_off_only_where_its_range_meets_no_neighbors(
    color: tuple[float, float, float], found: bool
) -> None:
    """20 could be 10 to 40 and meets 5 to 20; 80 could be 40 to 160 and meets nothing."""
    seen = features.outlier(cards(*[MIDDLE] * 3, color, *[MIDDLE] * 3), LIMITS)
    assert (seen is not None) is found


@pytest.mark.parametrize(
    ("seen", "found"),
    [((10.0, 20.0), False), ((10.0, 20.0, 20.0), True), ((10.0, 10.0, 10.0), False)],
)
def test_three_readers_who_do_not_agree(seen: tuple[float, ...], found: bool) -> None:
    read = [*rows([20.0]), replace(rows([20.0])[0], seen=seen)]
    got = features.readers(read, LIMITS)
    assert (got is not None) is found
    assert got is None or got.places == (1,)


@pytest.mark.parametrize(
    ("values", "place"),
    [
        ([24.0, 24.1, 24.0, 25.0, 25.1, 25.0], 3),
        ([24.0, 24.0, 25.0, 25.0, 25.0, 25.0], None),  # only two before it
        ([24.0, 24.1, 24.0, 24.2, 24.2, 24.3], None),  # less than three of the last digit
        ([24.0, 24.2, 24.4, 24.6, 24.8, 25.0], None),  # a straight line fits as well
        ([24.0, 24.1, 24.0, 25.0, 24.0, 24.1], None),  # it did not stay
        ([25.0, 25.1, 25.0, 24.0, 24.1, 24.0, 24.1], 3),
    ],
)
def test_a_step_stays_and_fits_better_than_a_line(values: list[float], place: int | None) -> None:
    found = features.step(rows(values), LIMITS)
    assert (found.places[0] if found else None) == place


@pytest.mark.parametrize(("after", "found"), [(MIDDLE, False), (HIGH, False), (TOP, True)])
def test_a_step_of_colors_needs_ranges_apart(
    after: tuple[float, float, float], found: bool
) -> None:
    """5 to 20 touches 10 to 40, and lies apart from 40 to 160."""
    seen = features.step(cards(*[MIDDLE] * 3, *[after] * 3), LIMITS)
    assert (seen is not None) is found


def _school_day(day: date) -> bool:
    return day.weekday() < 5


@pytest.mark.parametrize(
    ("days", "holes"),
    [
        ([0, 1, 2, 3, 4, 7, 8, 11, 14, 15], (4, 7)),
        ([0, 1, 2, 3, 4, 7, 8, 11], None),  # one weekend only
        ([0, 3, 7, 10, 14, 17], None),  # days of school lie in every break
        ([0, 1, 4, 5, 6, 7, 11, 12, 13, 14], None),  # somebody came on weekends, too
    ],
)
def test_holes_hold_only_days_on_which_nobody_comes(
    days: list[int], holes: tuple[int, ...] | None
) -> None:
    found = features.holes(rows([24.0] * len(days), days), LIMITS, _school_day)
    assert (found.places if found else None) == holes


@pytest.mark.parametrize(
    ("days", "found"),
    [
        ([0, 1, 2, 3, 7, 8], False),  # three empty days
        ([0, 1, 2, 3, 8, 9], True),  # four
        ([0, 1, 2, 8, 9], False),  # five readings are too few
        ([0, 7, 14, 21, 28, 35], False),  # every week is no gap
        ([0, 3, 6, 9, 14, 17], True),  # two empty days are usual, four are twice that
        ([0, 4, 8, 12, 17, 21], False),  # three are usual, four are no gap
    ],
)
def test_a_gap_is_four_empty_days_and_twice_the_usual(days: list[int], found: bool) -> None:
    seen = features.gap(rows([24.0] * len(days), days), LIMITS)
    assert (seen is not None) is found


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ([24.0, 24.1, 24.2, 24.3, 24.4, 24.5], True),
        ([24.5, 24.4, 24.3, 24.2, 24.1, 24.0], True),
        ([24.0, 24.1, 24.2, 24.3, 24.4], False),  # too few
        ([24.0, 24.3, 24.1, 24.2, 24.0, 24.1], False),
        ([24.0, 24.0, 24.0, 24.0, 24.1, 24.1], False),  # no more than the last digit
    ],
)
def test_a_trend_is_more_than_chance(values: list[float], found: bool) -> None:
    assert (features.trend(rows(values), LIMITS) is not None) is found


def test_colors_that_one_number_fits_show_no_trend() -> None:
    assert features.trend(cards(LOW, LOW, MIDDLE, LOW, MIDDLE, MIDDLE), LIMITS) is None
    seen = features.trend(cards(LOW, LOW, MIDDLE, MIDDLE, HIGH, TOP), LIMITS)
    assert seen is not None
    assert seen.kind is FeatureKind.TREND


def changes(*days: float, share: float = 0.25) -> list[Change]:
    return [Change(START + timedelta(days=day), share) for day in days]


@pytest.mark.parametrize(
    ("changed", "tap", "found"),
    [
        (changes(3, 10), 5.0, True),
        (changes(3), 5.0, False),  # one pair only
        (changes(3, 10), None, False),  # nobody knows the tap water
        (changes(3, 4, 10), 5.0, False),  # two changes between the first two
        ([*changes(3), *changes(10, share=0.31)], 5.0, False),  # they are not alike
        ([*changes(3), *changes(10, share=0.30)], 5.0, True),
        (changes(3, 10), 60.0, False),  # new water alone explains more than the rise
    ],
)
def test_a_settle_point_needs_pairs_with_one_change(
    changed: list[Change], tap: float | None, found: bool
) -> None:
    read = rows([20.0, 21.0, 21.5], [0, 7, 14])
    seen = features.settles(read, changed, tap, LIMITS)
    assert (seen is not None) is found
    assert seen is None or seen.places == (0, 1)


def test_colors_tell_a_settle_point_only_while_they_stay() -> None:
    changed = changes(3, 10)
    assert features.settles(cards(MIDDLE, MIDDLE, MIDDLE), changed, 5.0, LIMITS) is not None
    assert features.settles(cards(MIDDLE, MIDDLE, HIGH), changed, 5.0, LIMITS) is None


@pytest.mark.parametrize("count", [0, 1, 2])
def test_an_empty_month_shows_nothing(count: int) -> None:
    few = rows([24.0] * count)
    seen = [
        features.outlier(few, LIMITS), features.readers(few, LIMITS), features.step(few, LIMITS),
        features.holes(few, LIMITS, _school_day), features.gap(few, LIMITS),
        features.trend(few, LIMITS), features.settles(few, [], 5.0, LIMITS),
    ]  # fmt: skip
    assert seen == [None] * 7
