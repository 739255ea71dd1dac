"""A logger's file comes in once and whole."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import func, select

from app.domain.drafts import NewTest
from app.domain.errors import NotFound, Refused
from app.domain.logger_file import ColumnChoice, LoggerPreview, read_logger
from app.domain.quantities import Quantity
from app.services import entries, story, tasks, trends
from app.services.exchange import loggers
from app.services.exchange.loggers import Imported, Standing
from app.storage.models.entry import Entry
from app.storage.models.water import Reading
from tests.record import Record, reading
from tests.services import key_west

SAID = ColumnChoice(unit="°C", zone="UTC")
THREE = "Time,Temp\n2027-02-07 00:00,24.0\n2027-02-07 01:00,24.1\n2027-02-07 02:00,24.2\n"


def preview_of(record: Record, text: str, choice: ColumnChoice = SAID) -> LoggerPreview:
    return read_logger(text, choice, now=record.now)


def take_in(record: Record, text: str, choice: ColumnChoice = SAID) -> Imported:
    with record.database.writing() as session:
        return loggers.import_logger(
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
    assert (again.entry_id, again.added, again.standing) == (None, 0, Standing(3, 0))
    assert counted(record) == before


def test_a_logger_read_out_again_adds_only_what_is_new(record: Record) -> None:
    take_in(record, THREE)
    longer = take_in(record, THREE + "2027-02-07 03:00,24.3\n")
    assert (longer.added, longer.standing) == (1, Standing(3, 0))
    assert counted(record)[1] == 4


def test_a_file_with_another_clock_says_which_values_it_does_not_change(record: Record) -> None:
    take_in(record, THREE)
    hour_later = ColumnChoice(unit="°C", zone="-01:00")
    with record.database.reading() as session:
        shifted = preview_of(record, THREE, hour_later)
        assert loggers.standing(session, record.tank_id, shifted) == Standing(2, 2)
    done = take_in(record, THREE, hour_later)
    assert (done.added, done.standing) == (1, Standing(2, 2))


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
        loggers.import_logger(
            session, 99, preview_of(record, THREE), file_name="a.csv", now=record.now
        )
