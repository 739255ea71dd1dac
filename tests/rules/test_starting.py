"""A tank that is being started: which step is next, and how long it waits."""

from datetime import UTC, datetime
from typing import Any

import pytest

from app.domain.records import Job, JobKind
from app.domain.snapshot import TankSnapshot
from app.rules.model import Severity
from app.rules.starting import wait_ends
from tests.rules.checks import KNOWLEDGE, found, severity
from tests.situations import job, look, snapshot, tank

RULE = "starting.next"
MONDAY = "2027-02-01 10:00"


def step(name: str, when: str = MONDAY) -> Job:
    return job(JobKind.STEP, when, step=f"starting.{name}")


def empty(now: str, *things: Any, **more: Any) -> TankSnapshot:
    return snapshot(now, *things, groups=(), **more)


def reason(situation: TankSnapshot) -> str:
    (finding,) = found(situation, RULE)
    return finding.reason


def test_a_tank_of_which_nothing_is_written_begins_with_the_people() -> None:
    assert reason(empty(MONDAY)).startswith("Say who is in charge.")
    assert severity(empty(MONDAY), RULE) is Severity.INFO


def test_an_empty_tank_with_a_record_and_no_step_is_left_alone() -> None:
    assert severity(empty(MONDAY, look(MONDAY)), RULE) is None


def test_with_animals_it_is_over() -> None:
    assert severity(snapshot(MONDAY), RULE) is None
    assert severity(snapshot(MONDAY, step("settle")), RULE) is None


@pytest.mark.parametrize(
    ("now", "says"),
    [
        ("2027-02-01 10:00", "Test for leaks: wait until tomorrow 10:00 am. Then: Mark a bucket"),
        ("2027-02-02 09:59", "Test for leaks: wait until today 10:00 am. Then: Mark a bucket"),
        ("2027-02-02 10:00", "Mark a bucket for the fish."),
    ],
)
def test_the_wait_of_a_day_ends_to_the_minute(now: str, says: str) -> None:
    assert reason(empty(now, step("leak"))).startswith(says)


def test_it_looks_again_when_the_wait_is_over() -> None:
    ends = wait_ends(empty(MONDAY, step("leak")), KNOWLEDGE)
    assert ends == datetime(2027, 2, 2, 15, 0, tzinfo=UTC)
    assert wait_ends(empty(MONDAY, step("mat")), KNOWLEDGE) is None
    assert wait_ends(empty(MONDAY), KNOWLEDGE) is None


def test_steps_that_were_ticked_out_of_order_are_not_asked_for_again() -> None:
    bucket, leak = step("bucket"), step("leak", "2027-02-01 10:05")
    assert reason(empty("2027-02-03 09:00", bucket, leak)).startswith("Rinse the sand.")


def test_without_a_heater_the_filter_is_followed_by_the_cover() -> None:
    ticked = step("filter")
    assert reason(empty(MONDAY, ticked)).startswith("Heater on.")
    bare = tank(has_heater=False)
    assert reason(empty(MONDAY, ticked, tank=bare)).startswith("Put the cover on.")


def test_after_the_last_step_nothing_is_asked() -> None:
    assert severity(empty(MONDAY, step("batches")), RULE) is None


def test_a_step_of_another_kind_starts_nothing() -> None:
    cover = job(JobKind.STEP, MONDAY, step="break-cover:2027-04-01")
    assert severity(empty(MONDAY, cover), RULE) is None


def test_the_cautions_of_the_step_stand_beside_it() -> None:
    (finding,) = found(empty(MONDAY, step("filter")), RULE)
    assert finding.action.cautions == ("heater", "electricity")
    assert finding.action.adult
