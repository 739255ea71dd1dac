"""Lessons about what lives: a day of oxygen, a case for detectives, a fair test with plants."""

from datetime import datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.charts.days import clock_words, day_words
from app.domain.calendar import local_day
from app.domain.entry_words import SIGN_WORDS
from app.domain.happenings import Event, Lead, Problem
from app.domain.quantities import Quantity
from app.domain.records import Reading, Sign
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count, duration, hour_text, listed
from app.estimates.oxygen import night
from app.knowledge.model import Knowledge
from app.science.oxygen_day import OxygenCourse
from app.services.ahead import detective
from app.services.lessons.lacking import NO_CASE, OXYGEN, PH_PAIR
from app.services.lessons.model import ESTIMATE, Filled, Level, Question, Table
from app.services.lessons.numbers import rounded, spoken
from app.services.workings.model import Sum

_MG: Final = f"{NBSP}mg/L"
_EVERY_H: Final = 3
_DAY_H: Final = 24
_SECONDS_PER_HOUR: Final = 3600.0


def breathing(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """Oxygen of a day as an estimate, and pH of a morning and an evening as measured."""
    pair = ph_pair(snapshot, knowledge)
    lacking = () if pair else (PH_PAIR,)
    course = night(snapshot, knowledge).best
    if course is None:
        return Filled(lacking=(OXYGEN, *lacking))
    hours = range(0, _DAY_H + 1, _EVERY_H)
    # pupils go on with the numbers of the table
    values = [round(course.at(hour) if hour < _DAY_H else course.at(0.0), 1) for hour in hours]
    low, high = min(values), max(values)
    at_low, at_high = (hours[values.index(each)] for each in (low, high))
    return Filled(
        facts=(*_light(snapshot), *_pair_facts(pair, snapshot)),
        tables=(
            Table(
                caption=f"Oxygen through a day, mg/L. {ESTIMATE}",
                columns=("Hour", "Oxygen"),
                rows=tuple(
                    (hour_text(hour), rounded(v, 1)) for hour, v in zip(hours, values, strict=True)
                ),
                numbers=(1,),
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text="Which number of the table is the lowest, which the highest? How far apart?",
                answer=f"{rounded(low, 1)} at {hour_text(at_low)} and {rounded(high, 1)} at "
                f"{hour_text(at_high)}: {rounded(high - low, 1)}{_MG} apart.",
                sums=(
                    Sum(
                        "How far apart",
                        f"{rounded(high, 1)} − {rounded(low, 1)} =",
                        f"{rounded(high - low, 1)}{_MG}",
                    ),
                ),
                values=(low, high, high - low),
            ),
            Question(
                level=Level.MIDDLE,
                text="The highest number is 100 parts. How many parts are left at the lowest?",
                answer=f"{rounded(100.0 * low / high, 0)} of 100",
                sums=(
                    Sum(
                        "What is left",
                        f"{rounded(low, 1)} ÷ {rounded(high, 1)} × 100 =",
                        f"{rounded(100.0 * low / high, 0)}{NBSP}%",
                    ),
                ),
                values=(100.0 * low / high,),
            ),
            _ph_question(pair),
        ),
        surprise=_at_night(course, snapshot),
        lacking=lacking,
        basis=f"The oxygen is an {ESTIMATE.lower()} Only an oxygen test shows what is there.",
    )


def ph_pair(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Reading, Reading] | None:
    """The last two pH readings of one day that lie far enough apart; None for none."""
    apart = timedelta(hours=knowledge.value("lesson.day-apart"))
    by_day: dict[object, list[Reading]] = {}
    for reading in snapshot.of(Quantity.PH):
        if reading.value is not None:
            by_day.setdefault(local_day(reading.at, snapshot.site.zone), []).append(reading)
    for same in reversed(by_day.values()):
        if same[-1].at - same[0].at >= apart:
            return same[0], same[-1]
    return None


def _pair_facts(
    pair: tuple[Reading, Reading] | None, snapshot: TankSnapshot
) -> tuple[tuple[str, str], ...]:
    if pair is None:
        return ()
    zone = snapshot.site.zone
    return tuple(
        (
            f"pH, {day_words(local_day(each.at, zone))} {clock_words(each.at, zone)}",
            f"{spoken(each.best, 1)}, measured",
        )
        for each in pair
    )


def _light(snapshot: TankSnapshot) -> tuple[tuple[str, str], ...]:
    hours = snapshot.tank.light_hours
    if hours is None:
        return ()
    return (("The light is on for", f"{spoken(hours, 1)} hours a day"),)


def _ph_question(pair: tuple[Reading, Reading] | None) -> Question:
    text = (
        "By how much did pH differ between morning and evening? What do plants have to do with it?"
    )
    if pair is None:
        return Question(
            level=Level.HARD,
            text=text,
            answer="Test pH in the morning and in the evening of one day first. By day plants take "
            "carbon dioxide out, and pH goes up.",
        )
    first, later = (each.best for each in pair)
    return Question(
        level=Level.HARD,
        text=text,
        answer=f"By {rounded(later - first, 1)}. By day plants take carbon dioxide out of the "
        "water, and pH goes up. At night it comes back.",
        sums=(
            Sum(
                "Evening less morning",
                f"{spoken(later, 1)} − {spoken(first, 1)} =",
                rounded(later - first, 1),
            ),
        ),
        values=(later - first,),
    )


def _at_night(course: OxygenCourse, snapshot: TankSnapshot) -> str:
    lowest = f"{rounded(course.lowest, 1)}{_MG} at about {hour_text(round(course.lowest_at_h))}"
    said = "Plants use oxygen day and night. They make it only in the light."
    plants = "" if snapshot.plants else " No plants are written down for this tank."
    return (
        f"{said} So the day ends high and the night ends low: {lowest}, by our best guess.{plants}"
    )


def case(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:
    """A past incident without names: what happened, what came before, how often all was calm."""
    found = _old_case(session, snapshot, knowledge)
    if found is None:
        return Filled(lacking=(NO_CASE,))
    problem, leads, days = found
    events = sorted((e for lead in leads for e in lead.events), key=lambda event: event.at)
    nearest = events[-1]
    apart = _hours(nearest, problem.at)
    zone, fresh = snapshot.site.zone, [lead for lead in leads if not lead.earlier]
    return Filled(
        facts=(
            ("What happened", problem.words),
            ("When", f"{day_words(local_day(problem.at, zone), year=True)}"),
            ("We look at", f"the {days} days before it"),
        ),
        tables=(
            Table(
                caption="What came before it",
                columns=("How long before", "What", "Kind"),
                rows=tuple(_clue(event, problem.at) for event in events),
            ),
            Table(
                caption="How often the same came earlier, without a problem after it",
                columns=("Suspect", "Came earlier", "All calm after it"),
                rows=tuple((lead.kind.value, str(lead.earlier), _calm(lead)) for lead in leads),
                numbers=(1,),
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text="How many kinds of suspects are in the table?",
                answer=f"{len(leads)}: {listed([lead.kind.value.lower() for lead in leads])}.",
                values=(float(len(leads)),),
            ),
            Question(
                level=Level.MIDDLE,
                text="Which clue came last before it? How many hours before?",
                answer=f"{nearest.words}, {rounded(apart, 0)} hours before.",
                sums=(
                    Sum(
                        "Full days in hours, and the rest",
                        f"{int(apart // _DAY_H)} × 24 + {rounded(apart % _DAY_H, 1)} =",
                        f"{rounded(apart, 1)}{NBSP}h",
                    ),
                ),
                values=(apart,),
            ),
            Question(
                level=Level.HARD,
                text="Which suspect came before, too, and all stayed calm? Does that clear it?",
                answer=_alibis(leads),
                values=tuple(float(lead.calm) for lead in leads),
            ),
        ),
        surprise=_suspicion(leads, fresh),
        basis="From the tank’s own record, without names. It came before: that is not why.",
    )


def _old_case(
    session: Session, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Problem, tuple[Lead, ...], int] | None:
    """The newest problem that is old enough, with what came before it, as pupils know the tank."""
    told = snapshot.for_pupils()
    latest = detective.what_changed(session, told, knowledge)
    until = told.as_of - timedelta(days=knowledge.value("lesson.incident-days"))
    problems = [p for p in (latest.problem, *latest.others) if p is not None and p.at <= until]
    for problem in filter(_for_a_lesson, problems):
        day = local_day(problem.at, told.site.zone)
        found = detective.what_changed(session, told, knowledge, on=day)
        if found.problem == problem and found.leads:
            return problem, found.leads, found.days
    return None


def _for_a_lesson(problem: Problem) -> bool:
    """Whether pupils may hear of it: a dead fish that was seen is told by an adult, or not."""
    return SIGN_WORDS[Sign.DEAD_FISH] not in problem.words.lower()


def _clue(event: Event, moment: datetime) -> tuple[str, str, str]:
    return duration(moment - event.at), event.words, event.kind.value


def _hours(event: Event, moment: datetime) -> float:
    return (moment - event.at).total_seconds() / _SECONDS_PER_HOUR


def _calm(lead: Lead) -> str:
    return f"{lead.calm} of {lead.earlier}" if lead.earlier else "it was the first time"


def _alibis(leads: tuple[Lead, ...]) -> str:
    calm = [f"{lead.kind.value.lower()} ({_calm(lead)})" for lead in leads if lead.calm]
    if not calm:
        return "No suspect. Each one was new, or trouble came after it before, too."
    said = listed(calm)
    return f"{said[:1].upper()}{said[1:]}. That makes it less likely, but it proves nothing."


def _suspicion(leads: tuple[Lead, ...], fresh: list[Lead]) -> str:
    many = f"{count(len(leads), 'suspect', 'suspects')}, and no proof."
    if fresh:
        names = listed([lead.kind.value.lower() for lead in fresh])
        return f"{many} New in those days: {names}. That is where one would measure first."
    first = leads[0]
    return (
        f"{many} Least often calm: {first.kind.value.lower()}, {_calm(first)}. That is where one "
        "would measure first."
    )


def fair(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """A fair test with plants in jars; no animal is a part of it."""
    plants = listed([plant.name for plant in snapshot.plants])
    facts = (*_light(snapshot), *((("Plants of our tank", plants),) if plants else ()))
    jars = tuple((f"Jar {n}", "light" if n <= 3 else "shade", "", "", "") for n in range(1, 7))
    return Filled(
        facts=facts,
        tables=(
            Table(
                caption="Fill in: one line for each jar",
                columns=("Jar", "Stands in", "Length now", "Length in two weeks", "Grown by"),
                rows=jars,
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text="Which one thing is not the same for all jars?",
                answer="The light. Nothing else.",
            ),
            Question(
                level=Level.MIDDLE,
                text="Name four things that must be the same for all jars.",
                answer="The kind of plant, its length at first, the water, how warm it is, the "
                "jar, and how often it is topped up.",
            ),
            Question(
                level=Level.HARD,
                text="Why three jars in light and three in shade, and not one of each?",
                answer="One plant may grow fast by chance. The mean of three tells more. If the "
                "three differ as much as light and shade do, nobody can tell.",
            ),
        ),
        surprise="What you vary is the light of the jars. The animals are not part of the test, "
        "and nothing is changed in their tank. Grown cuttings go into the trash or dry out, never "
        "into a pond.",
        basis="Watching without disturbing is fine; whatever goes beyond is done with plants.",
    )
