"""Several people at once: nobody is refused, nothing is lost, and one broken page hurts nobody."""

import os
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from app.clock import FixedClock
from app.domain.quantities import Quantity
from app.services import story, tasks
from app.web.request import database
from tests.record import MONDAY, ONE_SCOOP, Record, reading
from tests.web.conftest import new_app, signed_in
from tests.web.roles import unchecked
from tests.web.stories.conftest import Place

THREADS = 8
EACH = 250 if os.environ.get("SILLPOND_HEAVY") == "1" else 6


def revision_of(record: Record) -> int:
    with record.database.reading() as session:
        found = session.scalar(text("SELECT revision FROM tank WHERE id = 1"))
    assert isinstance(found, int)
    return found


def test_eight_threads_that_read_and_then_write_are_never_refused(record: Record) -> None:
    """Each looks first and then writes what follows from it, as most use cases do."""
    before = revision_of(record)

    def work(thread: int) -> int:
        written = 0
        for turn in range(EACH):
            if turn % 3 == 2:
                with record.database.reading() as session:
                    tasks.look(session, [record.tank_id], now=record.now, pupils=False)
            with record.database.writing() as session:
                seen = session.scalar(text("SELECT revision FROM tank WHERE id = 1"))
                session.execute(text("UPDATE tank SET revision = :to"), {"to": seen + 1})
                session.commit()
            record.write(
                ONE_SCOOP,
                reading(Quantity.TEMPERATURE, 24.0),
                token=f"thread-{thread}-turn-{turn}",
            )
            written += 1
        return written

    with ThreadPoolExecutor(THREADS) as pool:
        written = sum(pool.map(work, range(THREADS)))
    assert written == THREADS * EACH
    assert revision_of(record) == before + 2 * written
    with record.database.reading() as session:
        found = session.execute(
            text("SELECT count(*), count(DISTINCT token) FROM entry WHERE token LIKE 'thread-%'")
        ).one()
    assert tuple(found) == (written, written)


# two people with the same entry open


@pytest.mark.parametrize("first_does", ["fix", "take back"])
def test_the_later_of_two_open_forms_shows_both_and_saves_nothing(
    place: Place, first_does: str
) -> None:
    adult, other = place.adult(), place.adult()
    place.open(adult, "test").press("Save", ph="7.4")
    entry = place.open(other, "story?kind=water").follow("Water test")
    late = entry.follow("Fix")
    first = place.open(adult, "story?kind=water").follow("Water test")
    if first_does == "fix":
        assert first.follow("Fix").press("Save", ph="7.1", reason="misread").status == 200
    else:
        assert first.follow("Fix").press("Save", reason="test page").status == 200
    place.pass_time(minutes=2)

    page = late.press("Save", ph="6.9", reason="misread")

    assert page.status == 409
    assert "Somebody changed this entry meanwhile." in page.words
    assert ("pH 7.1" if first_does == "fix" else "pH 7.4") in page.words
    assert "pH: 6.9" in page.words
    assert "pH 6.9" not in place.open(adult, "story").words


def test_what_the_later_one_wrote_can_still_be_put_in(place: Place) -> None:
    adult, other = place.adult(), place.adult()
    place.open(adult, "test").press("Save", ph="7.4")
    late = place.open(other, "story?kind=water").follow("Water test").follow("Fix")
    early = place.open(adult, "story?kind=water").follow("Water test").follow("Fix")
    early.press("Save", ph="7.1", reason="misread")
    page = late.press("Save", ph="6.9", reason="misread").follow("Fix what is saved")
    assert page.form().value("ph") == "7.1"
    assert page.press("Save", ph="6.9", reason="misread").status == 200
    assert "pH 6.9" in place.open(adult, "story").words


# one page breaks


@pytest.fixture
def breaking(tmp_path: Path, record: Record) -> Flask:
    """An application with a page that breaks in the middle of a change."""
    app = new_app(tmp_path, FixedClock(MONDAY), record.database)
    app.config["PROPAGATE_EXCEPTIONS"] = False

    @app.get("/static/break", endpoint="health.break")
    def _break() -> str:
        with database().writing() as session:
            session.execute(text("UPDATE tank SET name = 'Broken'"))
            raise RuntimeError("a planted fault")

    return app


def test_a_page_that_breaks_gives_back_what_it_held(
    breaking: Flask, record: Record, caplog: pytest.LogCaptureFixture
) -> None:
    clock = FixedClock(MONDAY)
    clients = [unchecked(signed_in(breaking, record, clock)) for _ in range(THREADS)]
    together = threading.Barrier(THREADS)

    def use(at: int) -> list[int]:
        together.wait()
        return [_ask(clients[at], record, at, turn) for turn in range(6)]

    with ThreadPoolExecutor(THREADS) as pool:
        answers = list(pool.map(use, range(THREADS)))
    assert answers[::2] == [[500] * 6] * (THREADS // 2)
    assert answers[1::2] == [[200] * 6] * (THREADS // 2)
    assert "a planted fault" in caplog.text
    with record.database.reading() as session:
        assert story.story(session, record.tank_id).lines
        assert session.scalar(text("SELECT name FROM tank")) == "Brook"
    pool_of = record.database.engine.pool
    assert pool_of.checkedout() == 0, "a session was not given back"  # type: ignore[attr-defined]
    with record.database.writing_if_free() as turn:
        assert turn is not None, "the turn to write was not given back"


def _ask(client: FlaskClient, record: Record, at: int, turn: int) -> int:
    """Every second browser meets the broken page; the others write and look."""
    if at % 2 == 0:
        return client.get("/static/break").status_code
    record.write(ONE_SCOOP, token=f"beside-{at}-{turn}")
    return client.get(f"/tank/{record.tank_id}/").status_code
