"""Questions about single numbers: one far off, and what several readers of one tube saw."""

from collections.abc import Sequence
from statistics import fmean, median, multimode

from app.charts.days import day_words
from app.domain.wording import count, listed
from app.services.lessons.found import Found
from app.services.lessons.model import Level, Question
from app.services.lessons.numbers import in_a_row, in_brackets
from app.services.workings.model import Sum

_WEEK = 7


def outlier_questions(found: Found) -> tuple[Question, ...]:
    """How far it is off, what it does to the mean, and what it does to the middle."""
    here = found.rows[found.place]
    beside = found.rows[found.place - 1 if found.place else 1]
    others = [v for i, v in enumerate(found.values) if i != found.place]
    apart = abs(here.value - beside.value)
    which = "before it" if found.place else "after it"
    low, high = sorted((here.value, beside.value))
    easy = Question(
        level=Level.EASY,
        text="One reading lies far from all others. Which day? "
        f"How far is it from the one {which}?",
        answer=f"{day_words(here.day)}: {found.text(here.value)}. It is {found.text(apart)} from "
        f"the reading {which}.",
        sums=(
            Sum("How far apart", f"{found.bare(high)} − {in_brackets(low, found.decimals)} =",
                found.text(apart)),
        ),
        values=(apart,),
    )  # fmt: skip
    middle = Question(
        level=Level.MIDDLE,
        text="Find the mean of all readings. Then find it once more without that one.",
        answer=f"{found.text(fmean(found.values), found.finer)} with it, "
        f"{found.text(fmean(others), found.finer)} without it.",
        sums=(
            found.mean("With it", found.values),
            found.mean("Without it", others),
        ),
        values=(fmean(found.values), fmean(others)),
    )
    moved = (abs(fmean(found.values) - fmean(others)), abs(median(found.values) - median(others)))
    hard = Question(
        level=Level.HARD,
        text="Put the numbers in order. Find the one in the middle (the median), with and without "
        "the odd one. Which moved more, the mean or the median?",
        answer=f"The median is {found.text(median(found.values), found.finer)} with it and "
        f"{found.text(median(others), found.finer)} without it. {_which_moved(*moved)}",
        sums=(
            _middle("With it", found.values, found),
            _middle("Without it", others, found),
        ),
        values=(median(found.values), median(others)),
    )
    return easy, middle, hard


def _which_moved(mean: float, middle: float) -> str:
    if abs(mean - middle) < 1e-9:
        return "Both moved alike."
    if mean > middle:
        return "The mean moved more: one odd number hardly moves a median."
    return "This time the median moved more. That is rare."


def reader_questions(found: Found) -> tuple[Question, ...]:
    """What most saw, the middle and the range, and why colors are not averaged."""
    row = found.rows[found.place]
    seen, day = list(row.seen), day_words(row.day)
    modes, mean, card = multimode(seen), fmean(seen), row.low is not None
    most = seen.count(modes[0])
    # of an even number of colors the higher middle one: no card has a color in between
    middle = seen[len(seen) // 2] if card else median(seen)
    text = in_a_row(seen, found.decimals)
    easy = Question(
        level=Level.EASY,
        text=f"On {day} {len(seen)} of us read one tube: {text}. Which number came most often?",
        answer=_modes(found, modes, most),
        sums=(
            Sum(
                "How often",
                f"{', '.join(_how_often(found, seen))}:",
                listed([found.bare(value) for value in modes]),
            ),
        ),
        values=tuple(modes),
    )  # fmt: skip
    spread = Question(
        level=Level.MIDDLE,
        text="Put the numbers in order. Which is in the middle? How far are the ends apart?",
        answer=f"The middle is {found.text(middle)}. The ends are "
        f"{found.text(seen[-1] - seen[0])} apart.",
        sums=(
            Sum("In order", f"{text}: the middle is", found.text(middle)),
            Sum("From end to end", f"{found.bare(seen[-1])} − {found.bare(seen[0])} =",
                found.text(seen[-1] - seen[0])),
        ),
        values=(middle, seen[-1] - seen[0]),
    )  # fmt: skip
    hard = Question(
        level=Level.HARD,
        text="Work out the mean. Did anybody see that number? Would you write it down?",
        answer=f"{found.text(mean, found.finer)}. {_of_a_mean(found, mean, card=card)}",
        sums=(found.mean("The mean", seen),),
        values=(mean,),
    )
    return easy, spread, hard


def _how_often(found: Found, seen: Sequence[float]) -> list[str]:
    return [
        f"{found.bare(value)} came {count(seen.count(value), 'time', 'times')}"
        for value in sorted(set(seen))
    ]


def _modes(found: Found, modes: Sequence[float], most: int) -> str:
    if most == 1:
        return "No number: each one came once."
    numbers = listed([found.text(value) for value in modes])
    return f"{numbers}, {count(most, 'time', 'times')}{' each' if len(modes) > 1 else ''}."


def _of_a_mean(found: Found, mean: float, *, card: bool) -> str:
    if card:
        return "A card has steps, no numbers between them. So we write the middle, and how far."
    seen = found.rows[found.place].seen
    somebody = any(abs(mean - value) < 1e-9 for value in seen)
    return "Somebody did." if somebody else "Nobody did. It still is a good guess for a meter."


def _middle(what: str, values: Sequence[float], found: Found) -> Sum:
    ordered, half = sorted(values), len(values) // 2
    if len(ordered) % 2:
        text = f"number {half + 1} of {len(ordered)} in order is"
    else:
        pair = [found.bare(value) for value in ordered[half - 1 : half + 1]]
        text = f"numbers {half} and {half + 1} of {len(ordered)}: ({pair[0]} + {pair[1]}) ÷ 2 ="
    return Sum(what, text, found.text(median(values), found.finer))
