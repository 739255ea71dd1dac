"""Clean hands before and after work in the water."""

from datetime import date, timedelta
from typing import Final

from app.domain.calendar import day_start
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, LimitShown, Rule, Severity

HANDS_IN: Final = (
    JobKind.WATER_CHANGE,
    JobKind.FILTER_RINSE,
    JobKind.MEDIA_REPLACED,
    JobKind.GLASS,
    JobKind.SIPHON,
    JobKind.TRIM,
    JobKind.LEFTOVERS,
    JobKind.PLANTED,
    JobKind.PLANT_REMOVED,
    JobKind.DEEP_CHECK,
)


def hands(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:  # noqa: ARG001
    """Wash hands: said before the first work in the water of a week. It asks for nothing.

    What: a class tank, from Monday until the first job of the week with hands in the water is
        written.
    Why: tank water may carry germs, and soap harms the animals.
    Source: guidelines of the US Centers for Disease Control and Prevention for animals in schools.
    Bad: Monday, no job yet. Good: the glass wiped on Tuesday, now Wednesday.
    """
    monday = _monday(snapshot.today)
    jobs = snapshot.jobs_of(*HANDS_IN)
    if snapshot.tank.setting != "class" or any(j.local_day >= monday for j in jobs):
        return ()
    return (
        Finding(
            rule_id="hygiene.hands",
            severity=Severity.INFO,
            action=Action(
                key="wash-hands",
                title="Wash hands with soap before (rinse well) and after",
                child_title="Wash your hands before and after. Rinse well.",
                concern=Concern.ROUTINE,
                door="",
            ),
            reason="Wash hands with soap before (rinse well) and after. Cuts covered, or do not "
            "help today.",
            child_reason="Do you have a cut? Cover it, or help another day.",
            due_at=day_start(monday, snapshot.site.zone),
            clears_when="The first job of the week with hands in the water is written.",
            counterfactual="With such a job this week this would not be here.",
            limits=(
                LimitShown("Wash with soap, cover cuts", "cdc-animals-in-schools", "published"),
                LimitShown("Said once a week, before the first such job", "", "own choice"),
            ),
        ),
    )


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


RULES: Final = (
    Rule(
        id="hygiene.hands",
        title="Clean hands",
        why="Tank water may carry germs, and soap harms fish.",
        limits=(),
        check=hands,
        lesson="Soap is good for hands and bad for fish.",
    ),
)
