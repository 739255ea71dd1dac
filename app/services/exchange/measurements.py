"""Every measurement goes out as one row of a CSV, with a codebook that explains its columns."""

from collections.abc import Iterator
from datetime import date
from typing import Any, Final
from zoneinfo import ZoneInfo

from sqlalchemy import Row, func, select
from sqlalchemy.orm import Session, aliased

from app.domain.errors import NotFound
from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, EntryStatus
from app.services.csv_text import csv_cell, csv_line
from app.services.exchange.codes import Codes, codes_of
from app.services.exchange.health import step_size
from app.services.exchange.stretch import ALL, Stretch
from app.services.story import ADDED_LATER
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.kit import Kit
from app.storage.models.livestock import Observation
from app.storage.models.maintenance import Job
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.models.water import Reading, WaterTest

CODEBOOK: Final = (
    ("time", "when it was measured, ISO date and time on the tank's clock with its offset"),
    ("tank", "name of the tank"),
    ("entry", "number of the entry; its readings share it, and so do the readers of one tube"),
    ("kind", "kind of the entry: feeding, water_test, logger, job, observation"),
    ("quantity", "what was measured"),
    ("value", "the value; empty where a card was lighter or darker than all its colors"),
    ("low", "the lowest it could be, where a color card was used"),
    ("high", "the highest it could be; empty beside a low: no upper end"),
    ("unit", "unit of value, low and high"),
    ("basis", "as what it is counted, such as nitrogen (as N) or nitrate"),
    ("typed", "what stood on the page before it was converted"),
    ("typed_unit", "the unit it was typed in"),
    ("typed_basis", "the basis it was typed in"),
    ("kit", "name of the kit, card or meter"),
    ("step_size", "from one color of the card to the next, in the typed unit"),
    ("kit_expired", "yes where the kit was past the day on its label"),
    ("status", "ok, corrected (a later entry counts instead) or withdrawn"),
    ("added_later", "yes where it was written down more than 30 minutes after it happened"),
    ("who", "whose hands, as a code: no nickname leaves the record"),
    ("note", "the note on the entry; a helper's nickname in it is a code too"),
)


def export_csv(
    session: Session, tank_id: int | None = None, stretch: Stretch = ALL
) -> Iterator[str]:
    """Measurements as one row each, oldest first: the headings, then line by line.

    The columns are those of `CODEBOOK`. Cells that a spreadsheet would take for a formula get a
    leading apostrophe.

    Raises:
        NotFound: If there is no such tank.
    """
    if tank_id is not None and session.get(Tank, tank_id) is None:
        raise NotFound("There is no such tank.")
    yield csv_line([name for name, _ in CODEBOOK])
    zones: dict[str, ZoneInfo] = {}
    codes = codes_of(session)
    query = stretch.of(_measurements(tank_id)).execution_options(yield_per=1000)
    for row in session.execute(query):
        zone = zones.setdefault(row.zone, ZoneInfo(row.zone))
        yield csv_line([csv_cell(value) for value in _values(row, zone, codes)])


def _measurements(tank_id: int | None) -> Any:
    hands, writer = aliased(Author), aliased(Author)
    query = (
        select(
            Reading, Entry, Tank.name.label("tank"), Site.zone.label("zone"), Kit,
            func.coalesce(hands.kind, writer.kind).label("who_kind"),
            func.coalesce(hands.id, writer.id).label("who_id"),
            func.coalesce(WaterTest.note, Job.note, Observation.note, "").label("note"),
        )
        .join(Entry, Entry.id == Reading.entry_id)
        .join(Tank, Tank.id == Reading.tank_id)
        .join(Site, Site.id == Tank.site_id)
        .join(writer, writer.id == Entry.author_id)
        .outerjoin(hands, hands.id == Entry.done_by_id)
        .outerjoin(Kit, Kit.id == Reading.kit_id)
        .outerjoin(WaterTest, WaterTest.entry_id == Entry.id)
        .outerjoin(Job, Job.entry_id == Entry.id)
        .outerjoin(Observation, Observation.entry_id == Entry.id)
        .order_by(Reading.at, Reading.id)
    )  # fmt: skip
    return query if tank_id is None else query.where(Reading.tank_id == tank_id)


def _values(row: Row[Any], zone: ZoneInfo, codes: Codes) -> tuple[object, ...]:
    reading, entry = row.Reading, row.Entry
    facts = FACTS[Quantity(reading.quantity)]
    later = entry.recorded_at - reading.at > ADDED_LATER and entry.kind != EntryKind.LOGGER.value
    return (
        reading.at.astimezone(zone).isoformat(timespec="seconds"),
        row.tank,
        entry.id,
        entry.kind,
        reading.quantity,
        reading.value,
        reading.low,
        reading.high,
        facts.unit,
        facts.basis,
        reading.typed,
        reading.unit,
        reading.basis,
        row.Kit.name if row.Kit else "",
        step_size(row.Kit.steps if row.Kit else "", reading.typed),
        _expired(row.Kit, entry.local_day),
        EntryStatus(entry.status).value,
        "yes" if later else "no",
        f"{row.who_kind} {row.who_id}",
        codes.text(row.note),
    )


def _expired(kit: Kit | None, day: date) -> str:
    if kit is None or kit.expires_on is None:
        return ""
    return "yes" if day > kit.expires_on else "no"


def codebook_csv() -> Iterator[str]:
    """The codebook as a CSV of its own: the headings, then a row a column."""
    yield csv_line(["column", "meaning"])
    for name, meaning in CODEBOOK:
        yield csv_line([name, meaning])
