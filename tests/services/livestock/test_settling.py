"""A group of animals moves in: all of it or nothing."""

from dataclasses import replace

import pytest

from app.domain.errors import Refused, TokenReused
from app.services.livestock import animals, settling
from app.services.livestock.settling import GroupDraft
from app.services.transaction import one_transaction
from app.storage import snapshot
from tests.record import Record

SHRIMP = GroupDraft(name="Amano shrimp", band="bottom", adult_cm=5.0, count=4)


def names(record: Record) -> dict[str, int]:
    with record.database.reading() as session:
        groups = animals.groups(session, record.tank_id, now=record.now)
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


def test_a_group_settles_with_its_species_and_its_batch(record: Record) -> None:
    draft = replace(SHRIMP, species="Caridina multidentata", label="B-7", apart_days=14)
    with record.database.writing() as session:
        group_id = settling.settle(session, record.stamp(), draft, now=record.now)
        found = snapshot.load(session, [record.tank_id], record.now)[0]

    assert [g.species for g in found.groups if g.id == group_id] == ["Caridina multidentata"]
    assert [(b.group_id, b.label) for b in found.batches] == [(group_id, "B-7")]
    assert found.stock_events[-1].apart_days == 14


def settle_all(record: Record, *drafts: GroupDraft) -> None:
    with record.database.writing() as session, one_transaction(session):
        for draft in drafts:
            settling.settle(session, record.stamp(), draft, now=record.now)


def test_inside_a_larger_transaction_it_counts_only_with_the_rest(record: Record) -> None:
    with pytest.raises(Refused):
        settle_all(record, SHRIMP, GroupDraft(name="peppered cory"))
    assert "Amano shrimp" not in names(record)

    settle_all(record, SHRIMP, GroupDraft(name="snail", count=2))
    assert names(record)["Amano shrimp"] + names(record)["snail"] == 6
