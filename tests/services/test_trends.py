"""What a chart is made of, and that it is drawn once for each revision."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.domain.drafts import NewJob, NewTest
from app.domain.errors import NotFound
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.services import tanks, trends
from app.storage.models.site import Site
from tests.record import Record, reading


def test_a_chart_holds_the_readings_of_its_days_the_range_and_the_events(record: Record) -> None:
    for days, value in ((40, 10.0), (20, 20.0), (6, 30.0)):
        record.write(
            NewTest(), reading(Quantity.NITRATE, value), at=record.now - timedelta(days=days)
        )
    record.write(NewJob(job=JobKind.WATER_CHANGE), at=record.now - timedelta(days=5))
    with record.database.writing() as session:
        tanks.set_range(session, record.tank_id, Quantity.NITRATE, None, 40, set_by="Me")

    with record.database.reading() as session:
        month = trends.series(session, record.tank_id, Quantity.NITRATE, 30, now=record.now)
        everything = trends.series(session, record.tank_id, Quantity.NITRATE, None, now=record.now)

    assert [p.value for p in month.points] == [20, 30]
    assert [p.value for p in everything.points] == [10, 20, 30]
    assert (month.bands[0].high, month.bands[0].label) == (40, "our range")
    assert [m.kind for m in month.marks] == ["change"]
    # four weekends of a class lie in thirty days, and nobody came on them
    assert sum(s.kind == "away" for s in month.spans) in {4, 5}


def test_an_unchanged_record_gives_the_same_tag_and_picture_and_an_entry_changes_both(
    record: Record,
) -> None:
    def tag_and_picture() -> tuple[str, str]:
        with record.database.reading() as session:
            where = (session, record.tank_id, Quantity.PH, 30)
            tag = trends.etag(*where, record.now)
            return tag, trends.chart(*where, now=record.now).svg

    record.write(NewTest(), reading(Quantity.PH, 7.0), at=record.now - timedelta(days=2))
    before = tag_and_picture()
    assert tag_and_picture() == before

    record.write(NewTest(), reading(Quantity.PH, 7.4))
    after = tag_and_picture()
    assert after[0] != before[0]
    assert after[1] != before[1]


def test_only_what_was_ever_measured_is_offered(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.KH, 6.0), reading(Quantity.PH, 7.0))
    with record.database.reading() as session:
        assert trends.measured(session, record.tank_id) == (Quantity.PH, Quantity.KH)


def test_a_chart_of_no_tank_is_not_there(record: Record) -> None:
    with record.database.reading() as session, pytest.raises(NotFound):
        trends.chart(session, 99, Quantity.PH, 30, now=record.now)


def test_a_household_that_reads_fahrenheit_sees_its_temperatures_and_range_in_fahrenheit(
    record: Record,
) -> None:
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 25.0))
    where = (record.tank_id, Quantity.TEMPERATURE, 30)
    with record.database.writing() as session:
        tanks.set_range(session, record.tank_id, Quantity.TEMPERATURE, 20, 30, set_by="Me")
        metric = trends.etag(session, *where, record.now)
        site = session.scalars(select(Site)).one()
        site.fahrenheit = True
        session.flush()

        shown = trends.series(session, *where, now=record.now)
        assert trends.etag(session, *where, record.now) != metric

    # 25 °C = 77 °F, 20 °C = 68 °F, 30 °C = 86 °F: by the definition of the scale
    assert shown.unit == "°F"
    assert [p.value for p in shown.points] == [pytest.approx(77.0)]
    assert shown.bands[0].low == pytest.approx(68.0)
    assert shown.bands[0].high == pytest.approx(86.0)


def test_several_readers_of_one_card_are_one_point_and_two_meter_readings_are_two(
    record: Record,
) -> None:
    earlier = record.now - timedelta(days=1)
    record.write(NewTest(), *(reading(Quantity.NITRATE, v) for v in (10, 20)), at=earlier)
    seen = ((10, 5, 20), (20, 10, 40), (20, 10, 40))
    record.write(NewTest(), *(reading(Quantity.NITRATE, v, low=a, high=b) for v, a, b in seen))

    with record.database.reading() as session:
        shown = trends.series(session, record.tank_id, Quantity.NITRATE, 30, now=record.now)

    assert [(p.value, p.low, p.high) for p in shown.points] == [
        (10, None, None), (20, None, None), (20, 5, 40),
    ]  # fmt: skip
    assert shown.points[-1].note == "3 readers saw 10 to 20"


def test_nitrate_goes_on_into_the_days_ahead_and_no_further_than_the_chart_looks_back(
    record: Record,
) -> None:
    for days, value in ((21, 6.0), (14, 9.0), (7, 12.0), (0, 15.0)):
        record.write(
            NewTest(),
            reading(Quantity.NITRATE, value),
            reading(Quantity.PH, 7.0),
            at=record.now - timedelta(days=days),
        )

    with record.database.reading() as session:
        ph, week, month, everything = (
            trends.series(session, record.tank_id, quantity, days, now=record.now)
            for quantity, days in (
                (Quantity.PH, 30), (Quantity.NITRATE, 7), (Quantity.NITRATE, 30),
                (Quantity.NITRATE, None),
            )
        )  # fmt: skip

    assert ph.ahead == ()
    assert ph.until == record.now
    assert week.until == record.now + timedelta(days=7)
    assert month.ahead[0].at == month.end == record.now
    assert month.until == record.now + timedelta(days=28)
    assert everything.ahead == month.ahead
    assert all(each.low <= each.best <= each.high for each in month.ahead)
