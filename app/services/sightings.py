"""What was seen day by day: how many looks, and at how many of them each sign was seen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app.domain.entry_words import SIGN_WORDS
from app.domain.errors import NotFound
from app.domain.records import Observation
from app.storage import snapshot

DAYS = 7
_NOT_CALM = "fast breathing"


@dataclass(frozen=True, slots=True)
class Sightings:
    """Days ascending; `looks` and each row of `signs` hold one count a day."""

    days: tuple[date, ...]
    looks: tuple[int, ...]
    signs: tuple[tuple[str, tuple[int, ...]], ...]


def sightings(session: Session, tank_id: int, *, pupils: bool = False, now: datetime) -> Sightings:
    """The looks of the last seven days, today included, and what was seen at them.

    For `pupils` as they know the tank.

    Raises:
        NotFound: If there is no such tank.
    """
    found = snapshot.load(session, [tank_id], now)
    if not found:
        raise NotFound("There is no such tank.")
    seen = found[0].for_pupils() if pupils else found[0]
    days = tuple(seen.today - timedelta(days=back) for back in reversed(range(DAYS)))
    looks = [look for look in seen.observations if look.local_day in days]
    words = [_words(look) for look in looks]
    met = [word for word in (*SIGN_WORDS.values(), _NOT_CALM) if any(word in w for w in words)]
    return Sightings(
        days=days,
        looks=_a_day(days, looks),
        signs=tuple(
            (word, _a_day(days, [look for look, w in zip(looks, words, strict=True) if word in w]))
            for word in met
        ),
    )


def _words(look: Observation) -> frozenset[str]:
    odd = {_NOT_CALM} if look.breathing_calm is False else set()
    return frozenset(odd | {SIGN_WORDS[sign] for sign in look.signs})


def _a_day(days: Sequence[date], looks: Sequence[Observation]) -> tuple[int, ...]:
    return tuple(sum(look.local_day == day for look in looks) for day in days)
