"""A keeper's own table becomes entries: all or nothing, once, and back again as a whole."""

import os
import tracemalloc
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import event, func, select

from app.domain.drafts import NewMeal, NewTest
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.sheet_file import opened
from app.services import entries, story, tanks, tasks
from app.services.sheets import incoming, sheet_import, sheet_undo, sheet_writing
from app.services.sheets.sheet_import import Brought, SheetLook
from app.storage.models.entry import Entry
from app.storage.models.exchange import ImportBatch, IncomingFile
from app.storage.models.livestock import Observation
from app.storage.models.water import Logger, Reading
from tests.record import Record, reading

THREE = "Date,Temp °C,Fed\n2027-01-04,24.0,1\n2027-01-05,24.1,\n2027-01-06,24.2,2\n"


def bring_in(
    record: Record, text: str, token: str = "", *, by_device: bool = False, **said: object
) -> Brought:
    sheet = opened(text.encode())
    with record.database.writing() as session:
        choice = sheet_import.first_choice(session, record.tank_id, sheet)
        return sheet_import.bring_in(
            session,
            record.tank_id,
            sheet,
            replace(choice, by_device=by_device),
            token=token or f"form-{text[-20:].encode().hex()}",
            file_name="tank.csv",
            author_id=record.adult.author_id,
            now=record.now,
            **said,  # type: ignore[arg-type]
        )


def look(record: Record, text: str, *, by_device: bool = False) -> SheetLook:
    sheet = opened(text.encode())
    with record.database.reading() as session:
        choice = sheet_import.first_choice(session, record.tank_id, sheet)
        choice = replace(choice, by_device=by_device)
        return sheet_import.look(session, record.tank_id, sheet, choice, now=record.now)


def take_back(record: Record, batch_id: int | None) -> int:
    with record.database.writing() as session:
        return sheet_undo.take_back(
            session, record.tank_id, batch_id or 0, visitor=record.adult, now=record.now
        )


def everything(record: Record) -> tuple[int, ...]:
    """How many rows there are in the tables that an import writes."""
    with record.database.reading() as session:
        return tuple(
            session.scalar(select(func.count()).select_from(table)) or 0
            for table in (Entry, Reading, ImportBatch, Observation, Logger)
        )


def in_force(record: Record) -> list[float | None]:
    with record.database.reading() as session:
        query = select(Reading.value).where(Reading.in_force.is_(True)).order_by(Reading.at)
        return list(session.scalars(query))


def test_each_row_becomes_the_entries_that_a_hand_would_have_written(record: Record) -> None:
    done = bring_in(record, THREE)

    assert (done.added, done.known) == (5, 0)
    with record.database.reading() as session:
        found = tasks.snapshot_of(session, record.tank_id, now=record.now)
        lines = story.story(session, record.tank_id).lines
    assert [r.best for r in found.of(Quantity.TEMPERATURE)] == [24.0, 24.1, 24.2]
    assert [f.scoops for f in found.feedings] == [1.0, 2.0]
    assert "Fed, 2 scoops" in [line.title for line in lines]
    # noon in New York, by the person who brought it in
    newest = max(found.feedings, key=lambda meal: meal.happened_at)
    assert newest.happened_at.isoformat() == "2027-01-06T17:00:00+00:00"
    assert newest.by_adult


def test_an_error_in_the_last_row_leaves_nothing(record: Record) -> None:
    before = everything(record)
    rows = "".join(
        f"{datetime(2020, 1, 1) + timedelta(days=n):%Y-%m-%d},7.2\n" for n in range(1200)
    )

    with pytest.raises(Refused, match="Line 1202, pH: warm is no number"):
        bring_in(record, f"Date,pH\n{rows}2027-01-04,warm\n")

    assert everything(record) == before


def test_refused_rows_are_left_out_only_when_somebody_says_so(record: Record) -> None:
    done = bring_in(record, THREE + "2027-01-07,warm,1\n", leave_refused=True)

    # the whole row is left out, its meal too
    assert done.added == 5


def test_unusual_values_have_to_be_confirmed_in_their_number(record: Record) -> None:
    text = "Date,Temp °C\n2027-01-04,33\n2027-01-05,34\n"
    before = everything(record)

    for confirmed in (0, 1):
        with pytest.raises(Refused, match="2 values are unusual"):
            bring_in(record, text, confirmed=confirmed)
    assert everything(record) == before

    assert bring_in(record, text, confirmed=2).added == 2


def test_the_same_form_is_saved_once(record: Record) -> None:
    first = bring_in(record, THREE, token="one-form")
    before = everything(record)

    assert bring_in(record, THREE, token="one-form") == first
    assert everything(record) == before


def test_the_same_file_again_adds_nothing(record: Record) -> None:
    bring_in(record, THREE, token="first-form")
    before = everything(record)

    assert bring_in(record, THREE, token="second-form") == Brought(None, 0, 5)
    assert everything(record) == before


