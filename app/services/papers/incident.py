"""The incident report: facts of some days that an adult ticks in, with what an adult says."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.calendar import day_start
from app.domain.quantities import FACTS
from app.domain.records import EntryKind, EntryStatus
from app.domain.tank import Site
from app.domain.wording import reading_text
from app.services import story
from app.services.story import StoryLine
from app.storage.models.classes import Helper

MOST_DAYS: Final = 31
_MOST_FACTS: Final = 400
# a logger's file is no event
_KINDS: Final = frozenset(EntryKind) - {EntryKind.WITHDRAWAL, EntryKind.LOGGER}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One entry without the people in it; `untold`: a loss that pupils were not told of yet."""

    entry_id: int
    at: datetime
    day: date
    text: str
    untold: bool


def facts(session: Session, tank_id: int, site: Site, first: date, last: date) -> tuple[Fact, ...]:
    """What the record holds of these days, both included, oldest first.

    Notes are left out: they may name somebody. Only what counts is a fact: what was corrected or
    taken back stays in the story.

    Raises:
        NotFound: If there is no such tank.
    """
    start, end = day_start(first, site.zone), day_start(last + timedelta(days=1), site.zone)
    page = story.story(session, tank_id, kinds=_KINDS, before=(end, 0), limit=_MOST_FACTS)
    here = [line for line in page.lines if line.happened_at >= start]
    return tuple(_fact(each, site) for each in reversed(here) if _counts(each))


def _counts(line: StoryLine) -> bool:
    only_words = line.kind is EntryKind.OBSERVATION and not line.detail.is_look
    return line.status is EntryStatus.OK and not only_words


def _fact(line: StoryLine, site: Site) -> Fact:
    read = [f"{FACTS[r.quantity].label} {reading_text(r, site)}" for r in line.readings]
    return Fact(
        entry_id=line.entry_id,
        at=line.happened_at,
        day=line.local_day,
        text=". ".join([line.title, *read]),
        untold=line.kind is EntryKind.STOCK_EVENT and bool(line.detail.hidden),
    )


def names_in(session: Session, texts: Iterable[str]) -> tuple[str, ...]:
    """The nicknames of tiles that stand as whole words in what was typed, by name."""
    typed = "\n".join(texts).casefold()
    names = session.scalars(
        select(Helper.nickname).where(Helper.left_on.is_(None)).distinct().order_by(Helper.nickname)
    )
    return tuple(n for n in names if re.search(rf"\b{re.escape(n.casefold())}\b", typed))
