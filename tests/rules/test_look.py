"""Looks and thermometer: due when their shelf life has ended, and not a minute before."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.tank import Break
from app.rules.model import Severity, State
from tests.rules.checks import judged, severity, task
from tests.situations import HOME, look, snapshot, warm

# own choice: a look keeps through its day and on through days on which nobody is meant to come


@pytest.mark.parametrize(
    ("now", "due"),
    [
        ("2027-02-11 23:59", False),
        ("2027-02-12 00:00", True),
        ("2027-02-12 08:05", True),
    ],
)
def test_a_look_on_thursday_ends_with_its_day(now: str, due: bool) -> None:
    found = severity(snapshot(now, look("2027-02-11 08:00", 16)), "look.due")
    assert (found is not None) is due


@pytest.mark.parametrize(("now", "due"), [("2027-02-07 23:59", False), ("2027-02-08 00:00", True)])
def test_a_look_on_friday_covers_the_weekend_but_never_monday(now: str, due: bool) -> None:
    found = severity(snapshot(now, look("2027-02-05 15:10", 16)), "look.due")
    assert (found is not None) is due


@pytest.mark.parametrize(
    ("looked", "now", "expected"),
    [
        ("2027-02-10 08:00", "2027-02-11 23:59", Severity.INFO),  # Thursday's own look
        ("2027-02-10 08:00", "2027-02-12 00:00", Severity.WATCH),  # Thursday went by
        ("2027-02-05 15:10", "2027-02-08 23:59", Severity.INFO),  # Monday's own look
        ("2027-02-05 15:10", "2027-02-09 00:00", Severity.WATCH),  # Monday went by
        (None, "2027-02-12 08:00", Severity.WATCH),
    ],
)
def test_the_look_of_the_day_reminds_and_a_day_without_one_is_watched(
    looked: str | None, now: str, expected: Severity
) -> None:
    looks = [] if looked is None else [look(looked, 16)]
    assert severity(snapshot(now, *looks), "look.due") is expected
    read = [] if looked is None else [warm(24.6, looked)]
    assert severity(snapshot(now, *looks, *read), "temperature.due") is expected
    assert judged(snapshot(now, *looks)).state is State.DONT_KNOW


def test_a_break_asks_for_no_look_that_nobody_was_meant_to_take() -> None:
    away = Break(first_day=date(2027, 2, 13), last_day=date(2027, 2, 28), name="")
    now = snapshot("2027-02-27 12:00", look("2027-02-12 12:00"), site=replace(HOME, breaks=(away,)))
    assert severity(now, "look.due") is Severity.INFO


def test_a_tank_without_animals_is_looked_at_without_being_warned_about() -> None:
    now = snapshot("2027-02-12 08:00", look("2027-02-08 08:00"), groups=())
    assert severity(now, "look.due") is Severity.INFO
    assert judged(now).state is State.DONT_KNOW


def test_a_thermometer_is_due_on_the_next_day_and_a_look_does_not_stand_for_it() -> None:
    read = warm(24.6, "2027-02-11 08:00")
    assert severity(snapshot("2027-02-11 20:00", read), "temperature.due") is None
    looked = look("2027-02-12 08:00", 16)
    seen = judged(snapshot("2027-02-12 09:00", read, looked))
    assert [t.severity for t in seen.tasks if t.key == "read-temperature"] == [Severity.WATCH]
    assert seen.state is State.WATCH


def test_breathing_that_was_not_calm_asks_for_air_until_a_later_look_finds_it_calm() -> None:
    # first actions that harm next to nothing: common practice, no single source
    rule, now = "look.breathing", "2027-02-11 12:00"
    uneasy = look("2027-02-11 08:00", breathing_calm=False)
    assert severity(snapshot(now, uneasy), rule) is Severity.ACT
    nobody_asked = look("2027-02-11 09:00")
    assert severity(snapshot(now, uneasy, nobody_asked), rule) is Severity.ACT
    calm_again = look("2027-02-11 10:00", breathing_calm=True)
    assert severity(snapshot(now, uneasy, calm_again), rule) is None
    assert severity(snapshot(now, nobody_asked), rule) is None


def test_all_that_nobody_has_tested_stands_in_one_sentence() -> None:
    due = task(snapshot("2027-02-11 09:00", look("2027-02-11 08:00", 16)), "test")
    assert due is not None
    assert due.reason == "Nobody has tested ammonia (total), nitrite, nitrate and pH yet."
