"""Questions about levels: a step, a way up or down, and the number at which it settles."""

from statistics import fmean
from typing import Final

from app.charts.days import day_words
from app.domain.features import added_between, common_share, pairs_of
from app.domain.wording import NBSP
from app.science.dilution import after_change, settles_at
from app.services.lessons.found import Found
from app.services.lessons.model import Level, Question
from app.services.lessons.numbers import added_up, in_brackets, rounded, spoken
from app.services.workings.model import Sum

_WEEK: Final = 7


def step_questions(found: Found) -> tuple[Question, ...]:
    """How high the step is, the level before and after, and its part of the whole spread."""
    values, place = found.values, found.place
    before, after = values[:place], values[place:]
    jump = values[place] - values[place - 1]
    old, new = fmean(before), fmean(after)
    spread = max(values) - min(values)
    days = [day_words(found.rows[i].day) for i in (place - 1, place)]
    high, low = max(values[place - 1 : place + 1]), min(values[place - 1 : place + 1])
    easy = Question(
        level=Level.EASY,
        text="At one place the line jumps and stays there. Between which two days? How far?",
        answer=f"Between {days[0]} and {days[1]}: {found.text(abs(jump))} "
        f"{'up' if jump > 0 else 'down'}.",
        sums=(
            Sum("The jump", f"{found.bare(high)} − {in_brackets(low, found.decimals)} =",
                found.text(abs(jump))),
        ),
        values=(abs(jump),),
    )  # fmt: skip
    middle = Question(
        level=Level.MIDDLE,
        text="Find the mean of all readings before the jump, and of all after it.",
        answer=f"{found.text(old, found.finer)} before, {found.text(new, found.finer)} after.",
        sums=(found.mean("Before", before), found.mean("After", after)),
        values=(old, new),
    )
    share = 100.0 * abs(new - old) / spread
    hard = Question(
        level=Level.HARD,
        text="How far apart are the two means? Which part of 100 is that of the whole way from "
        "the lowest to the highest reading? What may have made the step?",
        answer=f"{found.text(abs(new - old), found.finer)}, {rounded(share, 0)} of 100. The table "
        "alone does not say why: look into the Story of these days.",
        sums=(
            Sum(
                "The whole way",
                f"{found.bare(max(values))} − {in_brackets(min(values), found.decimals)} =",
                found.text(spread),
            ),
            Sum(
                "The part of the step",
                f"{rounded(abs(new - old), found.finer)} ÷ {found.bare(spread)} × 100 =",
                f"{rounded(share, 0)}{NBSP}%",
                "worked out with all digits of the means",
            ),
        ),
        values=(abs(new - old), share),
    )
    return easy, middle, hard


def trend_questions(found: Found) -> tuple[Question, ...]:
    """The ends, the pace of a week, and how far it can be trusted."""
    values = found.values
    highest, lowest = max(values), min(values)
    easy = Question(
        level=Level.EASY,
        text="Which reading is the highest, which the lowest? How far are they apart?",
        answer=f"{found.text(highest)} and {found.text(lowest)}: {found.text(highest - lowest)} "
        "apart.",
        sums=(
            Sum(
                "How far apart",
                f"{found.bare(highest)} − {in_brackets(lowest, found.decimals)} =",
                found.text(highest - lowest),
            ),
        ),
        values=(highest, lowest, highest - lowest),
    )
    first, last = found.rows[0], found.rows[-1]
    days = (last.day - first.day).days
    week = (last.value - first.value) / days * _WEEK
    middle = Question(
        level=Level.MIDDLE,
        text="From the first to the last reading: how much does it move in a week?",
        answer=f"{found.text(week, found.finer)} in a week. Below zero means down.",
        sums=(
            Sum(
                f"From {day_words(first.day)} to {day_words(last.day)} are {days} days",
                f"({found.bare(last.value)} − {in_brackets(first.value, found.decimals)}) ÷ {days} "
                f"× {_WEEK} =",
                found.text(week, found.finer),
            ),
        ),
        values=(week,),
    )
    cards = any(row.low is not None for row in found.rows)
    return easy, middle, _no_one_number(found) if cards else _next_week(found, last.value, week)


