"""Later, not this time, somebody else: marks on tasks, and when they end."""

from datetime import datetime, timedelta

import pytest

from app.domain.marks import MarkKind, TaskMark
from app.rules.marking import apply_marks, marks_hold_until
from app.rules.model import Action, Concern, Severity, Task
from tests.situations import at

NOW = at("2027-02-03 09:00")
HOUR = timedelta(hours=1)


def a_task(severity: Severity = Severity.WATCH, key: str = "glass") -> Task:
    action = Action(key=key, title="Wipe", child_title="Wipe.", concern=Concern.ROUTINE, door="job")
    return Task(action=action, severity=severity, due_at=NOW, findings=())


def mark(kind: MarkKind, until: datetime | None = NOW + HOUR, **more: object) -> TaskMark:
    fields = {"id": 1, "task_key": "glass", "kind": kind, "at": NOW - HOUR, "severity": 1}
    return TaskMark(**{**fields, "until": until, **more})  # type: ignore[arg-type]


def aside(task: Task, *marks: TaskMark) -> bool:
    shown, put_aside = apply_marks((task,), marks, NOW)
    assert len(shown) + len(put_aside) == 1
    return bool(put_aside)


@pytest.mark.parametrize("kind", [MarkKind.LATER, MarkKind.SKIPPED])
@pytest.mark.parametrize(
    ("until", "expected"), [(NOW + HOUR, True), (NOW, False), (NOW - HOUR / 2, False), (None, True)]
)
def test_it_stays_aside_until_its_time(
    kind: MarkKind, until: datetime | None, expected: bool
) -> None:
    assert aside(a_task(), mark(kind, until)) is expected


def test_a_mark_of_the_future_does_not_count_yet() -> None:
    assert not aside(a_task(), mark(MarkKind.LATER, at=NOW + HOUR / 2))


@pytest.mark.parametrize(
    ("then", "now", "expected"),
    [
        (Severity.WATCH, Severity.INFO, True),
        (Severity.WATCH, Severity.WATCH, True),
        (Severity.WATCH, Severity.ACT, False),
        (Severity.EMERGENCY, Severity.EMERGENCY, False),  # never put off
    ],
)
def test_a_task_that_grew_worse_comes_back(then: Severity, now: Severity, expected: bool) -> None:
    assert aside(a_task(now), mark(MarkKind.LATER, severity=int(then))) is expected


def test_other_tasks_are_not_touched() -> None:
    assert not aside(a_task(key="trim"), mark(MarkKind.LATER))


def test_a_task_given_to_somebody_is_shown_with_the_name() -> None:
    shown, put_aside = apply_marks((a_task(),), (mark(MarkKind.ASSIGNED, to="Heron"),), NOW)
    assert put_aside == ()
    assert shown[0].assigned_to == "Heron"
    both = (mark(MarkKind.ASSIGNED, to="Heron"), mark(MarkKind.ASSIGNED, to="Otter", id=2))
    assert apply_marks((a_task(),), both, NOW)[0][0].assigned_to == "Otter"
    assert apply_marks((a_task(),), (), NOW)[0][0].assigned_to == ""


def test_when_marks_alone_change_the_list() -> None:
    marks = (mark(MarkKind.LATER), mark(MarkKind.SKIPPED, NOW + 2 * HOUR))
    assert marks_hold_until(marks, NOW) == NOW + HOUR
    assert marks_hold_until((), NOW) is None
    assert marks_hold_until((mark(MarkKind.LATER, None),), NOW) is None
