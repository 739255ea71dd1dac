"""Animals come in batches, move between tanks, are measured, and losses are told in time."""

from dataclasses import replace

import pytest
from sqlalchemy import func, select

from app.domain.drafts import NewStockEvent
from app.domain.errors import NotFound, Refused, TokenReused
from app.domain.livestock import StockGroup
from app.domain.records import EntryStatus, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankFacts, TankShape
from app.services import entries, story, tanks
from app.services.livestock import animals
from app.services.livestock.animals import ArrivalDraft, GroupFacts, MoveDraft
from app.storage import snapshot
from app.storage.models.livestock import StockBatch
from tests.record import Record

SMALL = TankShape(length_cm=58, width_cm=28)


def seen(record: Record, tank_id: int | None = None) -> TankSnapshot:
    with record.database.reading() as session:
        return snapshot.load(session, [tank_id or record.tank_id], record.now)[0]


def rasboras(record: Record) -> StockGroup:
    return seen(record).groups[0]


def second_tank(record: Record) -> int:
    with record.database.writing() as session:
        return tanks.add_tank(session, TankFacts(name="Pool", shape=SMALL))


def counts(record: Record, tank_id: int | None = None) -> dict[str, int]:
    return {g.name: g.count for g in seen(record, tank_id).groups}


# coming


def test_animals_that_came_have_a_batch_and_days_apart(record: Record) -> None:
    draft = ArrivalDraft(
        group_id=rasboras(record).id, count=6, label="B-204", source="shop in town", apart_days=14
    )
    with record.database.writing() as session:
        came = animals.arrive(session, record.stamp(), draft, now=record.now)

    found = seen(record)
    assert counts(record)["harlequin rasbora"] == 16
    assert [(b.id, b.label, b.source) for b in found.batches] == [
        (came.batch_id, "B-204", "shop in town")
    ]
    last = found.stock_events[-1]
    assert (last.batch_id, last.apart_days) == (came.batch_id, 14)


def test_without_label_and_source_there_is_no_batch(record: Record) -> None:
    draft = ArrivalDraft(group_id=rasboras(record).id, count=1)
    with record.database.writing() as session:
        assert animals.arrive(session, record.stamp(), draft, now=record.now).batch_id is None
    assert seen(record).batches == ()


def test_the_same_arrival_posted_twice_is_one_with_one_batch(record: Record) -> None:
    draft = ArrivalDraft(group_id=rasboras(record).id, count=6, label="B-204")
    stamp = record.stamp()
    with record.database.writing() as session:
        first = animals.arrive(session, stamp, draft, now=record.now)
        again = animals.arrive(session, stamp, draft, now=record.now)
        for other in (replace(draft, label="B-205"), replace(draft, label="")):
            with pytest.raises(TokenReused):
                animals.arrive(session, stamp, other, now=record.now)
        with pytest.raises(TokenReused):
            animals.arrive(session, stamp, replace(draft, count=7), now=record.now)

    assert (again.saved.entry_id, again.batch_id) == (first.saved.entry_id, first.batch_id)
    assert (first.saved.fresh, again.saved.fresh) == (True, False)
    assert counts(record)["harlequin rasbora"] == 16


def test_where_the_entry_cannot_be_written_there_is_no_batch_either(record: Record) -> None:
    draft = ArrivalDraft(group_id=rasboras(record).id, count=6, label="B-204")
    there = second_tank(record)
    with record.database.writing() as session:
        with pytest.raises(NotFound, match="no such group"):
            animals.arrive(session, replace(record.stamp(), tank_id=there), draft, now=record.now)
        assert session.scalar(select(func.count(StockBatch.id))) == 0


@pytest.mark.parametrize(
    ("more", "why"), [({"count": 0}, "how many"), ({"apart_days": -1}, "days")]
)
def test_an_arrival_that_cannot_be_is_refused(
    record: Record, more: dict[str, int], why: str
) -> None:
    draft = replace(ArrivalDraft(group_id=rasboras(record).id, count=1), **more)  # type: ignore[arg-type]
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        animals.arrive(session, record.stamp(), draft, now=record.now)


# moving


def move(record: Record, there: int, count: int = 4, token: str = "") -> animals.Moved:
    draft = MoveDraft(to_tank_id=there, group_id=rasboras(record).id, count=count)
    with record.database.writing() as session:
        return animals.move(session, record.stamp(token=token), draft, now=record.now)


