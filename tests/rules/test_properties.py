"""What holds for any record: the plan does not waver, worse is never calmer, guesses clear nothing.

Random histories of seventeen days; `tests/rules/test_plan.py` makes them.
"""

import random
import re
from dataclasses import replace
from datetime import time, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.kit import Equipment
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import Entry, JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break, CarePlan, DayKind, PlannedJob, Range, Setback
from app.rules.engine import evaluate, find
from app.rules.model import Evaluation, Finding, Severity, State, Task
from app.rules.plan import plan
from tests.rules.checks import KNOWLEDGE
from tests.rules.test_plan import NOW, things
from tests.situations import SCHOOL, at, job, reading, snapshot, tank

ORDER = [State.STEADY, State.WATCH, State.DONT_KNOW, State.ACT, State.ACT_NOW]
NO_FOOD = re.compile(r"\bno (more )?food\b", re.IGNORECASE)
NO_CHANGE = re.compile(r"no more (water )?changes?\b|change no more", re.IGNORECASE)
WARM_IT = re.compile(r"\bwarm it\b", re.IGNORECASE)
COOL_IT = re.compile(r"\bcool it\b", re.IGNORECASE)

MORE = {
    Quantity.KH: st.sampled_from([0.5, 1.5, 2.5, 5.0]),
    Quantity.OXYGEN: st.sampled_from([3.0, 4.5, 5.5, 8.0]),
    Quantity.CHLORINE: st.sampled_from([0.0, 0.2]),
}
# for each quantity the direction in which the water gets worse, whatever else is true
WORSE = {
    Quantity.NITRITE: 1.0,
    Quantity.NITRATE: 1.0,
    Quantity.AMMONIA: 1.0,
    Quantity.CHLORINE: 1.0,
    Quantity.OXYGEN: -1.0,
}
_TODAY = at(NOW).date()
STAFF_DAY = replace(SCHOOL, breaks=(Break(first_day=_TODAY, last_day=_TODAY, kind=DayKind.STAFF),))
COOLING = replace(
    SCHOOL,
    setbacks=(
        Setback(weekdays=frozenset(range(5)), starts=time(17), ends=time(6), room_c=12.0),
    ),
)  # fmt: skip
HEATER = Equipment(id=1, kind="heater", name="Heater", watts=50.0)
PUPILS = CarePlan(
    jobs=tuple(PlannedJob(name=name, who="helper") for name in ("feed", "glass", "test"))
)


@st.composite
def situations(draw: st.DrawFn) -> TankSnapshot:
    """Any tank: anything written, with or without a set point, a range, an estimate.

    In an ordinary school, on a staff day on which pupils' jobs rest, in a building that cools.
    """
    written = list(draw(things()))
    for quantity, value in MORE.items():
        for _ in range(draw(st.integers(0, 2))):
            moment = at(NOW) - timedelta(hours=draw(st.integers(0, 400)))
            written.append(reading(quantity, draw(value), moment))
    low = draw(st.sampled_from([None, 22.0, 24.0]))
    ranges = () if low is None else (Range(quantity=Quantity.TEMPERATURE, low=low, high=26.0),)
    kept = tank(
        set_point_c=draw(st.sampled_from([None, 20.0, 25.0])), ranges=ranges,
        plan=draw(st.sampled_from([CarePlan(), PUPILS])),
    )  # fmt: skip
    guess = draw(st.sampled_from([None, 3.0, 5.5, 8.0]))
    night = None if guess is None else OxygenOutlook(low=guess - 1, best=guess, high=guess + 1)
    site = draw(st.sampled_from([SCHOOL, STAFF_DAY, COOLING]))
    return snapshot(NOW, *written, tank=kept, oxygen=night, site=site, equipment=(HEATER,))


def rank(seen: Evaluation) -> int:
    return ORDER.index(seen.state)


def strength(findings: tuple[Finding, ...]) -> dict[str, Severity]:
    """The strongest finding of each rule."""
    found: dict[str, Severity] = {}
    for finding in findings:
        found[finding.rule_id] = max(finding.severity, found.get(finding.rule_id, Severity.INFO))
    return found


@settings(max_examples=40, deadline=None)
@given(situations(), st.randoms(use_true_random=False))
def test_the_order_of_findings_never_changes_the_plan(
    now: TankSnapshot, chance: random.Random
) -> None:
    findings = list(find(now, KNOWLEDGE))
    planned = plan(findings, now, KNOWLEDGE)
    chance.shuffle(findings)
    assert plan(findings, now, KNOWLEDGE) == planned


