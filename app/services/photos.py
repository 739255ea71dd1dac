"""Photos of a tank: added once, made anew, put right, taken back for good, and served."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.photo import Picture, made_anew
from app.knowledge.load import load
from app.services.access.people import Visitor
from app.services.entries import CLOCK_SLIP, FIX_TIME, UNDO_TIME
from app.services.names import optional
from app.services.transaction import begin, finish
from app.services.unseen import kept_words, reading
from app.storage.base import folded, words_read
from app.storage.engine import Database
from app.storage.models.access import Author
from app.storage.models.notebook import Photo as PhotoRow
from app.storage.queries import notebook as rows

SPOT, CAPTION = 40, 200
USUAL_SPOTS = ("front", "left corner", "right corner", "from above")
_MEGABYTE = 1_000_000


class PhotoState(StrEnum):
    """Who may see a photo: adults only while it waits or is not shown, nobody once it is gone."""

    WAITING = "waiting"
    SHOWN = "shown"
    REFUSED = "refused"
    WITHDRAWN = "withdrawn"


_ALL_SEE = (PhotoState.SHOWN,)
_KEEPERS_SEE = (PhotoState.SHOWN, PhotoState.WAITING, PhotoState.REFUSED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo without its bytes; `width` and `height` in pixels of the large picture."""

    id: int
    tank_id: int
    entry_id: int | None
    taken_at: datetime
    added_at: datetime
    author: str
    by_adult: bool
    spot: str
    caption: str
    state: PhotoState
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFacts:
    """What is said of a photo: when it was taken, from where, and some words."""

    taken_at: datetime
    spot: str = ""
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Added:
    """A photo that stands saved; `fresh` is False when the same form had saved it before."""

    photo_id: int
    fresh: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How much of a tank's room for photos is used, in megabytes."""

    used_mb: float
    whole_mb: float


def read(content: bytes) -> Picture:
    """The picture in a file, made anew. Takes a moment: call it before the record is locked.

    Raises:
        Refused: If the file is no photo that can be kept.
    """
    return made_anew(content)


def add(
    session: Session,
    tank_id: int,
    picture: Picture,
    facts: PhotoFacts,
    *,
    author_id: int,
    shown: bool,
    token: str,
    now: datetime,
    entry_id: int | None = None,
    visitor: Visitor | None = None,
) -> Added:
    """Add a photo once: the same picture from the same form is one photo.

    Args:
        session: A session that may write.
        tank_id: The tank.
        picture: The picture, from `read`.
        facts: When it was taken, from where, and some words.
        author_id: Who took it.
        shown: Whether everybody with the tank may see it; else it waits for an adult.
        token: The form's token.
        now: The present moment.
        entry_id: The entry that it belongs to, such as a sitter's visit.
        visitor: Who chose the spot from a list; None where there was none.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the tank's room is full, or the time has not come yet.
    """
    digest = hashlib.sha256(picture.large).hexdigest()
    key = hashlib.sha256(f"{token} {digest}".encode()).hexdigest()
    begin(session, tank_id)
    before = rows.photo_by_token(session, tank_id, key)
    if before is not None:
        session.rollback()
        return Added(before, fresh=False)
    _check_room(session, tank_id, picture)
    _check_moment(facts.taken_at, now)
    row = PhotoRow(
        tank_id=tank_id,
        entry_id=entry_id,
        added_at=now,
        author_id=author_id,
        token=key,
        state=(PhotoState.SHOWN if shown else PhotoState.WAITING).value,
        width=picture.width,
        height=picture.height,
        sha256=digest,
        picture=picture.large,
        small=picture.small,
        spot=_spot(session, tank_id, facts.spot, reading(session, visitor)),
        taken_at=facts.taken_at,
        caption=optional(facts.caption, CAPTION),
    )
    session.add(row)
    session.flush()
    finish(session)
    return Added(row.id, fresh=True)


def _spot(
    session: Session, tank_id: int, typed: str, read: Callable[[str], str], stands: str = ""
) -> str:
    """The spot that was meant: what `stands` or one of this tank, if it is read so; else a new one.

    One spot is not two because somebody writes it with a capital, or is not shown a name in it.
    """
    spot = " ".join(optional(typed, SPOT).split())
    known = (stands, *USUAL_SPOTS, *rows.spots(session, tank_id, _KEEPERS_SEE))
    return next((name for name in known if folded(read(name)) == folded(spot)), spot)


