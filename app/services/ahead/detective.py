"""What changed before a problem, with how often the same came in this tank without one."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import day_start, local_day, somebody_comes
from app.domain.entry_words import JOB_WORDS, SIGN_WORDS, STOCK_WORDS
from app.domain.happenings import Event, Happening, Lead, Problem, leads
from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind, Treated
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import count, dated, decimal, degrees, listed, water_amount, with_unit
from app.knowledge.model import Knowledge
from app.rules.engine import find
from app.rules.model import Severity
from app.services.workings.model import Sum
from app.storage.queries import happenings
from app.storage.queries.happenings import Came, Done, Fed, Seen

# what belongs to the equipment comes before a problem, and what always is there is none
_POWER: Final = frozenset({Sign.POWER_CUT, Sign.FILTER_OFF, Sign.FILTER_SLOW, Sign.HEATER_OFF})
_NO_PROBLEM: Final = frozenset({Sign.FRY, Sign.SNAILS, Sign.BROWN_DUST, Sign.HAIR_ALGAE})
_LOST: Final = frozenset({StockEventKind.DIED, StockEventKind.MISSING})
_CAME: Final = frozenset({StockEventKind.ARRIVED, StockEventKind.MOVED_IN})
_JOBS: Final = {
    JobKind.TREATMENT: Happening.TREATMENT,
    JobKind.MEDIA_REPLACED: Happening.MEDIA,
    JobKind.CARBON: Happening.MEDIA,
    JobKind.FILTER_RINSE: Happening.FILTER,
    JobKind.LIGHT_TIMER: Happening.LIGHT,
    JobKind.PLANTED: Happening.PLANTS,
    JobKind.TRIM: Happening.PLANTS,
    JobKind.PLANT_REMOVED: Happening.PLANTS,
    JobKind.SIPHON: Happening.SAND,
}
_POURED: Final = frozenset({JobKind.WATER_CHANGE, JobKind.TOP_UP})


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A problem and what came in the days before it; `problem` None: none was ever written.

    `others` are the newest problems beside it, newest first.
    """

    problem: Problem | None
    days: int
    leads: tuple[Lead, ...] = ()
    others: tuple[Problem, ...] = ()


def what_changed(
    session: Session,
    snapshot: TankSnapshot,
    knowledge: Knowledge,
    *,
    on: date | None = None,
) -> Case:
    """What changed before the newest problem, or before the end of a day.

    The number of statements does not grow with the years.

    Args:
        session: Nothing is written.
        snapshot: The tank now.
        knowledge: How far to look back.
        on: The day of the problem; None: the newest sign, loss or finding that asks to act.
    """
    days = int(knowledge.value("detective.days"))
    most = int(knowledge.value("detective.others"))
    tank_id, until = snapshot.tank.id, snapshot.as_of
    # a snapshot for pupils is without the losses that they were not told of
    told = {event.id for event in snapshot.stock_events}
    stock = [e for e in happenings.stock(session, tank_id, until) if e.entry_id in told]
    seen = happenings.signs(session, tank_id, until)
    written = _problems(stock, seen)
    problems = sorted([*written, *_acting(snapshot, knowledge)], key=lambda each: each.at)
    problem = _chosen(problems, on, snapshot)
    others = tuple(reversed([p for p in problems if p != problem][-most:]))
    if problem is None:
        return Case(problem=None, days=days)
    jobs = happenings.jobs(session, tank_id, until)
    events = [
        *_arrivals(stock),
        *_off(seen),
        *_of_jobs(jobs, snapshot, knowledge),
        *_not_changed(jobs, snapshot, knowledge),
        *_fed(happenings.days_fed_twice(session, tank_id, until)),
        *_gaps(happenings.days_looked(session, tank_id, until), snapshot.site, knowledge),
        *_owned(snapshot),
    ]
    found = leads(events, problems, problem.at, timedelta(days=days))
    return Case(problem=problem, days=days, leads=found, others=others)


def sums(case: Case) -> tuple[Sum, ...]:
    """For each kind that came earlier, the share of times after which all was calm."""
    return tuple(
        Sum(
            f"{lead.kind.value}: calm after it",
            f"{lead.calm} ÷ {lead.earlier} × 100 =",
            with_unit(decimal(100.0 * lead.calm / lead.earlier, 0), "%"),
        )
        for lead in case.leads
        if lead.earlier
    )


