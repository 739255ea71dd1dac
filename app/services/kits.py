"""Test kits and meters: the register of what is in use and what was put away."""

from datetime import date
from typing import Any

from sqlalchemy import update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.kit import Kit, KitFacts
from app.services.names import optional, required
from app.services.transaction import begin_at_site, finish
from app.storage.base import folded
from app.storage.models.kit import Kit as KitRow
from app.storage.queries import kits as queries

_LOT = 40


def kits(session: Session, site_id: int, *, put_away: bool = False) -> tuple[Kit, ...]:
    """The kits of a place that are in use, or those that were put away, the newest last."""
    found = queries.kits(session).get(site_id, [])
    return tuple(k for k in found if (k.retired_on is not None) is put_away)


def kit(session: Session, site_id: int, kit_id: int) -> Kit:
    """One kit of a place, in use or not.

    Raises:
        NotFound: If there is no such kit.
    """
    for known in queries.kits(session).get(site_id, []):
        if known.id == kit_id:
            return known
    raise NotFound("There is no such kit.")


def add_kit(session: Session, site_id: int, facts: KitFacts) -> int:
    """A new kit for all tanks of a place; returns its id.

    A form may come twice: the very same kit a second time is the first one, and changes nothing.

    Raises:
        Refused: If it has no name, the steps do not ascend, or another kit in use has its name
            and lot.
    """
    values = _columns(facts)
    for known in kits(session, site_id):
        if _columns(known) == values:
            return known.id
        if _told_apart(_columns(known)) == _told_apart(values):
            raise Refused(
                f"{known.name} stands in the list already. Change it there, "
                "or give this one another name or lot."
            )
    begin_at_site(session, site_id)
    fresh = KitRow(site_id=site_id, **values)
    session.add(fresh)
    session.flush()
    finish(session)
    return fresh.id


def change_kit(session: Session, kit_id: int, facts: KitFacts) -> None:
    """Change what is known about a kit; what was read with it stays as it was read.

    Raises:
        NotFound: If there is no such kit.
        Refused: If it has no name, the steps do not ascend, or it would measure something else.
    """
    values = _columns(facts)
    if changed(session, kit_id).quantity != facts.quantity.value:
        raise Refused("A kit measures one thing. Add another kit instead.")
    session.execute(update(KitRow).where(KitRow.id == kit_id).values(**values))
    finish(session)


def retire_kit(session: Session, kit_id: int, on: date) -> None:
    """Put a kit away; its readings stay.

    Raises:
        NotFound: If there is no such kit.
    """
    changed(session, kit_id).retired_on = on
    finish(session)


def bring_back(session: Session, kit_id: int) -> None:
    """Use a kit again that was put away.

    Raises:
        NotFound: If there is no such kit.
    """
    changed(session, kit_id).retired_on = None
    finish(session)


def changed(session: Session, kit_id: int) -> KitRow:
    """Begin a change of a kit, which is one of all tanks of its place; its row.

    Raises:
        NotFound: If there is no such kit.
    """
    row = session.get(KitRow, kit_id)
    if row is None:
        raise NotFound("There is no such kit.")
    begin_at_site(session, row.site_id)
    session.refresh(row)
    return row


def _told_apart(values: dict[str, Any]) -> tuple[str, str, str]:
    """What tells two kits apart."""
    return values["quantity"], folded(values["name"]), folded(values["lot"])


def _columns(facts: KitFacts) -> dict[str, Any]:
    if list(facts.steps) != sorted(set(facts.steps)):
        raise Refused("Write the colors of the card from the lowest to the highest.")
    return {
        **{name: getattr(facts, name) for name in KitFacts.__dataclass_fields__},
        "name": required(facts.name, "Enter the name that stands on the kit."),
        "lot": optional(facts.lot, _LOT),
        "quantity": facts.quantity.value,
        "steps": " ".join(f"{s:g}" for s in facts.steps),
    }
