"""The server that holds the record is gone: every page says so, and a form keeps what was typed."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from flask import Flask

from app.clock import FixedClock
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from app.storage.engine import Database
from app.storage.postgresql import postgresql_engine
from app.web.request import Parts
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.api.conftest import code
from tests.web.conftest import settings_of
from tests.web.visits import fields_of, words_of

WHAT = "The server that holds the record does not answer."


@pytest.fixture
def link(record: Record) -> str:
    """The address of a family's page."""
    today = record.now.date()
    with record.database.writing() as session:
        _, token = links.make(
            session, record.tank_id, LinkKind.FAMILY, label="", first_day=today,
            last_day=today + timedelta(days=7), made_by_id=record.adult.author_id, now=record.now,
        )  # fmt: skip
    return f"/v/{token}"


@pytest.fixture
def go_away(app: Flask, tmp_path: Path, clock: FixedClock) -> Iterator[Callable[[], None]]:
    """Takes the server that holds the record from under the application."""
    nowhere = Database(postgresql_engine(f"postgresql+psycopg://me@/x?host={tmp_path}"))

    def go() -> None:
        app.extensions["sillpond"] = Parts(nowhere, clock, settings_of(tmp_path))

    yield go
    nowhere.close()


@pytest.fixture
def come_back(app: Flask, tmp_path: Path, clock: FixedClock, record: Record) -> Callable[[], None]:
    """Puts it back."""

    def come() -> None:
        app.extensions["sillpond"] = Parts(record.database, clock, settings_of(tmp_path))

    return come


@pytest.mark.parametrize("url", ["/", "/tank/1/", "/tank/1/story", "/tanks", "/nowhere"])
def test_a_page_says_what_is_wrong_and_that_nothing_changed(
    adult: CheckedClient, go_away: Callable[[], None], url: str
) -> None:
    go_away()
    answer = adult.get(url)
    if url == "/nowhere":
        assert answer.status_code == 404
        return
    assert answer.status_code == 503
    assert WHAT in words_of(answer.text)
    assert "Nothing was changed." in words_of(answer.text)


def test_whoever_has_a_link_is_told_too(
    stranger: CheckedClient, link: str, go_away: Callable[[], None]
) -> None:
    assert stranger.get(link).status_code == 200
    go_away()
    answer = stranger.get(link)
    assert answer.status_code == 503
    assert WHAT in words_of(answer.text)


def test_a_form_is_kept_and_saved_once_when_the_server_is_back(
    adult: CheckedClient,
    record: Record,
    go_away: Callable[[], None],
    come_back: Callable[[], None],
) -> None:
    typed = fields_of(adult.get("/tank/1/feed").text) | {"temperature": "24.9"}
    go_away()
    kept = adult.post("/tank/1/feed", data=typed)
    assert kept.status_code == 503
    assert WHAT in words_of(kept.text)
    assert "Not saved yet" in words_of(kept.text)
    again = fields_of(kept.text)
    assert again["temperature"] == "24.9"
    # still away: it is kept once more
    again = fields_of(adult.post("/tank/1/feed", data=again).text)

    come_back()
    for _ in range(2):
        assert adult.post("/tank/1/feed", data=again).status_code == 303
    assert words_of(adult.get("/tank/1/story").text).count("24.9 °C") == 1


def test_a_program_gets_a_problem(stranger: CheckedClient, go_away: Callable[[], None]) -> None:
    go_away()
    answer = stranger.get("/api/v1/tanks", headers={"Authorization": "Bearer " + "x" * 43})
    assert code(answer) == (503, "")
    assert answer.json is not None
    assert answer.json["detail"] == WHAT


def test_what_watches_over_it_gets_one_word(
    adult: CheckedClient, stranger: CheckedClient, go_away: Callable[[], None]
) -> None:
    go_away()
    for client in (stranger, adult):
        answer = client.get("/healthz")
        assert (answer.status_code, answer.text) == (503, "read\n")
