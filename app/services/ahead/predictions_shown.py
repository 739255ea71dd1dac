"""A round of guesses in words: before the test only how many, after it all without names."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median

from app.domain.calendar import local_day
from app.domain.prediction import Round, RoundState
from app.domain.quantities import FACTS, Quantity
from app.domain.tank import Site
from app.domain.wording import (
    count,
    full_day,
    in_sentence,
    number,
    reading_text,
    until_text,
    with_unit,
)
from app.estimates.nitrate import halfway
from app.estimates.predictions import (
    MethodScore,
    may_be_shown,
    records,
    scores,
)
from app.knowledge.model import Knowledge
from app.services.ahead.ledger_shown import off_text, size_text
from app.services.workings.model import Sum

# a guess is shown with as many decimals as somebody may type, how far it was off with fewer
_TYPED_DECIMALS = 2
_OFF_DECIMALS = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundShown:
    """One round. `guesses` is (value, how many) from low to high, () while nobody may see them.

    `ways` is (way, guess, how far off), the nearest first; without the test the last is "".
    `names` are the tiles that guessed, for the adult only. `measured` is "" before the test, `last`
    is what was measured before the round, "" for nothing. `sums` are the working, for grown-ups.
    """

    id: int
    title: str
    opened: str
    unit: str
    state: RoundState
    last: str
    closes: str
    sealed: str
    guesses: tuple[tuple[str, int], ...]
    span: str
    ways: tuple[tuple[str, str, str], ...]
    measured: str
    nearest: str
    names: tuple[str, ...]
    sums: tuple[Sum, ...]

    @property
    def is_open(self) -> bool:
        """Whether guesses are taken."""
        return self.state is RoundState.OPEN


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordShown:
    """How the ways did over several rounds of one quantity: (way, how far off on average)."""

    title: str
    rounds: int
    ways: tuple[tuple[str, str], ...]


def round_shown(played: Round, site: Site, knowledge: Knowledge, *, now: datetime) -> RoundShown:
    """A round in words; guesses only once it was measured, and only where they are enough."""
    state = played.state(now)
    told = state is RoundState.MEASURED
    seen = told and may_be_shown(played, knowledge)
    return RoundShown(
        id=played.id,
        title=FACTS[played.quantity].label,
        opened=full_day(local_day(played.opened_at, site.zone)),
        unit=f"{played.symbol} {played.basis}".strip(),
        state=state,
        last="" if played.last is None else _typed(played, played.last),
        closes=_closes(played, site, now),
        sealed=count(len(played.guesses), "guess is sealed", "guesses are sealed"),
        guesses=_counted(played) if seen else (),
        span=_span(played) if seen else "",
        ways=_ways(played, knowledge) if told else (),
        measured=_measured(played, site) if told else "",
        nearest=_nearest(scores(played, knowledge)) if told else "",
        names=tuple(sorted(g.name for g in played.guesses)),
        sums=_sums(played, knowledge) if told else (),
    )


def records_shown(rounds: Sequence[Round], knowledge: Knowledge) -> tuple[RecordShown, ...]:
    """How the ways did, quantity by quantity, where all of them could tell."""
    found = []
    for quantity in dict.fromkeys(r.quantity for r in rounds):
        played = [r for r in rounds if r.quantity is quantity]
        told = records(played, knowledge)
        if told:
            ways = tuple(
                (r.method.value, size_text(played[0].unit, r.error, _OFF_DECIMALS)) for r in told
            )
            title = FACTS[quantity].label
            found.append(RecordShown(title=title, rounds=told[0].rounds, ways=ways))
    return tuple(found)


def _closes(played: Round, site: Site, now: datetime) -> str:
    label = in_sentence(FACTS[played.quantity].label)
    if played.closes_at is None:
        return f"It closes when the next {label} test is written."
    when = until_text(played.closes_at, site.zone, now)
    return f"It closes {when}, or when the next {label} test is written before that."


def _typed(played: Round, kept: float) -> str:
    return with_unit(number(played.unit.from_kept(kept), _TYPED_DECIMALS), played.symbol)


def _rounded(played: Round, kept: float) -> str:
    """What no one typed, with no more digits than its quantity is shown with, and a half."""
    shown = played.unit.from_kept(kept)
    decimals = max(FACTS[played.quantity].decimals, _OFF_DECIMALS)
    return with_unit(number(shown, decimals), played.symbol)


def _counted(played: Round) -> tuple[tuple[str, int], ...]:
    counted = Counter(g.value for g in played.guesses)
    return tuple((_typed(played, value), counted[value]) for value in sorted(counted))


def _span(played: Round) -> str:
    values = [g.value for g in played.guesses]
    low, high = _typed(played, min(values)), _typed(played, max(values))
    return f"{count(len(values), 'guess', 'guesses')}, from {low} to {high}."


def _measured(played: Round, site: Site) -> str:
    """What was measured, in the unit of the guesses where that is another one too."""
    if played.reading is None:
        return ""
    said = reading_text(played.reading, site)
    kept = FACTS[played.quantity].units[0]
    if played.quantity is Quantity.TEMPERATURE or played.unit == kept:
        return said
    return f"{_typed(played, played.reading.best)} {played.basis}, that is {said}".replace(
        "  ", " "
    )


def _ways(played: Round, knowledge: Knowledge) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (
            each.method.value,
            _rounded(played, each.guess),
            off_text(played.unit, each.off, _OFF_DECIMALS),
        )
        for each in scores(played, knowledge)
    )


def _sums(played: Round, knowledge: Knowledge) -> tuple[Sum, ...]:
    """The middle of the guesses, and how far each way lies from what the test allows."""
    if played.reading is None:
        return ()
    found = [_middle(played)] if may_be_shown(played, knowledge) else []
    low, high = halfway(played.reading)
    allowed = f"{_rounded(played, low)} or more"
    if low == high:
        allowed = _rounded(played, low)
    elif not math.isinf(high):
        allowed = f"{_rounded(played, low)} to {_rounded(played, high)}"
    for each in scores(played, knowledge):
        off = off_text(played.unit, each.off, _OFF_DECIMALS)
        text = f"{_rounded(played, each.guess)} beside {allowed}:"
        found.append(Sum(f"{each.method.value}, how far off", text, off))
    return tuple(found)


def _middle(played: Round) -> Sum:
    """The median: the guess in the middle, or the mean of the middle two."""
    kept = sorted(g.value for g in played.guesses)
    typed = [number(played.unit.from_kept(value), _TYPED_DECIMALS) for value in kept]
    at, answer = len(typed) // 2, _rounded(played, median(kept))
    if len(typed) % 2:
        text = f"{', '.join(typed)}: number {at + 1} of {len(typed)} is"
    else:
        text = f"{', '.join(typed)}: ({typed[at - 1]} + {typed[at]}) ÷ 2 ="
    return Sum("The middle guess, from low to high", text, answer)


def _nearest(found: Sequence[MethodScore]) -> str:
    if len(found) < 2:
        return ""
    best = [s.method.value for s in found if abs(s.off) == abs(found[0].off)]
    if len(best) == len(found):
        return "All ways came out alike."
    return f"Nearest this time: {in_sentence(' and '.join(best))}."
