"""The days in the form of a new link: what people would type anyway."""

from datetime import date

from app.knowledge.load import load
from app.services import sites, tasks
from app.services.school import school_days
from app.services.sharing.link_days import Days, family_days, stay_days
from tests.record import Record

TODAY = date(2027, 2, 8)


def of_a_stay(record: Record) -> Days:
    with record.database.reading() as session:
        return stay_days(tasks.snapshot_of(session, 1, now=record.now), load())


def written(record: Record, first: date, last: date) -> None:
    with record.database.writing() as session:
        school_days.add(session, sites.FIRST, first, last, "Ski week")


def test_families_read_along_for_about_a_term() -> None:
    assert family_days(TODAY, load()) == (TODAY, date(2027, 5, 8))


def test_a_sitter_comes_from_this_day_on_for_two_weeks(record: Record) -> None:
    assert of_a_stay(record) == (TODAY, date(2027, 2, 21))


def test_a_break_that_comes_soon_is_what_the_sitter_is_for(record: Record) -> None:
    # Monday 22 to Friday 26 February; nobody comes on the weekends before and after it
    written(record, date(2027, 2, 22), date(2027, 2, 26))
    assert of_a_stay(record) == (date(2027, 2, 20), date(2027, 2, 28))


def test_a_break_that_has_begun_is_offered_from_this_day_on(record: Record) -> None:
    written(record, date(2027, 2, 4), date(2027, 2, 12))
    assert of_a_stay(record) == (TODAY, date(2027, 2, 14))


def test_the_long_break_is_cut_to_what_one_sheet_holds(record: Record) -> None:
    written(record, date(2027, 3, 1), date(2027, 6, 1))
    first, last = of_a_stay(record)
    assert (last - first).days + 1 == load().value("sharing.longest-stay")


def test_a_break_far_ahead_is_not_meant(record: Record) -> None:
    written(record, date(2027, 6, 20), date(2027, 8, 20))
    assert of_a_stay(record)[0] == TODAY
