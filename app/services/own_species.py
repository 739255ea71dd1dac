"""The own catalogue of a place: animals that it wrote in, with where it read it."""

from collections import defaultdict
from dataclasses import asdict, dataclass, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.livestock import OwnSpecies
from app.knowledge.catalogue import Species
from app.knowledge.catalogue import own_species as as_listed
from app.knowledge.load import load
from app.knowledge.model import Knowledge
from app.knowledge.search import best_first
from app.services.names import NAME, optional, required
from app.services.transaction import begin_at_site, finish
from app.storage.base import folded
from app.storage.models.livestock import OwnSpecies as SpeciesRow
from app.storage.models.livestock import StockGroup
from app.storage.models.tank import Tank
from app.storage.records import same_names

Span = tuple[float, float]
_SCIENTIFIC, _WORD, _SOURCE = 120, 20, 200
_KNOWN = "known"
_SPANS = {"temperature_c": "temperature", "ph": "ph", "gh": "gh"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesDraft:
    """What somebody read about an animal; spans are (low, high) in °C, pH and dGH."""

    scientific_name: str
    common_name: str
    group: str = "fish"
    temperature_c: Span | None = None
    ph: Span | None = None
    gh: Span | None = None
    adult_cm: float | None = None
    min_group: int | None = None
    position: str = ""
    temperament: str = ""
    source: str = ""


def own_species(session: Session, site_id: int) -> tuple[OwnSpecies, ...]:
    """All of a place, by name."""
    return find(session, site_id, "")


def find(session: Session, site_id: int, text: str) -> tuple[OwnSpecies, ...]:
    """Those of a place with this text in one of their names, whatever its case and marks."""
    query = (
        select(SpeciesRow)
        .where(
            SpeciesRow.site_id == site_id,
            SpeciesRow.folded.contains(folded(text), autoescape=True),
        )
        .order_by(SpeciesRow.folded, SpeciesRow.id)
    )
    return tuple(_record(row) for row in session.scalars(query))


def known(session: Session, site_id: int) -> Knowledge:
    """All that is known, with the animals that the people of a place wrote in themselves.

    A session asks once for all places: what it wrote in itself is asked for anew.
    """
    kept: dict[int, Knowledge] | None = session.info.get(_KNOWN)
    if kept is None:
        own: dict[int, dict[str, Species]] = defaultdict(dict)
        for row in session.scalars(select(SpeciesRow).order_by(SpeciesRow.folded, SpeciesRow.id)):
            own[row.site_id][row.scientific_name] = as_listed(_record(row))
        listed = load()
        kept = {
            each: replace(listed, species={**listed.species, **theirs})
            for each, theirs in own.items()
        }
        session.info[_KNOWN] = kept
    return kept.get(site_id) or load()


def fitting(session: Session, site_id: int, text: str) -> tuple[Species, ...]:
    """Animals of both lists with a common, scientific or former name that fits, best first."""
    return best_first(known(session, site_id).species.values(), text)


def with_address(session: Session, site_id: int, slug: str) -> Species | None:
    """The animal of either list with this address, or None."""
    return next((s for s in known(session, site_id).species.values() if s.slug == slug), None)


def by_name(session: Session, site_id: int, scientific_name: str) -> OwnSpecies | None:
    """The one of a place with this scientific name, or None."""
    row = session.scalar(
        select(SpeciesRow).where(
            SpeciesRow.site_id == site_id, SpeciesRow.scientific_name == scientific_name
        )
    )
    return None if row is None else _record(row)


def add(session: Session, site_id: int, draft: SpeciesDraft) -> int:
    """Write an animal into the own catalogue of a place; returns its id.

    Raises:
        Refused: If a name is missing or there, a span is upside down, or a number cannot be.
    """
    values = _columns(draft)
    begin_at_site(session, site_id)
    _check_twin(session, site_id, values["scientific_name"])
    row = SpeciesRow(site_id=site_id, **values)
    session.add(row)
    session.flush()
    session.info.pop(_KNOWN, None)
    finish(session)
    return row.id


def change(session: Session, species_id: int, draft: SpeciesDraft) -> None:
    """Change what was written about an animal.

    Raises:
        NotFound: If it is not there.
        Refused: As for `add`, or if groups carry the name that would change.
    """
    values = _columns(draft)
    row = _row(session, species_id)
    begin_at_site(session, row.site_id)
    if row.scientific_name != values["scientific_name"]:
        _check_unused(session, row)
        _check_twin(session, row.site_id, values["scientific_name"])
    for column, value in values.items():
        setattr(row, column, value)
    session.info.pop(_KNOWN, None)
    finish(session)


def remove(session: Session, species_id: int) -> None:
    """Strike an animal from the own catalogue.

    Raises:
        NotFound: If it is not there.
        Refused: If a group is of it.
    """
    row = _row(session, species_id)
    begin_at_site(session, row.site_id)
    _check_unused(session, row)
    session.delete(row)
    session.info.pop(_KNOWN, None)
    finish(session)


def _row(session: Session, species_id: int) -> SpeciesRow:
    row = session.get(SpeciesRow, species_id)
    if row is None:
        raise NotFound("There is no such animal in your own catalogue.")
    return row


def _check_twin(session: Session, site_id: int, scientific_name: str) -> None:
    if by_name(session, site_id, scientific_name) is not None:
        raise Refused(f"{scientific_name} stands in your own catalogue already.")


def _check_unused(session: Session, row: SpeciesRow) -> None:
    used = session.scalar(
        select(StockGroup.name)
        .join(Tank, Tank.id == StockGroup.tank_id)
        .where(StockGroup.species == row.scientific_name, Tank.site_id == row.site_id)
    )
    if used is not None:
        raise Refused(f"The group {used} is of this animal. Change the group first.")


def _columns(draft: SpeciesDraft) -> dict[str, Any]:
    values = asdict(draft)
    group = required(values.pop("group"), "Choose the kind of animal.", _WORD)
    for name, column in _SPANS.items():
        low, high = values.pop(name) or (None, None)
        if low is not None and high is not None and not low < high:
            raise Refused("The low end must lie below the high end.")
        values |= {f"{column}_low": low, f"{column}_high": high}
    if draft.adult_cm is not None and not draft.adult_cm > 0:
        raise Refused("Enter how long it grows in cm, or leave it empty.")
    if draft.min_group is not None and draft.min_group < 1:
        raise Refused("A group has 1 animal or more.")
    scientific = required(draft.scientific_name, "Enter the scientific name.", _SCIENTIFIC)
    common = required(draft.common_name, "Enter the common name.", NAME)
    return {
        **values,
        "scientific_name": scientific,
        "common_name": common,
        "folded": folded(f"{common} {scientific}"),
        "animal_group": group,
        "position": optional(draft.position, _WORD),
        "temperament": optional(draft.temperament, _WORD),
        "source": required(draft.source, "Write where you read it.", _SOURCE),
    }


def _record(row: SpeciesRow) -> OwnSpecies:
    return same_names(
        OwnSpecies,
        row,
        group=row.animal_group,
        temperature_c=_span(row.temperature_low, row.temperature_high),
        ph=_span(row.ph_low, row.ph_high),
        gh=_span(row.gh_low, row.gh_high),
    )


def _span(low: float | None, high: float | None) -> Span | None:
    return None if low is None or high is None else (low, high)
