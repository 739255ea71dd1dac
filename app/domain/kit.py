"""Test kits, equipment and supplies: what the household or school owns beside the tanks."""

from dataclasses import dataclass
from datetime import date, datetime

from app.domain.quantities import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """A test kit, card or meter. Steps are in `unit` and `basis`, ascending; () for a meter."""

    id: int
    quantity: Quantity
    name: str
    unit: str
    basis: str = ""
    steps: tuple[float, ...] = ()
    opened_on: date | None = None
    expires_on: date | None = None
    retired_on: date | None = None
    lot: str = ""
    next_check_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KitComparison:
    """A kit or thermometer held against something known, in the kept unit of its quantity."""

    id: int
    kit_id: int
    at: datetime
    known: float
    read: float
    against: str = ""

    @property
    def offset(self) -> float:
        """How much the kit reads above what was known."""
        return self.read - self.known


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """A heater, filter, lamp, pump or the like of one tank; `lot` traces a recall."""

    id: int
    kind: str
    name: str
    lot: str = ""
    watts: float | None = None
    since: date | None = None
    next_check_on: date | None = None
    retired_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """Food, conditioner or a reagent and how much was left on a day; `unit` is g, mL or tests.

    For a conditioner `label_ml` treats `label_l` of new water, as its label says.
    """

    id: int
    kind: str
    name: str
    unit: str
    left: float
    counted_on: date
    kit_id: int | None = None
    label_ml: float | None = None
    label_l: float | None = None
    opened_on: date | None = None
    expires_on: date | None = None
