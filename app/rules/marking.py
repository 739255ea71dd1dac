"""What people said about tasks: later, not this time, somebody else. Held against the plan.

A mark ends at its time, and when the task asks for more than it did when it was marked. What
asks for help now cannot be put off. A mark changes the list and never the state of the tank.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from app.domain.marks import MarkKind, TaskMark
from app.rules.model import Evaluation, SetAside, Severity, Task

_ASIDE: Final = (MarkKind.LATER, MarkKind.SKIPPED)


def with_marks(seen: Evaluation, marks: Sequence[TaskMark], now: datetime) -> Evaluation:
    """An evaluation with its list as people marked it; it holds until a mark begins or ends."""
    if not marks:
        return seen
    shown, aside = apply_marks(seen.tasks, marks, now)
    until = marks_hold_until(marks, now)
    holds = seen.holds_until if until is None else min(seen.holds_until, until)
    return replace(seen, tasks=shown, set_aside=aside, holds_until=holds)


def apply_marks(
    tasks: Sequence[Task], marks: Sequence[TaskMark], now: datetime
) -> tuple[tuple[Task, ...], tuple[SetAside, ...]]:
    """The tasks to show and those set aside, each in the order of the plan.

    Args:
        tasks: The plan.
        marks: All marks of the tank; those that no longer count are passed over.
        now: The moment of the plan, aware.
    """
    shown: list[Task] = []
    aside: list[SetAside] = []
    for task in tasks:
        counting = sorted((m for m in marks if _counts(m, task, now)), key=lambda m: (m.at, m.id))
        waiting = [m for m in counting if m.kind in _ASIDE and task.severity < Severity.EMERGENCY]
        given = [m.to for m in counting if m.kind is MarkKind.ASSIGNED]
        marked = replace(task, assigned_to=given[-1]) if given else task
        if waiting:
            aside.append(SetAside(marked, waiting[-1]))
        else:
            shown.append(marked)
    return tuple(shown), tuple(aside)


def marks_hold_until(marks: Sequence[TaskMark], now: datetime) -> datetime | None:
    """The earliest later moment at which a mark begins or ends, or None."""
    moments = [m.at for m in marks] + [m.until for m in marks if m.until is not None]
    return min((m for m in moments if m > now), default=None)


def _counts(mark: TaskMark, task: Task, now: datetime) -> bool:
    if mark.task_key != task.key or task.severity > mark.severity:
        return False
    return mark.at <= now and (mark.until is None or now < mark.until)
