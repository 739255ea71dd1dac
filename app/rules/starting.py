"""A tank that is being started: the next step, and how long it still waits."""

from datetime import datetime, timedelta
from typing import Final

from app.domain.records import Job, JobKind
from app.domain.snapshot import TankSnapshot, last
from app.domain.tank import Tank
from app.domain.wording import until_text
from app.knowledge.model import Knowledge, Step
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity
from app.rules.showing import limit, of_entry

STARTING: Final = "starting."
"""How the keys of starting steps begin."""
HEATER: Final = "starting.heater"
_UNITS: Final = {
    "min": timedelta(minutes=1),
    "h": timedelta(hours=1),
    "days": timedelta(days=1),
}


def starting(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The next step of a tank that is being started.

    What: as long as no animals live here, from the first step that is ticked off to the last, and
        in a tank of which nothing is written at all; the step after the one ticked last.
    Why: the order and its waits spare animals, and work that would be done twice.
    Source: the order is common practice, most of it after the RSPCA Victoria; each wait has its
        own, `knowledge/waits.toml`.
    Bad: filled for the leak test since yesterday, nothing after it. Good: animals live here.
    """
    newest = _newest(snapshot)
    if snapshot.expected_fish or (newest is None and not _is_blank(snapshot)):
        return ()
    step = _next(snapshot, knowledge, newest)
    if step is None:
        return ()
    ends = wait_ends(snapshot, knowledge)
    waits = ends is not None and ends > snapshot.as_of
    reason = f"{step.title}. {step.check}"
    if newest is not None and ends is not None and waits:
        until = until_text(ends, snapshot.site.zone, snapshot.as_of)
        reason = f"{knowledge.steps[newest.step].title}: wait until {until}. Then: {step.title}."
    waited = knowledge.steps[newest.step].wait if newest is not None else None
    return (
        Finding(
            rule_id="starting.next",
            severity=Severity.INFO,
            action=Action(
                key="starting",
                title="Wait, then go on with starting the tank" if waits else "Start the tank",
                child_title="A grown-up sets up the tank.",
                concern=Concern.ROUTINE,
                door="starting",
                adult=True,
                cautions=step.cautions,
            ),
            reason=reason,
            child_reason="Fish come later. First the tank gets ready.",
            due_at=ends or (newest.happened_at if newest is not None else snapshot.as_of),
            clears_when="The step is ticked off, or animals live here.",
            counterfactual="With animals living here this would not be here.",
            evidence=(of_entry(newest, snapshot.site),)
            if newest is not None
            else (Evidence("Nothing is written of this tank yet"),),
            limits=(limit(knowledge, waited.key, "This step waits"),) if waited else (),
        ),
    )


def wait_ends(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """When the wait of the step ticked last is over; None where it has none."""
    newest = _newest(snapshot)
    return None if newest is None else end_of(knowledge.steps[newest.step], newest.happened_at)


def end_of(step: Step, ticked_at: datetime) -> datetime | None:
    """When the wait of a step is over that was ticked off at a moment; None: it has none."""
    return None if step.wait is None else ticked_at + step.wait.value * _UNITS[step.wait.unit]


def steps_of(way: str, tank: Tank, knowledge: Knowledge) -> tuple[Step, ...]:
    """The steps whose keys begin like this, in order; without a heater there is none for it."""
    steps = (s for key, s in knowledge.steps.items() if key.startswith(way))
    return tuple(s for s in steps if s.key != HEATER or tank.has_heater)


def _newest(snapshot: TankSnapshot) -> Job | None:
    steps = snapshot.jobs_of(JobKind.STEP)
    return last([j for j in steps if j.step.startswith(STARTING)])


def _next(snapshot: TankSnapshot, knowledge: Knowledge, newest: Job | None) -> Step | None:
    """The step after the one ticked last that is not ticked off itself."""
    steps = steps_of(STARTING, snapshot.tank, knowledge)
    ticked = {j.step for j in snapshot.jobs_of(JobKind.STEP)}
    keys = [s.key for s in steps]
    first = keys.index(newest.step) + 1 if newest is not None and newest.step in keys else 0
    return next((s for s in steps[first:] if s.key not in ticked), None)


def _is_blank(snapshot: TankSnapshot) -> bool:
    """Whether nothing is written of this tank, and no group either."""
    entries = (
        snapshot.feedings,
        snapshot.tests,
        snapshot.jobs,
        snapshot.stock_events,
        snapshot.observations,
    )
    return not any(entries) and not snapshot.groups and not snapshot.readings


RULES: Final = (
    Rule(
        id="starting.next",
        title="The next step of a new tank",
        why="The order and its waits spare animals, and work that would be done twice.",
        limits=(
            "wait.leak",
            "wait.steady",
            "wait.settle",
            "arrivals.apart-days",
            "arrivals.many-days",
        ),
        check=starting,
        holds_until=wait_ends,
        lesson="Fish come last. First the tank gets ready.",
    ),
)
