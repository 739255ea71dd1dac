"""The list before a weekend, and who looks after the tank in a break.

Four days follow a classroom project's page; the other days and hours are our own choice.
"""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.records import JobKind, StockEventKind
from app.domain.tank import Break
from app.rules.breaks import cover_step, unattended_from
from app.rules.model import Severity
from tests.rules.checks import found, judged, plain, severity, task
from tests.rules.class_situations import CLASS, away
from tests.situations import HOME, SCHOOL, at, job, snapshot, stock, tank

LIST, PLAN = "breaks.weekend", "breaks.plan"
# Monday 15 to Friday 19 March 2027, with its weekends 9 days without people
BREAK = Break(first_day=date(2027, 3, 15), last_day=date(2027, 3, 19), name="the spring break")
SITE = replace(SCHOOL, breaks=(BREAK,))


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ("2027-02-12 11:59", None),
        ("2027-02-12 12:00", Severity.WATCH),
        ("2027-02-12 23:59", Severity.WATCH),
        ("2027-02-11 12:00", None),  # Thursday: somebody comes tomorrow
        ("2027-02-13 12:00", None),  # Saturday: nobody is here
    ],
)
def test_the_list_is_asked_for_from_noon_on_the_last_day(
    now: str, expected: Severity | None
) -> None:
    assert severity(snapshot(now, tank=CLASS), LIST) is expected


def test_it_is_only_for_classes_and_gaps_of_two_days() -> None:
    assert severity(snapshot("2027-02-12 12:00"), LIST) is None  # set up as a home
    six = replace(SCHOOL, present_weekdays=frozenset(range(6)))
    assert severity(snapshot("2027-02-13 12:00", tank=CLASS, site=six), LIST) is None
    assert severity(snapshot("2027-02-12 12:00", tank=CLASS, site=HOME), LIST) is None


def test_the_day_before_a_break_in_the_week_has_a_list_with_its_own_name() -> None:
    site = away(date(2027, 2, 18), date(2027, 2, 19))
    asked = task(snapshot("2027-02-17 12:00", tank=CLASS, site=site), "weekend-list")
    assert asked is not None
    assert asked.action.title.startswith("Wednesday list: count, temperature, flow, lid")
    assert "No extra food" in asked.action.title
    assert "4 days" in plain(asked.reason)
    assert (asked.action.door, asked.action.job) == ("job", "checklist")


@pytest.mark.parametrize(
    ("when", "expected"), [("2027-02-12 12:10", None), ("2027-02-11 12:10", Severity.WATCH)]
)
def test_a_list_of_that_day_ends_it(when: str, expected: Severity | None) -> None:
    done = job(JobKind.CHECKLIST, when)
    assert severity(snapshot("2027-02-12 13:00", done, tank=CLASS), LIST) is expected


def test_it_holds_until_noon() -> None:
    assert judged(snapshot("2027-02-12 09:00", tank=CLASS)).holds_until == at("2027-02-12 12:00")


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ("2027-02-21 09:00", None),  # 22 days before
        ("2027-02-22 09:00", Severity.WATCH),  # 21 days
        ("2027-03-07 09:00", Severity.WATCH),  # 8 days
        ("2027-03-08 09:00", Severity.ACT),  # 7 days
        ("2027-03-19 09:00", Severity.ACT),  # its last day
        ("2027-03-20 09:00", None),
    ],
)
def test_a_break_without_cover(now: str, expected: Severity | None) -> None:
    assert severity(snapshot(now, site=SITE), PLAN) is expected


def test_a_tick_arranges_this_break_and_no_other() -> None:
    done = job(JobKind.STEP, "2027-03-01 09:00", step="break-cover:2027-03-15")
    assert cover_step(BREAK) == done.step
    assert severity(snapshot("2027-03-08 09:00", done, site=SITE), PLAN) is None
    other = job(JobKind.STEP, "2027-03-01 09:00", step="break-cover:2026-12-21")
    assert severity(snapshot("2027-03-08 09:00", other, site=SITE), PLAN) is Severity.ACT


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [
        (date(2027, 3, 15), date(2027, 3, 15), None),  # with the weekend three days
        (date(2027, 3, 15), date(2027, 3, 16), Severity.ACT),  # with the weekend four days
        (date(2027, 3, 16), date(2027, 3, 18), None),  # three days within the week
    ],
)
def test_four_days_without_people(first: date, last: date, expected: Severity | None) -> None:
    now = snapshot("2027-03-12 09:00", site=away(first, last))
    assert severity(now, PLAN) is expected


def test_seven_days_want_portions_and_more_want_visits_twice_a_week() -> None:
    week = replace(HOME, breaks=(replace(BREAK, last_day=date(2027, 3, 21)),))
    longer = replace(HOME, breaks=(replace(BREAK, last_day=date(2027, 3, 22)),))
    said = [found(snapshot("2027-03-01 09:00", site=s), PLAN)[0].reason for s in (week, longer)]
    assert "every two to three days" in said[0]
    assert "twice a week" in said[1]
    assert all("not on the last day" in text for text in said)
    assert "Monday 8 March to Wednesday 10 March" in said[0]


@pytest.mark.parametrize(("now", "said"), [("2027-03-10 09:00", True), ("2027-03-11 09:00", False)])
def test_the_clean_before_it_is_named_while_there_is_time(now: str, said: bool) -> None:
    assert ("Change water" in found(snapshot(now, site=SITE), PLAN)[0].reason) is said


@pytest.mark.parametrize(
    ("when", "said"), [("2027-02-13 12:00", True), ("2027-02-12 12:00", False)]
)
def test_new_animals_within_thirty_days_want_more_visits(when: str, said: bool) -> None:
    came = stock(StockEventKind.ARRIVED, when, 3)
    kept = tank(mature_on=None)
    reason = found(snapshot("2027-03-01 09:00", came, site=SITE, tank=kept), PLAN)[0].reason
    assert ("New animals bear one day" in reason) is said


def test_an_empty_tank_and_a_site_without_breaks_ask_nothing() -> None:
    assert severity(snapshot("2027-03-08 09:00", site=SITE, groups=()), PLAN) is None
    assert severity(snapshot("2027-03-08 09:00"), PLAN) is None


def test_two_breaks_in_a_row_are_one_stretch() -> None:
    more = Break(first_day=date(2027, 3, 22), last_day=date(2027, 3, 24))
    site = replace(SCHOOL, breaks=(more, BREAK))
    assert len(found(snapshot("2027-03-08 09:00", site=site), PLAN)) == 1
    assert unattended_from(site, date(2027, 3, 13)) == 12


def test_a_place_where_nobody_ever_comes_is_counted_to_an_end() -> None:
    assert unattended_from(replace(SITE, present_weekdays=frozenset()), date(2027, 3, 1)) == 400
