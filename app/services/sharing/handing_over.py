"""The hand-over pack: one tank, certain days, a certain person; and the debrief on coming home.

Nothing is stored for it. What was usual and expected is worked out again as of leaving, so that
the debrief compares with what the pack said.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Final
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.domain.calendar import somebody_comes
from app.domain.entry_words import scoop_words
from app.domain.errors import Refused
from app.domain.kit import Equipment
from app.domain.quantities import FACTS, Quantity
from app.domain.sitter import Packet, stay
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break
from app.domain.wording import count, decimal, range_text, value_text, with_unit
from app.estimates.closure_model import FAILS, Away, Part, moment_text
from app.knowledge.model import Knowledge
from app.rules.breaks import Stretch
from app.rules.engine import evaluate
from app.rules.meal import is_feed_day
from app.rules.model import Concern, Task
from app.rules.rehearsal import usual_away
from app.services.ahead import closure
from app.services.ahead.closure import Closure
from app.services.equipment import KIND_WORDS
from app.services.sharing.sitter_sheet import Around, around

_DAY: Final = timedelta(days=1)
_NOON: Final = time(12)
_USUAL: Final = (Quantity.TEMPERATURE, Quantity.PH, Quantity.NITRATE, Quantity.KH)


class Person(StrEnum):
    """Who takes a tank over."""

    SITTER = "sitter"
    SUBSTITUTE = "substitute"
    TECHNICIAN = "technician"
    TEACHER = "teacher"

    @property
    def does_jobs(self) -> bool:
        """Whether this person does more than look and feed."""
        return self in {Person.TECHNICIAN, Person.TEACHER}


@dataclass(frozen=True, slots=True)
class Days:
    """Local days from first to last, both included, and the packets for them, if any are made."""

    first: date
    last: date
    packets: tuple[Packet, ...] = ()


@dataclass(frozen=True, slots=True)
class DayLine:
    """What one day asks for."""

    day: date
    text: str


@dataclass(frozen=True, slots=True)
class UsualLine:
    """What is usual in this tank, and from how many readings that is known."""

    label: str
    text: str
    rests_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """All that a person needs for these days. `due` comes up if nothing is done meanwhile.

    `may_fail` is what the rehearsal of the days says, by estimate; `lapsing` what nobody will
    know any more.
    """

    person: Person
    first: date
    last: date
    days: tuple[DayLine, ...]
    due: tuple[DayLine, ...]
    usual: tuple[UsualLine, ...]
    may_fail: tuple[str, ...]
    short: tuple[str, ...]
    equipment: tuple[str, ...]
    around: Around


def check_days(days: Days, knowledge: Knowledge) -> None:
    """See whether a pack can be made for these days.

    Raises:
        Refused: If they are in the wrong order or too many.
    """
    most = int(knowledge.value("sharing.longest-stay"))
    if days.last < days.first:
        raise Refused("The last day lies before the first.")
    if (days.last - days.first).days >= most:
        raise Refused(f"Choose {most} days at most.")


def pack(
    session: Session,
    snapshot: TankSnapshot,
    person: Person,
    days: Days,
    knowledge: Knowledge,
) -> Pack:
    """The pack for these days, from this tank's own record.

    Raises:
        Refused: If the days cannot be.
    """
    check_days(days, knowledge)
    found = rehearsed(session, snapshot, days, knowledge)
    return Pack(
        person=person,
        first=days.first,
        last=days.last,
        days=tuple(_day_line(snapshot, person, day, days) for day in stay(days.first, days.last)),
        due=due_in(snapshot, days, knowledge),
        usual=usual(snapshot, knowledge),
        may_fail=tuple(_failing(part, found.away, snapshot) for part in found.rehearsal.failing),
        short=found.short,
        equipment=tuple(gear(e) for e in snapshot.equipment if e.retired_on is None),
        around=around(session, snapshot, knowledge, "pack", from_packets=bool(days.packets)),
    )


def rehearsed(
    session: Session, snapshot: TankSnapshot, days: Days, knowledge: Knowledge
) -> Closure:
    """These days rehearsed as a time without the people who usually come."""
    every = stay(days.first, days.last)
    away = Break(first_day=days.first, last_day=days.last)
    stretch = Stretch(away=away, first_day=days.first, days=len(every))
    planned = usual_away(stretch, snapshot.site, knowledge)
    fed = len(days.packets) or sum(is_feed_day(snapshot, day) for day in every)
    grams = days.packets[0].grams if days.packets else None
    plan = replace(planned, visits=fed, grams=grams)
    return closure.rehearsed(session, snapshot, plan, None, knowledge, now=snapshot.as_of)


def _day_line(snapshot: TankSnapshot, person: Person, day: date, days: Days) -> DayLine:
    """What a day asks for. A sitter comes on all days, the others when somebody is meant to."""
    if days.packets:
        mine = next((p for p in days.packets if p.day == day), None)
        return DayLine(day, f"Packet {mine.number}, then look" if mine else "No food, look only")
    if person is not Person.SITTER and not somebody_comes(snapshot.site, day):
        return DayLine(day, "Nobody is meant to come")
    if day.weekday() in snapshot.tank.plan.feed_weekdays:
        portion = scoop_words(snapshot.tank.plan.portion_scoops)
        return DayLine(day, f"Feed {portion}, then look")
    return DayLine(day, "No food, look only")


def due_in(snapshot: TankSnapshot, days: Days, knowledge: Knowledge) -> tuple[DayLine, ...]:
    """What comes due up to each day if nothing is written meanwhile, each on its first day.

    The rules look at the record as it stands, from the noon of each day.
    """
    zone = ZoneInfo(snapshot.site.zone)
    known: set[str] = set()
    found = []
    for day in stay(days.first, days.last):
        noon = max(datetime.combine(day, _NOON, zone), snapshot.as_of)
        for task in evaluate(replace(snapshot, as_of=noon), knowledge).tasks:
            if _is_job(task) and task.key not in known:
                known.add(task.key)
                found.append(DayLine(day, task.action.title))
    return tuple(found)


def _is_job(task: Task) -> bool:
    """Whether a task is a piece of work: looking, counting and feeding go by the day."""
    return task.action.door not in {"look", "feed"} and task.action.concern is not Concern.LOOK


def usual(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[UsualLine, ...]:
    """What is usual in this tank, from the last weeks before the snapshot's moment."""
    since = snapshot.as_of - _DAY * knowledge.value("sharing.usual-days")
    return (*_usual_readings(snapshot, since), *_usual_counts(snapshot, since),
            *_usual_meals(snapshot, since))  # fmt: skip