def test_a_move_takes_from_one_tank_and_brings_to_the_other(record: Record) -> None:
    there = second_tank(record)
    move(record, there)

    assert counts(record) == {"harlequin rasbora": 6, "peppered cory": 6}
    assert counts(record, there) == {"harlequin rasbora": 4}
    arrived = seen(record, there).groups[0]
    assert (arrived.band, arrived.adult_cm) == ("middle", 4.5)

    move(record, there, 2)
    assert counts(record, there) == {"harlequin rasbora": 6}


@pytest.mark.parametrize("half", ["out", "into"])
def test_undoing_one_half_of_a_move_undoes_both(record: Record, half: str) -> None:
    there = second_tank(record)
    moved = move(record, there)
    tank_id, saved = (there, moved.into) if half == "into" else (record.tank_id, moved.out)
    with record.database.writing() as session:
        before = tanks.revision(session, record.tank_id), tanks.revision(session, there)
        entries.withdraw(session, tank_id, saved.entry_id, visitor=record.adult, now=record.now)
        after = tanks.revision(session, record.tank_id), tanks.revision(session, there)

    assert counts(record)["harlequin rasbora"] == 10
    assert counts(record, there) == {"harlequin rasbora": 0}
    assert all(new > old for old, new in zip(before, after, strict=True))
    with record.database.reading() as session:
        lines = (
            story.line(session, record.tank_id, moved.out.entry_id),
            story.line(session, there, moved.into.entry_id),
        )
    assert {line.status for line in lines} == {EntryStatus.WITHDRAWN}


def test_as_of_the_time_before_the_undoing_the_move_counted(record: Record) -> None:
    there = second_tank(record)
    moved = move(record, there)
    then = record.now
    record.pass_time(hours=1)
    with record.database.writing() as session:
        entries.withdraw(session, there, moved.into.entry_id, visitor=record.adult, now=record.now)
    with record.database.reading() as session:
        found = snapshot.load(session, [record.tank_id, there], then, past=True)
    assert [s.expected_fish for s in found] == [12, 4]


def test_the_same_move_posted_twice_is_one(record: Record) -> None:
    there, elsewhere = second_tank(record), 0
    first, again = (move(record, there, token="form") for _ in range(2))
    assert first.into.entry_id == again.into.entry_id
    assert not again.out.fresh
    assert counts(record, there) == {"harlequin rasbora": 4}
    with pytest.raises(TokenReused):
        move(record, there, 5, token="form")
    with record.database.writing() as session:
        elsewhere = tanks.add_tank(session, TankFacts(name="Third", shape=SMALL))
    with pytest.raises(TokenReused):
        move(record, elsewhere, token="form")


@pytest.mark.parametrize("count", [0, 11])
def test_no_more_move_than_live_there(record: Record, count: int) -> None:
    there = second_tank(record)
    with pytest.raises(Refused, match="10 harlequin rasbora live here"):
        move(record, there, count)
    assert counts(record, there) == {}


def test_a_move_needs_another_tank_that_is_there(record: Record) -> None:
    with pytest.raises(Refused, match="the tank they move to"):
        move(record, record.tank_id)
    with pytest.raises(NotFound):
        move(record, 99)


def test_a_move_into_a_closed_tank_leaves_no_half(record: Record) -> None:
    there = second_tank(record)
    with record.database.writing() as session:
        tanks.close(session, there, record.now.date().replace(day=1), now=record.now)
    with pytest.raises(Refused, match="was closed"):
        move(record, there)
    assert counts(record)["harlequin rasbora"] == 10