@settings(max_examples=60, deadline=None)
@given(situations(), st.sampled_from(sorted(WORSE)), st.floats(0.01, 5.0))
def test_of_two_records_that_differ_in_one_value_the_worse_never_has_the_lower_state(
    now: TankSnapshot, quantity: Quantity, step: float
) -> None:
    newest = now.latest(quantity)
    if newest is None or newest.value is None:
        return
    worse = max(0.0, newest.value + step * WORSE[quantity])
    changed = tuple(replace(r, value=worse) if r is newest else r for r in now.readings)
    assert rank(evaluate(replace(now, readings=changed), KNOWLEDGE)) >= rank(
        evaluate(now, KNOWLEDGE)
    )


@settings(max_examples=60, deadline=None)
@given(situations(), st.floats(0.0, 14.0))
def test_an_estimate_never_clears(now: TankSnapshot, best: float) -> None:
    without = replace(now, oxygen=None)
    guessed = replace(now, oxygen=OxygenOutlook(low=best, best=best, high=best))
    assert rank(evaluate(guessed, KNOWLEDGE)) >= rank(evaluate(without, KNOWLEDGE))
    before, after = (strength(find(s, KNOWLEDGE)) for s in (without, guessed))
    assert all(after.get(rule, Severity.INFO) >= worst for rule, worst in before.items())


@settings(max_examples=60, deadline=None)
@given(situations(), st.integers(0, 1000))
def test_taking_an_entry_back_withdraws_exactly_what_it_caused(
    now: TankSnapshot, which: int
) -> None:
    """What stands after an undo is what stood had the entry never been written."""
    everything: list[Entry | Reading] = [*now.observations, *now.feedings, *now.jobs, *now.readings]
    if not everything:
        return
    gone = everything[which % len(everything)]
    left = replace(
        now,
        observations=tuple(o for o in now.observations if o is not gone),
        feedings=tuple(f for f in now.feedings if f is not gone),
        jobs=tuple(j for j in now.jobs if j is not gone),
        readings=tuple(r for r in now.readings if r is not gone),
    )
    entry_id = gone.entry_id if isinstance(gone, Reading) else gone.id
    for finding in find(left, KNOWLEDGE):
        assert entry_id not in {e.entry_id for e in finding.evidence}
    # food says nothing of the water: what the water asked for stays exactly as it was
    if gone in now.feedings:
        before, after = (
            {f for f in find(s, KNOWLEDGE) if f.quantity in {*MORE, Quantity.NITRITE}}
            for s in (now, left)
        )
        assert before == after


def said(task: Task) -> str:
    return f"{task.action.title} {task.reason} {task.advice}"


@settings(max_examples=80, deadline=None)
@given(situations())
def test_a_plan_never_asks_for_opposite_things(now: TankSnapshot) -> None:
    tasks = evaluate(now, KNOWLEDGE).tasks
    texts = {t.key: said(t) for t in tasks}
    if any(NO_FOOD.search(text) for text in texts.values()):
        assert "feed" not in texts
    if "water-change" in texts:
        assert not any(NO_CHANGE.search(text) for text in texts.values()), texts
    together = " ".join(texts.values())
    assert not (WARM_IT.search(together) and COOL_IT.search(together)), texts


@settings(max_examples=60, deadline=None)
@given(situations(), st.sampled_from([18.0, 21.0, 40.0]))
def test_after_a_big_change_only_small_ones_that_day_unless_help_is_needed_now(
    now: TankSnapshot, liters: float
) -> None:
    changed = job(JobKind.WATER_CHANGE, NOW, liters_out=liters)
    jobs = tuple(sorted((*now.jobs, changed), key=lambda j: j.happened_at))
    after = replace(now, jobs=jobs)
    for asked in evaluate(after, KNOWLEDGE).tasks:
        if asked.key == "water-change" and asked.severity < Severity.EMERGENCY:
            assert asked.action.amount <= 0.15


@settings(max_examples=40, deadline=None)
@given(situations(), st.integers(1, 100))
def test_an_evaluation_counts_until_the_moment_it_names(now: TankSnapshot, percent: int) -> None:
    first = evaluate(now, KNOWLEDGE)
    later = now.as_of + (first.holds_until - now.as_of) * percent / 101
    again = evaluate(replace(now, as_of=later), KNOWLEDGE)
    assert again.state is first.state
    assert [(t.key, t.severity) for t in again.tasks] == [(t.key, t.severity) for t in first.tasks]
    assert again.holds_until == first.holds_until
