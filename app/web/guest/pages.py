"""What the templates of this folder get."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from app.domain.sitter import DayPlan
from app.knowledge.model import Caution
from app.rules.model import State
from app.services.sharing.digest import Digest
from app.services.sharing.sitter_cards import Card
from app.services.sharing.sitter_sheet import Around, Phone


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyPage:
    """The week or the month of a tank, and what its chart is of.

    `other_url` is the address of the other look back.
    """

    state: State
    line: str
    digest: Digest
    chart_name: str
    is_month: bool
    other_url: str
    photo_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPage:
    """One visit: what the day says, the looks, the form. `said` is what was just written, or ""."""

    tank: str
    day: date
    now: datetime
    zone: str
    plan: DayPlan
    around: Around
    legend: tuple[tuple[str, str], ...]
    form: Any
    key: str
    said: str
    refused: str
    photo_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardsPage:
    """A handful of pictures with words. `chosen` is the card that was written down."""

    tank: str
    zone: str
    title: str
    is_help: bool
    cards: tuple[Card, ...]
    chosen: Card | None
    phones: tuple[Phone, ...]
    places: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    token: str
    key: str
    back_url: str
