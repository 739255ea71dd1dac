"""Trace: which tanks could have got what a tank, a fish batch or an equipment lot brought."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.trace import Contact, Reached, Shared, Sharing, Way, reached
from app.domain.wording import dated
from app.knowledge.load import load
from app.storage.queries import contacts, overview

_ANOTHER: Final = "another tank"
_WORDS: Final = {
    Shared.WATER: "water",
    Shared.NET: "net",
    Shared.FISH: "fish",
    Shared.PLANTS: "plants",
    Shared.EQUIPMENT: "equipment",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What to trace from a day on: a tank, or a batch label, or an equipment lot."""

    since: date
    tank_id: int | None = None
    batch: str = ""
    lot: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedTank:
    """A tank that could have got it: since which day, and through which steps.

    `steps` are contacts in words; without any it is one of those where it began.
    """

    tank_id: int
    name: str
    since: date
    steps: tuple[str, ...]


def back_days() -> float:
    """How far back a trace looks unless somebody chooses another day, in days."""
    return load().value("trace.back-days")


def shared_by(session: Session, entry_id: int) -> tuple[Sharing, ...]:
    """What one entry says of other tanks."""
    return contacts.sharings_of(session, [entry_id]).get(entry_id, ())


def words_of(
    session: Session, entry_ids: Sequence[int], *, among: Collection[int] | None = None
) -> dict[int, tuple[str, ...]]:
    """What entries shared with other tanks, in words, for those that shared something.

    A tank outside of `among` is "another tank".
    """
    found = contacts.sharings_of(session, entry_ids)
    if not found:
        return {}
    names = overview.tank_names(session, among)
    return {
        entry_id: tuple(
            _shared_words(each, names.get(each.other_tank_id, _ANOTHER)) for each in those
        )
        for entry_id, those in found.items()
    }


def _shared_words(shared: Sharing, name: str) -> str:
    what = _WORDS[shared.what].capitalize()
    return f"{what} also used in {name}" if shared.way is Way.ALSO else f"{what} from {name}"


def trace(
    session: Session, asked: Asked, *, among: Collection[int] | None = None
) -> tuple[TracedTank, ...]:
    """All tanks that could have got it, where it began first, then by day.

    Only entries that are in force speak. A tank that may not be seen (outside of `among`) still
    passes on, and stands as "another tank".

    Raises:
        NotFound: If no tank has such a batch or lot.
    """
    sources = _sources(session, asked)
    if not sources:
        raise NotFound("No tank has that.")
    found = reached(sources, contacts.since(session, asked.since))
    names = overview.tank_names(session, among)
    shown = [each for each in found.values() if each.tank_id in names]
    return tuple(_told(each, names) for each in sorted(shown, key=lambda r: _place(r, names)))


def _sources(session: Session, asked: Asked) -> dict[int, date]:
    if asked.tank_id is not None:
        return {asked.tank_id: asked.since}
    if asked.batch:
        came = contacts.batch_days(session, asked.batch)
        return {tank_id: max(day, asked.since) for tank_id, day in came.items()}
    return contacts.lot_days(session, asked.lot, asked.since)


def _place(each: Reached, names: dict[int, str]) -> tuple[bool, date, str, int]:
    return (bool(each.chain), each.day, names[each.tank_id].casefold(), each.tank_id)


def _told(each: Reached, names: dict[int, str]) -> TracedTank:
    return TracedTank(
        tank_id=each.tank_id,
        name=names[each.tank_id],
        since=each.day,
        steps=_steps(each.chain, each.tank_id, names),
    )


def _steps(chain: tuple[Contact, ...], to: int, names: dict[int, str]) -> tuple[str, ...]:
    """The contacts in words, in the direction in which they carried."""
    said: list[str] = []
    there = to
    for contact in reversed(chain):
        here = contact.first if there == contact.second else contact.second
        a, b = (names.get(i, _ANOTHER) for i in (here, there))
        said.append(f"{a} → {_WORDS[contact.what]} on {dated(contact.day)} → {b}")
        there = here
    return tuple(reversed(said))
