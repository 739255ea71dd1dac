"""Whatever was found: one task for one action, no two that fight, always in the same order."""

import random
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind, Treated
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan, PlannedJob
from app.rules.engine import evaluate, find
from app.rules.model import Concern, Severity, State
from app.rules.plan import plan
from tests.rules.checks import FIGHTING, KNOWLEDGE, judged, plain, task
from tests.situations import (
    HOME,
    Thing,
    at,
    calm,
    fed,
    job,
    look,
    metered,
    reading,
    snapshot,
    stock,
    tank,
    warm,
)

NOW = "2027-02-12 12:00"
ORDER = [State.STEADY, State.WATCH, State.DONT_KNOW, State.ACT, State.ACT_NOW]

hours = st.integers(min_value=0, max_value=400)
values = {
    Quantity.AMMONIA: st.sampled_from([0.0, 0.25, 0.5, 1.0, 3.0]),
    Quantity.NITRITE: st.sampled_from([0.0, 0.1, 0.5, 2.0]),
    Quantity.NITRATE: st.sampled_from([5.0, 26.0, 60.0, 150.0]),
    Quantity.PH: st.sampled_from([5.0, 6.8, 7.4, 8.2, 9.2]),
    Quantity.TEMPERATURE: st.sampled_from([15.0, 20.0, 25.0, 29.0, 32.0]),
    Quantity.CHLORIDE: st.sampled_from([5.0, 100.0]),
}


@st.composite
def things(draw: st.DrawFn) -> tuple[Thing, ...]:
    """Anything that may have been written within seventeen days."""

    found: list[Thing] = []
    for quantity, value in values.items():
        for _ in range(draw(st.integers(0, 3))):
            moment = at(NOW) - timedelta(hours=draw(hours))
            doubtful = draw(st.booleans())
            found.append(reading(quantity, draw(value), moment, kit_doubtful=doubtful))
    for _ in range(draw(st.integers(0, 3))):
        moment = at(NOW) - timedelta(hours=draw(hours))
        signs = tuple(draw(st.sets(st.sampled_from(Sign), max_size=2)))
        found.append(look(moment, draw(st.sampled_from([None, 13, 16, 17])), signs=signs))
    for _ in range(draw(st.integers(0, 3))):
        found.append(fed(at(NOW) - timedelta(hours=draw(hours))))
    for _ in range(draw(st.integers(0, 2))):
        kind = draw(st.sampled_from([JobKind.WATER_CHANGE, JobKind.FILTER_RINSE, JobKind.TOP_UP]))
        treated = draw(st.sampled_from([None, *Treated]))
        moment = at(NOW) - timedelta(hours=draw(hours))
        found.append(
            job(kind, moment, treated=treated, liters_out=draw(st.sampled_from([5, 22, 45])))
        )
    if draw(st.booleans()):
        found.append(stock(StockEventKind.DIED, at(NOW) - timedelta(hours=draw(hours))))
    return tuple(found)


@settings(max_examples=60, deadline=None)
@given(things(), st.randoms(use_true_random=False))
def test_the_order_of_findings_never_changes_the_plan(
    written: tuple[Thing, ...], chance: random.Random
) -> None:
    now = snapshot(NOW, *written)
    findings = list(find(now, KNOWLEDGE))
    planned = plan(findings, now, KNOWLEDGE)
    chance.shuffle(findings)
    assert plan(findings, now, KNOWLEDGE) == planned


@settings(max_examples=60, deadline=None)
@given(things())
def test_tasks_never_fight(written: tuple[Thing, ...]) -> None:
    tasks = evaluate(snapshot(NOW, *written), KNOWLEDGE).tasks
    keys = [t.key for t in tasks]
    assert len(set(keys)) == len(keys)
    changes = [t for t in tasks if t.action.job == "water_change"]
    assert len(changes) <= 1
    assert all(0.0 < t.action.amount <= 0.30 for t in changes)
    if any(t.severity is Severity.EMERGENCY for t in tasks):
        assert all(t.action.concern is not Concern.ROUTINE for t in tasks)
    assert [pair for pair in FIGHTING if pair <= set(keys)] == []
    ranks = [t.severity for t in tasks if t.key != "look"]
    assert ranks == sorted(ranks, reverse=True)


