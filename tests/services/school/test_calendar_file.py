"""A calendar file: the days of its events, and files that are none.

Days are held against `recurring_ical_events`, a general library for iCalendar, and against what
RFC 5545 says where a case has a paragraph of its own.
"""

import random
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import recurring_ical_events
from icalendar import Calendar

from app.domain.errors import Refused
from app.services.school.calendar_file import FileEvent, read_calendar
from tests.services.calendars import ZONE, calendar, event, whole_day

TODAY = date(2027, 2, 1)
NEW_YORK = "America/New_York"


def events(*parts: str, zone: str = NEW_YORK) -> tuple[FileEvent, ...]:
    return read_calendar(calendar(*parts), zone, today=TODAY).events


def days(*parts: str, zone: str = NEW_YORK) -> list[tuple[date, date]]:
    return [(d.first, d.last) for e in events(*parts, zone=zone) for d in e.days]


def feb(first: int, last: int | None = None) -> tuple[date, date]:
    return date(2027, 2, first), date(2027, 2, last or first)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        # RFC 5545, 3.6.1: a day without an end is that day; DTEND is not part of it
        (("DTSTART;VALUE=DATE:20270215",), feb(15)),
        (("DTSTART;VALUE=DATE:20270215", "DTEND;VALUE=DATE:20270216"), feb(15)),
        (("DTSTART;VALUE=DATE:20270215", "DTEND;VALUE=DATE:20270220"), feb(15, 19)),
        (("DTSTART;VALUE=DATE:20270215", "DURATION:P5D"), feb(15, 19)),
        (("DTSTART;VALUE=DATE:20270215", "DURATION:P1W"), feb(15, 21)),
        # wrong, and common
        (("DTSTART;VALUE=DATE:20270215", "DTEND;VALUE=DATE:20270215"), feb(15)),
        # times: floating ones are the place's own
        (("DTSTART:20270215T080000", "DTEND:20270215T160000"), feb(15)),
        (("DTSTART:20270215T000000", "DTEND:20270220T000000"), feb(15, 19)),
        (("DTSTART:20270215T080000", "DTEND:20270217T000001"), feb(15, 17)),
        (("DTSTART:20270215T080000",), feb(15)),
        # 3:00 in UTC is 10 pm of the day before in New York
        (("DTSTART:20270216T030000Z", "DTEND:20270216T040000Z"), feb(15)),
        (("DTSTART;TZID=Europe/Berlin:20270216T050000", "DURATION:PT3H"), feb(15, 16)),
        (("DTSTART;TZID=School clock:20270215T233000", "DURATION:PT29M"), feb(15)),
        (("DTSTART;TZID=School clock:20270215T233000", "DURATION:PT31M"), feb(15, 16)),
        # a clock that nobody knows is taken as the place's own
        (("DTSTART;TZID=Mars/Base:20270215T080000",), feb(15)),
    ],
)
def test_the_days_of_one_event(lines: tuple[str, ...], expected: tuple[date, date]) -> None:
    assert days(ZONE, event("one@test", *lines)) == [expected]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (("RRULE:FREQ=WEEKLY;COUNT=3",), [4, 11, 18]),
        (("RRULE:FREQ=WEEKLY;UNTIL=20270218",), [4, 11, 18]),
        (("RRULE:FREQ=WEEKLY;UNTIL=20270217",), [4, 11]),
        (("RRULE:FREQ=WEEKLY;COUNT=3", "EXDATE;VALUE=DATE:20270211"), [4, 18]),
        (("RDATE;VALUE=DATE:20270209,20270210",), [4, 9, 10]),
        (("RRULE:FREQ=DAILY;INTERVAL=2;COUNT=3", "EXDATE;VALUE=DATE:20270204"), [6, 8]),
    ],
)
def test_events_that_come_back(lines: tuple[str, ...], expected: list[int]) -> None:
    series = whole_day("s@test", "Early close", "20270204", "20270205", *lines)
    assert days(series) == [feb(day) for day in expected]
    (found,) = events(series)
    assert len({found.uid_of(each) for each in found.days}) == len(expected)