def test_of_a_table_that_has_grown_only_the_new_rows_come(record: Record) -> None:
    bring_in(record, THREE)

    assert look(record, THREE + "2027-01-07,24.3,\n").new == 1
    assert bring_in(record, THREE + "2027-01-07,24.3,\n") == Brought(2, 1, 5)


def test_what_a_file_says_twice_is_written_once(record: Record) -> None:
    text = "Date,pH\n2027-01-04,7.2\n2027-01-04,7.2\n2027-01-04,7.20\n2027-01-04,7.4\n"

    assert (look(record, text).new, look(record, text).known) == (2, 2)
    assert bring_in(record, text).added == 2


def test_a_look_writes_nothing_and_tells_all(record: Record) -> None:
    before = everything(record)

    seen = look(record, THREE + "2027-01-07,warm,\n2027-01-08,33,\n2027-01-09,,\n")

    assert everything(record) == before
    assert (seen.new, seen.readings, seen.tally.rows, seen.tally.blanks) == (6, 4, 6, 1)
    assert (seen.tally.refused_count, seen.tally.unusual_count) == (1, 1)
    assert seen.first is not None
    assert seen.last is not None
    assert (seen.first.isoformat()[:10], seen.last.isoformat()[:10]) == ("2027-01-04", "2027-01-08")


def test_a_count_of_long_ago_is_not_held_against_the_animals_of_now(record: Record) -> None:
    bring_in(record, "Date,Fish\n2026-01-04,4\n")

    with record.database.reading() as session:
        found = session.scalars(select(Observation)).one()
    assert (found.seen, found.expected) == (4, None)


def test_a_percentage_is_of_the_water_in_the_tank(record: Record) -> None:
    shown = look(record, "Date,Water change %\n2027-01-04,25\n").shown[0].draft

    # the tank of the tests: 78 x 34 x 36 cm, sand of 5 cm, 2.5 L of stones; about 85 L
    assert 20.0 < shown.liters_out < 22.5  # type: ignore[union-attr, operator]


def test_a_closed_tank_takes_what_was_before(record: Record) -> None:
    with record.database.writing() as session:
        tanks.close(
            session, record.tank_id, on=date(2027, 1, 5), now=record.now, though_animals=True
        )

    done = bring_in(record, THREE, leave_refused=True)

    assert done.added == 3
    assert in_force(record) == [24.0, 24.1]


# taken back


def test_a_whole_import_is_taken_back_and_can_come_again(record: Record) -> None:
    mine = record.write(NewTest(), reading(Quantity.TEMPERATURE, 25.0))
    done = bring_in(record, THREE)

    assert take_back(record, done.batch_id) == 5
    assert take_back(record, done.batch_id) == 0
    assert in_force(record) == [25.0]
    with record.database.reading() as session:
        assert story.line(session, record.tank_id, mine.entry_id).status == "ok"
        lines = sheet_undo.imports_of(session, record.tank_id)
    assert [(line.rows, line.standing, line.undone_at) for line in lines] == [(5, 0, record.now)]

    assert bring_in(record, THREE, token="another-form").added == 5
    assert in_force(record) == [24.0, 24.1, 24.2, 25.0]


def test_taking_back_takes_as_many_statements_for_many_rows_as_for_few(record: Record) -> None:
    rows = "".join(f"{datetime(2020, 1, 1) + timedelta(days=n):%Y-%m-%d},7.2\n" for n in range(800))
    few, many = bring_in(record, THREE), bring_in(record, f"Date,pH\n{rows}")
    counted = []
    for batch_id in (few.batch_id, many.batch_id):
        said: list[str] = []

        def listen(*args: object, said: list[str] = said) -> None:
            said.append(str(args[2]))

        event.listen(record.database.engine, "before_cursor_execute", listen)
        take_back(record, batch_id)
        event.remove(record.database.engine, "before_cursor_execute", listen)
        counted.append(len(said))

    assert counted[0] == counted[1]


def test_the_history_says_who_took_it_back_and_why(record: Record) -> None:
    done = bring_in(record, "Date,pH\n2027-01-04,7.2\n")
    take_back(record, done.batch_id)

    with record.database.reading() as session:
        (row,) = story.story(session, record.tank_id, limit=1).lines
        undone = session.scalars(select(Entry).where(Entry.kind == "withdrawal")).one()
    assert row.status == "withdrawn"
    assert (undone.reason, undone.author_id) == ("import taken back", record.adult.author_id)


def test_what_somebody_corrected_since_is_theirs_and_stays(record: Record) -> None:
    done = bring_in(record, THREE)
    with record.database.reading() as session:
        meal = session.scalars(select(Entry).where(Entry.kind == "feeding")).first()
    assert meal is not None
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(at=meal.happened_at), meal.id, NewMeal(scoops=3.0), (),
            reason="typed wrong", visitor=record.adult, now=record.now,
        )  # fmt: skip

    assert take_back(record, done.batch_id) == 4
    with record.database.reading() as session:
        found = tasks.snapshot_of(session, record.tank_id, now=record.now)
    assert [f.scoops for f in found.feedings] == [3.0]