@settings(max_examples=40, deadline=None)
@given(things())
def test_every_finding_that_asks_is_in_a_task_or_beaten_by_a_stronger_concern(
    written: tuple[Thing, ...],
) -> None:
    now = snapshot(NOW, *written)
    findings = find(now, KNOWLEDGE)
    kept = {f.rule_id for t in evaluate(now, KNOWLEDGE).tasks for f in t.findings}
    for finding in findings:
        if finding.action.door and finding.rule_id not in kept:
            assert any(
                f.rule_id in kept and f.action.concern < finding.action.concern for f in findings
            )


def _rank(state: State) -> int:
    return ORDER.index(state)


def with_value(quantity: Quantity, value: float) -> TankSnapshot:
    others = [t for t in calm(NOW) if getattr(t, "quantity", None) is not quantity]
    now = at(NOW) - timedelta(minutes=10)
    return snapshot(NOW, *others, reading(quantity, value, now))


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE]),
    st.floats(0.0, 200.0),
    st.floats(0.0, 200.0),
)
def test_a_worse_value_never_gives_a_lower_state(
    quantity: Quantity, one: float, two: float
) -> None:
    better, worse = (
        sorted((one / 40, two / 40)) if quantity is not Quantity.NITRATE else sorted((one, two))
    )
    low = evaluate(with_value(quantity, better), KNOWLEDGE).state
    high = evaluate(with_value(quantity, worse), KNOWLEDGE).state
    assert _rank(low) <= _rank(high)


@settings(max_examples=60, deadline=None)
@given(st.floats(24.0, 40.0), st.floats(24.0, 40.0), st.booleans())
def test_further_from_the_range_never_gives_a_lower_state(
    one: float, two: float, cold: bool
) -> None:
    near, far = sorted((one, two))
    if cold:
        near, far = 48.0 - near, 48.0 - far
    low = evaluate(with_value(Quantity.TEMPERATURE, near), KNOWLEDGE).state
    high = evaluate(with_value(Quantity.TEMPERATURE, far), KNOWLEDGE).state
    assert _rank(low) <= _rank(high)


@settings(max_examples=30, deadline=None)
@given(things(), st.integers(1, 100))
def test_between_now_and_holds_until_nothing_changes(
    written: tuple[Thing, ...], percent: int
) -> None:
    now = snapshot(NOW, *written)
    first = evaluate(now, KNOWLEDGE)
    later = now.as_of + (first.holds_until - now.as_of) * percent / 101
    again = evaluate(replace(now, as_of=later), KNOWLEDGE)
    assert again.state is first.state
    assert [(t.key, t.severity) for t in again.tasks] == [(t.key, t.severity) for t in first.tasks]


def test_a_look_that_is_due_comes_after_act_and_before_watch() -> None:
    written = metered("2027-02-12 11:00", nitrate=80.0, ph=7.4, ammonia=0.0, nitrite=0.1)
    old = look("2027-02-10 09:00", 16)
    tasks = evaluate(snapshot(NOW, *written, old, warm(25.0, "2027-02-12 11:00")), KNOWLEDGE).tasks
    assert [t.key for t in tasks][:3] == ["water-change", "look", "test-nitrite"]


