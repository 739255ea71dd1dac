"""Two tablets at one tank: food is never written twice unless somebody said so."""

import os
import re
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from threading import Barrier

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app.clock import FixedClock
from app.domain.records import EntryKind
from app.services import story
from app.services.access import sign_ins
from app.services.school import devices
from app.web.fields import new_token
from app.web.request import SESSION_TOKEN
from tests.record import Record

HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
SCHOOL_WEEK = 5
FRIDAY = 4


def tablet(app: Flask, record: Record, now: datetime) -> tuple[FlaskClient, str]:
    """A device that was handed to the class, and the token of its forms."""
    with record.database.writing() as session:
        adult = sign_ins.use_link(session, sign_ins.make_link(session, now=now), now=now)
        visitor = sign_ins.visitor_of(session, adult, now=now)
        assert visitor is not None
        token = devices.unlock(session, visitor, 1, "tablet", now=now)
    client = FlaskClient(app, use_cookies=True)
    with client.session_transaction() as held:
        held[SESSION_TOKEN] = token
    found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', client.get("/tank/1/feed").text)
    assert found
    return client, found[1]


@pytest.mark.parametrize(
    ("same_form", "rounds"),
    [
        pytest.param(False, 200 if HEAVY else 50, id="each its own form"),
        pytest.param(True, 50 if HEAVY else 10, id="one form twice"),
    ],
)
def test_the_same_meal_from_two_devices_at_once(
    app: Flask, record: Record, clock: FixedClock, same_form: bool, rounds: int
) -> None:
    tablets: list[tuple[FlaskClient, str]] = []
    both_ready = Barrier(2)

    def feed(at: int, token: str) -> tuple[int, bool]:
        client, csrf = tablets[at]
        both_ready.wait()
        answer = client.post(
            "/tank/1/feed",
            data={
                "csrf_token": csrf, "token": token, "hands": str((record.otter, record.finch)[at]),
                "when": "now", "amount": "1", "temperature": "", "temperature_unit": "°C|",
            } | ({"hands": str(record.otter)} if same_form else {}),
        )  # fmt: skip
        return answer.status_code, "Did food go in" in answer.text

    with ThreadPoolExecutor(2) as pool:
        for number in range(rounds):
            if number % SCHOOL_WEEK == 0:  # as every Monday
                tablets[:] = [tablet(app, record, clock.moment) for _ in range(2)]
            clock.moment += timedelta(days=3 if clock.moment.weekday() == FRIDAY else 1)
            first, second = new_token(), new_token()
            tokens = (first, first if same_form else second)
            answers = sorted(pool.map(feed, (0, 1), tokens))
            if same_form:
                assert answers == [(303, False), (303, False)]
            else:
                assert answers == [(200, True), (303, False)], "one is saved, the other is asked"

    with record.database.reading() as session:
        meals = story.story(
            session, record.tank_id, kinds=frozenset({EntryKind.FEEDING}), limit=500
        )
    days = [meal.happened_at.date() for meal in meals.lines]
    assert len(days) == len(set(days)) == rounds