def _next_week(found: Found, last: float, week: float) -> Question:
    ahead = last + week
    return Question(
        level=Level.HARD,
        text="If it went on like this, what would we read a week after the last day? Name two "
        "things that could prove you wrong.",
        answer=f"{found.text(ahead, found.finer)}. A water change, warmer weather, other food, or "
        "just chance could prove it wrong.",
        sums=(
            Sum(
                "The last reading and one more week",
                f"{found.bare(last)} + {in_brackets(week, found.finer)} =",
                found.text(ahead, found.finer),
            ),
        ),
        values=(ahead,),
    )


def _no_one_number(found: Found) -> Question:
    least, most = max(row.least for row in found.rows), min(row.most for row in found.rows)
    return Question(
        level=Level.HARD,
        text="Each color stands for all numbers of its bar. Is there one number that lies in all "
        "bars? If not: what does that prove?",
        answer=f"No. One bar begins at {found.text(least)}, another one ends at "
        f"{found.text(most)}. So it really moved.",
        sums=(
            Sum(
                "The highest low end beside the lowest high end",
                f"{found.bare(least)} > {found.bare(most)}:",
                "no number fits all",
            ),
        ),
        values=(least, most),
    )


def settle_questions(found: Found) -> tuple[Question, ...]:
    """What one change does, what the tank adds, and where both are even."""
    tap = found.tap or 0.0
    pairs = pairs_of(found.rows, found.changes)
    share, place = common_share(pairs), pairs[0][0]
    moves = added_between(found.rows, pairs, tap)
    mean, percent = fmean(moves), spoken(share * 100.0, 0)
    start, following = found.rows[place], found.rows[place + 1]
    after = after_change(start.value, tap, share)
    part = spoken(share, 2)
    easy = Question(
        level=Level.EASY,
        text=f"On {day_words(start.day)} we read {found.text(start.value)}. A change swaps "
        f"{percent} of 100 parts of the water. The tap has {found.text(tap)}. "
        "How much is in it right after the change?",
        answer=f"{found.text(after, found.finer)}.",
        sums=(
            Sum(
                "Right after the change",
                f"{found.bare(start.value)} − {part} × ({found.bare(start.value)} − "
                f"{spoken(tap, 1)}) =",
                found.text(after, found.finer),
            ),
        ),
        values=(after,),
    )
    middle = Question(
        level=Level.MIDDLE,
        text=f"On {day_words(following.day)} we read {found.text(following.value)}. How much had "
        "the tank added since the change? Do the same for each pair of readings with one change "
        "between, and find the mean.",
        answer=f"{found.text(moves[0], found.finer)} at first; the mean is "
        f"{found.text(mean, found.finer)}.",
        sums=(
            *(
                Sum(
                    f"From {day_words(found.rows[i].day)} to {day_words(found.rows[i + 1].day)}",
                    f"{found.bare(found.rows[i + 1].value)} − "
                    f"{rounded(after_change(found.rows[i].value, tap, share), found.finer)} =",
                    found.text(move, found.finer),
                )
                for (i, _), move in zip(pairs, moves, strict=True)
            ),
            Sum(
                "The mean",
                f"({added_up(moves, found.finer)}) ÷ {len(moves)} =",
                found.text(mean, found.finer),
            ),
        ),
        values=(moves[0], mean),
    )
    point = settles_at(tap, mean, share)
    hard = Question(
        level=Level.HARD,
        text="Find the number at which each change takes out just as much as the tank adds. "
        "That is where it settles.",
        answer=f"{found.text(point.before_change, found.finer)} right before a change, "
        f"{found.text(point.after_change, found.finer)} right after it.{_coarse(found)}",
        sums=(
            Sum(
                "Right before a change: the tap, and what is added by its share",
                f"{spoken(tap, 1)} + {rounded(mean, found.finer)} ÷ {part} =",
                found.text(point.before_change, found.finer),
            ),
            Sum(
                "Right after it",
                f"{rounded(point.before_change, found.finer)} − {rounded(mean, found.finer)} =",
                found.text(point.after_change, found.finer),
            ),
        ),
        values=(point.before_change, point.after_change),
    )
    return easy, middle, hard


def _coarse(found: Found) -> str:
    row = found.rows[found.place]
    if row.low is None:
        return ""
    most = "more" if row.high is None else found.bare(row.high)
    return f" The color stands for {found.bare(row.low)} to {most}, so take it as “about”."
