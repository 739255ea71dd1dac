"""How good forecasts were: hit or miss, error, what their ranges cover, how wide to make them.

A forecast meets the reading that is nearest to its moment. A color card's reading is a range: it
is a hit when the two ranges overlap, which is easier than to hit a meter's reading.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from statistics import mean, stdev
from typing import Final

from app.domain.forecast import Forecast
from app.domain.records import Reading
from app.domain.wording import count, decimal
from app.estimates.nitrate import halfway
from app.knowledge.model import Knowledge
from app.science.proportion import wilson_interval

_NARROWEST: Final = 1e-9


class Outcome(StrEnum):
    """What came of a forecast, in words for the page."""

    HIT = "inside"
    MISS = "outside"
    WAITING = "not measured yet"
    NO_TEST = "nobody tested near that day"
    TAKEN = "a newer forecast met that test"
    FELL = "the test it began with was taken back"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """A forecast with what was measured; `reading` is None where it met none."""

    forecast: Forecast
    outcome: Outcome
    reading: Reading | None = None

    @property
    def error(self) -> float | None:
        """What was measured less what was expected, in the kept unit; see `apart`."""
        return None if self.reading is None else apart(self.forecast.best, self.reading)

    @property
    def error_of_last(self) -> float | None:
        """What was measured less what "the same as last time" would have said."""
        return None if self.reading is None else apart(self.forecast.last, self.reading)

    @property
    def stretch(self) -> float | None:
        """How many times as wide its own range had to be to hold what was measured; 0 in the best.

        A card's reading is held as soon as its nearer end is.
        """
        if self.reading is None:
            return None
        return _stretch(self.forecast, self.reading)


@dataclass(frozen=True, slots=True, kw_only=True)
class Skill:
    """How the forecasts did that met a reading; shares from 0 to 1.

    `covered` is the share of hits with its own low and high end. `against_last` is how much
    smaller the mean error is than that of "the same as last time": 1 is perfect, 0 is no better,
    below 0 is worse, None where it cannot be told. `clear`: the difference of the errors, test by
    test, is larger than its own standard error.
    """

    met: int
    hits: int
    covered: tuple[float, float] = (0.0, 1.0)
    error: float = 0.0
    error_of_last: float = 0.0
    clear: bool = False

    @property
    def share(self) -> float:
        """The share of hits."""
        return self.hits / self.met if self.met else 0.0

    @property
    def against_last(self) -> float | None:
        """1 less the ratio of the two mean errors."""
        if not self.met or self.error_of_last <= _NARROWEST:
            return None
        return 1.0 - self.error / self.error_of_last


def score(
    forecasts: Sequence[Forecast],
    readings: Sequence[Reading],
    *,
    now: datetime,
    knowledge: Knowledge,
) -> tuple[Scored, ...]:
    """Meet each forecast with the reading nearest to its moment; the newest forecast comes first.

    A reading meets one forecast only, the newest: two forecasts of the same days are not two
    proofs. It has to lie near enough to its moment: within some days, and never nearer to the
    moment at which the forecast was made.

    Args:
        forecasts: Of one quantity of one tank.
        readings: Of the same, those that count now: a correction scores anew.
        now: The present moment.
        knowledge: Tells how near is near enough.
    """
    nearest = timedelta(days=knowledge.value("ledger.match-days"))
    met: set[int] = set()
    found = []
    for forecast in sorted(forecasts, key=lambda f: (f.made_at, f.id), reverse=True):
        near = min(nearest, (forecast.about_at - forecast.made_at) / 2)
        fitting = [
            r for r in readings if r.at > forecast.made_at and abs(r.at - forecast.about_at) <= near
        ]
        free = [r for r in fitting if r.id not in met]
        reading = min(free, key=lambda r: (abs(r.at - forecast.about_at), r.at), default=None)
        if not forecast.stands:
            found.append(Scored(forecast=forecast, outcome=Outcome.FELL))
        elif reading is not None:
            met.add(reading.id)
            found.append(_scored(forecast, reading))
        elif fitting:
            found.append(Scored(forecast=forecast, outcome=Outcome.TAKEN))
        else:
            over = now > forecast.about_at + near
            outcome = Outcome.NO_TEST if over else Outcome.WAITING
            found.append(Scored(forecast=forecast, outcome=outcome))
    return tuple(found)


def apart(guess: float, reading: Reading) -> float:
    """How far a reading lies above a guess (below: negative); a card tells no more than its color.

    Where the color that was seen would look nearest, the guess is not off: else "the same as last
    time" would win as long as the color stays, whatever the water does.
    """
    low, high = halfway(reading)
    return max(low - guess, 0.0) + min(high - guess, 0.0)


def skill(scored: Iterable[Scored], knowledge: Knowledge) -> Skill:
    """How the forecasts did, all that met a reading counted alike.

    Source:
        `science.proportion` for how sure the share of hits is. The ratio of mean absolute errors
        against persistence is the usual skill score of forecasts.
    """
    met = [s for s in scored if s.reading is not None]
    if not met:
        return Skill(met=0, hits=0)
    hits = sum(s.outcome is Outcome.HIT for s in met)
    return Skill(
        met=len(met),
        hits=hits,
        covered=wilson_interval(hits, len(met), knowledge.value("ledger.sure") / 100.0),
        error=mean_size(s.error for s in met),
        error_of_last=mean_size(s.error_of_last for s in met),
        clear=_is_clear(met),
    )


def _is_clear(met: Sequence[Scored]) -> bool:
    """Whether one of the two errors is smaller beyond what chance does from test to test."""
    gains = [abs(s.error_of_last or 0.0) - abs(s.error or 0.0) for s in met]
    if len(gains) < 2:
        return False
    return abs(mean(gains)) > stdev(gains) / math.sqrt(len(gains))


def mean_size(errors: Iterable[float | None]) -> float:
    """The mean of the sizes of errors, without regard to their sign; at least one is known."""
    return mean(abs(error) for error in errors if error is not None)


def widening(scored: Sequence[Scored], knowledge: Knowledge) -> float:
    """How many times as wide the ranges have to be so that they cover what they promise.

    Of the last forecasts that met a reading, as worked out, so many had held it if they had been
    this wide: the smallest such factor. Never below 1, and never above the widest that is shown;
    1 while too few met a reading.
    """
    last = int(knowledge.value("ledger.last"))
    found = [s.stretch for s in scored if s.stretch is not None][:last]
    if len(found) < knowledge.value("ledger.least"):
        return 1.0
    needed = sorted(found)[widening_rank(len(found), knowledge) - 1]
    return min(max(needed, 1.0), knowledge.value("ledger.widest"))


def widening_rank(tests: int, knowledge: Knowledge) -> int:
    """How many of so many tests a range has to hold, from 1."""
    return math.ceil(knowledge.value("ledger.cover") / 100.0 * tests)


def covered_text(found: Skill, knowledge: Knowledge) -> str:
    """How much the ranges covered, in a sentence."""
    if not found.met:
        return "No forecast has met a test yet."
    promised = f"{decimal(knowledge.value('ledger.cover'), 0)} %"
    low, high = (decimal(end * 100.0, 0) for end in found.covered)
    return (
        f"{found.hits} of {count(found.met, 'test', 'tests')} lay inside the range. It promises "
        f"{promised}; from so few the true share could be {low} to {high} %."
    )


def skill_text(found: Skill, amount: Callable[[float], str], knowledge: Knowledge) -> str:
    """How the best guess did against "the same as last time", in a sentence.

    `amount` writes a difference with its unit.
    """
    least = int(knowledge.value("ledger.least"))
    if found.met < least:
        return f"Whether it beats “the same as last time” is told from {least} tests on."
    ours, theirs = amount(found.error), amount(found.error_of_last)
    if not found.error and not found.error_of_last:
        return (
            "Neither the best guess nor “the same as last time” was ever off as far as the tests "
            "tell, so that they cannot be told apart."
        )
    gain = found.against_last
    said = f"On average the best guess was off by {ours}, “the same as last time” by {theirs}"
    if gain is None or not found.clear:
        return f"{said}. From so few tests it cannot be told which of the two does better."
    share = f"{decimal(abs(gain) * 100.0, 0)} %"
    return f"{said}: {share} less." if gain > 0 else f"{said}: {share} more. Trust it less."


def widening_text(factor: float, knowledge: Knowledge) -> str:
    """What is done about ranges that cover too little, in a sentence."""
    if factor <= 1.0:
        return "The ranges are shown as they are worked out."
    wide = decimal(factor, 1)
    if factor >= knowledge.value("ledger.widest"):
        return (
            f"As worked out, the ranges held too few tests. They are shown {wide} times as wide, "
            "which is the widest, and may still hold too few: do not build on them."
        )
    return (
        f"As worked out, the ranges held too few tests, so that they are shown {wide} times as "
        "wide. That follows from the misses above, and goes back by itself."
    )


def _scored(forecast: Forecast, reading: Reading) -> Scored:
    low, high = forecast.ends
    most = math.inf if reading.most is None else reading.most
    hit = reading.least <= high and most >= low
    return Scored(forecast=forecast, outcome=Outcome.HIT if hit else Outcome.MISS, reading=reading)


def _stretch(forecast: Forecast, reading: Reading) -> float:
    most = math.inf if reading.most is None else reading.most
    if reading.least > forecast.best:
        return (reading.least - forecast.best) / max(forecast.high - forecast.best, _NARROWEST)
    if most < forecast.best:
        return (forecast.best - most) / max(forecast.best - forecast.low, _NARROWEST)
    return 0.0
