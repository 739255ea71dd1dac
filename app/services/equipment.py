"""Heaters, filters, lamps and the rest of what hangs on a tank."""

from collections.abc import Collection
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from sqlalchemy import select, true
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.kit import Equipment
from app.services.access.people import Visitor
from app.services.names import NOTE, optional, required
from app.services.transaction import begin, finish
from app.services.unseen import kept_words
from app.storage.base import folded
from app.storage.models.kit import Equipment as EquipmentRow
from app.storage.models.tank import Tank
from app.storage.queries import kits
from app.storage.records import same_names

KIND_WORDS = {
    "heater": "Heater",
    "filter": "Filter",
    "lamp": "Lamp",
    "air_pump": "Air pump",
    "pump": "Water pump",
    "co2": "CO₂ gear",
    "thermometer": "Thermometer",
    "timer": "Timer",
    "cover": "Cover",
    "power_strip": "Power strip",
    "outlet": "Outlet with a test button",
    "other": "Something else",
}
KINDS = tuple(KIND_WORDS)
_LOT = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentDraft:
    """What somebody typed about a device; `kind` is one of `KINDS`, `lot` traces a recall."""

    kind: str
    name: str
    lot: str = ""
    watts: float | None = None
    since: date | None = None
    next_check_on: date | None = None
    note: str = ""


def equipment(session: Session, tank_id: int) -> tuple[Equipment, ...]:
    """A tank's equipment: what is in use first, then what was put away."""
    found = kits.equipment(session, [tank_id])[tank_id]
    return tuple(sorted(found, key=lambda e: e.retired_on is not None))


def add(session: Session, tank_id: int, draft: EquipmentDraft) -> int:
    """Something more on a tank; returns its id.

    Raises:
        NotFound: If there is no such tank.
        Refused: If it has no name or no such kind, its watts cannot be, or it stands there already.
    """
    values = _columns(draft)
    begin(session, tank_id)
    _refuse_twin(session, tank_id, values)
    row = EquipmentRow(tank_id=tank_id, **values)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def change(session: Session, equipment_id: int, draft: EquipmentDraft, *, visitor: Visitor) -> None:
    """Change what is known about it.

    Raises:
        NotFound: If it is not there.
        Refused: If it has no name or no such kind, its watts cannot be, or words with a nickname
            that was not shown came back changed.
    """
    row = _row(session, equipment_id)
    _set(session, equipment_id, kept_words(session, visitor, row, _columns(draft)))


def checked(session: Session, equipment_id: int, next_check_on: date | None) -> None:
    """Set the day of its next check.

    Raises:
        NotFound: If it is not there.
    """
    _set(session, equipment_id, {"next_check_on": next_check_on})


def retire(session: Session, equipment_id: int, on: date) -> None:
    """Put it away; it stays in the list.

    Raises:
        NotFound: If it is not there.
    """
    _set(session, equipment_id, {"retired_on": on})


def bring_back(session: Session, equipment_id: int) -> None:
    """Use again what was put away.

    Raises:
        NotFound: If it is not there.
    """
    _set(session, equipment_id, {"retired_on": None})


def failed(session: Session, equipment_id: int, on: date) -> None:
    """Write that it failed; it is put away as well, and counts with its lot.

    Raises:
        NotFound: If it is not there.
    """
    _set(session, equipment_id, {"failed_on": on, "retired_on": on})


def not_failed(session: Session, equipment_id: int) -> None:
    """Take back that it failed; it is in use again.

    Raises:
        NotFound: If it is not there.
    """
    _set(session, equipment_id, {"failed_on": None, "retired_on": None})


def with_lot(
    session: Session, lot: str, among: Collection[int] | None = None
) -> tuple[tuple[str, Equipment], ...]:
    """All equipment of a lot with the name of its tank, for a recall; also what was put away.

    `among` are the numbers of the tanks that count, None for all.
    """
    rows = session.execute(
        select(Tank.name, EquipmentRow)
        .join(Tank, Tank.id == EquipmentRow.tank_id)
        .where(EquipmentRow.lot != "", true() if among is None else Tank.id.in_(among))
        .order_by(Tank.folded, EquipmentRow.id)
    )
    wanted = folded(lot)
    return tuple(
        (name, same_names(Equipment, row)) for name, row in rows if folded(row.lot) == wanted
    )


def _refuse_twin(session: Session, tank_id: int, values: dict[str, Any]) -> None:
    """Two things of a kind with one name could not be told apart, and a form may come twice."""
    for known in equipment(session, tank_id):
        same = (known.kind, folded(known.name), folded(known.lot)) == (
            values["kind"], folded(values["name"]), folded(values["lot"]),
        )  # fmt: skip
        if same and known.retired_on is None:
            raise Refused(f"{known.name} stands in the list already. Give this one another name.")


def _row(session: Session, equipment_id: int) -> EquipmentRow:
    row = session.get(EquipmentRow, equipment_id)
    if row is None:
        raise NotFound("There is no such equipment.")
    return row


def _set(session: Session, equipment_id: int, values: dict[str, Any]) -> None:
    row = _row(session, equipment_id)
    begin(session, row.tank_id)
    for column, value in values.items():
        setattr(row, column, value)
    finish(session)


def _columns(draft: EquipmentDraft) -> dict[str, Any]:
    if draft.kind not in KINDS:
        raise Refused("Choose what it is.")
    if draft.watts is not None and not draft.watts > 0:
        raise Refused("Enter its watts as they stand on it, or leave them empty.")
    return {
        **asdict(draft),
        "name": required(draft.name, "Enter a name for it."),
        "lot": optional(draft.lot, _LOT),
        "note": optional(draft.note, NOTE),
    }
