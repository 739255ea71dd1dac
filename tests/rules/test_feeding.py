"""Meals that were too many, and meals that nobody wrote."""

from datetime import date

import pytest

from app.domain.records import JobKind, StockEventKind
from app.domain.tank import Break, Site
from app.rules.model import Severity
from tests.rules.checks import found, judged, plain, severity, task
from tests.situations import HOME, NEW_YORK, SCHOOL, at, fed, job, look, snapshot, stock

TWICE = (fed("2027-02-08 08:41"), fed("2027-02-08 08:44", by="Finch"))


def test_two_helpers_within_minutes() -> None:
    finding = found(snapshot("2027-02-08 09:00", *TWICE), "feeding.fed-twice")[0]
    assert finding.severity is Severity.WATCH
    assert {e.by for e in finding.evidence} == {"Otter", "Finch"}
    assert finding.action.job == "leftovers"


@pytest.mark.parametrize(("third", "expected"), [(0.0, Severity.WATCH), (0.1, Severity.ACT)])
def test_over_two_portions_need_a_grown_up(third: float, expected: Severity) -> None:
    meals = (*TWICE, fed("2027-02-08 08:50", scoops=third))
    assert severity(snapshot("2027-02-08 09:00", *meals), "feeding.fed-twice") is expected


def test_it_stays_until_leftovers_or_a_day_with_one_meal_are_written() -> None:
    rule = "feeding.fed-twice"
    assert severity(snapshot("2027-02-12 09:00", *TWICE), rule) is Severity.WATCH
    cleaned = job(JobKind.LEFTOVERS, "2027-02-08 09:10")
    assert severity(snapshot("2027-02-12 09:00", *TWICE, cleaned), rule) is None
    before = job(JobKind.LEFTOVERS, "2027-02-08 08:00")
    assert severity(snapshot("2027-02-12 09:00", *TWICE, before), rule) is Severity.WATCH
    single = fed("2027-02-09 08:41")
    assert severity(snapshot("2027-02-12 09:00", *TWICE, single), rule) is None


def test_two_small_meals_far_apart_are_none() -> None:
    meals = (fed("2027-02-08 08:00", scoops=0.5), fed("2027-02-08 16:00", scoops=0.5))
    assert found(snapshot("2027-02-08 17:00", *meals), "feeding.fed-twice") == []


def test_a_weekend_is_no_unwritten_meal_and_a_school_day_is() -> None:
    rule = "feeding.nobody-fed"
    friday = fed("2027-01-29 08:41")
    assert found(snapshot("2027-02-01 08:05", friday), rule) == []
    tuesday = found(snapshot("2027-02-02 08:05", friday), rule)[0]
    assert tuesday.severity is Severity.WATCH  # four days without a written meal
    assert "No meal is written for yesterday." in tuesday.reason
    assert found(snapshot("2027-02-02 08:05", friday, fed("2027-02-02 08:00")), rule) == []


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ("2027-02-02 20:40", None),  # 35 h 59 min, Monday without a meal not yet over
        ("2027-02-03 08:00", Severity.INFO),
        ("2027-02-04 08:00", Severity.INFO),
        ("2027-02-05 08:00", Severity.WATCH),
        ("2027-02-06 08:00", Severity.WATCH),
        ("2027-02-07 08:00", Severity.ACT),
    ],
)
def test_the_longer_nobody_writes_the_more_it_asks(now: str, expected: Severity | None) -> None:
    home = snapshot(now, fed("2027-02-01 08:41"), site=HOME)
    assert severity(home, "feeding.nobody-fed") is expected


def test_thirty_six_hours_and_a_whole_day() -> None:
    late = fed("2027-02-01 22:00")
    rule = "feeding.nobody-fed"
    assert severity(snapshot("2027-02-03 09:59", late, site=HOME), rule) is None
    assert severity(snapshot("2027-02-03 10:00", late, site=HOME), rule) is Severity.INFO


def test_a_planned_break_and_an_empty_tank_ask_nothing() -> None:
    away = Break(first_day=date(2027, 2, 1), last_day=date(2027, 2, 12), name="the winter break")
    site = Site(name="S", zone=NEW_YORK, present_weekdays=SCHOOL.present_weekdays, breaks=(away,))
    last_meal = fed("2027-01-29 08:41")
    assert found(snapshot("2027-02-15 08:00", last_meal, site=site), "feeding.nobody-fed") == []
    empty = snapshot("2027-02-05 08:00", last_meal, groups=())
    assert found(empty, "feeding.nobody-fed") == []


def test_clocks_going_back_make_twenty_five_hours_and_raise_nothing() -> None:
    meals = (fed("2026-10-31 08:30"), fed("2026-11-01 08:30"))
    night = snapshot("2026-11-01 09:00", *meals, look("2026-11-01 08:30", 16), site=HOME)
    assert (meals[1].happened_at - meals[0].happened_at).total_seconds() == 25 * 3600
    rules = {f.rule_id for t in judged(night).tasks for f in t.findings}
    assert not rules & {"feeding.nobody-fed", "feeding.fed-twice"}
    assert task(night, "light-timer") is not None


def test_clocks_going_forward_make_twenty_three_hours_and_raise_nothing() -> None:
    meals = (fed("2027-03-13 08:30"), fed("2027-03-14 08:30"))
    assert (meals[1].happened_at - meals[0].happened_at).total_seconds() == 23 * 3600
    day = snapshot("2027-03-14 09:00", *meals, site=HOME)
    assert found(day, "feeding.fed-twice") == []
    assert found(day, "feeding.nobody-fed") == []


def test_the_guard_is_a_note_and_no_task() -> None:
    evening = judged(snapshot("2027-02-08 09:00", fed("2027-02-08 08:41")))
    assert [n.rule_id for n in evening.notes] == ["feeding.guard"]
    assert "8:41, 1 scoop" in plain(evening.notes[0].reason)
    assert "no-food" not in {t.key for t in evening.tasks}
    assert judged(snapshot("2027-02-08 08:00")).notes == ()


def test_a_tank_that_lived_before_its_record_began_was_fed_all_the_while() -> None:
    came = stock(StockEventKind.ARRIVED, "2026-09-01 12:00", 16, recorded_at=at("2027-02-08 08:00"))
    assert severity(snapshot("2027-02-08 09:00", came), "feeding.nobody-fed") is None
