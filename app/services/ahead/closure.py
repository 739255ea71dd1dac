"""The rehearsal of a break: which one, with which plan, and what it was like afterwards."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import clock, count, dated, decimal, degrees, reading_text, with_unit
from app.estimates.closure import Rehearsal, before_nights, rehearse
from app.estimates.closure_food import grams_each
from app.estimates.closure_model import FAILS, Away, Part, Trouble, moment_text
from app.estimates.model import NOT_MEASURED, Triple
from app.estimates.room import is_heated_less
from app.estimates.warmth import heater_power
from app.knowledge.load import load
from app.knowledge.model import Knowledge
from app.rules.breaks import Stretch, stretches_at
from app.rules.freshness import freshness, matters
from app.rules.model import Freshness
from app.rules.rehearsal import TROUBLES, ready_step, usual_away
from app.services import absences, supply_use, tasks
from app.services.workings.model import Ask, Given
from app.services.workings.units import CELSIUS, GRAMS, MILLIMETERS, WATTS, kept

_DAY: Final = timedelta(days=1)
_READ_AS: Final = {
    Trouble.LEVEL: Quantity.WATER_LEVEL,
    Trouble.NITRATE: Quantity.NITRATE,
    Trouble.WARMTH: Quantity.TEMPERATURE,
}
_CHANGES: Final = {
    Trouble.LEVEL: (JobKind.WATER_CHANGE, JobKind.TOP_UP),
    Trouble.NITRATE: (JobKind.WATER_CHANGE,),
    Trouble.WARMTH: (),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadAfter:
    """One thing that was expected of a break, against what was read on coming back.

    `measured` is "" where nothing was read, or where a change of water before it hides it; then
    `fits` is None.
    """

    trouble: Trouble
    what: str
    expected: str
    measured: str = ""
    fits: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """A break rehearsed. `snapshot` is the record from which it was rehearsed.

    `stretch` is the break of the settings, None for days that were typed. `lapsing` is what
    nobody will know any more on coming back, `short` the supplies that end before that.
    `compared` is () until people are back. `arranged` is what was written of it, by trouble.
    """

    away: Away
    stretch: Stretch | None
    rehearsal: Rehearsal
    snapshot: TankSnapshot
    lapsing: tuple[Freshness, ...]
    short: tuple[str, ...]
    compared: tuple[ReadAfter, ...]
    arranged: Mapping[Trouble, str]


def stretches(snapshot: TankSnapshot) -> tuple[Stretch, ...]:
    """The times without people around breaks and long holidays, the earliest first."""
    return stretches_at(snapshot.site, load())


def chosen(snapshot: TankSnapshot, first_day: date | None) -> Stretch | None:
    """The stretch whose break begins on a day; without one the next, else the last."""
    known = stretches(snapshot)
    if first_day is not None:
        return next((s for s in known if s.begins_a_break_on(first_day)), None)
    ahead = [s for s in known if s.returns_on > snapshot.today]
    return ahead[0] if ahead else (known[-1] if known else None)


def planned(stretch: Stretch | None, snapshot: TankSnapshot, knowledge: Knowledge) -> Away:
    """The usual plan of a break; what was really fed once it has begun.

    Without a break: the coming week, so that days can be typed.
    """
    if stretch is None:
        return Away(leaves=snapshot.as_of, returns=snapshot.as_of + 7 * _DAY)
    away = usual_away(stretch, snapshot.site, knowledge)
    meals = [f for f in snapshot.feedings if away.leaves <= f.happened_at < away.returns]
    if away.returns > snapshot.as_of or not meals:
        return away
    grams = [meal.grams for meal in meals if meal.grams is not None]
    whole = sum(grams) / len(meals) if len(grams) == len(meals) else None
    return replace(away, visits=len(meals), grams=whole)


def questions(away: Away) -> tuple[Ask, ...]:
    """What the page asks beside the days, filled with the plan and the record."""
    return (
        Ask(
            name="visits", label="Visits with food", noun="the visits with food",
            units=(kept("visits"),), low=0, high=200, known=_always(float(away.visits)),
            hint="By a person or a tested feeder, spread evenly.",
        ),
        Ask(
            name="grams", label="Food at each visit", noun="the food at each visit", units=GRAMS,
            low=0, high=100, required=False, known=lambda s, _: grams_each(away, s),
        ),
        Ask(
            name="evaporation", label="Fall of the water in a day",
            noun="the fall of the water in a day", units=MILLIMETERS, low=0, high=50,
            required=False,
            hint="Mark the level and read it a week later. Empty: taken from the record, or "
            "estimated.",
        ),
        Ask(
            name="room", label="The room in its coldest hour",
            noun="the room in its coldest hour", units=CELSIUS, low=0, high=40, required=False,
            known=_room, quantity=Quantity.TEMPERATURE,
            hint="With the heating down, by night. Empty: as it is written of the tank and of the "
            "hours with less heating.",
        ),
        Ask(
            name="watts", label="The heater", noun="the heater’s watts", units=WATTS, low=0,
            high=5000, required=False, known=lambda s, _: heater_power(s),
        ),
        Ask(
            name="room_then", label="The room while the tank once cooled",
            noun="the room while the tank cooled", units=CELSIUS, low=0, high=40, required=False,
            quantity=Quantity.TEMPERATURE,
            hint="Only where two temperatures were written while nothing heated.",
        ),
    )  # fmt: skip


def span_text(away: Away, site: Site) -> str:
    """From when to when, and how long that is: "... 3:00 pm, to ...: 16 days 17.5 h"."""
    ends = [
        f"{dated(local_day(moment, site.zone))}, {clock(moment, site.zone)}"
        for moment in (away.leaves, away.returns)
    ]
    days, rest = divmod(away.returns - away.leaves, _DAY)
    hours = decimal(rest / timedelta(hours=1), 1)
    return f"{ends[0]}, to {ends[1]}: {count(days, 'day', 'days')} {with_unit(hours, 'h')}"


def too_long(away: Away, knowledge: Knowledge) -> str:
    """A sentence where a break is longer than is rehearsed, else ""."""
    longest = int(knowledge.value("closure.longest"))
    if away.returns - away.leaves <= longest * _DAY:
        return ""
    return f"Enter {count(longest, 'day', 'days')} at most. Over a longer time it cannot be told."


def with_given(away: Away, given: Given) -> Away:
    """The plan with what was typed."""
    return replace(
        away,
        visits=round(given.number("visits")),
        grams=given.maybe("grams"),
        evaporation_mm=given.maybe("evaporation"),
        room_c=given.maybe("room"),
        heater_w=given.maybe("watts"),
        room_then_c=given.maybe("room_then"),
    )


def answer(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """What would fail in the next break, in a sentence."""
    stretch = chosen(snapshot, None)
    if stretch is None or stretch.returns_on <= snapshot.today:
        return "No break is ahead, as far as is written. Days may be typed."
    away = usual_away(stretch, snapshot.site, knowledge)
    failing = before_nights(away, snapshot, knowledge).failing
    name = stretch.away.name or "The break"
    if not failing:
        return f"{name}: nothing fails by the best guess, {NOT_MEASURED}."
    first = failing[0]
    when = moment_text(first, away, snapshot.site.zone)
    return f"{name}. {FAILS[first.trouble]}: {when}. {first.estimate.sentence}"


def rehearsed(
    session: Session,
    present: TankSnapshot,
    away: Away,
    stretch: Stretch | None,
    knowledge: Knowledge,
    *,
    now: datetime,
) -> Closure:
    """Rehearse a break from the record as it stood on leaving, and compare it if it is over.

    Raises:
        ValueError: If somebody comes back before leaving.
    """
    snapshot, tank_id = present, present.tank.id
    if away.leaves < now:
        snapshot = tasks.snapshot_of(session, tank_id, now=now, as_of=away.leaves)
    found = rehearse(away, snapshot, knowledge)
    supplies = supply_use.days_left(
        session, present.site.id, now=now, coming=absences.coming(present)
    )
    return Closure(
        away=away,
        stretch=stretch,
        rehearsal=found,
        snapshot=snapshot,
        lapsing=_lapsing(away, snapshot, knowledge),
        short=tuple(f"{each.supply.name}: {each.shortfall}" for each in supplies if each.shortfall),
        compared=compare(found, present) if away.returns <= now else (),
        arranged={} if stretch is None else _arranged(stretch, present),
    )


def _arranged(stretch: Stretch, present: TankSnapshot) -> Mapping[Trouble, str]:
    ticked = {job.step: job.note for job in present.jobs_of(JobKind.STEP)}
    steps = {trouble: ready_step(stretch.away, trouble) for trouble in TROUBLES}
    return {trouble: ticked[step] for trouble, step in steps.items() if step in ticked}


def compare(rehearsal: Rehearsal, present: TankSnapshot) -> tuple[ReadAfter, ...]:
    """What was expected on coming back against the first reading of each after it."""
    return tuple(
        _compared(part, part.back, rehearsal.away, present)
        for part in rehearsal.parts
        if part.back is not None
    )


def _compared(part: Part, back: Triple, away: Away, present: TankSnapshot) -> ReadAfter:
    quantity, site = _READ_AS[part.trouble], present.site
    what = {
        Trouble.LEVEL: "How far the water fell",
        Trouble.NITRATE: "Nitrate",
        Trouble.WARMTH: "How warm the water was",
    }[part.trouble]
    expected = _between(quantity, back, site)
    reading = next((r for r in present.of(quantity) if r.at >= away.returns), None)
    if reading is None:
        return ReadAfter(trouble=part.trouble, what=what, expected=expected)
    hidden = any(
        away.leaves < job.happened_at <= reading.at
        for job in present.jobs_of(*_CHANGES[part.trouble])
    )
    if hidden:
        return ReadAfter(
            trouble=part.trouble, what=what, expected=expected,
            measured="water went in before it was read",
        )  # fmt: skip
    return ReadAfter(
        trouble=part.trouble,
        what=what,
        expected=expected,
        measured=reading_text(reading, site),
        fits=_overlaps(reading, back),
    )


def _overlaps(reading: Reading, back: Triple) -> bool:
    """Whether what a reading could be and what was expected have anything in common."""
    below = reading.most is not None and reading.most < back[0]
    return not below and reading.least <= back[2]


def _between(quantity: Quantity, back: Triple, site: Site) -> str:
    if quantity is Quantity.TEMPERATURE:
        return f"{degrees(site, back[0])} to {degrees(site, back[2])}"
    unit = "mm" if quantity is Quantity.WATER_LEVEL else "mg/L"
    return f"{decimal(back[0], 0)} to {with_unit(decimal(back[2], 0), unit)}"


def _lapsing(away: Away, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Freshness, ...]:
    """What keeps now and no longer on coming back, unless a visitor writes it down."""
    rows = freshness(snapshot, knowledge)
    return tuple(
        row
        for row in rows
        if matters(snapshot, row.name)
        and row.keeps_until is not None
        and row.keeps_until < away.returns
    )


def _room(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    """The coldest hour as written; with hours of less heating the room is not always so cold."""
    return None if is_heated_less(snapshot) else snapshot.tank.coldest_room_c


def _always(value: float) -> Callable[[TankSnapshot, Knowledge], float]:
    return lambda _snapshot, _knowledge: value
