"""From findings to a short list of tasks that never contradict each other.

Findings that ask for the same action become one task. Where two would fight, what keeps animals
alive goes before what poisons them, that before disease, a look and routine; and the smaller
water change wins, to be repeated: after a big one the next of that day stays small, unless help is
needed now. The order of the findings never changes the plan.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from app.domain.calendar import comes, somebody_comes
from app.domain.quantities import FACTS
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan
from app.domain.wording import in_sentence, listed
from app.knowledge.model import Knowledge
from app.rules import water_change
from app.rules.model import Action, Concern, Finding, Severity, Task

LOOK_KEY: Final = "look"
FEED_KEY: Final = "feed"
PORTION_KEY: Final = "portion"
_NO_FOOD: Final = ("leftovers", "without-food", "filter-off")
TEST_KEY: Final = "test"
FILTER_KEY: Final = "filter-rinse"
ROUTINE_PREFIX: Final = "routine-"
_GROWN_UPS: Final = ("adult", "technician")


def plan(
    findings: Sequence[Finding], snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Task, ...]:
    """The tasks, in the order in which to do them: by harm, certainty, staleness."""
    asking = [f for f in findings if f.action.door]
    kept = [f for f in asking if not _pointless(f, asking)]
    groups: dict[str, list[Finding]] = defaultdict(list)
    for finding in kept:
        groups[finding.action.key].append(finding)
    tasks = [_merged(group, kept, snapshot, knowledge) for group in groups.values()]
    return tuple(sorted(tasks, key=_place))


def rests(finding: Finding, snapshot: TankSnapshot) -> bool:
    """Whether it asks only for a routine job of pupils, on a day on which they do not come.

    On a weekend and in a break nobody is asked either way; what presses is for whoever is there.
    """
    routine = finding.action.concern is Concern.ROUTINE and finding.severity < Severity.ACT
    return routine and _without_pupils(finding.action.key, snapshot)


def _without_pupils(key: str, snapshot: TankSnapshot) -> bool:
    """Whether the plan gives a task to pupils on a day on which only adults come."""
    site, today = snapshot.site, snapshot.today
    who = _planned_for(key, snapshot.tank.plan)
    return somebody_comes(site, today) and not comes(site, today, who)


def finding_place(finding: Finding) -> tuple[int, int, bool, str, int, str, str]:
    """Where a finding stands among others: strongest first, and always the same way."""
    return (
        -finding.severity,
        finding.action.concern,
        not finding.certain,
        finding.rule_id,
        finding.order,
        finding.reason,
        finding.quantity.value if finding.quantity else "",
    )


def _place(task: Task) -> tuple[int, int, bool, float, bool, str]:
    first = task.findings[0]
    return (
        _rank(task),
        task.action.concern,
        not first.certain,
        task.due_at.timestamp(),
        # what nobody ever looked at is due now, at each moment anew: after what was just seen
        task.action.concern is Concern.LOOK and not first.evidence,
        task.key,
    )


def _rank(task: Task) -> int:
    """Harm first; a look that is due comes after what must be done and before what is watched."""
    if task.severity >= Severity.ACT:
        return int(Severity.EMERGENCY - task.severity)
    if task.key == LOOK_KEY:
        return 2
    return 3 + int(Severity.WATCH - task.severity)


def _pointless(finding: Finding, others: Sequence[Finding]) -> bool:
    """Whether something stronger makes this one pointless or would fight it."""
    pressing = [f for f in others if f.severity >= Severity.ACT]
    routine = finding.action.concern is Concern.ROUTINE
    if routine and any(f.severity is Severity.EMERGENCY for f in others):
        return True
    unsettled = any(f.action.concern is Concern.LIFE_SUPPORT for f in pressing)
    poisoned = unsettled or any(f.action.concern is Concern.TOXINS for f in pressing)
    if finding.action.key in {FEED_KEY, PORTION_KEY, FILTER_KEY}:
        # many days without food are hidden only by what forbids a meal now, not by an old test
        hungry = finding.action.key == FEED_KEY and finding.severity >= Severity.ACT
        forbidden = any(f.action.key in _NO_FOOD for f in others)
        return forbidden or (unsettled if hungry else poisoned)
    return routine and unsettled and finding.action.key == water_change.KEY


def _merged(
    group: Sequence[Finding],
    kept: Sequence[Finding],
    snapshot: TankSnapshot,
    knowledge: Knowledge,
) -> Task:
    found = sorted(group, key=finding_place)
    key = found[0].action.key
    who = "" if _without_pupils(key, snapshot) else _planned_for(key, snapshot.tank.plan)
    action = replace(
        found[0].action,
        concern=min(f.action.concern for f in found),
        adult=who in _GROWN_UPS or any(f.action.adult for f in found),
        cautions=tuple(dict.fromkeys(c for f in found for c in f.action.cautions)),
    )
    advice = ""
    if action.key == water_change.KEY:
        share = water_change.asked_share(kept)
        small = knowledge.value("change.small") / 100.0
        again = found[0].severity < Severity.EMERGENCY and share > small
        if again and water_change.changed_today(snapshot, knowledge):
            share, advice = small, f"{water_change.ENOUGH} "
        change = water_change.sized(action, share, snapshot, knowledge)
        action, advice = change.action, (advice + change.advice).strip()
        found[0] = replace(found[0], working=found[0].working + change.working)
    elif action.key == TEST_KEY:
        action = _test_action(action, found)
    return Task(
        action=action,
        severity=found[0].severity,
        due_at=min(f.due_at for f in found),
        findings=tuple(found),
        advice=advice,
        # what cannot wait is for whoever is there
        who=who if found[0].severity < Severity.ACT else "",
    )


def _planned_for(key: str, plan: CarePlan) -> str:
    """Whom the tank's plan gives the job of a task to; "" for anybody, or for no job of a plan."""
    return plan.who(key.removeprefix(ROUTINE_PREFIX).replace("-", "_"))


def _test_action(action: Action, found: Sequence[Finding]) -> Action:
    asked = {f.quantity for f in found if f.quantity is not None}
    names = [in_sentence(FACTS[q].label) for q in FACTS if q in asked]
    shown = [name.removesuffix(" (total)") for name in names]
    return replace(action, title=f"Test {listed(shown)}")
