"""In and out: a logger's file comes in once and whole, every measurement goes out as a row."""

import csv
import io
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import func, select

from app.domain.drafts import NewTest
from app.domain.errors import NotFound, Refused
from app.domain.kit import KitFacts
from app.domain.logger_file import ColumnChoice, LoggerPreview, read_logger
from app.domain.quantities import Quantity
from app.services import entries, exchange, kits, story, tasks, trends
from app.services.exchange import Imported
from app.storage.models.entry import Entry
from app.storage.models.water import Reading
from tests.record import ONE_SCOOP, Record, reading
from tests.services import key_west

SAID = ColumnChoice(unit="°C", zone="UTC")
THREE = "Time,Temp\n2027-02-07 00:00,24.0\n2027-02-07 01:00,24.1\n2027-02-07 02:00,24.2\n"


def preview_of(record: Record, text: str, choice: ColumnChoice = SAID) -> LoggerPreview:
    return read_logger(text, choice, now=record.now)


def take_in(record: Record, text: str, choice: ColumnChoice = SAID) -> Imported:
    with record.database.writing() as session:
        return exchange.import_logger(
            session,
            record.tank_id,
            preview_of(record, text, choice),
            file_name="pond/logger.csv",
            now=record.now,
        )


def counted(record: Record) -> tuple[int, int]:
    """How many entries and how many readings there are."""
    with record.database.reading() as session:
        return (
            session.scalar(select(func.count(Entry.id))) or 0,
            session.scalar(select(func.count(Reading.id))) or 0,
        )


def rows_out(record: Record, tank_id: int | None = None) -> list[dict[str, str]]:
    with record.database.reading() as session:
        text = "".join(exchange.export_csv(session, tank_id))
    return list(csv.DictReader(io.StringIO(text)))


# a year of an open data set


@pytest.fixture
def key_west_read(record: Record) -> LoggerPreview:
    return preview_of(record, key_west.as_csv(), ColumnChoice(unit="°F", zone="-05:00"))


def test_a_year_of_water_at_key_west_comes_in_as_it_was_published(
    key_west_read: LoggerPreview,
) -> None:
    read = key_west_read
    assert (read.bad_count, read.doubles, read.blanks) == (0, 0, 0)
    assert len(read.readings) == key_west.ROWS
    assert len(read.gaps) == key_west.GAPS
    assert read.longest_gap is not None
    assert read.longest_gap.length == timedelta(hours=key_west.LONGEST_GAP_HOURS)
    # °F to °C by NIST SP 811, B.8: t = (t_F - 32) / 1.8
    assert read.lowest == pytest.approx((key_west.LOWEST_F - 32) / 1.8)
    assert read.highest == pytest.approx((key_west.HIGHEST_F - 32) / 1.8)
    assert read.mean == pytest.approx((key_west.MEAN_F - 32) / 1.8, abs=0.003)
    assert read.readings[0].at == datetime(2016, 10, 3, 5, tzinfo=UTC)
    assert read.readings[-1].at == datetime(2017, 10, 3, 5, tzinfo=UTC)