def _usual_readings(snapshot: TankSnapshot, since: datetime) -> Iterator[UsualLine]:
    for quantity in _USUAL:
        values = [r.best for r in snapshot.between(quantity, since, snapshot.as_of)]
        if not values:
            continue
        low, high, site = min(values), max(values), snapshot.site
        text = value_text(quantity, low, site)
        if low < high:
            text = range_text(quantity, low, high, site)
        yield UsualLine(FACTS[quantity].label, text, count(len(values), "reading", "readings"))


def _usual_counts(snapshot: TankSnapshot, since: datetime) -> Iterator[UsualLine]:
    seen = [o.seen for o in snapshot.observations if o.seen is not None and o.happened_at >= since]
    if seen:
        low, high = min(seen), max(seen)
        text = f"{low} seen" if low == high else f"{low} to {high} seen"
        of = f"{text}, {snapshot.expected_fish} expected"
        yield UsualLine("Animals", of, count(len(seen), "count", "counts"))


def _usual_meals(snapshot: TankSnapshot, since: datetime) -> Iterator[UsualLine]:
    meals = [f.grams for f in snapshot.feedings if f.happened_at >= since and f.grams is not None]
    if meals:
        low, high = (decimal(edge, 2) for edge in (min(meals), max(meals)))
        text = with_unit(low if low == high else f"{low} to {high}", "g")
        yield UsualLine("One meal", text, count(len(meals), "meal", "meals"))


def _failing(part: Part, away: Away, snapshot: TankSnapshot) -> str:
    when = moment_text(part, away, snapshot.site.zone)
    return f"{FAILS[part.trouble]}: {when}. {part.help}".strip()


def gear(piece: Equipment) -> str:
    """A piece of equipment in words: its kind, its name, its watts."""
    watts = f", {with_unit(decimal(piece.watts, 0), 'W')}" if piece.watts else ""
    return f"{KIND_WORDS[piece.kind]}: {piece.name}{watts}"