def _check_room(session: Session, tank_id: int, picture: Picture) -> None:
    found = room(session, tank_id)
    coming = (len(picture.large) + len(picture.small)) / _MEGABYTE
    if found.used_mb + coming > found.whole_mb:
        raise Refused(
            f"The photos of this tank fill their {found.whole_mb:g} MB. "
            "Take some older ones back first."
        )


def _check_moment(taken_at: datetime, now: datetime) -> None:
    if taken_at > now + CLOCK_SLIP:
        raise Refused("That time has not come yet. Pick a time up to now.")


def room(session: Session, tank_id: int) -> Room:
    """How much of the tank's room for photos is used."""
    return Room(
        used_mb=rows.bytes_kept(session, tank_id) / _MEGABYTE,
        whole_mb=load().value("photo.tank-mb"),
    )


def change(
    session: Session,
    tank_id: int,
    photo_id: int,
    facts: PhotoFacts,
    *,
    visitor: Visitor,
    now: datetime,
) -> None:
    """Change what is said of a photo; after a helper's change it waits for an adult again.

    Raises:
        NotFound: If the tank has no such photo.
        Refused: If a helper asks after 10 minutes, it was taken back, the time lies ahead, or words
            with a nickname that was not shown came back changed.
    """
    begin(session, tank_id)
    row = _row(session, tank_id, photo_id)
    if row.state == PhotoState.WITHDRAWN.value:
        raise Refused("This photo was taken back.")
    if not visitor.is_adult:
        _check_helpers(session, row, row.state != PhotoState.REFUSED.value)
        if now - row.added_at > FIX_TIME:
            raise Refused("The 10 minutes are over. Ask the grown-up in charge.")
        row.state = PhotoState.WAITING.value
    _check_moment(facts.taken_at, now)
    words = {"caption": optional(facts.caption, CAPTION)}
    row.caption = kept_words(session, visitor, row, words)["caption"]
    row.spot = _spot(session, tank_id, facts.spot, reading(session, visitor), row.spot)
    row.taken_at = facts.taken_at
    finish(session)


def _check_helpers(session: Session, row: PhotoRow, may: bool = True) -> None:
    """Helpers change helpers' photos only, and none that an adult kept back."""
    if session.get_one(Author, row.author_id).kind == "adult":
        raise Refused("An adult took this photo. Ask the grown-up in charge.")
    if not may:
        raise Refused("A grown-up kept this photo back. Ask them: they can tell you why.")


def _row(session: Session, tank_id: int, photo_id: int) -> PhotoRow:
    row = session.get(PhotoRow, photo_id)
    if row is None or row.tank_id != tank_id:
        raise NotFound("There is no such photo of this tank.")
    return row


def decide(
    session: Session, tank_id: int, photo_id: int, *, shown: bool, by_id: int, now: datetime
) -> None:
    """An adult lets everybody see a photo, or keeps it back.

    Raises:
        NotFound: If the tank has no such photo.
        Refused: If it was taken back.
    """
    begin(session, tank_id)
    row = _row(session, tank_id, photo_id)
    if row.state == PhotoState.WITHDRAWN.value:
        raise Refused("This photo was taken back.")
    row.state = (PhotoState.SHOWN if shown else PhotoState.REFUSED).value
    row.decided_by_id, row.decided_at = by_id, now
    finish(session)


def take_back(
    database: Database, tank_id: int, photo_id: int, *, visitor: Visitor, now: datetime
) -> datetime:
    """Take a photo back for good: its bytes and words are erased. Twice is the same as once.

    Returns:
        Since when it was in the record: automatic copies from then on may still hold it.

    Raises:
        NotFound: If the tank has no such photo.
        Refused: If a helper asks after 20 seconds.
    """
    with database.writing() as session:
        begin(session, tank_id)
        row = _row(session, tank_id, photo_id)
        since = row.added_at
        if row.state == PhotoState.WITHDRAWN.value:
            session.rollback()
            return since
        if not visitor.is_adult:
            _check_helpers(session, row)
            if now - since > UNDO_TIME:
                raise Refused("The 20 seconds are over. Fix it, or ask the grown-up in charge.")
        row.picture = row.small = None
        row.caption, row.spot, row.sha256 = "", "", ""
        row.state = PhotoState.WITHDRAWN.value
        row.decided_by_id, row.decided_at = visitor.author_id, now
        finish(session)
    # pictures lie in pages of their own, which are cleared when they are freed; what is left of
    # words in other pages goes when the file is written anew, which takes a while
    _ = database.sweep() if visitor.is_adult else database.end_log()
    return since


