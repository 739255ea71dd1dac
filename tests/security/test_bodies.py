"""Programs' addresses answer to whatever body comes, in words and before long."""

import os
import random
import time
from collections import Counter

import pytest
from werkzeug.test import TestResponse

from app.services.access import api_tokens
from app.services.access.api_tokens import Scope
from tests.security import headers, planted
from tests.security.bodies import ENTRIES, READINGS, garbled
from tests.security.fuzzing import SEED, logged_errors
from tests.security.house import House

POSTS = 4_000 if os.environ.get("SILLPOND_HEAVY") == "1" else 200
TOKEN = "sillpond-only-a-test-and-never-a-secret"
ALLOWED = {200, 201, 400, 409, 413, 415, 422, 429}
LONGEST_SECONDS = 2.0


@pytest.fixture
def program(home: House) -> House:
    """The house, with a program that may write everything."""
    with home.record.database.writing() as session:
        api_tokens.make(
            session, home.record.adult, label="Tester", scope=Scope.ENTRIES, tank_id=None,
            token=TOKEN, now=home.clock.now(),
        )  # fmt: skip
    home.keep()
    return home


def sent(house: House, address: str, body: bytes, key: str) -> TestResponse:
    about = {"Authorization": f"Bearer {TOKEN}", "Idempotency-Key": key}
    return house.new_client().post(
        f"/api/v1/tanks/1/{address}", data=body, headers=about, content_type="application/json"
    )


def test_garbled_bodies_are_answered_in_words(program: House) -> None:
    chance, statuses, faults = random.Random(SEED), Counter[int](), []
    with logged_errors() as errors:
        for number in range(POSTS):
            if number % 25 == 0:
                program.put_back()
            address = "readings" if number % 4 == 0 else "entries"
            body = garbled(READINGS if number % 4 == 0 else ENTRIES[number % 5], chance)
            begun = time.process_time()
            answer = sent(program, address, body, f"garbled-{number:06}")
            if time.process_time() - begun > LONGEST_SECONDS:
                faults.append(f"{body[:80]!r} took long")
            statuses[answer.status_code] += 1
            wrong = [*planted.faults_of(answer), *headers.faults_of(answer)]
            if answer.status_code not in ALLOWED or not (answer.mimetype or "").endswith("json"):
                wrong.append(f"answered {answer.status_code}, {answer.mimetype}")
            faults += [f"{address} with {body[:80]!r}: {fault}" for fault in wrong]
    assert faults + errors == []
    # garbled as they are, some are good: the guards are not all they meet
    assert statuses[201] > POSTS / 50
    assert statuses[400] > POSTS / 10
    assert statuses[422] > POSTS / 5


def test_what_they_left_is_shown_as_text(program: House) -> None:
    chance = random.Random(SEED + 1)
    for number in range(40):
        sent(program, "entries", garbled(ENTRIES[3], chance), f"left-behind-{number:04}")
    keeper = program.callers["keeper"]
    for page in ("story", "notebook", "", "measurements.csv"):
        answer = keeper.client.get(f"/tank/1/{page}", buffered=True)
        assert answer.status_code == 200
        assert list(planted.faults_of(answer)) == []
