"""Links: open from their first to their last day at the tank, and never after they were ended."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from app.domain.errors import NotFound, Refused
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from tests.record import Record, new_record

FIRST, LAST = date(2027, 2, 8), date(2027, 2, 10)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    yield made
    made.database.close()


def make(
    record: Record,
    kind: LinkKind = LinkKind.FAMILY,
    *,
    first: date | None = FIRST,
    last: date | None = LAST,
    token: str = "",
) -> tuple[int, str]:
    with record.database.writing() as session:
        return links.make(
            session, 1, kind, label=" Parents ", first_day=first, last_day=last,
            made_by_id=record.adult.author_id, now=record.now, token=token,
        )  # fmt: skip


def opens(record: Record, token: str, *kinds: LinkKind, at: datetime | None = None) -> bool:
    with record.database.reading() as session:
        try:
            links.open_link(session, token, *kinds, now=at or record.now)
        except NotFound:
            return False
    return True


@pytest.mark.parametrize(
    ("at", "is_open"),
    [
        # New York is five hours behind UTC in February: its midnight is 5:00
        (datetime(2027, 2, 8, 4, 59, tzinfo=UTC), False),
        (datetime(2027, 2, 8, 5, 0, tzinfo=UTC), True),
        (datetime(2027, 2, 11, 4, 59, tzinfo=UTC), True),
        (datetime(2027, 2, 11, 5, 0, tzinfo=UTC), False),
    ],
)
def test_it_opens_on_the_days_of_its_tank(record: Record, at: datetime, is_open: bool) -> None:
    _, token = make(record)
    assert opens(record, token, LinkKind.FAMILY, at=at) is is_open


def test_it_opens_for_its_own_kind_and_as_long_as_nobody_ended_it(record: Record) -> None:
    number, token = make(record)
    assert opens(record, token, LinkKind.SITTER, LinkKind.FAMILY)
    assert not opens(record, token, LinkKind.SITTER)
    assert not opens(record, token.swapcase(), LinkKind.FAMILY)
    assert not opens(record, token + "A" * 100_000, LinkKind.FAMILY)
    with record.database.writing() as session:
        links.end(session, 1, number, now=record.now)
    assert not opens(record, token, LinkKind.FAMILY)
    with record.database.writing() as session, pytest.raises(NotFound):
        links.end(session, 1, 99, now=record.now)


def test_all_links_end_with_the_year(record: Record) -> None:
    made = [make(record), make(record, LinkKind.CALENDAR, first=None, last=None)]
    with record.database.writing() as session:
        assert links.end_all(session, 1, now=record.now) == 2
        assert links.end_all(session, 1, now=record.now) == 0
    assert not any(opens(record, token, *LinkKind) for _, token in made)


def test_chance_is_enough_and_the_same_token_makes_no_second_link(record: Record) -> None:
    tokens = {make(record)[1] for _ in range(20)}
    # 32 letters of 64 kinds: 192 bits
    assert len(tokens) == 20
    assert all(len(token) == 32 for token in tokens)

    own = "x" * 32
    assert make(record, token=own) == make(record, token=own)
    with record.database.reading() as session:
        assert len(links.links_of(session, 1)) == 21


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (FIRST, None, "Enter the last day."),
        (LAST, FIRST, "The last day lies before the first."),
        (date(2027, 2, 1), date(2027, 2, 7), "The last day is over."),
        (FIRST, date(2028, 2, 10), "A link lives 366 days at most."),
    ],
)
def test_days_that_cannot_be(record: Record, first: date, last: date | None, said: str) -> None:
    with pytest.raises(Refused, match=said):
        make(record, first=first, last=last)
