"""What is planned for the coming days: what would come due if all were done on time."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import clock_change_on, days_between, somebody_comes
from app.domain.entry_words import scoop_words
from app.domain.snapshot import TankSnapshot
from app.domain.tank import DayKind
from app.domain.wording import short, water_amount, with_unit
from app.knowledge.model import Knowledge
from app.rules import filter as filter_rules
from app.rules import planned_change, testing
from app.rules.breaks import list_hour, unattended_from
from app.rules.meal import is_feed_day
from app.rules.routine import ROUTINES, due_days
from app.rules.water_change import net_liters

_ONE_DAY: Final = timedelta(days=1)
DAYS_OFF: Final = {
    DayKind.BREAK: "Break: nobody comes",
    DayKind.HOLIDAY: "Holiday: nobody comes",
    DayKind.STAFF: "Staff day: no pupils",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """One thing that is planned: `name` is the same for each of its days.

    `last` is its last day, included. `at` is the moment where it has a time of day.
    """

    name: str
    title: str
    day: date
    last: date
    at: datetime | None = None


def planned(snapshot: TankSnapshot, knowledge: Knowledge, until: date) -> tuple[Planned, ...]:
    """All that is planned up to a day, in order: meals, jobs, tests, checks, days off.

    Meals begin with today; jobs after it, for what is due today is a task. Days off are all that
    are not over, however far.
    """
    found = [
        *(_on(day, "feed", _feed_title(snapshot)) for day in _feed_days(snapshot, until)),
        *_jobs(snapshot, knowledge, until),
        *_devices(snapshot, until),
        *_lists(snapshot, knowledge, until),
        *_clocks(snapshot, until),
        *_days_off(snapshot),
    ]
    return tuple(sorted(found, key=lambda p: (p.day, p.at is not None, p.name, p.title)))


def _on(day: date, name: str, title: str) -> Planned:
    return Planned(name=name, title=title, day=day, last=day)


def _feed_days(snapshot: TankSnapshot, until: date) -> Iterator[date]:
    if snapshot.expected_fish:
        days = days_between(snapshot.today - _ONE_DAY, until)
        yield from (day for day in days if is_feed_day(snapshot, day))


def _feed_title(snapshot: TankSnapshot) -> str:
    amount = scoop_words(snapshot.tank.plan.portion_scoops)
    return f"Feed: {amount}" if amount else "Feed"


def _jobs(snapshot: TankSnapshot, knowledge: Knowledge, until: date) -> Iterator[Planned]:
    for day in planned_change.change_days(snapshot, knowledge, until):
        yield _on(day, "water-change", _change_title(snapshot))
    for day in testing.test_days(snapshot, knowledge, until):
        yield _on(day, "test", testing.DUE.title)
    for day in filter_rules.rinse_days(snapshot, until):
        yield _on(day, "filter-rinse", filter_rules.rinse_action().title)
    for routine in ROUTINES:
        for day in due_days(routine, snapshot, knowledge, until):
            yield _on(day, routine.key, routine.title)


def _change_title(snapshot: TankSnapshot) -> str:
    percent, net = snapshot.tank.plan.water_change_percent, net_liters(snapshot.tank)
    share = with_unit(short(percent), "%")
    if net is None:
        return f"Change water: {share}"
    return f"Change water: {share}, {water_amount(snapshot.site, net * percent / 100.0)}"


def _devices(snapshot: TankSnapshot, until: date) -> Iterator[Planned]:
    for device in snapshot.equipment:
        day = device.next_check_on
        if device.retired_on is None and day is not None and snapshot.today < day <= until:
            name = device.name or device.kind.replace("_", " ")
            yield _on(day, f"equipment-{device.id}", f"Check: {name}")


def _lists(snapshot: TankSnapshot, knowledge: Knowledge, until: date) -> Iterator[Planned]:
    """The list before days without people, at its hour, in a class."""
    site = snapshot.site
    if snapshot.tank.setting != "class":
        return
    for day in days_between(snapshot.today, until):
        gap = unattended_from(site, day + _ONE_DAY)
        if somebody_comes(site, day) and gap >= knowledge.value("breaks.weekend-days"):
            at = list_hour(day, site, knowledge)
            title = f"{day:%A} list, before days without people"
            yield Planned(name="weekend-list", title=title, day=day, last=day, at=at)


def _clocks(snapshot: TankSnapshot, until: date) -> Iterator[Planned]:
    for day in days_between(snapshot.today, until):
        if snapshot.tank.light_on and clock_change_on(day, snapshot.site.zone) is not None:
            yield _on(day, "light-timer", "The clocks change: look at the light timer")


def _days_off(snapshot: TankSnapshot) -> Iterator[Planned]:
    begin: Counter[date] = Counter()
    for off in snapshot.site.breaks:
        if off.last_day >= snapshot.today:
            words = DAYS_OFF[off.kind]
            title = f"{off.name}. {words}" if off.name else words
            begin[off.first_day] += 1
            name = f"off-{begin[off.first_day]}"
            yield Planned(name=name, title=title, day=off.first_day, last=off.last_day)
