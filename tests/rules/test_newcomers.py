"""Who is new, and which animals come before the filter is ready."""

from datetime import date

import pytest

from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.rules.newcomers import comes_early
from tests.rules.checks import KNOWLEDGE
from tests.situations import job, look, snapshot, tank

NOW = "2027-02-12 12:00"
TODAY = date(2027, 2, 12)


def begun(*things: object, **changes: object) -> TankSnapshot:
    """A tank whose record begins now, and of which nobody knows when it was filled."""
    unknown = {"started_on": None, "mature_on": None} | changes
    return snapshot(NOW, *things, tank=tank(**unknown), groups=())  # type: ignore[arg-type]


def test_animals_with_which_the_record_of_an_old_tank_begins_are_not_asked_about() -> None:
    assert comes_early(begun(), TODAY, KNOWLEDGE) is None


def test_a_step_of_starting_says_that_the_tank_is_new() -> None:
    step = job(JobKind.STEP, "2027-02-12 11:00", step="starting.sand")

    assert comes_early(begun(step), TODAY, KNOWLEDGE) is not None


@pytest.mark.parametrize(("filled", "asked"), [(date(2027, 2, 1), True), (date(2025, 2, 1), False)])
def test_the_day_on_which_it_was_filled_decides(filled: date, asked: bool) -> None:
    found = comes_early(begun(started_on=filled), TODAY, KNOWLEDGE)

    assert (found is not None) is asked


def test_animals_that_come_to_a_ready_filter_are_not_asked_about() -> None:
    ready = begun(look("2027-02-01 12:00"), mature_on=date(2027, 1, 1))

    assert comes_early(ready, TODAY, KNOWLEDGE) is None
