"""What the templates of this folder get."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from flask import url_for

from app.domain import wording
from app.domain.quantities import Quantity
from app.domain.series import Band
from app.domain.snapshot import TankSnapshot
from app.rules.model import Evaluation, MealAnswer, MealState
from app.services.access.people import Visitor
from app.services.school.tiles import Hands
from app.services.story import StoryLine
from app.web.filters import clock_parts
from app.web.gauge import Gauge, gauges
from app.web.rights import may_open
from app.web.saved import SavedLine, saved_line
from app.web.task_card import TaskCard, task_cards
from app.web.today.notices import Notice

FIRST_TASKS = 3
_DOORS = (
    ("feed", "Feed", "writing.feed"),
    ("look", "Look and count", "writing.look"),
    ("test", "Test water", "writing.test"),
    ("change", "Water change", "writing.change"),
    ("odd", "Something odd", "writing.odd"),
    ("job", "Other job", "writing.job"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """The tank's own day and time."""

    stamp: str
    weekday: str
    day: str
    clock: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayPage:
    """Everything on Today."""

    tank_name: str
    day: DayLine
    meal: MealAnswer
    feed_url: str
    state: str
    word: str
    line: str
    rest: str
    saved: SavedLine | None
    tasks: tuple[TaskCard, ...]
    more: int
    todo_url: str
    starting_url: str
    gauges: tuple[Gauge, ...]
    never: tuple[str, ...]
    doors: tuple[tuple[str, str, str], ...]
    door_view_url: str
    notices: tuple[Notice, ...]
    on_duty: tuple[str, ...]


def day_line(moment: datetime, zone: str) -> DayLine:
    """A moment as the head of Today says it."""
    there = moment.astimezone(ZoneInfo(zone))
    return DayLine(
        stamp=there.strftime("%Y-%m-%dT%H:%M"),
        weekday=f"{there:%A}",
        day=f"{there.day} {there:%B}",
        clock=wording.NBSP.join(clock_parts(moment, zone)),
    )


def today_page(
    snapshot: TankSnapshot,
    seen: Evaluation,
    *,
    ranges: dict[Quantity, Band],
    visitor: Visitor,
    saved: StoryLine | None,
    notices: tuple[Notice, ...] = (),
    on_duty: tuple[Hands, ...] = (),
) -> TodayPage:
    """Today from what is known of the tank."""
    tank_id, now = snapshot.tank.id, snapshot.as_of
    shown, never = gauges(snapshot, seen.freshness, ranges)
    hungry = seen.meal.state is MealState.NOT_FED
    return TodayPage(
        tank_name=snapshot.tank.name,
        day=day_line(now, snapshot.site.zone),
        meal=seen.meal,
        feed_url=url_for("writing.feed", tank_id=tank_id) if hungry and visitor.writes else "",
        state=seen.state.value,
        word=seen.state.word,
        line=seen.state_line if visitor.is_adult else seen.child_line,
        rest=seen.rest_line,
        saved=saved_line(saved, tank_id, visitor, now) if saved else None,
        tasks=task_cards(seen.tasks[:FIRST_TASKS], snapshot, is_adult=visitor.is_adult),
        more=max(0, len(seen.tasks) - FIRST_TASKS),
        todo_url=url_for("todo.todo", tank_id=tank_id) if visitor.is_adult else "",
        starting_url=_starting_url(seen, tank_id) if visitor.is_adult else "",
        gauges=shown,
        never=never,
        doors=tuple(
            (icon, label, url_for(to, tank_id=tank_id))
            for icon, label, to in _DOORS
            if may_open(to)
        ),
        door_view_url=url_for("today.door", tank_id=tank_id),
        notices=notices,
        on_duty=tuple(tile.name for tile in on_duty),
    )


def _starting_url(seen: Evaluation, tank_id: int) -> str:
    """The way to the steps of a tank that is being started, or ""."""
    asked = any(task.action.door == "starting" for task in seen.tasks)
    return url_for("course.starting", tank_id=tank_id) if asked else ""
