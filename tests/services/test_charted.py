"""The readings of a chart: a logger's days stand for all of its readings, and none is lost.

What the days say is held against pandas, which groups the same rows by the day of their zone.
"""

from datetime import timedelta
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from sqlalchemy import select, update

from app.charts import describe
from app.domain.drafts import NewTest
from app.domain.logger_file import ColumnChoice, read_logger
from app.domain.quantities import Quantity
from app.domain.series import Series
from app.services import entries, sites, trends
from app.services.exchange import loggers
from app.storage.models.water import Logger, LoggerDay, Reading
from tests.record import ZONE, Record, reading

DAYS = 60
STEP = timedelta(minutes=30)
SPIKE = 31.7


@pytest.fixture(scope="module")
def values() -> list[float]:
    """Sixty days of a thermometer, with a warmer time each afternoon and one spike."""
    count = DAYS * 48
    made = [24.0 + round(np.sin(n / 48 * 2 * np.pi), 1) for n in range(count)]
    made[1234] = SPIKE
    return made


def logged(record: Record, values: list[float]) -> int:
    """Take the readings in; returns the entry."""
    first = record.now - len(values) * STEP
    lines = [f"{first + n * STEP:%Y-%m-%d %H:%M},{v:.1f}" for n, v in enumerate(values)]
    said = ColumnChoice(unit="°C", zone="UTC")
    preview = read_logger("\n".join(["Time,Temp", *lines]), said, now=record.now)
    with record.database.writing() as session:
        saved = loggers.import_logger(
            session, record.tank_id, preview, file_name="log.csv", now=record.now
        )
    assert saved.added == len(values)
    assert saved.entry_id is not None
    return saved.entry_id


def chart(record: Record, days: int | None) -> Series:
    with record.database.reading() as session:
        return trends.series(session, record.tank_id, Quantity.TEMPERATURE, days, now=record.now)


def by_day(record: Record) -> pd.DataFrame:
    """All readings that count, by the local day, as pandas groups them."""
    with record.database.reading() as session:
        rows = session.execute(
            select(Reading.at, Reading.value).where(
                Reading.quantity == "temperature", Reading.in_force.is_(True)
            )
        ).all()
    frame = pd.DataFrame([tuple(row) for row in rows], columns=["at", "value"])
    days = frame["at"].dt.tz_convert(ZONE).dt.date
    return frame["value"].groupby(days).agg(["count", "min", "mean", "max"])


def test_a_table_of_days_says_what_all_readings_say(record: Record, values: list[float]) -> None:
    logged(record, values)
    words = describe.describe(chart(record, 90))
    truth = by_day(record)

    assert words.columns == ("Day", "Readings", "Lowest", "Mean", "Highest", "Note")
    assert len(words.rows) == len(truth)
    for (_, count, low, mean, high, _), said in zip(words.rows, truth.itertuples(), strict=True):
        assert int(count) == said.count
        assert [float(low), float(high)] == pytest.approx([said.min, said.max])
        assert float(mean) == pytest.approx(said.mean, abs=0.051)
    assert f"{len(values):,} meter readings" in words.detail


def test_a_long_chart_is_short_work_and_keeps_every_extreme(
    record: Record, values: list[float]
) -> None:
    logged(record, values)
    short, long = chart(record, 30), chart(record, 90)
    assert short.logged is not None
    assert long.logged is not None
    assert len(short.logged) == 30 * 48 == short.count
    assert len(long.logged) < 3 * DAYS
    assert long.count == len(values)
    assert long.logged.values.max() == SPIKE
    assert all(a < b for a, b in pairwise(long.logged.seconds))
    # the last reading is one that was taken, not an extreme of its day
    assert long.logged.values[-1] == values[-1]
    assert long.logged.seconds[-1] == (record.now - STEP).timestamp()


def test_what_people_typed_stands_beside_it(record: Record, values: list[float]) -> None:
    logged(record, values)
    at = record.now - timedelta(days=40, minutes=7)
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 19.0), at=at)
    for days in (90, None):
        shown = chart(record, days)
        assert [p.value for p in shown.points] == [19.0]
        assert shown.count == len(values) + 1
        assert "Lowest on Wed 30 Dec" in describe.describe(shown).detail


def test_an_import_that_is_taken_back_is_gone_from_its_chart(
    record: Record, values: list[float]
) -> None:
    entry_id = logged(record, values)
    with record.database.writing() as session:
        entries.withdraw(session, record.tank_id, entry_id, visitor=record.adult, now=record.now)
    assert chart(record, 90).count == 0


def test_days_that_do_not_hold_all_readings_are_not_believed(
    record: Record, values: list[float]
) -> None:
    entry_id = logged(record, values)
    with record.database.writing() as session:
        session.execute(update(LoggerDay).values(high=99.0))
        session.execute(
            update(Logger).where(Logger.entry_id == entry_id).values(rows=len(values) + 1)
        )
        session.commit()
    shown = chart(record, 90)
    assert shown.logged is not None
    assert len(shown.logged) == len(values)
    assert shown.logged.values.max() == SPIKE


def test_another_time_zone_has_other_days(record: Record, values: list[float]) -> None:
    logged(record, values)
    before = describe.describe(chart(record, 90)).rows
    with record.database.writing() as session:
        (place,) = sites.places(session)
        sites.set_site(
            session,
            sites.SiteDraft(
                name=place.name, zone="Pacific/Auckland", present_weekdays=place.present_weekdays
            ),
            place.id,
        )
    after = describe.describe(chart(record, 90))
    assert sum(int(row[1]) for row in after.rows) == len(values)
    assert after.rows != before


def test_few_readings_of_a_logger_are_rows_of_the_table(record: Record) -> None:
    logged(record, [24.0, 24.5, 25.0])
    shown = chart(record, 365)
    assert shown.logged is None
    assert [p.value for p in shown.points] == [24.0, 24.5, 25.0]


def test_the_picture_says_on_how_many_days_it_was_outside(
    record: Record, values: list[float]
) -> None:
    logged(record, values)
    assert (
        "it went outside the general range on 1 of 61 days"
        in describe.describe(chart(record, 90)).finding
    )