def test_after_a_big_change_the_next_one_of_that_day_is_small() -> None:
    def asked(liters: float, when: str, nitrite: float = 0.5) -> float:
        change = job(JobKind.WATER_CHANGE, when, liters_out=liters)
        tested = metered("2027-02-12 11:00", nitrite=nitrite, nitrate=20.0, ph=7.4, ammonia=0.0)
        planned = evaluate(snapshot(NOW, change, *tested), KNOWLEDGE).tasks
        return next(t.action.amount for t in planned if t.key == "water-change")

    # 80 % of a quarter of 85.0 L are 17.0 L
    assert asked(17.1, "2027-02-12 09:00") == 0.15
    assert asked(16.9, "2027-02-12 09:00") == 0.25
    assert asked(17.1, "2027-02-11 23:00") == 0.25
    assert asked(17.1, "2027-02-12 09:00", nitrite=2.0) == 0.30  # help is needed now


@pytest.mark.parametrize(
    ("who", "grown_up"), [("", False), ("helper", False), ("adult", True), ("technician", True)]
)
@pytest.mark.parametrize(("name", "key"), [("glass", "routine-glass"), ("test", "test")])
def test_a_task_says_whom_the_plan_gives_it_to(
    name: str, key: str, who: str, grown_up: bool
) -> None:
    ours = tank(plan=CarePlan(jobs=(PlannedJob(name=name, who=who),)))
    due = task(snapshot(NOW, fed("2027-02-01 08:00"), tank=ours), key)
    assert due is not None
    assert due.who == who
    assert due.action.adult is grown_up


def test_a_job_of_grown_ups_stays_theirs_and_what_cannot_wait_is_for_whoever_is_there() -> None:
    jobs = (
        PlannedJob(name="siphon", who="helper"),
        PlannedJob(name="water_change", who="technician"),
    )
    ours = tank(plan=CarePlan(jobs=jobs))
    siphon = task(snapshot(NOW, fed("2027-02-01 08:00"), tank=ours), "routine-siphon")
    assert siphon is not None
    assert (siphon.who, siphon.action.adult) == ("helper", True)
    pressing = metered("2027-02-12 11:00", nitrite=0.5, ammonia=0.0, ph=7.4)
    change = task(snapshot(NOW, *pressing, tank=ours), "water-change")
    assert change is not None
    assert (change.severity, change.who, change.action.adult) == (Severity.ACT, "", True)


@pytest.mark.parametrize(("last_meal", "told"), [("2027-02-06", True), ("2027-02-07", False)])
def test_many_days_without_food_are_not_hidden_by_water_that_forbids_it(
    last_meal: str, told: bool
) -> None:
    meal = fed(f"{last_meal} 08:00")
    bad = metered("2027-02-12 08:00", nitrite=0.5, ammonia=0.0, ph=7.4)
    held = task(snapshot(NOW, meal, *bad, site=HOME), "without-food")
    assert held is not None
    assert ("No meal is written for 6 days" in plain(held.reason)) is told
    assert ("Then one usual meal, not a double one." in held.reason) is told


def test_days_without_food_are_asked_about_once_the_bad_reading_is_old() -> None:
    bad = metered("2027-02-09 08:00", nitrite=0.5, ammonia=0.0, ph=7.4)
    keys = {
        meal: {t.key for t in judged(snapshot(NOW, fed(meal), *bad, site=HOME)).tasks}
        for meal in ("2027-02-06 08:00", "2027-02-07 08:00")
    }
    assert {"water-change", "feed"} <= keys["2027-02-06 08:00"]
    assert "feed" not in keys["2027-02-07 08:00"]
    assert all("without-food" not in found for found in keys.values())


def test_what_was_seen_at_this_very_moment_stands_before_what_was_never_measured() -> None:
    """Nobody ever read the thermometer: that is due at each moment anew."""
    moments = [at(NOW) + timedelta(minutes=n) for n in (0, 1)]
    odd = look(at(NOW), None, signs=(Sign.OTHER,))
    orders = [
        [task.key for task in judged(replace(snapshot(NOW, odd), as_of=moment)).tasks][:2]
        for moment in moments
    ]
    assert orders == [["sign-other", "read-temperature"]] * 2
