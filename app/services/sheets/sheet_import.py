"""A keeper's own table comes in: looked at first, then saved whole, once, in one transaction."""

from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.measures import net_volume
from app.domain.sheet_columns import LEFT_OUT, MEANINGS, guesses
from app.domain.sheet_file import Sheet
from app.domain.sheet_rows import Item, SheetChoice, SheetReader, Tally, problems
from app.services import sites, tanks
from app.services.entries import place_of
from app.services.sheets import incoming
from app.services.sheets.sheet_known import Known
from app.services.sheets.sheet_writing import SheetWriter
from app.services.transaction import begin, finish
from app.storage.models.exchange import ImportBatch
from app.storage.queries import evaluations, imports

MOST_SHOWN: Final = 12
"""So many things are shown as they would be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLook:
    """What a file would bring: `new` things, and `known` ones that stand here already.

    `counts` are the new things by the kind of their draft; `first` to `last` are moments, None
    where nothing can be read. `shown` are the first things of the file.
    """

    tally: Tally
    new: int
    known: int
    counts: tuple[tuple[str, int], ...]
    readings: int
    first: datetime | None
    last: datetime | None
    shown: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Brought:
    """What an import did; `batch_id` is None where nothing was new."""

    batch_id: int | None
    added: int
    known: int


def first_choice(session: Session, tank_id: int, sheet: Sheet) -> SheetChoice:
    """How a sheet most likely is to be read, as far as its headings tell.

    Raises:
        NotFound: If there is no such tank.
    """
    site = sites.without_days(session, tank_id)
    cells = [row.cells for row in sheet.samples]
    columns = guesses(sheet.headings, cells, fahrenheit=site.fahrenheit, gallons=site.us_gallons)
    return known_of(session, tank_id, SheetChoice(columns=columns, zone=site.zone))


def known_of(session: Session, tank_id: int, choice: SheetChoice) -> SheetChoice:
    """A choice with what the record knows of the tank: its zone, its water, its last day.

    Raises:
        NotFound: If there is no such tank.
    """
    zone, closed_on = place_of(session, tank_id)
    volume = net_volume(tanks.tank(session, tank_id).shape)
    return replace(choice, zone=zone, last_day=closed_on, net_l=volume.net_l if volume else None)


def look(
    session: Session, tank_id: int, sheet: Sheet, choice: SheetChoice, *, now: datetime
) -> SheetLook:
    """Read a sheet as it would come in; nothing is written.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the columns do not go together, or the file cannot be read to its end.
    """
    reader = _reader(session, tank_id, sheet, choice, now=now)
    known = _known(session, tank_id, choice)
    counts: Counter[str] = Counter()
    shown: list[Item] = []
    first = last = None
    doubles = readings = 0
    for item in reader.items():
        if len(shown) < MOST_SHOWN:
            shown.append(item)
        fresh, _ = known.fresh(item)
        if fresh is None:
            doubles += 1
            continue
        counts[type(fresh.draft).__name__] += 1
        readings += len(fresh.readings)
        first = item.at if first is None or item.at < first else first
        last = item.at if last is None or item.at > last else last
    return SheetLook(
        tally=reader.tally,
        new=counts.total(),
        known=doubles,
        counts=tuple(counts.items()),
        readings=readings,
        first=first,
        last=last,
        shown=tuple(shown),
    )


def bring_in(
    session: Session,
    tank_id: int,
    sheet: Sheet,
    choice: SheetChoice,
    *,
    token: str,
    file_name: str,
    author_id: int,
    leave_refused: bool = False,
    confirmed: int = 0,
    now: datetime,
) -> Brought:
    """Save what a sheet says: all of it, or nothing. What an import brought before is left out.

    Args:
        session: A writing session.
        tank_id: The tank.
        sheet: The file.
        choice: How it is read.
        token: The one-time token of the form; the same form twice brings one import.
        file_name: Where it came from, for the list of imports.
        author_id: Who brings it in.
        leave_refused: Whether rows that cannot be read are left out; else they stop everything.
        confirmed: How many unusual values somebody said are right.
        now: The present moment.

    Raises:
        NotFound: If there is no such tank.
        Refused: If rows are refused and not left out, unusual values are not confirmed, or the
            file cannot be read to its end.
    """
    begin(session, tank_id)
    before = imports.batch_of(session, tank_id, token)
    if before is not None:
        session.rollback()
        return Brought(before.id, before.rows, 0)
    reader = _reader(session, tank_id, sheet, choice, now=now)
    known = _known(session, tank_id, choice)
    batch = ImportBatch(
        tank_id=tank_id, token=token, file_name=file_name[-120:], made_at=now, author_id=author_id
    )
    session.add(batch)
    session.flush()
    writer = SheetWriter(session, batch, by_device=choice.by_device)
    doubles = 0
    for item in reader.items():
        fresh, digest = known.fresh(item)
        if fresh is None:
            doubles += 1
        else:
            writer.put(fresh, digest)
    _refuse(reader.tally, leave_refused=leave_refused, confirmed=confirmed)
    writer.finish()
    if writer.first_day is None:
        session.rollback()
        return Brought(None, 0, doubles)
    batch.rows = writer.written
    evaluations.forget_stages(session, tank_id, writer.first_day)
    incoming.let_go(session, author_id)
    finish(session)
    return Brought(batch.id, writer.written, doubles)


def _reader(
    session: Session, tank_id: int, sheet: Sheet, choice: SheetChoice, *, now: datetime
) -> SheetReader:
    choice = known_of(session, tank_id, choice)
    for problem in problems(choice):
        raise Refused(problem)
    return SheetReader(sheet, choice, now=now)


def _known(session: Session, tank_id: int, choice: SheetChoice) -> Known:
    meanings = [MEANINGS[key] for key in choice.columns if choice.by_device and key != LEFT_OUT]
    return Known(session, tank_id, [m.quantity for m in meanings if m.quantity is not None])


def _refuse(tally: Tally, *, leave_refused: bool, confirmed: int) -> None:
    """Refuse the whole file while something in it is open; the caller rolls back."""
    if tally.refused_count and not leave_refused:
        first = tally.refused[0]
        raise Refused(f"Line {first.line}, {first.column}: {first.words} Nothing was saved.")
    if tally.unusual_count != confirmed:
        where = "".join(f" First: line {t.line}, {t.column}." for t in tally.unusual[:1])
        raise Refused(f"{tally.unusual_count} values are unusual. Look at them first.{where}")
