"""Days along the axis are days on the wall. Clock changes are those of the zone database."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from app.charts.days import MOST_TICKS, clock_words, day_words, span_words, ticks

from .situations import CHICAGO, local


@pytest.mark.parametrize(("first", "hours"), [((2027, 3, 12), 23), ((2027, 11, 5), 25)])
def test_ticks_stand_at_midnight_across_a_clock_change(
    first: tuple[int, int, int], hours: int
) -> None:
    # US clocks change on 14 March and 7 November 2027 (Energy Policy Act of 2005, from memory:
    # second Sunday in March, first Sunday in November); the zone database says the same
    start = local(*first, 0)
    found = ticks(start, start + timedelta(days=5), CHICAGO)
    walls = [t.at.astimezone(ZoneInfo(CHICAGO)) for t in found]
    assert all((w.hour, w.minute) == (0, 0) for w in walls)
    steps = [(b.at - a.at) / timedelta(hours=1) for a, b in pairwise(found)]
    assert sorted(steps)[0 if hours == 23 else -1] == hours
    assert steps.count(24) == len(steps) - 1


@pytest.mark.parametrize("days", [1, 2, 3, 9, 16, 17, 56, 57, 90, 200, 366, 1100, 4000, 40_000])
def test_there_are_a_few_ticks_for_any_length_and_all_inside(days: int) -> None:
    start = datetime(2020, 2, 3, 5, tzinfo=UTC)
    found = ticks(start, start + timedelta(days=days), "Pacific/Auckland")
    assert 1 <= len(found) <= MOST_TICKS + 1
    assert all(start <= t.at <= start + timedelta(days=days) for t in found)
    if days > 2:  # within two days noon comes twice
        assert len({t.label for t in found}) == len(found)


def test_words_for_days_and_times() -> None:
    assert day_words(date(2026, 11, 9)) == "Mon 9 Nov"
    assert day_words(date(2026, 11, 9), year=True) == "Mon 9 Nov 2026"
    assert clock_words(local(2027, 1, 4, 8, 5), CHICAGO) == "8:05 am"
    assert span_words(local(2026, 11, 6, 0), local(2027, 2, 9, 0), CHICAGO) == (
        "6 November to 8 February"
    )
    assert span_words(local(2027, 1, 5, 0), local(2027, 1, 6, 0), CHICAGO) == "5 January"
    assert "2026" in span_words(local(2026, 1, 1, 0), local(2027, 2, 9, 0), CHICAGO)


def test_the_doubled_hour_is_told_apart() -> None:
    first = datetime(2027, 11, 7, 6, 30, tzinfo=UTC)
    assert clock_words(first, CHICAGO) == "1:30 am"
    assert clock_words(first + timedelta(hours=1), CHICAGO) == "1:30 am (second time)"
