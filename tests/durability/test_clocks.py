"""Clocks lie: whatever the server's clock says meanwhile, the record stays what it is.

The days of summer time are those of the IANA time zone database; that a weekly job keeps its
weekday is calendar arithmetic, held against `datetime.date` of the standard library.
"""

import time as time_of_system
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.calendar import local_day
from app.domain.records import EntryKind
from app.services import story, tasks
from tests.durability.test_no_room import rows_of
from tests.record import ONE_SCOOP, Record
from tests.web.stories.conftest import Place

PAGES = ("", "to-do", "story")
# zones that change the clock by an hour, by half an hour, not at all, and one that skipped a day
ZONES = (
    "America/New_York", "Europe/Dublin", "Australia/Lord_Howe", "Asia/Tokyo", "Pacific/Apia",
    "Africa/Casablanca",
)  # fmt: skip
YEAR = timedelta(days=365)


def todo(record: Record, now: datetime) -> list[tuple[str, str]]:
    """What is due, in order."""
    with record.database.reading() as session:
        found = tasks.look(session, [record.tank_id], now=now, pupils=False)[record.tank_id]
    return [(task.key, task.reason) for task in found[1].tasks]


@pytest.mark.parametrize(
    "off",
    [timedelta(hours=-1), YEAR, -YEAR, timedelta(days=30)],
    ids=["-1 h", "+1 y", "-1 y", "+30 d"],
)
def test_a_clock_that_was_wrong_for_a_while_changes_nothing(place: Place, off: timedelta) -> None:
    record, right = place.record, place.clock.moment
    before, due = rows_of(place), todo(record, right)
    adult = place.adult()
    place.clock.moment = right + off
    for page in PAGES:
        assert adult.get(place.url(page)).status_code in {200, 303}
    place.clock.moment = right
    assert rows_of(place) == before, "looking at the wrong time changed the record"
    assert todo(record, right) == due
    assert place.open(place.adult()).status == 200


def test_what_was_written_on_a_clock_ahead_stays_in_sight_when_it_goes_back(place: Place) -> None:
    right = place.clock.moment
    place.clock.moment = right + timedelta(hours=1)
    ahead = place.open(place.adult(), "feed").press("Save", temperature="24.9")
    assert ahead.status == 200
    place.clock.moment = right
    adult = place.adult()
    for page in PAGES:
        assert place.open(adult, page).status == 200
    story_words = place.open(adult, "story").words
    assert "Temperature 24.9 °C" in story_words
    assert "This time has not come yet. Look at the clock of the computer" in story_words
    # food that stands written for later today is food: nobody feeds twice on a wrong clock
    again = place.open(adult, "feed").press("Save")
    assert "Did food go in" in again.words


def test_entries_of_one_moment_keep_the_order_in_which_they_were_written(place: Place) -> None:
    record = place.record
    ids = [record.write(ONE_SCOOP, token=f"one-moment-{n:02}").entry_id for n in range(5)]
    with record.database.reading() as session:
        lines = story.story(session, 1, kinds=frozenset({EntryKind.FEEDING})).lines
    assert [line.entry_id for line in lines][:5] == ids[::-1]


def test_the_zone_of_the_computer_has_no_say(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    due = todo(place.record, place.clock.moment)
    words = place.open(place.adult(), "story").words
    for zone in ("Asia/Tokyo", "Pacific/Apia"):
        monkeypatch.setenv("TZ", zone)
        time_of_system.tzset()
        assert todo(place.record, place.clock.moment) == due
        assert place.open(place.adult(), "story").words == words
    monkeypatch.undo()
    time_of_system.tzset()


def test_the_29th_of_february_is_a_day_like_any_other(place: Place) -> None:
    for day in ("2028-02-28 8:30", "2028-02-29 8:30", "2028-03-01 8:30"):
        place.at(day)
        page = place.open(place.adult(), "feed").press("Save", temperature="24.9")
        assert page.status == 200
        assert "Did food go in" not in page.words
        assert "FED 8:30" in page.words
    assert "29 February" in place.open(place.adult(), "story?kind=food").words


@given(
    zone=st.sampled_from(ZONES),
    day=st.dates(date(2011, 12, 1), date(2035, 12, 31)),
    wall=st.times(),
    days=st.integers(1, 60),
)
@settings(max_examples=100, deadline=None)
def test_days_are_those_of_the_wall_at_the_tank(
    zone: str, day: date, wall: time, days: int
) -> None:
    """The same time on the wall some days on is that many local days on, whatever the clock did."""
    first, later = (
        datetime.combine(d, wall, tzinfo=ZoneInfo(zone)).astimezone(UTC)
        for d in (day, day + timedelta(days=days))
    )
    # a wall time that was skipped lies within the hour, or the day, beside it
    skipped = [
        d for d, moment in ((day, first), (day + timedelta(days=days), later))
        if moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None) != datetime.combine(d, wall)
    ]  # fmt: skip
    if not skipped:
        assert (local_day(later, zone) - local_day(first, zone)).days == days
