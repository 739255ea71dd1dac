"""Short texts for the papers: a place's own rules, and what is written of one tank."""

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.services.names import NOTE, optional
from app.services.transaction import begin, begin_at_site, finish, site_of
from app.storage.models.site import PaperText


def of_site(session: Session, site_id: int) -> dict[str, str]:
    """The texts of a household or school by their names."""
    return _texts(session, site_id, None)


def of_tank(session: Session, tank_id: int) -> dict[str, str]:
    """The texts of one tank by their names.

    Raises:
        NotFound: If there is no such tank.
    """
    return _texts(session, site_of(session, tank_id), tank_id)


def keep_of_site(session: Session, site_id: int, texts: Mapping[str, str]) -> None:
    """Put these texts of a place in the stead of those of the same names; "" forgets one.

    Raises:
        NotFound: If there is no such place.
        Refused: If a text is too long.
    """
    begin_at_site(session, site_id)
    _keep(session, site_id, None, texts)


def keep_of_tank(session: Session, tank_id: int, texts: Mapping[str, str]) -> None:
    """Put these texts of a tank in the stead of those of the same names; "" forgets one.

    Raises:
        NotFound: If there is no such tank.
        Refused: If a text is too long.
    """
    begin(session, tank_id)
    _keep(session, site_of(session, tank_id), tank_id, texts)


def _texts(session: Session, site_id: int, tank_id: int | None) -> dict[str, str]:
    return {row.name: row.text for row in _rows(session, site_id, tank_id).values()}


def _rows(session: Session, site_id: int, tank_id: int | None) -> dict[str, PaperText]:
    of = PaperText.tank_id.is_(None) if tank_id is None else PaperText.tank_id == tank_id
    rows = session.scalars(select(PaperText).where(PaperText.site_id == site_id, of))
    return {row.name: row for row in rows}


def _keep(session: Session, site_id: int, tank_id: int | None, texts: Mapping[str, str]) -> None:
    known = _rows(session, site_id, tank_id)
    for name, typed in texts.items():
        text, row = optional(typed, NOTE), known.get(name)
        if row is None and text:
            session.add(PaperText(site_id=site_id, tank_id=tank_id, name=name, text=text))
        elif row is not None and text:
            row.text = text
        elif row is not None:
            session.delete(row)
    finish(session)