def answer(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """The newest problem of the last weeks in a sentence."""
    stock = (
        Came(e.id, e.happened_at, e.what.value, e.count, e.group_name)
        for e in snapshot.stock_events
    )
    seen = (Seen(o.id, o.happened_at, " ".join(o.signs)) for o in snapshot.observations)
    problems = [*_problems(stock, seen), *_acting(snapshot, knowledge)]
    if not problems:
        return "No sign, loss or bad test is written in these weeks."
    newest = max(problems, key=lambda each: each.at)
    day = dated(local_day(newest.at, snapshot.site.zone))
    return f"The newest: {newest.words}, {day}. See what came before it."


def _chosen(problems: Sequence[Problem], on: date | None, snapshot: TankSnapshot) -> Problem | None:
    """The newest problem, or the last of a day; a day without one is its end."""
    if on is None:
        return problems[-1] if problems else None
    zone = snapshot.site.zone
    start, end = day_start(on, zone), day_start(on + timedelta(days=1), zone)
    there = [p for p in problems if start <= p.at < end]
    return there[-1] if there else Problem(min(end, snapshot.as_of), "")


def _problems(stock: Iterable[Came], seen: Iterable[Seen]) -> Iterator[Problem]:
    """Losses, and looks at which a sign of trouble was seen."""
    for each in stock:
        if StockEventKind(each.what) in _LOST:
            words = f"{each.name}: {each.number} {STOCK_WORDS[StockEventKind(each.what)]}"
            yield Problem(each.at, words, each.entry_id)
    for look in seen:
        odd = [s for s in _signs(look) if s not in _POWER | _NO_PROBLEM]
        if odd:
            words = listed([SIGN_WORDS[sign] for sign in odd])
            yield Problem(look.at, f"{words[:1].upper()}{words[1:]}", look.entry_id)


def _acting(snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[Problem]:
    """What asks to act now by a reading, as of the reading."""
    for finding in find(snapshot, knowledge):
        moments = [e for e in finding.evidence if e.at is not None]
        if finding.severity >= Severity.ACT and finding.quantity is not None and moments:
            newest = max(moments, key=lambda e: e.at or snapshot.as_of)
            yield Problem(newest.at or snapshot.as_of, newest.what, newest.entry_id)


def _arrivals(stock: Iterable[Came]) -> Iterator[Event]:
    for each in stock:
        if StockEventKind(each.what) in _CAME:
            words = f"{each.name}: {each.number} {STOCK_WORDS[StockEventKind(each.what)]}"
            yield Event(Happening.ARRIVAL, each.at, words, each.entry_id)


def _off(seen: Iterable[Seen]) -> Iterator[Event]:
    for look in seen:
        off = [SIGN_WORDS[sign] for sign in _signs(look) if sign in _POWER]
        if off:
            words = listed(off)
            yield Event(Happening.POWER, look.at, f"{words[:1].upper()}{words[1:]}", look.entry_id)


def _of_jobs(jobs: Iterable[Done], snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[Event]:
    warmth = _usual_warmth(snapshot)
    for job in jobs:
        kind = JobKind(job.job)
        if kind in _POURED:
            yield _poured(job, warmth, snapshot, knowledge)
        elif kind in _JOBS:
            yield Event(_JOBS[kind], job.at, JOB_WORDS[kind], job.entry_id)


def _poured(job: Done, warmth: float | None, snapshot: TankSnapshot, knowledge: Knowledge) -> Event:
    """New water by the riskiest thing about it."""
    site, kind = snapshot.site, JobKind(job.job)
    words = JOB_WORDS[kind]
    water = net_volume(snapshot.tank.shape)
    share = job.liters_out / water.net_l if job.liters_out and water else 0.0
    if job.liters_out:
        words = f"{words}, {water_amount(site, job.liters_out)}"
    if job.treated == Treated.NO.value:
        what = Happening.UNTREATED
    elif (
        warmth is not None
        and job.new_water_c is not None
        and abs(job.new_water_c - warmth) > knowledge.value("change.colder")
    ):
        what, words = Happening.OTHER_WARMTH, f"{words} of {degrees(site, job.new_water_c)}"
    elif share > knowledge.value("change.most") / 100.0:
        what = Happening.LARGE_CHANGE
    else:
        what = Happening.CHANGE
    return Event(what, job.at, words, job.entry_id)


def _usual_warmth(snapshot: TankSnapshot) -> float | None:
    """The set point, or what the last temperatures were like."""
    if snapshot.tank.set_point_c is not None:
        return snapshot.tank.set_point_c
    read = [r.best for r in snapshot.of(Quantity.TEMPERATURE)]
    return median(read) if read else None


def _not_changed(
    jobs: Iterable[Done], snapshot: TankSnapshot, knowledge: Knowledge
) -> Iterator[Event]:
    """Days on which the plan of now asked for a change, and none was written well after."""
    every = timedelta(days=snapshot.tank.plan.water_change_days)
    if every <= timedelta(0):
        return
    grace = every * (knowledge.value("change.late-factor") - 1.0)
    done = sorted(job.at for job in jobs if job.job == JobKind.WATER_CHANGE.value)
    for last, following in pairwise([*done, snapshot.as_of]):
        due = last + every
        while due + grace < following:
            days = (due - last).days
            yield Event(
                Happening.NO_CHANGE, due, f"The last was {count(days, 'day', 'days')} before"
            )
            due += every


def _fed(days: Iterable[Fed]) -> Iterator[Event]:
    for day in days:
        yield Event(Happening.FOOD, day.at, count(day.meals, "meal", "meals"))


def _gaps(days: Sequence[date], site: Site, knowledge: Knowledge) -> Iterator[Event]:
    """Stretches without a look that held days on which somebody was meant to come."""
    least = knowledge.value("detective.gap-days")
    for before, after in pairwise(days):
        length = (after - before).days - 1
        if length < least:
            continue
        between = (before + timedelta(days=n) for n in range(1, length + 1))
        if sum(somebody_comes(site, day) for day in between) >= least:
            words = f"Nobody looked for {count(length, 'day', 'days')}"
            yield Event(Happening.NO_LOOK, day_start(after, site.zone), words)


def _owned(snapshot: TankSnapshot) -> Iterator[Event]:
    """Kits that were opened, and equipment since when it runs."""
    zone = snapshot.site.zone
    for kit in snapshot.kits:
        if kit.opened_on is not None:
            yield Event(Happening.KIT, day_start(kit.opened_on, zone), f"Opened: {kit.name}")
    for piece in snapshot.equipment:
        if piece.since is not None:
            yield Event(Happening.EQUIPMENT, day_start(piece.since, zone), f"New: {piece.name}")


def _signs(look: Seen) -> list[Sign]:
    return [Sign(name) for name in look.signs.split()]