def photo(session: Session, tank_id: int, photo_id: int, *, keeper: bool) -> Photo:
    """One photo that this person may see.

    Raises:
        NotFound: If the tank has none such, it was taken back, or it waits and no keeper asks.
    """
    found = rows.photo(session, tank_id, photo_id)
    if found is None or found[0].state not in (_KEEPERS_SEE if keeper else _ALL_SEE):
        raise NotFound("There is no such photo of this tank.")
    return _photo(*found)


def just_added(
    session: Session, tank_id: int, photo_id: int, *, keeper: bool, now: datetime
) -> Photo:
    """One photo for whoever may still change it: helpers for 10 minutes, though it waits.

    Raises:
        NotFound: If there is none such.
    """
    found = rows.photo(session, tank_id, photo_id)
    if found is None:
        raise NotFound("There is no such photo of this tank.")
    row = _photo(*found)
    if keeper or row.state is PhotoState.WITHDRAWN or now - row.added_at > FIX_TIME:
        return photo(session, tank_id, photo_id, keeper=keeper)
    return row


def photos(
    session: Session,
    tank_id: int,
    *,
    keeper: bool,
    before: datetime | None = None,
    spot: str | None = None,
    waiting_only: bool = False,
    limit: int = 40,
) -> tuple[Photo, ...]:
    """The newest photos that this person may see, newest first."""
    states: Sequence[str] = _KEEPERS_SEE if keeper else _ALL_SEE
    if waiting_only:
        states = (PhotoState.WAITING,)
    found = rows.photos(session, tank_id, states, before=before, spot=spot, limit=limit)
    if spot and not found:
        stands = _as_it_stands(session, tank_id, spot, states)
        found = rows.photos(session, tank_id, states, before=before, spot=stands, limit=limit)
    return tuple(_photo(*row) for row in found)


def _as_it_stands(session: Session, tank_id: int, spot: str, states: Sequence[str]) -> str:
    """A spot as the record has it, for whoever reads it without a nickname; the first of several.

    Both lists are in the order of the record.
    """
    with words_read(str):
        stands = rows.spots(session, tank_id, states)
    read = rows.spots(session, tank_id, states)
    return next((s for s, shown in zip(stands, read, strict=True) if shown == spot), spot)


def earlier(session: Session, of: Photo, *, keeper: bool) -> Photo | None:
    """The last photo from the same spot before this one, to hold beside it."""
    if not of.spot:
        return None
    found = photos(session, of.tank_id, keeper=keeper, before=of.taken_at, spot=of.spot, limit=1)
    return found[0] if found else None


def spots(session: Session, tank_id: int, *, keeper: bool) -> tuple[str, ...]:
    """The spots from which there are photos, most used first."""
    return tuple(rows.spots(session, tank_id, _KEEPERS_SEE if keeper else _ALL_SEE))


def picture(
    session: Session, tank_id: int, photo_id: int, *, keeper: bool, small: bool = False
) -> tuple[bytes, str]:
    """The JPEG bytes of a photo that this person may see, and their digest.

    Raises:
        NotFound: If there is none such.
    """
    found = rows.picture(session, tank_id, photo_id, small=small)
    if found is None or found[0] is None or found[1] not in (_KEEPERS_SEE if keeper else _ALL_SEE):
        raise NotFound("There is no such photo of this tank.")
    return found[0], f"{found[2][:32]}{'-small' if small else ''}"


def newest_shown(session: Session, tank_id: int) -> Photo | None:
    """The newest photo that everybody with the tank may see, families and sitters too."""
    found = photos(session, tank_id, keeper=False, limit=1)
    return found[0] if found else None


def _photo(row: PhotoRow, author: str, kind: str) -> Photo:
    return Photo(
        id=row.id,
        tank_id=row.tank_id,
        entry_id=row.entry_id,
        taken_at=row.taken_at,
        added_at=row.added_at,
        author=author,
        by_adult=kind == "adult",
        spot=row.spot,
        caption=row.caption,
        state=PhotoState(row.state),
        width=row.width,
        height=row.height,
    )
