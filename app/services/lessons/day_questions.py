"""Questions about days: where the line breaks, for how long, and what may lie in between."""

from collections.abc import Sequence
from statistics import fmean
from typing import Final

from app.charts.days import clock_words, day_words
from app.domain.features import Row
from app.domain.wording import NBSP, count
from app.services.lessons.found import Found
from app.services.lessons.model import Level, Question
from app.services.lessons.numbers import added_up, rounded
from app.services.workings.model import Sum

_SECONDS_PER_HOUR: Final = 3600.0


def gap_questions(found: Found) -> tuple[Question, ...]:
    """How long the gap is, how much of the time has a reading, what may lie in the middle."""
    before, after = found.rows[found.place], found.rows[found.place + 1]
    return (_empty_days(before, after), _days_read(found), _half_way(found, before, after))


def _empty_days(before: Row, after: Row) -> Question:
    apart = (after.day - before.day).days
    return Question(
        level=Level.EASY,
        text="Find the longest gap. For how many whole days does no reading stand there?",
        answer=f"{count(apart - 1, 'day', 'days')}: after {day_words(before.day)} the next reading "
        f"is of {day_words(after.day)}.",
        sums=(
            Sum(
                f"From {day_words(before.day)} to {day_words(after.day)} are {apart} days; "
                "the last one has a reading",
                f"{apart} − 1 =",
                count(apart - 1, "day", "days"),
            ),
        ),
        values=(apart - 1.0,),
    )


def _days_read(found: Found) -> Question:
    first, last = found.rows[0].day, found.rows[-1].day
    with_reading, span = len({row.day for row in found.rows}), (last - first).days + 1
    share = 100.0 * with_reading / span
    return Question(
        level=Level.MIDDLE,
        text=f"Count from {day_words(first)} to {day_words(last)}, both days included. "
        "Of 100 such days, how many would have a reading?",
        answer=f"About {rounded(share, 0)} of 100: {with_reading} of {span} days.",
        sums=(
            Sum(
                f"{count(with_reading, 'day', 'days')} with a reading, of {span}",
                f"{with_reading} ÷ {span} × 100 =",
                f"{rounded(share, 0)}{NBSP}%",
            ),
        ),
        values=(share,),
    )


def _half_way(found: Found, before: Row, after: Row) -> Question:
    middle = (before.value + after.value) / 2.0
    return Question(
        level=Level.HARD,
        text="Draw a straight line over the gap. Which number lies half way? "
        "How sure can you be that it was so?",
        answer=f"{found.text(middle, found.finer)}. Nobody knows if it was so: nobody measured. "
        "A line over a gap is a guess.",
        sums=(
            Sum(
                "Half way between the two readings",
                f"({found.bare(before.value)} + {found.bare(after.value)}) ÷ 2 =",
                found.text(middle, found.finer),
            ),
        ),
        values=(middle,),
    )


def hole_questions(found: Found) -> tuple[Question, ...]:
    """How many holes, how long the first one is, how far the readings beside them are apart."""
    holes = [(found.rows[i], found.rows[i + 1]) for i in found.feature.places]
    return (_how_many(holes), _how_long(found, *holes[0]), _over_them(found, holes))


def _how_many(holes: Sequence[tuple[Row, Row]]) -> Question:
    after = ", ".join(day_words(before.day) for before, _ in holes)
    return Question(
        level=Level.EASY,
        text="On some days nobody is meant to come. How many times is there a hole of such days "
        "between two readings?",
        answer=f"{count(len(holes), 'time', 'times')}, after {after}.",
        sums=(Sum("Holes, each after", f"{after}:", str(len(holes))),),
        values=(float(len(holes)),),
    )


def _how_long(found: Found, before: Row, after: Row) -> Question:
    hours = (after.at - before.at).total_seconds() / _SECONDS_PER_HOUR
    days, rest = divmod(hours, 24.0)
    zone = found.month.zone
    return Question(
        level=Level.MIDDLE,
        text="Look at the first hole. How many hours lie between the reading before it and the one "
        "after it?",
        answer=f"About {rounded(hours, 0)} hours: from {day_words(before.day)} "
        f"{clock_words(before.at, zone)} to {day_words(after.day)} {clock_words(after.at, zone)}.",
        sums=(
            Sum(
                "Full days in hours, and the rest",
                f"{int(days)} × 24 + {rounded(rest, 1)} =",
                f"{rounded(hours, 1)}{NBSP}h",
            ),
        ),
        values=(hours,),
    )


def _over_them(found: Found, holes: Sequence[tuple[Row, Row]]) -> Question:
    apart = [abs(after.value - before.value) for before, after in holes]
    mean = fmean(apart)
    return Question(
        level=Level.HARD,
        text="For each hole: how far apart are the readings before and after it? "
        "What is the mean of these?",
        answer=f"{found.text(mean, found.finer)}. What it did in between nobody can say.",
        sums=(
            Sum(
                "How far apart, added up, by the number of holes",
                f"({added_up(apart, found.decimals)}) ÷ {len(apart)} =",
                found.text(mean, found.finer),
            ),
        ),
        values=(mean,),
    )
