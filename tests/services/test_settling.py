"""A group of animals moves in: all of it or nothing."""

import pytest

from app.domain.errors import Refused, TokenReused
from app.services import settling, tanks
from app.services.settling import GroupDraft
from tests.record import Record

SHRIMP = GroupDraft(name="Amano shrimp", band="bottom", adult_cm=5.0, count=4)


def names(record: Record) -> dict[str, int]:
    with record.database.reading() as session:
        groups = tanks.groups(session, record.tank_id, now=record.now)
    return {g.name: g.count for g in groups}


def test_the_group_and_its_count_are_written(record: Record) -> None:
    with record.database.writing() as session:
        settling.settle(session, record.stamp(), SHRIMP, now=record.now)

    assert names(record)["Amano shrimp"] == 4


def test_a_group_may_come_without_animals_yet(record: Record) -> None:
    with record.database.writing() as session:
        settling.settle(session, record.stamp(), GroupDraft(name="snail"), now=record.now)

    assert names(record)["snail"] == 0


def test_a_second_group_of_that_name_is_refused(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(Refused):
        settling.settle(session, record.stamp(), GroupDraft(name="PEPPERED CORY"), now=record.now)


def test_where_the_count_cannot_be_written_the_group_is_not_there_either(record: Record) -> None:
    with record.database.writing() as session:
        settling.settle(session, record.stamp(token="same-form"), SHRIMP, now=record.now)

    other = GroupDraft(name="snail", count=2)
    with record.database.writing() as session, pytest.raises(TokenReused):
        settling.settle(session, record.stamp(token="same-form"), other, now=record.now)

    assert "snail" not in names(record)
