"""The notebook: words that people typed beside their entries, photos, and what waits."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, and_, func, or_, select, union_all
from sqlalchemy.orm import Session, aliased

from app.domain.records import EntryKind, EntryStatus
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.livestock import Observation, StockEvent
from app.storage.models.maintenance import Job
from app.storage.models.notebook import NoteApproval, Photo, PrivateNote
from app.storage.models.water import WaterTest

# kinds that helpers may write words beside
_HELPERS_KINDS = (
    EntryKind.OBSERVATION.value,
    EntryKind.WATER_TEST.value,
    EntryKind.JOB.value,
)


class NoteRow(NamedTuple):
    """The words of one entry. `shown` None: nobody decided; `by_adult`: adults' words."""

    entry_id: int
    kind: str
    at: datetime
    recorded_at: datetime
    is_mere_note: bool
    text: str
    by: str
    by_adult: bool
    shown: bool | None


_hands = aliased(Author)
# whose words they are: of a class's device the adult who unlocked it stands as author
_BY_ADULT = func.coalesce(_hands.kind, Author.kind) == "adult"
_TEXT = func.coalesce(Observation.note, WaterTest.note, Job.note, StockEvent.note, "")
_IS_MERE_NOTE = func.coalesce(Observation.is_look, True).is_(False)


def _with_people(query: Any) -> Any:
    return (
        query.join(Author, Author.id == Entry.author_id)
        .outerjoin(_hands, _hands.id == Entry.done_by_id)
        .outerjoin(Observation, Observation.entry_id == Entry.id)
        .outerjoin(WaterTest, WaterTest.entry_id == Entry.id)
        .outerjoin(Job, Job.entry_id == Entry.id)
        .outerjoin(StockEvent, StockEvent.entry_id == Entry.id)
        .outerjoin(NoteApproval, NoteApproval.entry_id == Entry.id)
    )


def _notes(tank_id: int) -> Any:
    return _with_people(
        select(
            Entry.id,
            Entry.kind,
            Entry.happened_at,
            Entry.recorded_at,
            _IS_MERE_NOTE,
            _TEXT,
            func.coalesce(_hands.shown, Author.shown),
            _BY_ADULT,
            NoteApproval.shown,
        )
    ).where(Entry.tank_id == tank_id, Entry.status == EntryStatus.OK.value, _TEXT != "")


# what everybody with the tank may read: notes of adults, and what an adult showed of helpers'
_FOR_ALL = or_(and_(_BY_ADULT, _IS_MERE_NOTE), and_(~_BY_ADULT, NoteApproval.shown.is_(True)))


def notes(
    session: Session,
    tank_id: int,
    *,
    for_all: bool,
    before: datetime | None = None,
    since: datetime | None = None,
    limit: int,
) -> list[NoteRow]:
    """The newest notes, newest first; `for_all` leaves out what only adults may read.

    Adults get the words of every entry here; the rest of what they wrote stands in the story.
    """
    query = _notes(tank_id)
    query = query.where(_FOR_ALL if for_all else or_(_IS_MERE_NOTE, ~_BY_ADULT))
    if before is not None:
        query = query.where(Entry.happened_at < before)
    if since is not None:
        query = query.where(Entry.happened_at >= since)
    query = query.order_by(Entry.happened_at.desc(), Entry.id.desc()).limit(limit)
    return [NoteRow(*row) for row in session.execute(query)]


def _undecided(since: datetime | BindParameter[datetime]) -> tuple[Any, ...]:
    """What a helper typed and no adult decided on."""
    return (
        Entry.kind.in_(_HELPERS_KINDS),
        Entry.happened_at >= since,
        Entry.status == EntryStatus.OK.value,
        _TEXT != "",
        ~_BY_ADULT,
        NoteApproval.shown.is_(None),
    )


def waiting_notes(session: Session, tank_id: int, since: datetime) -> list[NoteRow]:
    """Words of helpers on which no adult decided yet, oldest first."""
    query = _notes(tank_id).where(*_undecided(since))
    query = query.order_by(Entry.happened_at, Entry.id)
    return [NoteRow(*row) for row in session.execute(query)]


def _all_waiting(of_tank: Any, since: datetime | BindParameter[datetime]) -> Any:
    """One row with its tank for each photo and note that waits; `of_tank` picks by tank id."""
    words = _with_people(select(Entry.tank_id.label("tank_id"))).where(
        of_tank(Entry.tank_id), *_undecided(since)
    )
    pictures = select(Photo.tank_id).where(of_tank(Photo.tank_id), Photo.state == "waiting")
    return union_all(words, pictures).subquery()


