"""Test kits, equipment and supplies: what the household or school owns beside the tanks."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.tank import Site

# What a known sample may be, where that is more than a tank can show: ice water, which a poor
# thermometer reads below 0, and the liquids for pH meters. Against slips of the pen only.
_COMPARABLE: Final = {Quantity.TEMPERATURE: (-10.0, 60.0), Quantity.PH: (0.0, 14.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class KitFacts:
    """What is known of a test kit, card, drops or meter, and may be changed.

    Steps are in `unit` and `basis`, ascending; () for drops or a meter. `lot` traces a recall.
    """

    quantity: Quantity
    name: str
    unit: str
    basis: str = ""
    steps: tuple[float, ...] = ()
    opened_on: date | None = None
    expires_on: date | None = None
    lot: str = ""
    next_check_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit(KitFacts):
    """A kit as it stands in the list, in use or put away."""

    id: int
    retired_on: date | None = None


def shown_unit(kit: KitFacts, site: Site) -> Unit:
    """The unit in which a site reads a kit: that of its sheet; for warmth the site's own."""
    if kit.quantity is Quantity.TEMPERATURE:
        return site.unit_of(kit.quantity)
    try:
        return FACTS[kit.quantity].unit_named(kit.unit, kit.basis)
    except KeyError:  # a kit in a unit that nobody types
        return site.unit_of(kit.quantity)


def comparable(quantity: Quantity) -> tuple[float, float]:
    """The lowest and highest value a known sample of a quantity may have, in its kept unit."""
    return _COMPARABLE.get(quantity, FACTS[quantity].impossible)


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

    def offset_in(self, unit: Unit) -> float:
        """The same in another unit."""
        return unit.from_kept(self.read) - unit.from_kept(self.known)


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
    failed_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyFacts:
    """Food, conditioner or a reagent and how much was left on a day; `unit` is g, mL or tests.

    For a conditioner `label_ml` treats `label_l` of new water, as its label says.
    """

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply(SupplyFacts):
    """A supply as it stands in the list."""

    id: int