def test_the_year_is_one_entry_and_too_warm_shows_on_the_warm_days_only(
    record: Record, key_west_read: LoggerPreview
) -> None:
    done = take_in(record, key_west.as_csv(), ColumnChoice(unit="°F", zone="-05:00"))
    assert done.added == key_west.ROWS
    assert counted(record) == (3, key_west.ROWS)
    by_moment = {r.at: r.value for r in key_west_read.readings}
    found, wanted = {}, {}
    with record.database.reading() as session:
        for month in (11, 12, 13, 14, 18, 19, 20, 21):
            noon = datetime(2016 + (month - 1) // 12, (month - 1) % 12 + 1, 15, 17, tzinfo=UTC)
            _, evaluation = tasks.look(session, [record.tank_id], now=noon)[record.tank_id]
            reasons = [f for task in evaluation.tasks for f in task.findings]
            found[noon] = any(
                f.rule_id == "temperature.out-of-range" and "Cool" in f.action.title
                for f in reasons
            )
            # 28 °C is the upper end of the general range of a tropical community
            wanted[noon] = by_moment[noon] > 28.0
    assert found == wanted
    assert set(wanted.values()) == {True, False}, "the season must make a difference"


def test_the_years_chart_keeps_the_long_gap_and_shows_the_warm_season(record: Record) -> None:
    take_in(record, key_west.as_csv(), ColumnChoice(unit="°F", zone="-05:00"))
    end = datetime(2017, 10, 3, 6, tzinfo=UTC)
    with record.database.reading() as session:
        chart = trends.chart(session, record.tank_id, Quantity.TEMPERATURE, 365, now=end)
    weeks = [row[0] for row in chart.words.rows]
    gap = weeks.index("Mon 27 Mar 2017")
    assert weeks[gap + 1] == "Mon 5 Jun 2017", "no week is made up for the 1,677 hours between"
    pieces = max(path.count("M") for path in re.findall(r' d="([^"]*)"', chart.svg))
    assert pieces > 1, "the line is lifted over gaps"
    means = {week: float(row[3]) for week, row in zip(weeks, chart.words.rows, strict=True)}
    assert max(means, key=lambda week: means[week]) == "Mon 14 Aug 2017"
    assert min(means, key=lambda week: means[week]) == "Mon 9 Jan 2017"


# once and whole


def test_readings_keep_their_own_times_and_what_stood_in_the_file(record: Record) -> None:
    take_in(record, "Time,Temp (F)\n2027-02-07 00:00,77\n", ColumnChoice(zone="UTC"))
    with record.database.reading() as session:
        (kept,) = session.scalars(select(Reading))
        assert kept.at == datetime(2027, 2, 7, tzinfo=UTC)
        assert kept.value == pytest.approx(25.0)
        assert (kept.typed, kept.unit) == ("77", "°F")
        entry = session.get_one(Entry, kept.entry_id)
        assert entry.kind == "logger"
        line = story.line(session, record.tank_id, entry.id)
        assert "logger.csv" in " ".join(line.lines)


def test_the_same_file_twice_adds_nothing(record: Record) -> None:
    assert take_in(record, THREE).added == 3
    before = counted(record)
    again = take_in(record, THREE.replace(",", ";"))
    assert (again.entry_id, again.added, again.known) == (None, 0, 3)
    assert counted(record) == before


def test_a_logger_read_out_again_adds_only_what_is_new(record: Record) -> None:
    take_in(record, THREE)
    longer = take_in(record, THREE + "2027-02-07 03:00,24.3\n")
    assert (longer.added, longer.known) == (1, 3)
    assert counted(record)[1] == 4


def test_an_import_that_was_taken_back_can_come_again(record: Record) -> None:
    for _ in range(3):
        done = take_in(record, THREE)
        assert done.added == 3
        assert done.entry_id is not None
        with record.database.writing() as session:
            entries.withdraw(
                session, record.tank_id, done.entry_id, visitor=record.adult, now=record.now
            )


def test_a_hand_reading_at_the_same_minute_does_not_stand_in_the_way(record: Record) -> None:
    at = datetime(2027, 2, 7, 1, tzinfo=UTC)
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 24.5), at=at)
    assert take_in(record, THREE).added == 3


def test_a_bad_last_row_of_many_saves_nothing(record: Record) -> None:
    start = datetime(2026, 1, 1, tzinfo=UTC)
    rows = [f"{start + timedelta(minutes=5 * n):%Y-%m-%d %H:%M},24.{n % 10}" for n in range(20_000)]
    before = counted(record)
    with pytest.raises(Refused, match="Nothing was saved"):
        take_in(record, "Time,Temp\n" + "\n".join([*rows, "2027-02-07 02:00,warm"]))
    assert counted(record) == before
    assert take_in(record, "Time,Temp\n" + "\n".join(rows)).added == 20_000


def test_a_file_with_an_open_question_saves_nothing(record: Record) -> None:
    with pytest.raises(Refused):
        take_in(record, THREE, ColumnChoice())


