"""Days brought in from a calendar: once, once more, changed, called off."""

from datetime import date

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.tank import DayKind
from app.services import sites
from app.services.school import school_days
from app.services.school.calendar_file import read_calendar
from app.services.school.school_days import News, Offer, WrittenDays
from tests.record import ZONE, Record
from tests.services.calendars import calendar, whole_day

TODAY = date(2027, 2, 8)
BREAK = ("winter@test", "Winter recess", "20270215", "20270220")
STAFF = ("staff@test", "Staff development", "20270312", "20270313")
FAIR = ("fair@test", "Book fair", "20270401", "20270403")
SERIES = ("close@test", "School closed", "20270205", "20270206", "RRULE:FREQ=WEEKLY;COUNT=4")
FILE = calendar(*(whole_day(*each) for each in (BREAK, STAFF, FAIR, SERIES)))


def offered(record: Record, content: bytes, today: date = TODAY) -> dict[str, Offer]:
    found = read_calendar(content, ZONE, today=today)
    with record.database.reading() as session:
        known = school_days.written(session, sites.FIRST)
    offers = school_days.offers(found.events, known, today=today)
    return {offer.event.uid: offer for offer in offers}


def take(record: Record, content: bytes, **chosen: DayKind | None) -> int:
    offers = offered(record, content)
    choices = {f"{name}@test": kind for name, kind in chosen.items()}
    with record.database.writing() as session:
        return school_days.bring_in(
            session, sites.FIRST, tuple(offers.values()), choices, today=TODAY
        )


def written(record: Record) -> list[WrittenDays]:
    with record.database.reading() as session:
        return list(school_days.written(session, sites.FIRST))


def facts(record: Record) -> list[tuple[str, str, str, str]]:
    return [
        (f"{d.first_day:%m-%d}", f"{d.last_day:%m-%d}", d.name, d.kind.value)
        for d in written(record)
    ]


WHOLE = {"winter": DayKind.HOLIDAY, "staff": DayKind.STAFF, "close": DayKind.HOLIDAY}
SAVED = [
    ("02-12", "02-12", "School closed", "holiday"),
    ("02-15", "02-19", "Winter recess", "holiday"),
    ("02-19", "02-19", "School closed", "holiday"),
    ("02-26", "02-26", "School closed", "holiday"),
    ("03-12", "03-12", "Staff development", "staff"),
]


def test_a_first_guess_by_the_words_and_the_likely_ones_come_first(record: Record) -> None:
    found = offered(record, FILE)
    guesses = {uid: offer.guess for uid, offer in found.items()}
    assert guesses == {
        "close@test": DayKind.HOLIDAY,
        "winter@test": DayKind.HOLIDAY,
        "staff@test": DayKind.STAFF,
        "fair@test": None,
    }
    assert list(found)[-1] == "fair@test"
    assert {offer.news for offer in found.values()} == {News.NEW}
    early = offered(record, calendar(whole_day("e@test", "Closed early", "20270215", "")))
    assert early["e@test"].guess is None


def test_the_same_file_twice_adds_nothing(record: Record) -> None:
    assert take(record, FILE, **WHOLE) == 3
    assert facts(record) == SAVED
    before = written(record)

    assert {o.news for o in offered(record, FILE).values()} == {News.SAME, News.NEW}
    assert take(record, FILE, **WHOLE) == 0
    assert written(record) == before


def test_a_changed_event_shows_what_it_was_and_is_moved(record: Record) -> None:
    take(record, FILE, **WHOLE)
    moved = calendar(
        whole_day("winter@test", "Winter recess, longer", "20270215", "20270227"),
        whole_day(*SERIES, "EXDATE;VALUE=DATE:20270219"),
        whole_day(*STAFF),
    )
    found = offered(record, moved)
    assert {uid: offer.news for uid, offer in found.items()} == {
        "winter@test": News.CHANGED,
        "close@test": News.CHANGED,
        "staff@test": News.SAME,
    }
    assert [d.last_day for d in found["winter@test"].known] == [date(2027, 2, 19)]
    assert facts(record) == SAVED  # nothing moves before somebody says so

    changed = take(record, moved, winter=DayKind.BREAK, close=DayKind.HOLIDAY)
    assert changed == 2
    assert facts(record) == [
        ("02-12", "02-12", "School closed", "holiday"),
        ("02-15", "02-26", "Winter recess, longer", "break"),
        ("02-26", "02-26", "School closed", "holiday"),
        ("03-12", "03-12", "Staff development", "staff"),
    ]
    assert {o.news for o in offered(record, moved).values()} == {News.SAME}


def test_an_event_that_is_called_off_is_struck_once_somebody_says_so(record: Record) -> None:
    take(record, FILE, **WHOLE)
    off = calendar(whole_day(*STAFF, "STATUS:CANCELLED"), whole_day(*FAIR, "STATUS:CANCELLED"))
    found = offered(record, off)
    assert found["staff@test"].news is News.CALLED_OFF
    assert found["fair@test"].news is News.SAME  # it never stood here
    assert take(record, off, staff=None) == 1
    assert facts(record) == SAVED[:-1]


def test_days_that_are_over_stay_and_change_nothing(record: Record) -> None:
    with record.database.writing() as session:
        early = read_calendar(FILE, ZONE, today=date(2027, 2, 1))
        offers = school_days.offers(early.events, (), today=date(2027, 2, 1))
        school_days.bring_in(
            session, sites.FIRST, offers, {"close@test": DayKind.HOLIDAY}, today=date(2027, 2, 1)
        )
    assert facts(record)[0][:2] == ("02-05", "02-05")
    assert offered(record, FILE)["close@test"].news is News.SAME
    take(record, FILE, close=None)
    assert facts(record) == [("02-05", "02-05", "School closed", "holiday")]


def test_by_hand_and_for_a_place_that_is_there(record: Record) -> None:
    day = date(2027, 2, 19)
    with record.database.writing() as session:
        for _ in range(2):
            school_days.add(session, sites.FIRST, day, day, " Founders’ Day ", kind=DayKind.STAFF)
        with pytest.raises(Refused, match="before the first"):
            school_days.add(session, sites.FIRST, day, date(2027, 2, 18), "")
        with pytest.raises(NotFound):
            school_days.add(session, 99, day, day, "")
        session.rollback()
    (found,) = written(record)
    assert (found.name, found.kind) == ("Founders’ Day", DayKind.STAFF)
    with record.database.writing() as session:
        elsewhere = sites.add_site(session, sites.SiteDraft(name="Other School", zone=ZONE))
        school_days.strike(session, elsewhere, found.id)
        assert len(school_days.written(session, sites.FIRST)) == 1
        school_days.strike(session, sites.FIRST, found.id)
    assert written(record) == []