def count_waiting(session: Session, tank_ids: Sequence[int], since: datetime) -> dict[int, int]:
    """How many photos and notes wait for an adult, by tank, in one statement."""
    both = _all_waiting(lambda column: column.in_(tank_ids), since)
    query = select(both.c.tank_id, func.count()).group_by(both.c.tank_id)
    return {row[0]: row[1] for row in session.execute(query)}


def number_waiting(tank_id: BindParameter[int], since: BindParameter[datetime]) -> Any:
    """How many photos and notes of one tank wait, as a column of another query."""
    both = _all_waiting(lambda column: column == tank_id, since)
    return select(func.count()).select_from(both).scalar_subquery()


def is_kept_back(session: Session, entry_id: int) -> bool:
    """Whether the words of an entry are a helper's that no adult has shown yet."""
    query = _with_people(select(Entry.id)).where(
        Entry.id == entry_id, _TEXT != "", ~_BY_ADULT, NoteApproval.shown.is_not(True)
    )
    return session.scalar(query) is not None


def typed_texts(session: Session, tank_id: int) -> Sequence[tuple[int, str, str, int | None]]:
    """Entry, note, reason and group of all entries with any of these, newest first."""
    query = (
        _with_people(select(Entry.id, _TEXT, Entry.reason, StockEvent.group_id))
        .where(
            Entry.tank_id == tank_id,
            Entry.kind != EntryKind.WITHDRAWAL.value,
            or_(_TEXT != "", Entry.reason != "", StockEvent.group_id.is_not(None)),
        )
        .order_by(Entry.happened_at.desc(), Entry.id.desc())
    )
    return [tuple(row) for row in session.execute(query)]


def photos(
    session: Session,
    tank_id: int,
    states: Sequence[str],
    *,
    before: datetime | None = None,
    spot: str | None = None,
    limit: int,
) -> list[tuple[Photo, str, str]]:
    """The newest photos in one of these states with name and kind of who added them."""
    query = _photos().where(Photo.tank_id == tank_id, Photo.state.in_(states))
    if before is not None:
        query = query.where(Photo.taken_at < before)
    if spot is not None:
        query = query.where(Photo.spot == spot)
    query = query.order_by(Photo.taken_at.desc(), Photo.id.desc()).limit(limit)
    return [(row[0], row[1], row[2]) for row in session.execute(query)]


def photo(session: Session, tank_id: int, photo_id: int) -> tuple[Photo, str, str] | None:
    """One photo with name and kind of who added it, or None where the tank has none such."""
    query = _photos().where(Photo.tank_id == tank_id, Photo.id == photo_id)
    row = session.execute(query).one_or_none()
    return None if row is None else (row[0], row[1], row[2])


def _photos() -> Any:
    return select(Photo, Author.shown, Author.kind).join(Author, Author.id == Photo.author_id)


def photo_by_token(session: Session, tank_id: int, token: str) -> int | None:
    """The photo that was saved under a token, or None."""
    return session.scalar(select(Photo.id).where(Photo.tank_id == tank_id, Photo.token == token))


def picture(
    session: Session, tank_id: int, photo_id: int, *, small: bool
) -> tuple[bytes | None, str, str] | None:
    """The bytes of a photo with its state and digest, or None where the tank has none such."""
    column = Photo.small if small else Photo.picture
    row = session.execute(
        select(column, Photo.state, Photo.sha256).where(
            Photo.tank_id == tank_id, Photo.id == photo_id
        )
    ).one_or_none()
    return None if row is None else (row[0], row[1], row[2])


def bytes_kept(session: Session, tank_id: int) -> int:
    """How many bytes the photos of a tank take."""
    size = func.coalesce(func.length(Photo.picture), 0) + func.coalesce(func.length(Photo.small), 0)
    query = select(func.coalesce(func.sum(size), 0)).where(Photo.tank_id == tank_id)
    return int(session.scalar(query) or 0)


def spots(session: Session, tank_id: int, states: Sequence[str]) -> list[str]:
    """The places from which photos in one of these states were taken, most used first."""
    query = (
        select(Photo.spot)
        .where(Photo.tank_id == tank_id, Photo.state.in_(states), Photo.spot != "")
        .group_by(Photo.spot)
        .order_by(func.count().desc(), Photo.spot)
    )
    return list(session.scalars(query))


def private_notes(session: Session, tank_id: int) -> list[tuple[PrivateNote, str]]:
    """All private notes of a tank with their authors' names, newest first."""
    query = (
        select(PrivateNote, Author.shown)
        .join(Author, Author.id == PrivateNote.author_id)
        .where(PrivateNote.tank_id == tank_id)
        .order_by(PrivateNote.written_at.desc(), PrivateNote.id.desc())
    )
    return [(row[0], row[1]) for row in session.execute(query)]
