"""Lessons about chance: a bet against the tank, and whether numbers show a pattern at all."""

from collections.abc import Sequence
from datetime import date
from statistics import median
from typing import Final

from sqlalchemy.orm import Session

from app.charts.seeded import numbers as seeded
from app.domain.calendar import local_day
from app.domain.prediction import Round, RoundState
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, dated, reading_text, with_unit
from app.estimates.predictions import may_be_shown
from app.estimates.score import apart
from app.knowledge.model import Knowledge
from app.science.chance import deals, halves_apart
from app.services.ahead.predictions import rounds
from app.services.lessons.lacking import GUESSES, MORE_READINGS
from app.services.lessons.model import Filled, Level, Question, Table
from app.services.lessons.numbers import in_a_row, rounded, spoken
from app.services.workings.model import Sum

_LETTERS: Final = "ABCD"
_TYPED_DECIMALS: Final = 2
_TRIES: Final = 200


def guesses(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:
    """The last round of guesses that was closed by a test; guesses without names."""
    played = [
        each
        for each in rounds(session, snapshot.tank.id)
        if each.state(snapshot.as_of) is RoundState.MEASURED and may_be_shown(each, knowledge)
    ]
    if not played:
        return Filled(lacking=(GUESSES,))
    return _round(played[0], snapshot)


def _round(played: Round, snapshot: TankSnapshot) -> Filled:
    reading = played.reading
    if reading is None:
        return Filled(lacking=(GUESSES,))
    kept = sorted(g.value for g in played.guesses)
    shown = [played.unit.from_kept(value) for value in kept]
    middle = played.unit.from_kept(median(kept))
    off = [abs(apart(value, reading)) for value in kept]
    of_middle = abs(apart(median(kept), reading))
    nearer = sum(each < of_middle - 1e-9 for each in off)
    zero = played.unit.from_kept(0.0)
    shown_off = abs(played.unit.from_kept(of_middle) - zero)
    label, day = FACTS[played.quantity].label, local_day(reading.at, snapshot.site.zone)
    span = shown[-1] - shown[0]
    row = ", ".join(spoken(value, _TYPED_DECIMALS) for value in shown)

    def text(value: float) -> str:
        return with_unit(spoken(value, _TYPED_DECIMALS), played.symbol)

    return Filled(
        facts=(
            ("What we guessed", f"{label}, read on {dated(day)}"),
            ("All guesses, from low to high", f"{row} {played.symbol}".strip()),
            ("The test said", reading_text(reading, snapshot.site)),
        ),
        told=(
            Table(
                caption="How far each guess was off; no guess is anybody’s",
                columns=("Guess", "Off by"),
                rows=tuple(
                    (
                        text(value),
                        text(abs(played.unit.from_kept(each) - zero)),
                    )
                    for value, each in zip(shown, off, strict=True)
                ),
                numbers=(0, 1),
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text="How far are the lowest and the highest guess apart?",
                answer=text(span),
                sums=(
                    Sum(
                        "From end to end",
                        f"{spoken(shown[-1], 2)} − {spoken(shown[0], 2)} =",
                        text(span),
                    ),
                ),
                values=(span,),
            ),
            Question(
                level=Level.MIDDLE,
                text="Which guess is in the middle? How far is it from what the test says?",
                answer=f"The middle is {text(middle)}. The test says "
                f"{reading_text(reading, snapshot.site)}: {text(shown_off)} off.",
                sums=(Sum("In order", f"{row}: the middle is", text(middle)),),
                values=(middle, shown_off),
            ),
            Question(
                level=Level.HARD,
                text="How many guesses were nearer than the middle one? How many of 100 is that?",
                answer=f"{count(nearer, 'guess', 'guesses')} of {len(kept)}, "
                f"{rounded(100.0 * nearer / len(kept), 0)} of 100.",
                sums=(
                    Sum(
                        "Nearer ones, of all",
                        f"{nearer} ÷ {len(kept)} × 100 =",
                        rounded(100.0 * nearer / len(kept), 0),
                    ),
                ),
                values=(float(nearer), 100.0 * nearer / len(kept)),
            ),
        ),
        surprise=f"The middle guess was {text(shown_off)} off. Of {len(kept)} guesses, "
        f"{nearer} came nearer than the middle one.",
        basis="A color of a card stands for a range: a guess inside of it is not off.",
    )


def shuffled(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """The tank's own numbers beside the same numbers shuffled."""
    most = int(knowledge.value("lesson.cards"))
    least = int(knowledge.value("lesson.least-cards"))
    chosen = _numbers(snapshot, least, most)
    if chosen is None:
        return Filled(lacking=(MORE_READINGS,))
    quantity, values = chosen
    decimals = FACTS[quantity].decimals
    unit = snapshot.site.unit_of(quantity).symbol
    rows, place = with_shuffled(values, f"{snapshot.tank.id}/{quantity}/{values}")
    apart_of = [abs(halves_apart(row)) for row in rows]
    dealt, half = deals(values), len(values) // 2
    chance = 100.0 * dealt.as_far / dealt.ways
    letter = _LETTERS[place]
    return Filled(
        facts=(
            ("The numbers", f"{FACTS[quantity].label}, {len(values)} readings, in order of time"),
        ),
        tables=(
            Table(
                caption="One row is real, three are shuffled",
                columns=("Row", *(str(n) for n in range(1, len(values) + 1))),
                rows=tuple(
                    (_LETTERS[i], *(rounded(v, decimals) for v in row))
                    for i, row in enumerate(rows)
                ),
                numbers=tuple(range(1, len(values) + 1)),
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text=f"For each row: find the mean of the first {half} numbers and of the last "
                f"{half}. How far are they apart?",
                answer="; ".join(
                    f"{_LETTERS[i]}: {with_unit(rounded(each, decimals + 1), unit)}"
                    for i, each in enumerate(apart_of)
                ),
                sums=tuple(_halves(_LETTERS[i], row, decimals) for i, row in enumerate(rows)),
                values=tuple(apart_of),
            ),
            Question(
                level=Level.MIDDLE,
                text=f"Deal {len(values)} slips into two piles of {half}. In how many ways can you "
                "do that, if the order inside a pile does not matter?",
                answer=f"In {dealt.ways} ways.",
                sums=(_ways(len(values), half, dealt.ways),),
                values=(float(dealt.ways),),
            ),
            Question(
                level=Level.HARD,
                text=f"In {dealt.as_far} of these ways the piles are as far apart as in the real "
                "row, or farther. How many of 100 is that? Is it a pattern?",
                answer=f"{rounded(chance, 0)} of 100. {_verdict(chance, knowledge)}",
                sums=(
                    Sum(
                        "As far apart by chance alone",
                        f"{dealt.as_far} ÷ {dealt.ways} × 100 =",
                        f"{rounded(chance, 1)} of 100",
                    ),
                ),
                values=(chance,),
            ),
        ),
        surprise=f"Row {letter} is the real one. {_others(apart_of, place)}",
        basis="All ways to deal were counted by the program.",
    )


def _numbers(
    snapshot: TankSnapshot, least: int, most: int
) -> tuple[Quantity, tuple[float, ...]] | None:
    """The last readings of the quantity that varies most: the first one of each day."""
    best: tuple[Quantity, tuple[float, ...]] | None = None
    for quantity in Quantity:
        unit, decimals = snapshot.site.unit_of(quantity), FACTS[quantity].decimals
        by_day: dict[date, float] = {}
        for reading in snapshot.of(quantity):
            if reading.value is not None:
                day = local_day(reading.at, snapshot.site.zone)
                by_day.setdefault(day, round(unit.from_kept(reading.value), decimals))
        values = tuple(by_day.values())[-most:]
        values = values[len(values) % 2 :]
        enough = len(values) >= least and len(set(values)) > 1
        if enough and (best is None or len(set(values)) > len(set(best[1]))):
            best = quantity, values
    return best


def with_shuffled(
    values: Sequence[float], seed: object
) -> tuple[tuple[tuple[float, ...], ...], int]:
    """The real row among three shuffled ones, each another where that can be, and its place."""
    chance = seeded(seed)
    real = tuple(values)
    rows: list[tuple[float, ...]] = []
    for _ in range(_TRIES):
        keys = [next(chance) for _ in real]
        row = tuple(value for _, value in sorted(zip(keys, real, strict=True)))
        if row != real and row not in rows:
            rows.append(row)
        if len(rows) == len(_LETTERS) - 1:
            break
    place = int(next(chance) * (len(rows) + 1))
    rows.insert(place, real)
    return tuple(rows), place


def _halves(letter: str, row: Sequence[float], decimals: int) -> Sum:
    half = len(row) // 2
    first, second = (in_a_row(part, decimals) for part in (row[:half], row[half:]))
    means = [sum(part) / half for part in (row[:half], row[half:])]
    finer = decimals + 2
    return Sum(
        f"Row {letter}: the means of {first} and of {second}",
        f"{rounded(max(means), finer)} − {rounded(min(means), finer)} =",
        rounded(abs(means[1] - means[0]), decimals + 1),
    )


def _ways(numbers: int, half: int, ways: int) -> Sum:
    above = " × ".join(str(n) for n in range(numbers, numbers - half, -1))
    below = " × ".join(str(n) for n in range(half, 0, -1))
    return Sum("Ways to choose the first pile", f"({above}) ÷ ({below}) =", str(ways))


def _verdict(chance: float, knowledge: Knowledge) -> str:
    if chance > knowledge.value("lesson.often"):
        return "That is often. These numbers alone show no pattern."
    if chance > knowledge.value("lesson.rare"):
        return "That is not so rare. It may be a pattern, or chance: more numbers would tell."
    return "That is rare. It looks like a pattern; what made it the numbers do not say."


def _others(apart_of: Sequence[float], place: int) -> str:
    as_far = sum(each >= apart_of[place] - 1e-9 for i, each in enumerate(apart_of) if i != place)
    if not as_far:
        return "No shuffled row has halves as far apart."
    return (
        f"Of the three shuffled rows, {as_far} {'has' if as_far == 1 else 'have'} halves as far "
        "apart as the real one, or farther."
    )
