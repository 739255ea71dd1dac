"""What the templates of this folder get."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from app.domain.calendar import local_day
from app.domain.snapshot import TankSnapshot
from app.rules.model import Evaluation, Task
from app.web.task_card import Reason, TaskCard, reason_of, task_card, task_cards

_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class TodoPage:
    """Everything that is due, in bands by day, and what is good to know."""

    now: tuple[TaskCard, ...]
    week: tuple[TaskCard, ...]
    later: tuple[TaskCard, ...]
    notes: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyPage:
    """The card of one task as a page."""

    card: TaskCard


def todo_page(snapshot: TankSnapshot, seen: Evaluation, *, is_adult: bool) -> TodoPage:
    """The page from what is known of the tank."""

    def cards(wanted: Iterable[Task]) -> tuple[TaskCard, ...]:
        return task_cards(wanted, snapshot, is_adult=is_adult)

    ahead = {t.key: local_day(t.due_at, snapshot.site.zone) - snapshot.today for t in seen.tasks}
    none = timedelta(0)
    return TodoPage(
        now=cards(t for t in seen.tasks if ahead[t.key] <= none),
        week=cards(t for t in seen.tasks if none < ahead[t.key] < _WEEK),
        later=cards(t for t in seen.tasks if ahead[t.key] >= _WEEK),
        notes=tuple(reason_of(f, snapshot, is_adult=is_adult) for f in seen.notes),
    )


def why_page(snapshot: TankSnapshot, task: Task, *, is_adult: bool) -> WhyPage:
    """The page of one task."""
    return WhyPage(card=task_card(task, snapshot, is_adult=is_adult))