def test_single_times_of_a_series_move_and_fall_out() -> None:
    series = whole_day("s@test", "Free", "20270204", "20270205", "RRULE:FREQ=WEEKLY;COUNT=3")
    moved = whole_day("s@test", "Free", "20270212", "20270213", "RECURRENCE-ID;VALUE=DATE:20270211")
    off = whole_day(
        "s@test", "Free", "20270218", "20270219", "RECURRENCE-ID;VALUE=DATE:20270218",
        "STATUS:CANCELLED",
    )  # fmt: skip
    assert days(series, moved, off) == [feb(4), feb(12)]


RULES = (
    "FREQ=WEEKLY;BYDAY=MO,FR;COUNT=80",
    "FREQ=MONTHLY;BYDAY=2TU;COUNT=15",
    "FREQ=MONTHLY;BYMONTHDAY=-1;UNTIL=20280101T000000Z",
    "FREQ=YEARLY;BYMONTH=11;BYDAY=4TH",
    "FREQ=YEARLY;INTERVAL=2",
    "FREQ=DAILY;INTERVAL=9;UNTIL=20280601T000000Z",
    "FREQ=WEEKLY;INTERVAL=3;WKST=SU;BYDAY=SU,TU",
)


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize(
    ("start", "length"),
    [
        ("DTSTART;VALUE=DATE:20260803", "DURATION:P2D"),
        ("DTSTART;TZID=School clock:20260803T213000", "DURATION:PT5H"),
        ("DTSTART;TZID=Europe/Berlin:20260803T030000", "DURATION:PT30M"),
        ("DTSTART:20260803T120000Z", "DURATION:P1DT13H"),
    ],
)
def test_series_have_the_days_that_a_general_library_finds(
    rule: str, start: str, length: str
) -> None:
    # the standard wants an end of the same kind as the start
    rule = rule.replace("T000000Z", "") if "VALUE=DATE" in start else rule
    content = calendar(ZONE, event("s@test", start, length, f"RRULE:{rule}"))
    mine = read_calendar(content, NEW_YORK, today=TODAY).events[0]

    end = datetime.combine(TODAY, datetime.min.time()) + timedelta(days=366 * 3)
    query = recurring_ical_events.of(Calendar.from_ical(content.decode()))
    theirs = [_local(e) for e in query.between(datetime(2026, 8, 1), end)]

    # both end on the same day, and each cuts what lies on it in its own way
    last = end.date() - timedelta(days=7)
    coming = sorted(each for each in theirs if each[1] >= TODAY and each[0] < last)
    assert coming
    assert [(d.first, d.last) for d in mine.days if d.first < last] == coming


def _local(found: object) -> tuple[date, date]:
    start, end = found.start, found.end  # type: ignore[attr-defined]
    if not isinstance(start, datetime):
        return start, end - timedelta(days=1)
    there = ZoneInfo(NEW_YORK)
    return start.astimezone(there).date(), (end - timedelta(seconds=1)).astimezone(there).date()


def test_names_are_read_unfolded_and_unescaped() -> None:
    folded = whole_day("a@test", "Winter\n  break\\, part one\\; \n all\\nschools", "20270215", "")
    (found,) = events(folded)
    assert found.name == "Winter break, part one; all schools"
    (long,) = events(whole_day("b@test", "x" * 200 + "\x07", "20270215", ""))
    assert long.name == "x" * 80


def test_what_is_over_and_what_cannot_be_read_is_counted() -> None:
    found = read_calendar(
        calendar(
            whole_day("gone@test", "Fall break", "20261012", "20261017"),
            whole_day("last@test", "Ends today", "20270128", "20270202"),
            event("bad@test", "DTSTART:NONSENSE"),
            event("none@test", "SUMMARY:No day"),
            event("back@test", "DTSTART:20270215T080000", "DTEND:20270214T080000"),
            event("old@test", "DTSTART:19200215T080000", "RRULE:FREQ=YEARLY"),
            event("often@test", "DTSTART:20270215T080000", "RRULE:FREQ=HOURLY;COUNT=3"),
            event("daily@test", "DTSTART:20270215T080000", "RRULE:FREQ=DAILY"),
            event("two@test", "DTSTART:20270215T080000", "RRULE:FREQ=DAILY", "RRULE:FREQ=WEEKLY"),
            event("odd@test", "DTSTART:20270215T080000", "RRULE:FREQ=WEEKLY;BYDAY=XX"),
        ),
        NEW_YORK,
        today=TODAY,
    )
    assert [e.uid for e in found.events] == ["last@test"]
    assert (found.over, found.unclear) == (1, 8)


