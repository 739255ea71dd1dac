"""What the templates of this folder get."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from flask import url_for

from app.domain import wording
from app.domain.calendar import local_day
from app.domain.marks import MarkKind, TaskMark
from app.domain.snapshot import TankSnapshot
from app.rules.model import Evaluation, Task
from app.services.marks import PastMark
from app.services.supply_use import SupplyOutlook, amount_text
from app.web.filters import lasts
from app.web.task_card import Reason, TaskCard, reason_of, task_card, task_cards
from app.web.todo.marks import MarkForm

_PAST_SHOWN = 5
_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class AsideLine:
    """A task that somebody put off or skipped, and the way to take it back."""

    title: str
    said: str
    mark_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLine:
    """A supply to buy soon: for how long it lasts, and what that rests on."""

    name: str
    lasts: str
    because: tuple[str, ...]
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TodoPage:
    """Everything that is due, in bands by day, what to buy, and what is good to know."""

    now: tuple[TaskCard, ...]
    week: tuple[TaskCard, ...]
    later: tuple[TaskCard, ...]
    shelf: tuple[ShelfLine, ...]
    notes: tuple[Reason, ...]
    set_aside: tuple[AsideLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyPage:
    """The card of one task as a page; `past` is what was said of this task before, in words."""

    card: TaskCard
    form: MarkForm
    past: tuple[str, ...]


def todo_page(
    snapshot: TankSnapshot, seen: Evaluation, shelf: Sequence[SupplyOutlook], *, is_adult: bool
) -> TodoPage:
    """The page from what is known of the tank."""

    def cards(wanted: Iterable[Task]) -> tuple[TaskCard, ...]:
        return task_cards(wanted, snapshot, is_adult=is_adult)

    ahead = {t.key: local_day(t.due_at, snapshot.site.zone) - snapshot.today for t in seen.tasks}
    none = timedelta(0)
    return TodoPage(
        now=cards(t for t in seen.tasks if ahead[t.key] <= none),
        week=cards(t for t in seen.tasks if none < ahead[t.key] < _WEEK),
        later=cards(t for t in seen.tasks if ahead[t.key] >= _WEEK),
        shelf=tuple(_shelf_line(outlook, snapshot) for outlook in shelf),
        notes=tuple(reason_of(f, snapshot, is_adult=is_adult) for f in seen.notes),
        set_aside=tuple(
            AsideLine(
                title=aside.task.action.title,
                said=_said(aside.mark, snapshot),
                mark_id=aside.mark.id,
            )
            for aside in seen.set_aside
        ),
    )


def _shelf_line(outlook: SupplyOutlook, snapshot: TankSnapshot) -> ShelfLine:
    supply = outlook.supply
    left = amount_text(supply.left, supply.unit, snapshot.site)
    counted = f"{left} left on {wording.dated(supply.counted_on)}."
    return ShelfLine(
        name=supply.name,
        lasts=lasts(outlook.days or 0.0, outlook.ends_on),
        because=tuple(text for text in (counted, outlook.words, outlook.shortfall) if text),
        url=url_for("tank.supply", tank_id=snapshot.tank.id, supply_id=supply.id),
    )


def why_page(
    snapshot: TankSnapshot,
    task: Task,
    form: MarkForm,
    past: Sequence[PastMark],
    *,
    is_adult: bool,
) -> WhyPage:
    """The page of one task."""
    return WhyPage(
        card=task_card(task, snapshot, is_adult=is_adult),
        form=form,
        past=tuple(_said(p.mark, snapshot, dated=True) for p in past[:_PAST_SHOWN]),
    )


def _said(mark: TaskMark, snapshot: TankSnapshot, *, dated: bool = False) -> str:
    """What somebody said of a task: "Later, until Friday: no water left. By Ms Reed."."""
    zone = snapshot.site.zone
    words = {
        MarkKind.LATER: "Later",
        MarkKind.SKIPPED: "Not this time",
        MarkKind.ASSIGNED: f"For {mark.to}",
    }[mark.kind]
    if mark.until is not None:
        words += f", until {wording.day_text(local_day(mark.until, zone), snapshot.today)}"
    if mark.reason:
        words += f": {mark.reason.rstrip('.')}"
    when = f" ({wording.when_text(mark.at, zone, snapshot.as_of)})" if dated else ""
    return f"{words}. By {mark.by}{when}."
