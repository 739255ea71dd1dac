"""Ways to guess the next reading, held against it: the method is scored, never the child."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import mean, median

from app.domain.prediction import Round
from app.estimates.score import apart
from app.knowledge.model import Knowledge


class Method(StrEnum):
    """A way to guess, in words for the page."""

    MIDDLE = "The middle guess of all"
    MODEL = "The program"
    LAST = "The same as last time"


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodScore:
    """What a way guessed in the kept unit, and how far it was off: see `score.apart`."""

    method: Method
    guess: float
    off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodRecord:
    """How far a way was off on average, over so many rounds."""

    method: Method
    rounds: int
    error: float


def may_be_shown(played: Round, knowledge: Knowledge) -> bool:
    """Whether there are enough guesses that nobody can tell whose is whose."""
    return len(played.guesses) >= knowledge.value("ledger.least-guesses")


def guessed(played: Round, knowledge: Knowledge) -> tuple[tuple[Method, float], ...]:
    """What each way guessed, in the kept unit; a way that cannot tell is left out."""
    found = []
    if may_be_shown(played, knowledge):
        found.append((Method.MIDDLE, float(median(g.value for g in played.guesses))))
    if played.forecast is not None:
        found.append((Method.MODEL, played.forecast.best))
    if played.last is not None:
        found.append((Method.LAST, played.last))
    return tuple(found)


def scores(played: Round, knowledge: Knowledge) -> tuple[MethodScore, ...]:
    """How far each way was off, the nearest first; () before the test."""
    if played.reading is None:
        return ()
    found = [
        MethodScore(method=method, guess=guess, off=apart(guess, played.reading))
        for method, guess in guessed(played, knowledge)
    ]
    return tuple(sorted(found, key=lambda each: abs(each.off)))


def records(rounds: Sequence[Round], knowledge: Knowledge) -> tuple[MethodRecord, ...]:
    """How each way did over all rounds of one quantity in which all ways could tell."""
    told = [found for each in rounds if len(found := scores(each, knowledge)) == len(Method)]
    if not told:
        return ()
    by_method = {m: [abs(s.off) for found in told for s in found if s.method is m] for m in Method}
    return tuple(
        MethodRecord(method=method, rounds=len(told), error=mean(off))
        for method, off in by_method.items()
    )
