"""Dates and times as loggers write them."""

from datetime import UTC, datetime, timedelta

import pytest

from app.domain.logger_times import carries_offset, day_first_in, moment_of, zone_named


def at(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


@pytest.mark.parametrize(
    ("text", "hour", "moment"),
    [
        # forms of ISO 8601 and RFC 3339
        ("2027-02-08T13:05:00", None, at(2027, 2, 8, 13, 5)),
        ("2027-02-08 13:05", None, at(2027, 2, 8, 13, 5)),
        ("2027-02-08T13:05:30.250Z", None, at(2027, 2, 8, 13, 5, 30)),
        ("2027-02-08T13:05:00-05:00", None, at(2027, 2, 8, 18, 5)),
        ("2027-02-08 13:05 +0100", None, at(2027, 2, 8, 12, 5)),
        ("2027/2/8 3:05", None, at(2027, 2, 8, 3, 5)),
        # month first
        ("2/8/2027 3:05 PM", None, at(2027, 2, 8, 15, 5)),
        ("02/08/27 12:00:00 AM", None, at(2027, 2, 8, 0, 0)),
        ("02/08/27 12:00:00 p.m.", None, at(2027, 2, 8, 12, 0)),
        ("12/31/99 23:00", None, at(1999, 12, 31, 23, 0)),
        # with dots the day comes first wherever they are written
        ("8.2.2027 13:05", None, at(2027, 2, 8, 13, 5)),
        # ISO 8601-1:2004: 24:00 ends a day
        ("2027-02-08 24:00", None, at(2027, 2, 9, 0, 0)),
        # the time in a column of its own
        ("2027-02-08", "13:05", at(2027, 2, 8, 13, 5)),
        ("2027-02-08", "7", at(2027, 2, 8, 7, 0)),
        ("2027-02-08", "0730", at(2027, 2, 8, 7, 30)),
        ("2027-02-08", "130", at(2027, 2, 8, 1, 30)),
        ("2/8/2027", "1:00 pm", at(2027, 2, 8, 13, 0)),
        ("2027-02-08", "24", at(2027, 2, 9, 0, 0)),
    ],
)
def test_a_moment_is_read(text: str, hour: str | None, moment: datetime) -> None:
    assert moment_of(text, hour, UTC, day_first=False) == moment


@pytest.mark.parametrize(
    ("text", "hour"),
    [
        ("2027-02-30 10:00", None),
        ("13/45/2027 10:00", None),
        ("2027-02-08", None),
        ("2027-02-08 25:00", None),
        ("2027-02-08 24:01", None),
        ("2027-02-08 10:61", None),
        ("2027-02-08 13:00 PM", None),
        ("2027-02-08 0:30 PM", None),
        ("2027-02-08 later", None),
        ("yesterday", None),
        ("", None),
        ("2027-02-08", "noon"),
        ("2027-02-08", ""),
        ("2027-02-08", "99"),
    ],
)
def test_what_is_no_moment_is_refused_in_words(text: str, hour: str | None) -> None:
    with pytest.raises(ValueError, match=r"no date|no time of day"):
        moment_of(text, hour, UTC, day_first=False)


def test_day_first_is_taken_when_it_was_said() -> None:
    assert moment_of("4/5/2027 10:00", None, UTC, day_first=True) == at(2027, 5, 4, 10)
    assert moment_of("4/5/2027 10:00", None, UTC, day_first=False) == at(2027, 4, 5, 10)


@pytest.mark.parametrize(
    ("dates", "answer"),
    [
        (["4/5/2027", "12/12/2027"], None),
        (["4/5/2027", "13/5/2027"], True),
        (["4/5/2027", "4/13/2027"], False),
        (["2027-05-04", ""], None),
        (["4.5.2027"], True),
        ([], None),
    ],
)
def test_the_order_of_day_and_month_is_told_by_the_dates(
    dates: list[str], answer: bool | None
) -> None:
    assert day_first_in(dates) is answer


# the change dates of New York in 2026 and 2027 are those of the IANA time zone database


def test_in_the_doubled_hour_the_row_before_decides() -> None:
    zone = zone_named("America/New_York")
    first = moment_of("2026-11-01 01:30", None, zone, day_first=False)
    second = moment_of("2026-11-01 01:30", None, zone, day_first=False, after=first)
    assert second - first == timedelta(hours=1)
    assert moment_of("2026-11-01 02:00", None, zone, day_first=False, after=second) > second


def test_a_time_that_the_clocks_skipped_is_refused_and_a_fixed_offset_suggested() -> None:
    with pytest.raises(ValueError, match="one offset all year"):
        moment_of("2027-03-14 02:30", None, zone_named("America/New_York"), day_first=False)
    assert moment_of("2027-03-14 02:30", None, zone_named("-05:00"), day_first=False) == at(
        2027, 3, 14, 7, 30
    )


@pytest.mark.parametrize(
    ("text", "hours"),
    [("-05:00", -5), ("+0530", 5.5), ("UTC+2", 2), ("GMT-3", -3), ("UTC", 0), ("z", 0)],
)
def test_a_fixed_offset_is_a_zone(text: str, hours: float) -> None:
    there = datetime(2027, 7, 1, tzinfo=zone_named(text))
    assert there.utcoffset() == timedelta(hours=hours)


@pytest.mark.parametrize("text", ["Middle/Earth", "", "America", "../../etc/passwd", "+15:00"])
def test_no_zone_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="There is no"):
        zone_named(text)


def test_an_offset_is_noticed() -> None:
    assert carries_offset("2027-02-08T13:05:00Z")
    assert carries_offset("2027-02-08 13:05 -05:00")
    assert not carries_offset("2027-02-08 13:05")
