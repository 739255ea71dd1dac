"""The timeline: every entry in plain words, corrections and later additions visible."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app.domain.entry_words import entry_words
from app.domain.errors import NotFound
from app.domain.kit import Kit
from app.domain.records import EntryKind, EntryStatus, Reading, Sign
from app.domain.tank import Site
from app.knowledge.load import load
from app.services import sites, trace
from app.services.entries import entry_row
from app.storage import records
from app.storage.models.entry import Entry
from app.storage.queries import entries, kits, livestock, notebook
from app.storage.queries import story as queries

ADDED_LATER = timedelta(minutes=30)
WORDS_WAIT = "A grown-up reads your words first"
KINDS = frozenset(EntryKind) - {EntryKind.WITHDRAWAL}


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine:
    """One entry as it is shown."""

    entry_id: int
    token: str
    kind: EntryKind
    happened_at: datetime
    recorded_at: datetime
    local_day: date
    title: str
    lines: tuple[str, ...]
    author: str
    done_by: str
    by_adult: bool
    by_helper: bool
    hands_id: int
    status: EntryStatus
    reason: str
    replaces_id: int | None
    replaced_by: int | None
    taken_back: str
    readings: tuple[Reading, ...]
    detail: Any

    @property
    def hands(self) -> str:
        """Whose hands did it."""
        return self.done_by or self.author

    @property
    def added_later(self) -> bool:
        """Whether it was written down well after it happened."""
        return self.recorded_at - self.happened_at > ADDED_LATER


@dataclass(frozen=True, slots=True)
class StoryPage:
    """A page of the story, newest first; `older` is the key of the next page."""

    lines: tuple[StoryLine, ...]
    older: tuple[datetime, int] | None
    site: Site


def story(
    session: Session,
    tank_id: int,
    *,
    kinds: frozenset[EntryKind] | None = None,
    before: tuple[datetime, int] | None = None,
    limit: int = 60,
    among: Collection[int] | None = None,
) -> StoryPage:
    """A page of a tank's story; a tank outside of `among` is "another tank" in its lines.

    Raises:
        NotFound: If there is no such tank.
    """
    site = sites.with_breaks(session, tank_id)
    wanted = [k.value for k in (kinds or KINDS) & KINDS]
    rows = queries.before(session, tank_id, wanted, before, limit + 1)
    lines = _lines(session, tank_id, rows[:limit], site=site, among=among)
    older = (lines[-1].happened_at, lines[-1].entry_id) if len(rows) > limit else None
    return StoryPage(lines, older, site)


def line(
    session: Session,
    tank_id: int,
    entry_id: int,
    *,
    pupils: bool = False,
    among: Collection[int] | None = None,
) -> StoryLine:
    """One entry; for `pupils` without what they were not told of yet.

    Words of a helper that no adult has shown yet are left out of the lines for pupils.

    Raises:
        NotFound: If the tank has no such entry, or pupils were not told of it.
    """
    entry_row(session, tank_id, entry_id)
    rows = queries.of(session, tank_id, [entry_id])
    untold = livestock.untold_losses(session, tank_id) if pupils else ()
    found = _lines(session, tank_id, rows, untold, among=among)[0]
    if pupils and _is_untold(found):
        raise NotFound("There is no such entry.")
    return _without_words(found) if pupils and notebook.is_kept_back(session, entry_id) else found


def _is_untold(found: StoryLine) -> bool:
    """Whether an entry is, or speaks of, a loss that only an adult tells."""
    if found.kind is EntryKind.STOCK_EVENT:
        return bool(found.detail.hidden)
    speaks = found.kind is EntryKind.OBSERVATION and Sign.DEAD_FISH in found.detail.signs.split()
    return speaks and not found.by_helper


def _without_words(found: StoryLine) -> StoryLine:
    lines = tuple(line for line in found.lines if line != found.detail.note)
    return replace(found, lines=(*lines, WORDS_WAIT))


def history(
    session: Session, tank_id: int, entry_id: int, *, among: Collection[int] | None = None
) -> tuple[StoryLine, ...]:
    """All entries of the line that this one belongs to, oldest first.

    Raises:
        NotFound: If the tank has no such entry.
    """
    row = entry_row(session, tank_id, entry_id)
    while row.replaces_id is not None:
        row = session.get_one(Entry, row.replaces_id)
    ids = [row.id]
    while (newer := entries.replacement_of(session, ids[-1])) is not None:
        ids.append(newer.id)
    return tuple(line(session, tank_id, each, among=among) for each in ids)


def lines_of(session: Session, tank_id: int, entry_ids: Sequence[int]) -> tuple[StoryLine, ...]:
    """These entries of a tank, newest first; withdrawals and unknown ones are left out."""
    rows = queries.of(session, tank_id, entry_ids)
    return _lines(session, tank_id, [row for row in rows if row.kind in KINDS])


def _kits_of(session: Session, readings: Mapping[int, Sequence[Any]]) -> Sequence[Kit]:
    named = any(each.kit_id is not None for found in readings.values() for each in found)
    return kits.all_kits(session) if named else ()


def _lines(
    session: Session,
    tank_id: int,
    rows: Sequence[Any],
    untold: Sequence[tuple[datetime, int]] = (),
    *,
    site: Site | None = None,
    among: Collection[int] | None = None,
) -> tuple[StoryLine, ...]:
    # a logger's thousands of readings are counted, not listed
    listed = [row.id for row in rows if row.kind != EntryKind.LOGGER.value]
    readings = entries.readings_of(session, listed)
    groups = {row.StockEvent.group_id: row.group_name for row in rows if row.StockEvent}
    site = site or sites.without_days(session, tank_id)
    by_id = {kit.id: kit for kit in _kits_of(session, readings)}
    step_titles = {key: step.title for key, step in load().steps.items()}
    shared = trace.words_of(session, [row.id for row in rows], among=among)
    made = []
    for row in rows:
        tubes: dict[str, list[Any]] = {}
        for reading in readings.get(row.id, []):
            tubes.setdefault(reading.quantity, []).append(reading)
        values = tuple(records.reading(tube, by_id) for tube in tubes.values())
        kind, detail = EntryKind(row.kind), queries.detail(row)
        title, lines = entry_words(
            kind,
            detail,
            values,
            groups=groups,
            site=site,
            untold=sum(count for at, count in untold if at <= row.happened_at),
            steps=step_titles,
        )
        made.append(
            StoryLine(
                entry_id=row.id,
                token=row.token,
                kind=kind,
                happened_at=row.happened_at,
                recorded_at=row.recorded_at,
                local_day=row.local_day,
                title=title,
                lines=(*lines, *shared.get(row.id, ())),
                author=row.author,
                done_by=row.hands or "",
                by_adult=row.author_kind == "adult" and not row.hands,
                by_helper=(row.hands_kind or row.author_kind) == "helper",
                hands_id=row.done_by_id or row.author_id,
                status=EntryStatus(row.status),
                reason=row.reason,
                replaces_id=row.replaces_id,
                replaced_by=row.replaced_by,
                taken_back=row.taken_back or "",
                readings=values,
                detail=detail,
            )
        )
    return tuple(made)
