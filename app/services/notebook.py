"""The notebook of a tank: notes and photos, newest first, and a search through what was typed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.records import EntryKind
from app.services import photos
from app.services.entries import zone_of
from app.services.photos import Photo
from app.services.story import StoryLine, lines_of
from app.storage.base import folded
from app.storage.queries import livestock
from app.storage.queries import notebook as rows
from app.storage.queries.notebook import NoteRow

MOST_FOUND = 60
_KIND_WORDS = {
    EntryKind.OBSERVATION: "Look",
    EntryKind.WATER_TEST: "Water test",
    EntryKind.JOB: "Job",
    EntryKind.STOCK_EVENT: "Animals",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Words that somebody typed; `shown` is what an adult said of helpers' words, None: nothing."""

    entry_id: int
    title: str
    at: datetime
    recorded_at: datetime
    text: str
    by: str
    by_adult: bool
    shown: bool | None

    @property
    def waits(self) -> bool:
        """Whether nobody read it yet who may show it."""
        return not self.by_adult and self.shown is None

    @property
    def kept_back(self) -> bool:
        """Whether an adult said that it is not for everybody."""
        return not self.by_adult and self.shown is False


@dataclass(frozen=True, slots=True)
class Page:
    """Notes and photos, newest first; `older` is where the next page begins."""

    items: tuple[Note | Photo, ...]
    older: datetime | None
    zone: str


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found: entries, photos, and names of animals and plants with their ids."""

    entries: tuple[StoryLine, ...]
    photos: tuple[Photo, ...]
    groups: tuple[tuple[int, str], ...]
    plants: tuple[tuple[int, str], ...]
    more: int

    @property
    def is_empty(self) -> bool:
        """Whether nothing was found."""
        return not (self.entries or self.photos or self.groups or self.plants)


def page(
    session: Session,
    tank_id: int,
    *,
    keeper: bool,
    before: datetime | None = None,
    limit: int = 24,
) -> Page:
    """A page of the notebook, as this person may see it.

    Raises:
        NotFound: If there is no such tank.
    """
    zone = zone_of(session, tank_id)
    notes = rows.notes(session, tank_id, for_all=not keeper, before=before, limit=limit + 1)
    pictures = photos.photos(session, tank_id, keeper=keeper, before=before, limit=limit + 1)
    both: list[Note | Photo] = [*(note_of(row) for row in notes), *pictures]
    both.sort(key=moment_of, reverse=True)
    if len(both) <= limit:
        return Page(tuple(both), None, zone)
    # things of one moment are not torn apart: the next page begins with all of them
    shown = [item for item in both if moment_of(item) > moment_of(both[limit])] or both[:limit]
    return Page(tuple(shown), moment_of(shown[-1]), zone)


def moment_of(item: Note | Photo) -> datetime:
    """When a note was written about, or a photo taken."""
    return item.taken_at if isinstance(item, Photo) else item.at


def shown_notes(session: Session, tank_id: int, since: datetime, limit: int = 40) -> list[Note]:
    """The newest notes since a moment that families and papers may show, without their authors."""
    found = rows.notes(session, tank_id, for_all=True, since=since, limit=limit)
    return [note_of(row) for row in found]


def note_of(row: NoteRow) -> Note:
    """A note from its row."""
    return Note(
        entry_id=row.entry_id,
        title="Note" if row.is_mere_note else _KIND_WORDS[EntryKind(row.kind)],
        at=row.at,
        recorded_at=row.recorded_at,
        text=row.text,
        by=row.by,
        by_adult=row.by_adult,
        shown=row.shown,
    )


def search(session: Session, tank_id: int, text: str, *, keeper: bool) -> Found:
    """What holds all words of a text, without regard to case and accents.

    It goes through notes, reasons, captions, spots, and the names of animals and plants; what
    happened to animals of that name is found with it.

    Raises:
        NotFound: If there is no such tank.
    """
    zone_of(session, tank_id)
    words = folded(text).split()
    if not words:
        return Found((), (), (), (), 0)
    groups = [(g.id, g.name) for g in livestock.lodgers(session, [tank_id])[tank_id].groups]
    plants = livestock.plants(session, [tank_id], removed=True)[tank_id]
    named = [(i, name) for i, name in groups if _holds(words, name)]
    of_group = {i for i, _ in named}
    ids = [
        entry_id
        for entry_id, note, reason, group_id in rows.typed_texts(session, tank_id)
        if group_id in of_group or _holds(words, note, reason)
    ]
    pictures = photos.photos(session, tank_id, keeper=keeper, limit=10_000)
    return Found(
        entries=lines_of(session, tank_id, ids[:MOST_FOUND]),
        photos=tuple(p for p in pictures if _holds(words, p.caption, p.spot))[:MOST_FOUND],
        groups=tuple(named),
        plants=tuple((p.id, p.name) for p in plants if _holds(words, p.name)),
        more=max(0, len(ids) - MOST_FOUND),
    )


def _holds(words: Iterable[str], *texts: str) -> bool:
    together = folded(" ".join(texts))
    return all(word in together for word in words)
