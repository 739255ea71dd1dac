"""The cold night: how our tank would cool, worked out and never tried out."""

from typing import Final

from sqlalchemy.orm import Session

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, bare_degrees, degrees, degrees_apart
from app.estimates.cooling import constant_h
from app.estimates.warmth import loss_of, target_of
from app.knowledge.model import Knowledge
from app.science.heat import cooled_c
from app.services.lessons.lacking import ROOM, VOLUME
from app.services.lessons.model import ESTIMATE, Filled, Level, Question, Table
from app.services.lessons.numbers import half_up, rounded
from app.services.workings.model import Sum

_LINES: Final = 5
_TWICE: Final = 2.0
"""Each side twice as long: 4 times the glass, 8 times the water, so twice the time constant."""


def cooling(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """How our tank would cool in its coldest room."""
    room = snapshot.tank.coldest_room_c
    start = _start(snapshot, knowledge)
    if room is None or start <= room:
        return Filled(lacking=(ROOM,))
    loss = loss_of(snapshot, knowledge, water_c=start, room_c=room)
    if loss is None:
        return Filled(lacking=(VOLUME,))
    constant = constant_h(loss.per_c.best, snapshot)
    step = knowledge.value("lesson.cold-hours")
    return _cooling(snapshot, (start, room, constant), step, measured=loss.pair is not None)


def _start(snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    latest = snapshot.latest(Quantity.TEMPERATURE)
    return target_of(snapshot, knowledge).best if latest is None else latest.best


def _cooling(
    snapshot: TankSnapshot, known: tuple[float, float, float], step: float, *, measured: bool
) -> Filled:
    site, (start, room, constant) = snapshot.site, known
    unit = site.unit_of(Quantity.TEMPERATURE)
    hours = [step * n for n in range(_LINES)]
    # pupils go on with the numbers of the table
    course = [half_up(unit.from_kept(cooled_c(start, room, h, constant)), 1) for h in hours]
    around = half_up(unit.from_kept(room), 1)
    first, last = course[0] - course[1], course[-2] - course[-1]
    parts = [
        (after - around) / (before - around)
        for before, after in ((course[0], course[1]), (course[1], course[2]))
    ]
    symbol = f"{NBSP}{unit.symbol}"
    whole = rounded(step, 0)
    return Filled(
        facts=(
            ("The water now, or as it is to be", degrees(site, start)),
            ("The room in its coldest hour", degrees(site, room)),
            (
                "How fast it would cool",
                "by two readings while nothing heated" if measured else "by the tank’s measures",
            ),
        ),
        tables=(
            Table(
                caption=f"Our tank without heat. {ESTIMATE}",
                columns=("Hours", f"Water, {unit.symbol}"),
                rows=tuple(
                    (rounded(h, 0), rounded(value, 1))
                    for h, value in zip(hours, course, strict=True)
                ),
                numbers=(0, 1),
            ),
            Table(
                caption="Fill in: cup and bucket",
                columns=("Minutes", "Cup", "Bucket", "Room"),
                rows=tuple((str(5 * n), "", "", "") for n in range(4)),
                numbers=(0,),
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text=f"How much does our tank cool in the first {whole} hours? And in the last "
                f"{whole}?",
                answer=f"{rounded(first, 1)}{symbol} at first, {rounded(last, 1)}{symbol} at last.",
                sums=(
                    _less("At first", course[0], course[1], symbol),
                    _less("At last", course[-2], course[-1], symbol),
                ),
                values=(first, last),
            ),
            Question(
                level=Level.MIDDLE,
                text=f"How far above the room of {rounded(around, 1)}{symbol} is the water in each "
                f"line? What part of that is left after {whole} hours? And after {whole} more?",
                answer=f"About {rounded(100.0 * parts[0], 0)} and {rounded(100.0 * parts[1], 0)} "
                "of 100: nearly the same part each time.",
                sums=tuple(
                    Sum(
                        what,
                        f"({rounded(course[n + 1], 1)} − {rounded(around, 1)}) ÷ "
                        f"({rounded(course[n], 1)} − {rounded(around, 1)}) × 100 =",
                        f"{rounded(100.0 * parts[n], 0)}{NBSP}%",
                    )
                    for n, what in enumerate(("At first", "Then"))
                ),
                values=(100.0 * parts[0], 100.0 * parts[1]),
            ),
            Question(
                level=Level.HARD,
                text="Think of a tank with each side twice as long. It has 4 times the glass and 8 "
                f"times the water, so it takes twice the time. How warm is it after "
                f"{rounded(_TWICE * step, 0)} hours?",
                answer=f"{rounded(course[1], 1)}{symbol}: as warm as ours after {whole} hours.",
                sums=(
                    Sum(
                        "The hours of our tank",
                        f"{rounded(_TWICE * step, 0)} ÷ {rounded(_TWICE, 0)} =",
                        f"{whole}{NBSP}h",
                    ),
                ),
                values=(course[1],),
            ),
        ),
        surprise=f"Ours would go from {bare_degrees(site, start)} to "
        f"{rounded(course[-1], 1)}{symbol} in {rounded(hours[-1], 0)} hours, "
        f"{degrees_apart(site, start - cooled_c(start, room, hours[-1], constant))} in all. A "
        "bigger tank cools more slowly, and each one ever more slowly near the room.",
        basis=f"{ESTIMATE} Newton’s law of cooling, in a room that stays as cold as it is. Nobody "
        "switches a heater off for it.",
    )


def _less(what: str, before: float, after: float, symbol: str) -> Sum:
    text = f"{rounded(before, 1)} − {rounded(after, 1)} ="
    return Sum(what, text, f"{rounded(before - after, 1)}{symbol}")
