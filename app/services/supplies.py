"""Food, conditioner and reagents: what is left, and for how many days at the present use."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any, Final

from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.kit import Supply, SupplyFacts
from app.services.access.people import Visitor
from app.services.names import required
from app.services.transaction import begin_at_site, finish
from app.services.unseen import kept_words
from app.storage.base import folded
from app.storage.models.kit import Kit
from app.storage.models.kit import Supply as SupplyRow
from app.storage.queries import kits

KIND_WORDS: Final[Mapping[str, str]] = {
    "food": "Food",
    "conditioner": "Conditioner",
    "reagent": "Drops or strips of a test kit",
}
UNITS: Final = {"food": ("g",), "conditioner": ("mL",), "reagent": ("tests", "mL")}


def supplies(session: Session, site_id: int) -> tuple[Supply, ...]:
    """All supplies of a place, by kind and name."""
    return kits.supplies(session, site_id)


def supply(session: Session, site_id: int, supply_id: int) -> Supply:
    """One supply of a place.

    Raises:
        NotFound: If it is not there.
    """
    for known in supplies(session, site_id):
        if known.id == supply_id:
            return known
    raise NotFound("There is no such supply.")


def add(session: Session, site_id: int, facts: SupplyFacts) -> int:
    """A new supply for all tanks of a place; returns its id.

    A form may come twice: the very same supply a second time is the first one, and changes
    nothing.

    Raises:
        NotFound: If there is no such kit.
        Refused: If it has no name, kind, unit or amounts cannot be, or it stands there already.
    """
    values = _columns(session, facts)
    for known in supplies(session, site_id):
        if _columns(session, known) == values:
            return known.id
        if (known.kind, folded(known.name)) == (facts.kind, folded(values["name"])):
            raise Refused(f"{known.name} stands in the list already. Count both together.")
    begin_at_site(session, site_id)
    row = SupplyRow(site_id=site_id, **values)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def change(session: Session, supply_id: int, facts: SupplyFacts, *, visitor: Visitor) -> None:
    """Change what is known about a supply.

    Raises:
        NotFound: If it is not there, or there is no such kit.
        Refused: If it has no name, kind, unit or amounts cannot be, or a name with a nickname that
            was not shown came back changed.
    """
    row = _row(session, supply_id)
    _set(session, supply_id, kept_words(session, visitor, row, _columns(session, facts)))


def recount(session: Session, supply_id: int, left: float, on: date) -> None:
    """Keep how much was left on a day.

    Raises:
        NotFound: If it is not there.
        Refused: If the amount is below nothing.
    """
    _check_left(left)
    _set(session, supply_id, {"amount_left": left, "counted_on": on})


def remove(session: Session, supply_id: int) -> None:
    """Strike a supply: it is used up, or thrown away; once struck, nothing happens."""
    row = session.get(SupplyRow, supply_id)
    if row is not None:
        begin_at_site(session, row.site_id)
        session.delete(row)
        finish(session)


def _row(session: Session, supply_id: int) -> SupplyRow:
    row = session.get(SupplyRow, supply_id)
    if row is None:
        raise NotFound("There is no such supply.")
    return row


def _set(session: Session, supply_id: int, values: dict[str, Any]) -> None:
    row = _row(session, supply_id)
    begin_at_site(session, row.site_id)
    for column, value in values.items():
        setattr(row, column, value)
    finish(session)


def _check_left(left: float) -> None:
    if not left >= 0:
        raise Refused("Enter how much is left: 0 or more.")


def _columns(session: Session, facts: SupplyFacts) -> dict[str, Any]:
    if facts.kind not in KIND_WORDS:
        raise Refused("Choose what it is.")
    if facts.unit not in UNITS[facts.kind]:
        raise Refused("Choose how it is counted.")
    _check_left(facts.left)
    label = (facts.label_ml, facts.label_l)
    if (None in label and label != (None, None)) or any(v is not None and not v > 0 for v in label):
        raise Refused("Write both numbers of the label: mL, and for how many liters.")
    if facts.kit_id is not None and session.get(Kit, facts.kit_id) is None:
        raise NotFound("There is no such kit.")
    values = asdict(facts)
    values.pop("id", None)
    values["amount_left"] = values.pop("left")
    return {**values, "name": required(facts.name, "Enter the name that stands on it.")}
