"""Who is on duty: whoever had a turn longest ago comes first. Nobody's turns are counted."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

Turn = tuple[date, int]
"""A turn: its day, and the place among those of that day."""

_NEVER: Final[Turn] = (date.min, 0)


class DutySpan(StrEnum):
    """How long the same helpers are on duty."""

    DAY = "day"
    WEEK = "week"


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A helper who may be on duty; `last` is the last turn, None for nobody's yet."""

    id: int
    name: str
    last: Turn | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be planned: `days` ascending, and how many helpers for a day or a week.

    `kept` are helpers who stay on a day whatever is planned, also on days of the same week that
    are not planned any more; `away` are (helper, day).
    """

    days: Sequence[date]
    size: int
    span: DutySpan = DutySpan.DAY
    kept: Mapping[date, Sequence[int]]
    away: Collection[tuple[int, date]] = frozenset()


def next_helpers(candidates: Iterable[Candidate], without: Collection[int]) -> list[Candidate]:
    """The candidates, longest ago first; who never had a turn comes first, then by name."""
    there = [c for c in candidates if c.id not in without]
    return sorted(there, key=lambda c: (c.last or _NEVER, c.name, c.id))


def plan(candidates: Iterable[Candidate], wanted: Wanted) -> dict[date, tuple[int, ...]]:
    """Who is on duty on each of the days, those who are kept first.

    A turn that is kept for a later day counts from the beginning: nobody has two before
    everybody had one.
    """
    last = {c.id: c for c in candidates}
    for day in sorted(wanted.kept):
        _have_turn(last, wanted.kept[day], day)
    if wanted.span is DutySpan.WEEK:
        return _whole_week(last, wanted)
    planned = {}
    for day in wanted.days:
        kept = tuple(wanted.kept.get(day, ()))
        gone = {helper for helper, when in wanted.away if when == day} | set(kept)
        chosen = _choose(last, gone, wanted.size - len(kept))
        _have_turn(last, chosen, day, first=len(kept))
        planned[day] = (*kept, *chosen)
    return planned


def _whole_week(last: dict[int, Candidate], wanted: Wanted) -> dict[date, tuple[int, ...]]:
    """The same helpers on all days; whoever is away on one of them waits for another week."""
    kept = list(dict.fromkeys(h for day in sorted(wanted.kept) for h in wanted.kept[day]))
    days = set(wanted.days)
    gone = {helper for helper, day in wanted.away if day in days}
    team = (*kept, *_choose(last, gone | set(kept), wanted.size - len(kept)))
    planned = {}
    for day in wanted.days:
        stays = tuple(wanted.kept.get(day, ()))
        absent = {helper for helper, when in wanted.away if when == day}
        others = [h for h in team if h not in stays and h not in absent]
        planned[day] = (*stays, *others[: max(0, wanted.size - len(stays))])
    return planned


def _choose(last: Mapping[int, Candidate], without: Collection[int], number: int) -> list[int]:
    return [c.id for c in next_helpers(last.values(), without)[: max(0, number)]]


def _have_turn(
    last: dict[int, Candidate], helpers: Iterable[int], day: date, first: int = 0
) -> None:
    for place, helper in enumerate(helpers, first):
        before = last.get(helper)
        if before is not None:
            turn = max((day, place), before.last or _NEVER)
            last[helper] = Candidate(id=helper, name=before.name, last=turn)
