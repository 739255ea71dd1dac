"""The light timer after the clocks changed."""

from datetime import date, timedelta
from typing import Final

from app.domain.calendar import clock_change_on, day_start
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import full_day
from app.knowledge.model import Knowledge
from app.rules.intervals import first_written
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity
from app.rules.showing import limit


def light_timer(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The clocks changed, and plug-in timers did not follow.

    What: from the day on which the clocks moved until somebody writes what was done.
    Why: the tank keeps the old hours, the people do not.
    Source: our own choice.
    Bad: Sunday 1 November 2026 in New York. Good: any day after the answer.
    """
    day = _last_clock_change(snapshot, knowledge)
    began = snapshot.tank.started_on or first_written(snapshot)
    if day is None or began is None or began > day:
        return ()
    answer = last(snapshot.jobs_of(JobKind.LIGHT_TIMER))
    if answer is not None and answer.local_day >= day:
        return ()
    return (
        Finding(
            rule_id="maintenance.light-timer",
            severity=Severity.INFO,
            action=Action(
                key="light-timer",
                title="Move the light timer, or keep it?",
                child_title="The clocks changed. What about the light?",
                concern=Concern.ROUTINE,
                door="job",
                job=JobKind.LIGHT_TIMER.value,
                cautions=("electricity",),
            ),
            reason=f"The clocks changed on {full_day(day)}. A plug-in timer did not follow.",
            child_reason="The clocks changed. The light did not.",
            due_at=day_start(day, snapshot.site.zone),
            clears_when="Light timer moved or kept is written.",
            counterfactual="Without a change of the clocks this would not be here.",
            evidence=(Evidence(f"Clocks changed on {full_day(day)}"),),
            limits=(limit(knowledge, "light.look-back-days", "Looked back"),),
        ),
    )


def _last_clock_change(snapshot: TankSnapshot, knowledge: Knowledge) -> date | None:
    """The last day on which the clocks moved, if the tank was there before it."""
    born = snapshot.tank.started_on or first_written(snapshot)
    if born is None:
        return None
    for back in range(int(knowledge.value("light.look-back-days"))):
        day = snapshot.today - timedelta(days=back)
        if day <= born:
            return None
        if clock_change_on(day, snapshot.site.zone) is not None:
            return day
    return None


RULES: Final = (
    Rule(
        id="maintenance.light-timer",
        title="Light timer after a clock change",
        why="Timers do not follow the clocks.",
        limits=("light.look-back-days",),
        check=light_timer,
        lesson="Plants and fish keep their own time.",
    ),
)
