"""What the rehearsal of a break asks for before leaving, and what ends it.

Ten days before a break of 17 days with its weekends. The level fell by 8 mm in two days: 4 mm a day
reach the heater line, 40 mm down, after ten days. By its measures the tank loses far more than 50 W
in a room of 12 °C.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.estimates.closure_model import Trouble
from app.rules.breaks import near_stretches
from app.rules.model import Severity, State
from app.rules.rehearsal import ready_step, usual_away
from tests.rules.checks import KNOWLEDGE, found, judged, plain, task
from tests.rules.class_situations import away, break_that_fails
from tests.situations import at, calm, job, snapshot

RULE = "breaks.rehearsal"


def troubles(known: TankSnapshot) -> set[str]:
    return {finding.action.key for finding in found(known, RULE)}


def test_it_asks_for_each_thing_that_fails_before_leaving() -> None:
    known = break_that_fails()

    assert troubles(known) == {"break-level", "break-warmth", "break-nitrate"}
    for finding in found(known, RULE):
        assert finding.severity is Severity.WATCH
        assert not finding.certain
        assert "estimate, not measured" in finding.reason
        assert finding.action.adult


def test_the_usual_plan_leaves_on_the_last_day_with_people() -> None:
    known = break_that_fails()
    (stretch,) = near_stretches(known, KNOWLEDGE)
    plan = usual_away(stretch, known.site, KNOWLEDGE)

    assert (plan.leaves, plan.returns) == (at("2027-02-19 15:00"), at("2027-03-09 08:30"))
    assert plan.visits == 8


def test_the_task_names_the_day() -> None:
    asked = task(break_that_fails(), "break-level")

    assert asked is not None
    # 19 February 3 pm and ten days
    assert asked.action.title == "For the break: ask a visitor to top up by Monday 1 March"
    assert "below the heater line" in plain(asked.reason)
    assert asked.action.door == "rehearsal"
    assert asked.action.cautions == ("heater", "untreated_water")


@pytest.mark.parametrize("trouble", [Trouble.LEVEL, Trouble.WARMTH, Trouble.NITRATE])
def test_a_tick_ends_what_it_is_about(trouble: Trouble) -> None:
    known = break_that_fails()
    step = ready_step(known.site.breaks[0], trouble)
    ticked = replace(
        known, jobs=(*known.jobs, job(JobKind.STEP, known.as_of - timedelta(hours=1), step=step))
    )

    assert troubles(known) - troubles(ticked) == {f"break-{trouble.value}"}


def test_a_tick_of_another_break_ends_nothing() -> None:
    known = break_that_fails()
    other = replace(known.site.breaks[0], first_day=date(2027, 5, 3))
    step = job(JobKind.STEP, known.as_of, step=ready_step(other, Trouble.LEVEL))

    assert troubles(replace(known, jobs=(*known.jobs, step))) == troubles(known)


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (date(2027, 2, 25), date(2027, 2, 26)),  # four days with the weekend: the line holds
        (date(2027, 3, 8), date(2027, 3, 26)),  # more than 21 days ahead
    ],
)
def test_other_breaks_ask_for_no_top_up(first: date, last: date) -> None:
    known = replace(break_that_fails(), site=away(first, last))
    assert "break-level" not in troubles(known)


def test_it_stays_in_the_break_until_somebody_fills_up() -> None:
    # since Wednesday 10 February, 3 pm
    begun = replace(break_that_fails(), site=away(date(2027, 2, 11), date(2027, 2, 26)))
    assert "break-level" in troubles(begun)

    filled = job(JobKind.TOP_UP, begun.as_of - timedelta(hours=1), liters_in=2.0)
    assert "break-level" not in troubles(replace(begun, jobs=(*begun.jobs, filled)))


@pytest.mark.parametrize(
    ("now", "asked"), [("2027-03-08 23:59", True), ("2027-03-09 00:00", False)]
)
def test_it_ends_with_the_last_day_without_people(now: str, asked: bool) -> None:
    known = replace(break_that_fails(), as_of=at(now))
    assert ("break-warmth" in troubles(known)) is asked


def test_nothing_is_said_of_what_nobody_wrote() -> None:
    """A calm tank without a heater line, watts or a cold room is not rehearsed into a watch."""
    now = "2027-02-12 12:00"
    known = snapshot(now, *calm(now), site=away(date(2027, 2, 22), date(2027, 3, 8)))

    assert troubles(known) == set()


def test_a_tank_without_animals_is_left_alone() -> None:
    assert troubles(replace(break_that_fails(), groups=())) == set()


def test_it_never_makes_a_tank_worse_than_watch_nor_better() -> None:
    known = break_that_fails()
    assert judged(known).state is State.WATCH
