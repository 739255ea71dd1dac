"""Closed links: whatever they once were, they are one and the same page, and leave no trace."""

import logging
from datetime import timedelta
from pathlib import Path

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from app.clock import FixedClock
from app.domain.calendar import local_day
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from tests.page_checker import CheckedClient
from tests.record import ZONE, Record
from tests.web.filling import opened, save
from tests.web.guest.linking import FAMILY, INVENTED, SITTER, guest, made
from tests.web.visits import csrf_of, seen

DAYS = {"label": "Parents of 5-Heron", "first_day": "2027-02-08", "last_day": "2027-06-18"}
STAY = {"label": "Neighbor", "first_day": "2027-02-09", "last_day": "2027-02-20", "scoops": "1"}


def whole(answer: TestResponse) -> tuple[int, bytes, list[tuple[str, str]]]:
    """Everything that an answer is: status, bytes, headers."""
    return answer.status_code, answer.data, sorted(answer.headers)


def closed(adult: CheckedClient, number: int) -> None:
    data = {"csrf_token": csrf_of(adult, "/tank/1/share")}
    assert adult.post(f"/tank/1/share/links/{number}/end", data=data).status_code == 303


def test_dead_links_of_all_kinds_are_the_page_of_an_invented_one(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    ended, over, coming = (made(adult, form, **days) for form, days in (
        (FAMILY, DAYS), (FAMILY, DAYS | {"last_day": "2027-02-08"}), (SITTER, STAY),
    ))  # fmt: skip
    with record.database.writing() as session:
        _, other_kind = links.make(
            session, 1, LinkKind.CALENDAR, label="", first_day=None, last_day=None,
            made_by_id=record.adult.author_id, now=clock.now(),
        )  # fmt: skip
    assert guest(app).get(ended).status_code == 200
    closed(adult, 1)
    told = [guest(app).get(coming)]  # not yet begun
    clock.moment += timedelta(days=1)
    told += [guest(app).get(path) for path in (ended, over, f"/v/{other_kind}", "/v/x")]

    invented = guest(app).get(INVENTED)
    assert invented.status_code == 404
    assert b"This link is closed" in invented.data
    assert {repr(whole(answer)) for answer in told} == {repr(whole(invented))}


def test_a_link_leaves_no_trace_outside(
    app: Flask, adult: CheckedClient, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    paths = made(adult, FAMILY, **DAYS), made(adult, SITTER, **(STAY | {"first_day": "2027-02-08"}))
    for path in (*paths, f"{paths[1]}/help", INVENTED):
        answer = guest(app).get(path)
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert "no-store" in answer.headers["Cache-Control"]
        assert answer.headers["X-Robots-Tag"] == "noindex"
        assert "Set-Cookie" not in answer.headers
        assert "Vary" not in answer.headers
        assert not {"ETag", "Last-Modified"} & set(answer.headers.keys())
        assert path.removeprefix("/v/")[:32] not in caplog.text


@pytest.mark.sqlite_only("the bytes of the file")
def test_only_a_hash_is_kept(adult: CheckedClient, record: Record) -> None:
    token = made(adult, FAMILY, **DAYS).removeprefix("/v/").encode()
    file = record.database.engine.url.database or ""
    for ending in ("", "-wal"):
        assert token not in Path(file + ending).read_bytes()


def test_the_list_shows_the_day_of_the_last_use(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    path = made(adult, FAMILY, **DAYS)
    assert "never" in seen(adult, "/tank/1/share")
    guest(app).get(path)
    guest(app).get(path)
    page = seen(adult, "/tank/1/share")

    assert "Parents of 5-Heron" in page
    assert "Monday 8 February 2027 to Friday 18 June 2027 Monday 8 February 2027 open" in page
    with record.database.reading() as session:
        (kept,) = links.links_of(session, 1)
    assert kept.last_used_on == local_day(clock.now(), ZONE)
    data = {"csrf_token": csrf_of(adult, "/tank/1/share")}
    for _ in range(2):  # the second press of the same button
        assert adult.post("/tank/1/share/links/1/end", data=data).status_code == 303
    assert "closed by you" in seen(adult, "/tank/1/share")


@pytest.mark.parametrize(
    "wrong",
    [{}, {"csrf_token": "0" * 64}, {"csrf_token": "\u00fc"}],
    ids=["none", "made up", "odd"],
)
def test_a_form_needs_the_key_of_its_link(
    app: Flask, adult: CheckedClient, record: Record, wrong: dict[str, str]
) -> None:
    path = made(adult, SITTER, **(STAY | {"first_day": "2027-02-08"}))
    before = _writes(record)
    typed = opened(guest(app), path) | {"found": "fine"}
    typed.pop("csrf_token")

    assert guest(app).post(path, data=typed | wrong).status_code == 400
    foreign = guest(app).post(
        path, data=opened(guest(app), path) | {"found": "fine"},
        headers={"Sec-Fetch-Site": "same-site"},
    )  # fmt: skip
    assert foreign.status_code == 403
    assert _writes(record) == before


def test_a_form_of_a_link_that_was_closed_writes_nothing(
    app: Flask, adult: CheckedClient, record: Record
) -> None:
    path = made(adult, SITTER, **(STAY | {"first_day": "2027-02-08"}))
    sitter = guest(app)
    typed = opened(sitter, path) | {"found": "help"}
    closed(adult, 1)
    before = _writes(record)

    assert whole(sitter.post(path, data=typed)) == whole(guest(app).get(INVENTED))
    assert _writes(record) == before


def test_the_key_of_one_link_opens_no_other(app: Flask, adult: CheckedClient) -> None:
    family = made(adult, FAMILY, **DAYS)
    sitter = made(adult, SITTER, **(STAY | {"first_day": "2027-02-08"}))
    typed = opened(guest(app), sitter) | {"found": "fine"}

    assert guest(app).post(family, data=typed).status_code == 400
    assert save(guest(app), sitter, found="fine").status_code == 303


def _writes(record: Record) -> int:
    """How often this tank was changed; every write counts."""
    with record.database.reading() as session:
        return int(session.connection().exec_driver_sql("SELECT revision FROM tank").scalar_one())
