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
    site = sites.site(session, tank_id)
    wanted = [k.value for k in (kinds or KINDS) & KINDS]
    rows = session.execute(entries.headers(tank_id, wanted, before, limit + 1)).all()
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
    query = entries.headers(tank_id, None, None, 1).where(Entry.id == entry_id)
    rows = session.execute(query).all()
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
    kinds = [kind.value for kind in KINDS]
    query = entries.headers(tank_id, kinds, None, len(entry_ids)).where(Entry.id.in_(entry_ids))
    return _lines(session, tank_id, session.execute(query).all())


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
    heads = [row[0] for row in rows]
    ids = [head.id for head in heads]
    details = entries.details(session, heads)
    # a logger's thousands of readings are counted, not listed
    listed = [head.id for head in heads if head.kind != EntryKind.LOGGER.value]
    readings = entries.readings_of(session, listed)
    replaced = entries.replacements_of(session, ids)
    taken_back = entries.withdrawals_of(session, ids)
    groups = entries.group_names(session, tank_id)
    site = site or sites.without_days(session, tank_id)
    by_id = {kit.id: kit for kit in _kits_of(session, readings)}
    step_titles = {key: step.title for key, step in load().steps.items()}
    shared = trace.words_of(session, ids, among=among)
    made = []
    for head, author, hands, author_kind, hands_kind in rows:
        tubes: dict[str, list[Any]] = {}
        for reading in readings.get(head.id, []):
            tubes.setdefault(reading.quantity, []).append(reading)
        values = tuple(records.reading(tube, by_id) for tube in tubes.values())
        detail = details.get(head.id)
        title, lines = entry_words(
            EntryKind(head.kind),
            detail,
            values,
            groups=groups,
            site=site,
            untold=sum(count for at, count in untold if at <= head.happened_at),
            steps=step_titles,
        )
        back = taken_back.get(head.id)
        made.append(
            StoryLine(
                entry_id=head.id,
                token=head.token,
                kind=EntryKind(head.kind),
                happened_at=head.happened_at,
                recorded_at=head.recorded_at,
                local_day=head.local_day,
                title=title,
                lines=(*lines, *shared.get(head.id, ())),
                author=author,
                done_by=hands or "",
                by_adult=author_kind == "adult" and not hands,
                by_helper=(hands_kind or author_kind) == "helper",
                hands_id=head.done_by_id or head.author_id,
                status=EntryStatus(head.status),
                reason=head.reason,
                replaces_id=head.replaces_id,
                replaced_by=replaced.get(head.id),
                taken_back=back.reason if back is not None else "",
                readings=values,
                detail=detail,
            )
        )
    return tuple(made)
