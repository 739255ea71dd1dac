"""A page that waited for a connection says when Save was pressed; a day of it is believed."""

from datetime import UTC, datetime, timedelta
from html import unescape

import pytest
from flask import Flask

from app.clock import FixedClock
from app.services import story
from app.services.story import StoryLine
from app.web.writing.stamped import CLOCK_SLIP, LONGEST_WAIT
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.conftest import new_client, signed_in
from tests.web.filling import save
from tests.web.visits import csrf_of, fields_of, words_of

FEED = "/tank/1/feed"
SECOND = timedelta(seconds=1)


def meals(record: Record) -> list[StoryLine]:
    with record.database.reading() as session:
        page = story.story(session, record.tank_id)
    return [line for line in page.lines if line.happened_at > MONDAY - timedelta(days=3)]


@pytest.mark.parametrize(
    ("pressed", "happened"),
    [
        ("2027-02-08T08:12:00-05:00", MONDAY - timedelta(minutes=29)),
        ((MONDAY - LONGEST_WAIT).isoformat(), MONDAY - LONGEST_WAIT),
        ((MONDAY + CLOCK_SLIP).isoformat(), MONDAY),
        ("", MONDAY),
    ],
    ids=["half an hour ago", "a day ago", "a clock that is a little ahead", "no waiting"],
)
def test_now_is_when_save_was_pressed(
    adult: CheckedClient, record: Record, pressed: str, happened: datetime
) -> None:
    answer = save(adult, FEED, hands=str(record.otter), again="yes", pressed=pressed)
    assert answer.status_code == 303
    (meal,) = meals(record)
    assert (meal.happened_at, meal.recorded_at) == (happened, MONDAY)


@pytest.mark.parametrize(
    "pressed",
    [
        (MONDAY - LONGEST_WAIT - SECOND).isoformat(),
        (MONDAY + CLOCK_SLIP + SECOND).isoformat(),
        "2027-02-08T08:12:00",
        "soon",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-14:00",
        "1" * 5000,
    ],
    ids=["too long ago", "not yet", "without a zone", "no time", "the first", "the last", "long"],
)
def test_what_cannot_be_believed_is_asked(
    adult: CheckedClient, record: Record, pressed: str
) -> None:
    answer = save(adult, FEED, hands=str(record.otter), temperature="24.9", pressed=pressed)
    assert answer.status_code == 422
    assert "This page waited for a connection. When was it?" in words_of(answer.text)
    typed = fields_of(answer.text)
    assert (typed["when"], typed["temperature"], typed["pressed"]) == ("pick", "24.9", "")
    assert meals(record) == []


def test_a_time_that_is_asked_is_filled_in_as_the_page_said_it(
    adult: CheckedClient, record: Record
) -> None:
    long_ago = "2027-02-05T15:05:33-05:00"
    answer = save(adult, FEED, hands=str(record.otter), pressed=long_ago)
    ready = fields_of(answer.text)
    assert ready["picked"].startswith("2027-02-05 15:05")
    assert adult.post(FEED, data=ready).status_code == 303
    (meal,) = meals(record)
    assert meal.happened_at == datetime(2027, 2, 5, 20, 5, tzinfo=UTC)


def test_yesterday_is_the_day_before_save_was_pressed(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    clock.moment = MONDAY.replace(hour=5, minute=20)
    late_on_sunday = "2027-02-07T23:50:00-05:00"
    ready = {"hands": str(record.otter), "when": "yesterday", "again": "yes"}
    save(adult, FEED, pressed=late_on_sunday, **ready)
    (meal,) = meals(record)
    assert meal.happened_at == datetime(2027, 2, 6, 17, tzinfo=UTC)


def test_what_was_sent_after_the_session_had_ended_keeps_its_time(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    ready = fields_of(adult.get(FEED).text) | {"hands": str(record.otter), "temperature": "24.9"}
    kept = new_client(app).post(FEED, data=ready)
    assert kept.status_code == 400
    assert "What you wrote is still here" in unescape(words_of(kept.text))

    clock.moment = MONDAY + timedelta(minutes=29)
    back = signed_in(app, record, clock)
    again = fields_of(kept.text) | {"csrf_token": csrf_of(back, FEED)}
    assert back.post(FEED, data=again).status_code == 303
    (meal,) = meals(record)
    assert (meal.happened_at, meal.recorded_at) == (MONDAY, clock.moment)
    assert [reading.typed for reading in meal.readings] == ["24.9"]