def test_a_move_is_not_corrected_in_one_tank_alone(record: Record) -> None:
    moved = move(record, second_tank(record))
    draft = NewStockEvent(what=StockEventKind.MOVED_OUT, group_id=rasboras(record).id, count=3)
    with record.database.writing() as session, pytest.raises(Refused, match="two tanks"):
        entries.correct(
            session, record.stamp(), moved.out.entry_id, draft, (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip


# losses and lengths


def lose(record: Record, count: int = 1, *, hidden: bool = True) -> int:
    event = NewStockEvent(
        what=StockEventKind.DIED, group_id=rasboras(record).id, count=count, hidden=hidden
    )
    return record.write(event).entry_id


def test_only_losses_that_are_hidden_wait_to_be_told(record: Record) -> None:
    kept = lose(record)
    lose(record, 2, hidden=False)
    with record.database.reading() as session:
        waiting = animals.hidden_losses(session, record.tank_id)
    assert [(w.entry_id, w.group_name, w.count) for w in waiting] == [
        (kept, "harlequin rasbora", 1)
    ]
    assert (seen(record).expected_fish, seen(record).expected_by_pupils) == (13, 14)


def test_telling_shows_the_losses_of_one_group_or_of_all(record: Record) -> None:
    corys = seen(record).groups[1].id
    lose(record)
    record.write(NewStockEvent(what=StockEventKind.MISSING, group_id=corys, count=2, hidden=True))
    with record.database.writing() as session:
        before = tanks.revision(session, record.tank_id)
        assert animals.release_losses(session, record.tank_id, group_id=corys) == 1
        assert tanks.revision(session, record.tank_id) == before + 1
        assert len(animals.hidden_losses(session, record.tank_id)) == 1
        assert animals.release_losses(session, record.tank_id) == 1
        assert animals.release_losses(session, record.tank_id) == 0
    assert seen(record).expected_by_pupils == seen(record).expected_fish == 13


def test_correcting_a_hidden_loss_does_not_tell_it(record: Record) -> None:
    entry_id = lose(record, 2)
    draft = NewStockEvent(what=StockEventKind.DIED, group_id=rasboras(record).id, count=1)
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), entry_id, draft, (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    assert (seen(record).expected_fish, seen(record).expected_by_pupils) == (15, 16)


def test_a_correction_keeps_the_batch_that_its_form_does_not_ask(record: Record) -> None:
    group = rasboras(record).id
    with record.database.writing() as session:
        came = animals.arrive(
            session, record.stamp(), ArrivalDraft(group_id=group, count=6, label="B"),
            now=record.now,
        )  # fmt: skip
        entries.correct(
            session, record.stamp(), came.saved.entry_id,
            NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=5), (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    last = seen(record).stock_events[-1]
    assert (last.count, last.batch_id) == (5, came.batch_id)


def test_animals_are_measured(record: Record) -> None:
    group = rasboras(record).id
    with record.database.writing() as session:
        animals.measure(session, record.stamp(), group, 5, 2.4, now=record.now)
        with pytest.raises(Refused, match="how long"):
            animals.measure(session, record.stamp(), group, 5, 0.0, now=record.now)
    assert rasboras(record).length_cm == 2.4


@pytest.mark.parametrize(
    ("draft", "why"),
    [
        (NewStockEvent(what=StockEventKind.MEASURED, group_id=1, count=1), "how long"),
        (NewStockEvent(what=StockEventKind.FOUND, group_id=1, count=1, hidden=True), "loss"),
        (NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, batch_id=9), "batch"),
    ],
)
def test_an_event_that_makes_no_sense_is_refused(
    record: Record, draft: NewStockEvent, why: str
) -> None:
    with pytest.raises(Refused, match=why):
        record.write(draft)


def test_a_group_of_another_tank_is_not_there(record: Record) -> None:
    with pytest.raises(NotFound):
        record.write(NewStockEvent(what=StockEventKind.DIED, group_id=99, count=1))


# groups


def test_what_is_known_of_a_group_can_be_changed(record: Record) -> None:
    facts = GroupFacts(
        name="Harlequin", band="surface", adult_cm=5.0, species="Trigonostigma heteromorpha"
    )
    with record.database.writing() as session:
        animals.change_group(session, rasboras(record).id, facts)
    group = rasboras(record)
    assert (group.name, group.band, group.species) == (
        "Harlequin", "surface", "Trigonostigma heteromorpha",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        (GroupFacts(name="  "), "Enter the name"),
        (GroupFacts(name="Peppered CORY"), "already"),
        (GroupFacts(name="x", band="sky"), "where"),
        (GroupFacts(name="x", adult_cm=0.0), "how long"),
        (GroupFacts(name="x" * 81), "too long"),
    ],
)
def test_a_group_that_cannot_be_is_refused(record: Record, facts: GroupFacts, why: str) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        animals.change_group(session, rasboras(record).id, facts)