def test_an_import_into_no_tank_is_refused(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(NotFound):
        exchange.import_logger(
            session, 99, preview_of(record, THREE), file_name="a.csv", now=record.now
        )


# out


def test_a_measurement_is_a_row_with_time_unit_basis_and_what_was_typed(record: Record) -> None:
    as_nitrogen = replace(reading(Quantity.NITRATE, 22.1, typed="5"), basis="as N")
    record.write(NewTest(note="after lunch"), as_nitrogen)
    (row,) = rows_out(record)
    assert list(row) == [name for name, _ in exchange.CODEBOOK]
    assert row["time"] == "2027-02-08T08:41:00-05:00"
    assert (row["tank"], row["kind"], row["quantity"]) == ("Brook", "water_test", "nitrate")
    assert (row["value"], row["unit"], row["basis"]) == ("22.1", "mg/L", "as nitrate")
    assert (row["typed"], row["typed_basis"], row["note"]) == ("5", "as N", "after lunch")
    assert (row["low"], row["high"], row["status"], row["added_later"]) == ("", "", "ok", "no")


def test_no_nickname_leaves_the_record(record: Record) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), by=record.otter)
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.8), by=record.finch)
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.7))
    who = [row["who"] for row in rows_out(record)]
    assert len(set(who)) == 3
    assert [code.split()[0] for code in who] == ["helper", "helper", "adult"]
    assert not any("otter" in str(row).lower() for row in rows_out(record))


def test_a_correction_shows_both_rows_with_their_status(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    with record.database.writing() as session:
        entries.correct(
            session,
            record.stamp(),
            saved.entry_id,
            NewTest(),
            [reading(Quantity.PH, 6.8)],
            reason="misread",
            visitor=record.adult,
            now=record.now,
        )
    assert [(row["value"], row["status"]) for row in rows_out(record)] == [
        ("8.8", "corrected"),
        ("6.8", "ok"),
    ]


def test_an_entry_written_later_says_so(record: Record) -> None:
    earlier = record.now - timedelta(minutes=31)
    record.write(NewTest(), reading(Quantity.PH, 7.0), at=earlier)
    record.write(NewTest(), reading(Quantity.PH, 7.1), at=record.now - timedelta(minutes=29))
    assert [row["added_later"] for row in rows_out(record)] == ["yes", "no"]


def test_a_card_tells_its_bounds_and_its_step(record: Record) -> None:
    with record.database.writing() as session:
        kit = kits.add_kit(
            session,
            KitFacts(
                quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as nitrate",
                steps=(0.0, 5.0, 10.0, 20.0),
            ),
        )  # fmt: skip
    record.write(NewTest(), reading(Quantity.NITRATE, 10, low=5.0, high=20.0, kit_id=kit))
    (row,) = rows_out(record)
    assert (row["kit"], row["low"], row["high"], row["step_size"]) == ("Card", "5", "20", "10")


def test_each_reader_of_one_tube_is_a_row_and_no_name_goes_out(record: Record) -> None:
    seen = ((10, "Finch"), (20, "Moss"), (20, "Otter"))
    record.write(NewTest(), *(reading(Quantity.NITRATE, v, reader=who) for v, who in seen))
    rows = rows_out(record)
    assert [row["value"] for row in rows] == ["10", "20", "20"]
    assert len({row["entry"] for row in rows}) == 1
    assert not any("Finch" in str(row) for row in rows)


@pytest.mark.parametrize("start", ["=1+1", "+cmd", "-cmd", "@sum", "\tx"])
def test_a_note_that_looks_like_a_formula_opens_as_text(record: Record, start: str) -> None:
    record.write(NewTest(note=start), reading(Quantity.PH, 7.0))
    assert rows_out(record)[0]["note"] == f"'{start}"


def test_a_negative_number_stays_a_number(record: Record) -> None:
    record.write(NewTest(note="-5"), reading(Quantity.TEMPERATURE, 23.0, typed="+23,0"))
    (row,) = rows_out(record)
    assert (row["note"], row["typed"]) == ("-5", "+23,0")


def test_one_tank_can_be_taken_out_alone(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.PH, 7.0))
    assert len(rows_out(record, record.tank_id)) == 1
    with pytest.raises(NotFound):
        rows_out(record, 99)
