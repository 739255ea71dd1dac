"""Files that wait to be looked at: kept for a day, one a person, for whoever handed them in."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.domain.errors import Refused
from app.services.sheets import incoming
from app.storage.models.exchange import IncomingFile
from tests.record import Record

TOKEN = "Xk3_-abcdefgh"


def hold(record: Record, token: str = TOKEN, content: bytes = b"time,temp") -> None:
    with record.database.writing() as session:
        incoming.hold(session, token, content, author_id=record.adult.author_id, now=record.now)


def held(record: Record, token: str = TOKEN, by: int | None = None) -> bytes:
    with record.database.reading() as session:
        return incoming.held(session, token, author_id=by or record.adult.author_id)


def test_what_was_handed_in_comes_back(record: Record) -> None:
    with pytest.raises(Refused, match="once more"):
        held(record)

    hold(record)

    assert held(record) == b"time,temp"


def test_nobody_else_gets_it(record: Record) -> None:
    hold(record)

    with pytest.raises(Refused, match="once more"):
        held(record, by=record.otter)


def test_another_file_takes_its_place(record: Record) -> None:
    hold(record)
    hold(record, "another-token", b"second")

    assert held(record, "another-token") == b"second"
    with pytest.raises(Refused, match="once more"):
        held(record)


@pytest.mark.parametrize(
    ("age", "kept"), [(timedelta(days=1), 2), (timedelta(days=1, seconds=1), 1)]
)
def test_a_day_later_it_goes(record: Record, age: timedelta, kept: int) -> None:
    hold(record)
    with record.database.writing() as session:
        incoming.hold(session, "token-of-otter", b"", author_id=record.otter, now=record.now + age)

    with record.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(IncomingFile)) == kept


@pytest.mark.parametrize("token", ["", "short", "../../etc/passwd", "a" * 65, "ünsafe-token"])
def test_only_a_form_names_a_file(record: Record, token: str) -> None:
    with pytest.raises(Refused):
        hold(record, token)
