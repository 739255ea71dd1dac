"""What people said about a task beside doing it: later, not this time, somebody else."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class MarkKind(StrEnum):
    """Put off until a moment, skipped this time, or given to somebody."""

    LATER = "later"
    SKIPPED = "skipped"
    ASSIGNED = "assigned"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskMark:
    """A mark on a task; it counts from `at` until `until`, or until the task grows worse.

    `severity` is how much the task asked for when it was marked (0 info to 3 emergency).
    """

    id: int
    task_key: str
    kind: MarkKind
    at: datetime
    until: datetime | None
    reason: str = ""
    by: str = ""
    to: str = ""
    severity: int = 0
