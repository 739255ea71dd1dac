"""Looks and thermometer: due when their shelf life has ended, and not a minute before."""

import pytest

from app.rules.model import Severity
from tests.rules.checks import severity, task
from tests.situations import look, snapshot, warm

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


def test_a_thermometer_is_due_on_the_next_day_and_a_look_does_not_stand_for_it() -> None:
    read = warm(24.6, "2027-02-11 08:00")
    assert severity(snapshot("2027-02-11 20:00", read), "temperature.due") is None
    looked = look("2027-02-12 08:00", 16)
    assert severity(snapshot("2027-02-12 09:00", read, looked), "temperature.due") in {
        Severity.INFO,
        Severity.WATCH,
    }


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
