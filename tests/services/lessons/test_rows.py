"""The table of a sheet: what counts, what was fixed, what came later; never who."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.services import entries, sites
from app.services.entries import Stamp
from app.services.lessons.rows import MonthOf, month_rows
from tests.record import MONDAY, ZONE, Record, reading
from tests.services.lessons.school import told

MOST = 40


def month(record: Record, quantity: Quantity, *, most: int = MOST) -> MonthOf:
    snapshot = told(record)
    with record.database.reading() as session:
        days = date(2027, 2, 1), date(2027, 3, 1)
        found = month_rows(session, snapshot, *days, most)
    return next(each for each in found if each.quantity is quantity)


def test_a_fixed_reading_is_struck_through_and_in_no_sum(record: Record) -> None:
    old = record.write(NewTest(), reading(Quantity.PH, 8.8), by=record.finch)
    with record.database.writing() as session:
        stamp = Stamp(
            tank_id=1, token="fix", happened_at=record.now, author_id=record.adult.author_id
        )
        entries.correct(
            session, stamp, old.entry_id, NewTest(), [reading(Quantity.PH, 6.8)],
            reason="misread by Finch", visitor=record.adult, now=record.now,
        )  # fmt: skip
    found = month(record, Quantity.PH)
    table = found.table()
    assert [(row[2], row[3]) for row in table.rows] == [
        ("8.8", "fixed later: not in the sums"), ("6.8", "the fixed number"),
    ]  # fmt: skip
    assert table.struck == {0}
    assert [row.value for row in found.rows] == [6.8]
    assert [point.value for point in found.points] == [6.8]
    assert "Finch" not in str(found)


def test_what_was_taken_back_is_not_there_and_what_came_later_says_so(record: Record) -> None:
    friday = MONDAY - timedelta(days=3)
    record.write(NewTest(), reading(Quantity.PH, 7.0), at=friday)
    slip = record.write(NewTest(), reading(Quantity.PH, 7.9))
    with record.database.writing() as session:
        entries.withdraw(session, 1, slip.entry_id, visitor=record.adult, now=record.now)
    table = month(record, Quantity.PH).table()
    assert [row[2:] for row in table.rows] == [("7.0", "added Mon 8 Feb")]
    assert not table.struck


def test_several_readers_are_one_row_without_their_names(record: Record) -> None:
    seen = [
        reading(Quantity.NITRATE, value, low=low, high=high, reader_id=who)
        for value, low, high, who in (
            (20.0, 10.0, 40.0, record.otter), (10.0, 5.0, 20.0, record.finch),
            (20.0, 10.0, 40.0, None),
        )
    ]  # fmt: skip
    record.write(NewTest(), *seen, by=record.otter)
    found = month(record, Quantity.NITRATE)
    (row,), (printed,) = found.rows, found.table().rows
    assert (row.value, row.low, row.high, row.seen) == (20.0, 5.0, 40.0, (10.0, 20.0, 20.0))
    assert printed[2:] == ("20", "5 to 40", "3 readers saw 10 to 20")
    assert "Otter" not in str(found)
    assert "Finch" not in str(found)


def test_a_tube_beyond_the_card_is_shown_and_counts_in_no_sum(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 10.0, low=5.0, high=20.0))
    lighter = replace(reading(Quantity.NITRATE, 0.0, low=0.0, high=5.0), value=None)
    record.write(NewTest(), lighter, at=MONDAY - timedelta(days=1))
    found = month(record, Quantity.NITRATE)
    assert [row.value for row in found.rows] == [10.0]
    assert found.table().rows[0][2] == "less than 5"
    assert found.table().struck == {0}


@pytest.mark.parametrize(("most", "count", "thinned"), [(5, 5, 0), (4, 3, 5)])
def test_a_long_month_keeps_the_first_reading_of_each_day(
    record: Record, most: int, count: int, thinned: int
) -> None:
    for n, value in enumerate((24.0, 24.1, 24.2, 24.3, 24.4)):
        at = MONDAY - timedelta(days=2 - n // 2, hours=2 - n % 2)
        record.write(NewTest(), reading(Quantity.TEMPERATURE, value), at=at)
    found = month(record, Quantity.TEMPERATURE, most=most)
    assert (len(found.rows), found.thinned_from) == (count, thinned)
    if thinned:
        assert [row.value for row in found.rows] == [24.0, 24.2, 24.4]
        assert "5 readings" in found.table().note


def test_a_fahrenheit_class_reads_fahrenheit(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 24.5))
    with record.database.writing() as session:
        draft = sites.SiteDraft(name="Hill School", zone=ZONE, fahrenheit=True)
        sites.set_site(session, draft)
    found = month(record, Quantity.TEMPERATURE)
    assert found.rows[0].value == 76.1
    assert (found.symbol, found.table().rows[0][2]) == ("°F", "76.1")
