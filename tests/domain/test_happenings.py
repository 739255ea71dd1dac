"""What came before a problem, and how often the same came calmly."""

from datetime import UTC, datetime, timedelta

import pytest

from app.domain.happenings import Event, Happening, Problem, leads

NOW = datetime(2027, 2, 8, 12, tzinfo=UTC)
SPAN = timedelta(days=14)


def rinse(days_ago: float) -> Event:
    return event(Happening.FILTER, days_ago)


def event(kind: Happening, days_ago: float) -> Event:
    return Event(kind, NOW - timedelta(days=days_ago), "")


def problem(days_ago: float = 0.0) -> Problem:
    return Problem(NOW - timedelta(days=days_ago), "gasping")


def test_ten_rinses_of_which_one_was_followed_by_a_problem() -> None:
    """Ten rinses, 30 days apart, the last two days ago; a sign 5 days after the fourth."""
    rinses = [rinse(2 + 30 * n) for n in range(11)]

    (lead,) = leads(rinses, [problem(), problem(2 + 30 * 4 - 5)], NOW, SPAN)

    assert len(lead.events) == 1
    assert (lead.earlier, lead.calm) == (10, 9)


@pytest.mark.parametrize(("days", "found"), [(14.0, 1), (14.1, 0), (0.0, 1), (-0.1, 0)])
def test_only_the_two_weeks_before_count(days: float, found: int) -> None:
    assert len(leads([rinse(days)], [problem()], NOW, SPAN)) == found


@pytest.mark.parametrize(("after", "calm"), [(14.0, 0), (14.1, 1), (0.0, 1)])
def test_a_problem_counts_after_an_event_and_within_two_weeks(after: float, calm: int) -> None:
    events = [rinse(1), rinse(60)]

    (lead,) = leads(events, [problem(), problem(60 - after)], NOW, SPAN)

    assert lead.calm == calm


def test_what_never_came_before_stands_first_and_what_was_always_calm_last() -> None:
    events = [
        event(Happening.SAND, 1), event(Happening.SAND, 40),
        event(Happening.FOOD, 1), event(Happening.FOOD, 60),
        event(Happening.MEDIA, 1),
    ]  # fmt: skip

    found = leads(events, [problem(), problem(58)], NOW, SPAN)

    assert [lead.kind for lead in found] == [Happening.MEDIA, Happening.FOOD, Happening.SAND]
