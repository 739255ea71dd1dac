"""What people typed is read without nicknames, and stands in the record as it was typed."""

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.domain.drafts import NewJob
from app.domain.records import JobKind
from app.services.school import free_texts, tiles
from app.storage.base import Base, Typed
from app.storage.engine import Database
from app.storage.models.access import Author
from app.storage.models.maintenance import Job
from tests.record import Record, new_record


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def others(record: Record) -> Database:
    """The record for whoever sees no pupils; there is a tile Fern beside Otter and Finch."""
    with record.database.writing() as session:
        tiles.add_helper(session, "Fern")
    return record.database.without_nicknames


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("Otter did it", "a helper did it"),
        ("OTTER, otter and finch’s net", "a helper, a helper and a helper’s net"),
        ("Otters and finches", "Otters and finches"),
        # a fern is a plant too: only as it stands on the tile is it taken for somebody
        ("Fern cut the fern", "a helper cut the fern"),
        ("", ""),
    ],
)
def test_typed_words_are_read_without_nicknames(
    record: Record, others: Database, typed: str, read: str
) -> None:
    record.write(NewJob(job=JobKind.GLASS, note=typed))
    with others.reading() as session:
        assert session.scalars(select(Job.note)).all() == [read]
        assert session.scalars(select(Job)).one().note == read
        assert session.scalar(select(func.coalesce(Job.note, ""))) == read
        assert "Otter" not in session.scalars(select(Author.shown)).all()
    with record.database.reading() as session, others.writing() as writing:
        assert session.scalars(select(Job.note)).all() == [typed]
        assert writing.scalars(select(Job.note)).all() == [typed]


def test_what_was_read_in_between_does_not_count_for_others(
    record: Record, others: Database
) -> None:
    record.write(NewJob(job=JobKind.GLASS, note="Otter"))
    with suppress(KeyError), others.reading() as session:
        session.scalars(select(Job.note)).all()
        raise KeyError
    with record.database.reading() as session:
        assert session.scalars(select(Job.note)).all() == ["Otter"]


def test_every_text_that_is_searched_for_nicknames_is_read_so() -> None:
    # only keepers read their private notes; the texts for the papers are a place's own rules
    others = {("private_note", "text"), ("paper_text", "text")}
    untyped = {
        (table, column)
        for table, column in free_texts.SEARCHED
        if not isinstance(Base.metadata.tables[table].columns[column].type, Typed)
    }
    assert untyped == others