def test_a_row_that_was_taken_back_alone_does_not_come_again(record: Record) -> None:
    done = bring_in(record, THREE)
    with record.database.writing() as session:
        first = session.scalars(select(Entry.id).where(Entry.token.startswith("sheet-"))).first()
        assert first is not None
        entries.withdraw(session, record.tank_id, first, visitor=record.adult, now=record.now)

    assert bring_in(record, THREE, token="another-form") == Brought(None, 0, 5)
    assert take_back(record, done.batch_id) == 4


def test_an_import_of_another_tank_is_not_there(record: Record) -> None:
    with pytest.raises(NotFound):
        take_back(record, 77)


def test_a_stage_of_the_filter_is_told_anew(record: Record) -> None:
    forgotten = []

    def forget(_session: object, tank_id: int, day: object) -> None:
        forgotten.append((tank_id, str(day)))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("app.storage.queries.evaluations.forget_stages", forget)
        done = bring_in(record, THREE)
        take_back(record, done.batch_id)

    assert forgotten == [(record.tank_id, "2027-01-04")] * 2


# what a device measured


LOGGED = "Time stamp,Temp °C,pH\n" + "".join(
    f"2027-01-0{day} {hour:02}:00,24.{hour % 10},7.{day}\n" for day in (4, 5) for hour in range(24)
)


def test_what_a_device_measured_is_one_entry_and_no_look(record: Record) -> None:
    done = bring_in(record, LOGGED, by_device=True)

    assert done.added == 48
    with record.database.reading() as session:
        logger = session.scalars(select(Logger)).one()
        header = session.get_one(Entry, logger.entry_id)
        assert session.scalar(select(func.count()).select_from(Reading)) == 96
    assert logger.rows == 96
    assert header.happened_at.isoformat() == "2027-01-06T04:00:00+00:00"
    assert str(header.local_day) == "2027-01-05"

    assert take_back(record, done.batch_id) == 1
    assert in_force(record) == []


def test_of_a_device_only_new_readings_come(record: Record) -> None:
    bring_in(record, LOGGED, by_device=True)
    more = LOGGED + "2027-01-06 00:00,24.5,7.3\n"

    assert look(record, more, by_device=True).new == 1
    assert bring_in(record, LOGGED, token="again-form", by_device=True) == Brought(None, 0, 48)
    assert bring_in(record, more, by_device=True).added == 1


def test_a_device_that_learned_to_measure_more_adds_only_that(record: Record) -> None:
    bring_in(record, "Date,pH\n2027-01-04 08:00,7.2\n", by_device=True)
    bring_in(record, "Date,pH,Temp °C\n2027-01-04 08:00,7.2,24.5\n", by_device=True)

    assert sorted(in_force(record), key=str) == [24.5, 7.2]


def test_after_saving_the_file_is_held_no_longer(record: Record) -> None:
    with record.database.writing() as session:
        incoming.hold(
            session, "form-of-the-file", THREE.encode(),
            author_id=record.adult.author_id, now=record.now,
        )  # fmt: skip
    bring_in(record, THREE, token="form-of-the-file")

    with record.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(IncomingFile)) == 0


# large files


def long_table(rows: int, first: datetime) -> str:
    lines = (
        f"{first + timedelta(hours=3 * n):%Y-%m-%d %H:%M},{22 + n % 60 / 20:.2f}\n"
        for n in range(rows)
    )
    return "Date time,Temp °C\n" + "".join(lines)


def peak_of(record: Record, rows: int, first: datetime, *, by_device: bool) -> int:
    """The most bytes that one import held beside its file."""
    text = long_table(rows, first)
    tracemalloc.start()
    done = bring_in(record, text, by_device=by_device, token=f"form-{rows}-{first.year}")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert done.added == rows
    return peak


def test_a_file_is_never_held_as_rows(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_writing, "_AT_ONCE", 50)
    peak_of(record, 300, datetime(1980, 1, 1), by_device=False)
    short = peak_of(record, 300, datetime(1990, 1, 1), by_device=False)
    long = peak_of(record, 1300, datetime(2000, 1, 1), by_device=False)

    # its own 23 bytes and a number to know it by; as a thing to write it would take a kilobyte
    assert (long - short) / 1000 < 400


@pytest.mark.skipif(not os.environ.get("SILLPOND_HEAVY"), reason="heavy: SILLPOND_HEAVY=1")
@pytest.mark.parametrize("by_device", [False, True])
def test_100_000_rows_take_less_than_25_megabytes(record: Record, by_device: bool) -> None:
    assert peak_of(record, 100_000, datetime(1990, 1, 1), by_device=by_device) < 25_000_000
