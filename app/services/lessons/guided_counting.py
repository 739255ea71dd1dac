"""Lessons about counting and measuring: scoops, readers of one tube, a week as a line."""

from datetime import datetime, timedelta
from itertools import pairwise
from statistics import fmean
from typing import Final

from sqlalchemy.orm import Session

from app.charts import unlabeled
from app.charts.days import WEEKDAYS, clock_words, day_words
from app.domain.calendar import local_day
from app.domain.features import Feature, FeatureKind
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count
from app.knowledge.model import Knowledge
from app.services.lessons.found import Found
from app.services.lessons.lacking import SCOOP, TUBE, WARMTH
from app.services.lessons.model import Filled, Level, Question, Table
from app.services.lessons.number_questions import reader_questions
from app.services.lessons.numbers import added_up, rounded, spoken
from app.services.lessons.rows import MonthOf, month_rows
from app.services.workings.model import Sum
from app.storage.queries import lessons

_G: Final = f"{NBSP}g"
_GROUPS: Final = 6
_PILE: Final = 20
_TIN_G: Final = 100
_EVERY: Final = 10**6
_SECONDS_PER_HOUR: Final = 3600.0


def scoop(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """What a scoop weighs, by all weighings of this tank."""
    weighed = list(lessons.weighings(session, snapshot.tank.id))
    sheet = Table(
        caption="Fill in: one line for each group",
        columns=("Group", "Scoops", "All of them weigh", "One scoop weighs"),
        rows=tuple((str(n), str(_PILE), "", "") for n in range(1, _GROUPS + 1)),
        numbers=(1,),
    )
    if not weighed:
        return Filled(tables=(sheet,), lacking=(SCOOP,))
    facts = tuple((f"Weighing {n}", f"{spoken(g, 3)}{_G}") for n, g in enumerate(weighed, start=1))
    questions = _spread_of_scoops(weighed) if len(weighed) > 1 else _one_scoop(weighed[0], snapshot)
    return Filled(
        facts=facts,
        tables=(sheet,),
        questions=questions,
        surprise=_scoop_surprise(weighed),
    )


def _spread_of_scoops(weighed: list[float]) -> tuple[Question, ...]:
    low, high, mean = min(weighed), max(weighed), fmean(weighed)
    more = 100.0 * (high - low) / low
    return (
        Question(
            level=Level.EASY,
            text="How far apart are the heaviest and the lightest scoop that we kept?",
            answer=f"{spoken(high - low, 3)}{_G}",
            sums=(
                Sum(
                    "How far apart",
                    f"{spoken(high, 3)} − {spoken(low, 3)} =",
                    f"{spoken(high - low, 3)}{_G}",
                ),
            ),
            values=(high - low,),
        ),
        Question(
            level=Level.MIDDLE,
            text="What is the mean of all weighings of one scoop?",
            answer=f"{rounded(mean, 3)}{_G}",
            sums=(
                Sum(
                    "The mean",
                    f"({added_up(weighed, 3)}) ÷ {len(weighed)} =",
                    f"{rounded(mean, 3)}{_G}",
                ),
            ),
            values=(mean,),
        ),
        Question(
            level=Level.HARD,
            text="How much heavier is the heaviest scoop than the lightest, in parts of 100?",
            answer=f"{rounded(more, 0)} of 100 heavier",
            sums=(
                Sum(
                    "More, in parts of 100",
                    f"({spoken(high, 3)} − {spoken(low, 3)}) ÷ {spoken(low, 3)} × 100 =",
                    f"{rounded(more, 0)}{NBSP}%",
                ),
            ),
            values=(more,),
        ),
    )


def _one_scoop(grams: float, snapshot: TankSnapshot) -> tuple[Question, ...]:
    plan, text = snapshot.tank.plan, spoken(grams, 3)
    meals = len(plan.feed_weekdays)
    week = grams * plan.portion_scoops * meals
    return (
        Question(
            level=Level.EASY,
            text=f"What do {_PILE} scoops weigh?",
            answer=f"{spoken(_PILE * grams, 2)}{_G}",
            sums=(Sum("A pile", f"{_PILE} × {text} =", f"{spoken(_PILE * grams, 2)}{_G}"),),
            values=(_PILE * grams,),
        ),
        Question(
            level=Level.MIDDLE,
            text=f"How many scoops are in a tin of {_TIN_G}{_G}?",
            answer=f"About {rounded(_TIN_G / grams, 0)}",
            sums=(Sum("Scoops", f"{_TIN_G} ÷ {text} =", rounded(_TIN_G / grams, 1)),),
            values=(_TIN_G / grams,),
        ),
        Question(
            level=Level.HARD,
            text=f"A meal is {count_of_scoops(plan.portion_scoops)}. There are {meals} meals in a "
            "week. How much food is that?",
            answer=f"{spoken(week, 2)}{_G}",
            sums=(
                Sum(
                    "Food of a week",
                    f"{text} × {spoken(plan.portion_scoops, 2)} × {meals} =",
                    f"{spoken(week, 2)}{_G}",
                ),
            ),
            values=(week,),
        ),
    )


def count_of_scoops(scoops: float) -> str:
    """So many scoops in words."""
    return "1 scoop" if scoops == 1.0 else f"{spoken(scoops, 2)} scoops"


def _scoop_surprise(weighed: list[float]) -> str:
    if len(weighed) < 2:
        return f"The record has one weighing, {spoken(weighed[0], 3)}{_G}. How near is yours?"
    more = 100.0 * (max(weighed) - min(weighed)) / min(weighed)
    return (
        f"Our own weighings go from {spoken(min(weighed), 3)} to {spoken(max(weighed), 3)}{_G}: "
        f"the heaviest is {rounded(more, 0)} of 100 heavier than the lightest."
    )


def readers(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:
    """The last tube that enough pupils read."""
    least = int(knowledge.value("lesson.readers"))
    since = snapshot.as_of - timedelta(days=knowledge.value("lesson.tubes-days"))
    last = lessons.last_tube(session, snapshot.tank.id, least, since, snapshot.as_of)
    sheet = Table(
        caption="Fill in: how many saw each color",
        columns=("Color", "By the window", "Under the lamp"),
        rows=(("", "", ""),) * _GROUPS,
    )
    found = None if last is None else _tube(session, snapshot, least, *last)
    if found is None:
        return Filled(tables=(sheet,), lacking=(TUBE,))
    row, label = found.rows[found.place], FACTS[found.month.quantity].label
    seen = ", ".join(found.bare(value) for value in row.seen)
    return Filled(
        facts=((f"{label}, {day_words(row.day)}", f"{len(row.seen)} readers saw {seen}"),),
        tables=(sheet,),
        questions=reader_questions(found),
        surprise=_eyes(found),
    )


def _tube(
    session: Session, snapshot: TankSnapshot, least: int, at: datetime, quantity: str
) -> Found | None:
    day = local_day(at, snapshot.site.zone)
    for each in month_rows(session, snapshot, day, day + timedelta(days=1), _EVERY):
        places = [i for i, row in enumerate(each.rows) if len(row.seen) >= least]
        if each.quantity.value == quantity and places:
            return Found(Feature(FeatureKind.READERS, (places[-1],), 1.0), each)
    return None


def _eyes(found: Found) -> str:
    seen = found.rows[found.place].seen
    if len(set(seen)) == 1:
        return f"This time all {len(seen)} readers agreed. Try it by the window and by the lamp."
    return (
        f"{len(seen)} readers of one tube saw {len(set(seen))} different numbers, from "
        f"{found.text(seen[0])} to {found.text(seen[-1])}."
    )


def monday(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:
    """The last full week with enough temperatures, to be drawn by hand."""
    week = _week(session, snapshot, knowledge)
    if week is None:
        return Filled(lacking=(WARMTH,))
    values, hours = [row.value for row in week.rows], _hours(week)
    place = max(range(len(hours)), key=hours.__getitem__)
    before, after = week.rows[place], week.rows[place + 1]
    found = Found(Feature(FeatureKind.GAP, (place,), 1.0), week)
    between = f"from {_moment(week, place)} to {_moment(week, place + 1)}"
    days, rest = divmod(hours[place], 24.0)
    return Filled(
        tables=(week.table(),),
        svg=unlabeled.draw(week.series(), "lesson-chart", empty=True),
        told_svg=unlabeled.draw(week.series(), "lesson-answer"),
        questions=(
            Question(
                level=Level.EASY,
                text="Which reading is the warmest, which the coldest? How far are they apart?",
                answer=f"{found.text(max(values))} and {found.text(min(values))}: "
                f"{found.text(max(values) - min(values))} apart.",
                sums=(
                    Sum(
                        "How far apart",
                        f"{found.bare(max(values))} − {found.bare(min(values))} =",
                        found.text(max(values) - min(values)),
                    ),
                ),
                values=(max(values), min(values), max(values) - min(values)),
            ),
            Question(
                level=Level.MIDDLE,
                text="What is the mean of all readings of the week?",
                answer=found.text(fmean(values), found.finer),
                sums=(found.mean("The mean", values),),
                values=(fmean(values),),
            ),
            Question(
                level=Level.HARD,
                text="Where is the longest time without a reading? How many hours is it?",
                answer=f"About {rounded(hours[place], 0)} hours, {between}.",
                sums=(
                    Sum(
                        "Full days in hours, and the rest",
                        f"{int(days)} × 24 + {rounded(rest, 1)} =",
                        f"{rounded(hours[place], 1)}{NBSP}h",
                    ),
                ),
                values=(hours[place],),
            ),
        ),
        surprise=f"For {count(round(hours[place]), 'hour', 'hours')} nobody looked, {between}. "
        f"It was {found.text(before.value)} before and {found.text(after.value)} after. "
        "What it did in between nobody knows.",
    )


def _moment(week: MonthOf, place: int) -> str:
    row = week.rows[place]
    return f"{WEEKDAYS[row.day.weekday()]} {clock_words(row.at, week.zone)}"


def _hours(week: MonthOf) -> list[float]:
    times = [row.at for row in week.rows]
    return [
        (later - earlier).total_seconds() / _SECONDS_PER_HOUR for earlier, later in pairwise(times)
    ]


def _week(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> MonthOf | None:
    """The newest week, Monday to Monday, with enough temperatures; the two ends of a weekend."""
    least = int(knowledge.value("lesson.week-rows"))
    most = int(knowledge.value("lesson.most-rows"))
    last = snapshot.today - timedelta(days=snapshot.today.weekday())
    for _ in range(int(knowledge.value("lesson.weeks-back"))):
        # with the Monday after it: the hole of a weekend has two ends
        end = last + timedelta(days=1)
        for each in month_rows(session, snapshot, last - timedelta(days=7), end, most):
            if each.quantity is Quantity.TEMPERATURE and len(each.rows) >= least:
                return each
        last -= timedelta(days=7)
    return None