def test_without_a_uid_or_with_a_long_one_an_event_keeps_its_name() -> None:
    nameless = "BEGIN:VEVENT\nSUMMARY:Free\nDTSTART;VALUE=DATE:20270215\nEND:VEVENT\n"
    long = whole_day("u" * 500, "Free", "20270216", "")
    first, second = events(nameless, long)
    assert (first, second) == events(nameless, long)
    assert first.uid != second.uid
    assert max(len(first.uid), len(second.uid)) <= 64


def _deep(levels: int) -> bytes:
    parts = [f"BEGIN:X{n}\n" for n in range(levels)], [f"END:X{n}\n" for n in range(levels)[::-1]]
    return calendar("".join(parts[0]), "".join(parts[1]))


def _zone(rule: str) -> str:
    return ZONE.replace("RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU", rule)


ONE = event("a@test", "DTSTART;TZID=School clock:20270215T080000")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no calendar file"),
        (b"hello", "no calendar file"),
        (b"\xff\xfe\x00", "no calendar file"),
        (b"date,name\n2027-02-15,Free\n", "no calendar file"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n", "no calendar file"),
        (b"END:VCALENDAR\r\n", "no calendar file"),
        (_deep(5), "no calendar file"),
        (_deep(30_000), "too large"),
        (calendar("X-A:" + "a" * 500_000 + "\n"), "too large"),
        (calendar("A:1\n" * 25_000), "too long"),
        (calendar(*[event(f"{n}@t", "DTSTART:20270215T080000") for n in range(2_100)]), "too many"),
        (calendar(_zone("RRULE:FREQ=SECONDLY"), ONE), "makes no sense"),
        # hidden behind a fold
        (calendar(_zone("RRU\n LE:FREQ=SECONDLY"), ONE), "makes no sense"),
        (calendar(_zone("RRULE:FREQ=YEARLY;BYSECOND=0,1,2"), ONE), "makes no sense"),
        (calendar(_zone("RRULE:FREQ=YEARLY;FREQ=SECONDLY"), ONE), "makes no sense"),
        (calendar(*[ZONE] * 60, ONE), "no calendar file"),
        (
            calendar(*[
                event(f"{n}@t", "DTSTART:20010101T080000", "RRULE:FREQ=DAILY") for n in range(500)
            ]),
            "come back too often",
        ),
    ],
)  # fmt: skip
def test_what_is_no_calendar_of_a_school_is_refused_with_a_sentence(
    content: bytes, said: str
) -> None:
    with pytest.raises(Refused, match=said):
        read_calendar(content, NEW_YORK, today=TODAY)


def test_rules_that_never_come_true_are_refused_before_they_are_all_looked_for() -> None:
    # the 30th of February
    never = "RRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30;COUNT=5"
    several = [event(f"{n}@t", "DTSTART:20200101T080000", never) for n in range(50)]
    one = read_calendar(calendar(several[0], ONE), NEW_YORK, today=TODAY)
    assert (len(one.events), one.unclear) == (1, 1)
    with pytest.raises(Refused, match="never come true"):
        read_calendar(calendar(*several), NEW_YORK, today=TODAY)


def test_broken_bytes_are_refused_or_read_and_never_raise_anything_else() -> None:
    chance = random.Random(4)
    whole = calendar(ZONE, whole_day("a@t", "Free", "20270215", "", f"RRULE:{RULES[0]}"), ONE)
    for _ in range(150):
        broken = bytearray(whole)
        for _ in range(chance.randint(1, 6)):
            at = chance.randrange(len(broken))
            broken[at : at + chance.randint(0, 3)] = chance.choice(
                (b":", b";", b"\r\n", b" ", b"\\", b'"', b"=", b"9", b"\x00", "é".encode(), b"Z")
            )
        try:
            read_calendar(bytes(broken), NEW_YORK, today=TODAY)
        except Refused:
            continue


def test_days_are_those_of_the_place() -> None:
    late = event("a@t", "DTSTART:20270215T230000Z", "DURATION:PT30M")
    assert days(late, zone="Pacific/Auckland") == [feb(16)]
    assert days(late, zone="UTC") == [feb(15)]
    assert datetime(2027, 2, 15, 23, tzinfo=UTC).astimezone(ZoneInfo("Pacific/Auckland")).day == 16
