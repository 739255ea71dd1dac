"""Food, conditioner and reagents: what is left, and for how many days at the present use."""

from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import delete
from sqlalchemy.orm import Session

from app.domain.calendar import day_start
from app.domain.errors import NotFound, Refused
from app.domain.kit import Supply
from app.domain.wording import count, short, with_unit
from app.services import sites
from app.services.names import required
from app.services.transaction import begin_at_site, finish, site_of
from app.storage.base import folded
from app.storage.models.kit import Kit
from app.storage.models.kit import Supply as SupplyRow
from app.storage.queries import kits, use

KINDS = ("food", "conditioner", "reagent")
UNITS = {"food": ("g",), "conditioner": ("mL",), "reagent": ("tests", "mL")}
WINDOW_DAYS = 28
LEAST_DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyDraft:
    """What somebody typed about a supply; what the fields mean: `domain.kit.Supply`."""

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


@dataclass(frozen=True, slots=True)
class SupplyOutlook:
    """For how many days a supply lasts; None where it cannot be told, and `words` says why.

    `per_day` is in the supply's unit. Several foods last together: a meal does not say which.
    """

    supply: Supply
    days: float | None
    per_day: float | None
    words: str


@dataclass(frozen=True, slots=True)
class _Period:
    """The stretch of time whose use is taken as the present one."""

    site_id: int
    zone: str
    start: datetime
    end: datetime

    @property
    def days(self) -> float:
        return (self.end - self.start) / timedelta(days=1)


def supplies(session: Session) -> tuple[Supply, ...]:
    """All supplies, by kind and name."""
    return kits.supplies(session, site_of(session))


def add(session: Session, draft: SupplyDraft) -> int:
    """A new supply; returns its id.

    Raises:
        NotFound: If there is no such kit.
        Refused: If it has no name, kind, unit or amounts cannot be, or it stands there already.
    """
    values = _columns(session, draft)
    for known in supplies(session):
        if (known.kind, folded(known.name)) == (draft.kind, folded(values["name"])):
            raise Refused(f"{known.name} stands in the list already. Count both together.")
    row = SupplyRow(site_id=begin_at_site(session), **values)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def change(session: Session, supply_id: int, draft: SupplyDraft) -> None:
    """Change what is known about a supply.

    Raises:
        NotFound: If it is not there, or there is no such kit.
        Refused: If it has no name, or kind, unit or amounts cannot be.
    """
    _set(session, supply_id, _columns(session, draft))


def recount(session: Session, supply_id: int, left: float, on: date) -> None:
    """Keep how much was left on a day.

    Raises:
        NotFound: If it is not there.
        Refused: If the amount is below nothing.
    """
    _check_left(left)
    _set(session, supply_id, {"amount_left": left, "counted_on": on})


def remove(session: Session, supply_id: int) -> None:
    """Strike a supply: it is used up, or thrown away."""
    begin_at_site(session)
    session.execute(delete(SupplyRow).where(SupplyRow.id == supply_id))
    finish(session)


def days_left(session: Session, *, now: datetime) -> tuple[SupplyOutlook, ...]:
    """For how many days each supply lasts at the use of the last 28 days.

    Food goes by the grams of the meals, conditioner by its label and the new water that was
    conditioned, a reagent by the tubes that were filled with its kit. What was used since the
    supply was counted is taken off. Of several foods the earliest count decides from when:
    the cautious side.
    """
    known = supplies(session)
    site_id, zone = site_of(session), sites.site(session).zone
    first = use.first_entry_at(session, site_id)
    start = max(now - timedelta(days=WINDOW_DAYS), first) if first is not None else now
    period = _Period(site_id, zone, start, now)
    return tuple(_outlook(session, supply, known, period) for supply in known)


def _outlook(
    session: Session, supply: Supply, known: tuple[Supply, ...], period: _Period
) -> SupplyOutlook:
    lacking = _lacking(supply)
    if not lacking and period.days < LEAST_DAYS:
        lacking = f"The record is too short. {LEAST_DAYS} days are needed to tell."
    used = None if lacking else _used(session, supply, period.start, period)
    if not lacking and used is None:
        lacking = "No meal was weighed. Weigh what one scoop holds."
    if used is None:
        return SupplyOutlook(supply, None, None, lacking)
    days = count(round(period.days), "day", "days")
    if not used:
        return SupplyOutlook(supply, None, 0.0, f"None of it was used in the last {days}.")
    per_day = used / period.days
    pool = [s for s in known if _shared(s, supply) and not _lacking(s)]
    counted = day_start(min(s.counted_on for s in pool) + timedelta(days=1), period.zone)
    since = _used(session, supply, counted, period) or 0.0 if counted < period.end else 0.0
    left = max(0.0, sum(s.left for s in pool) - since)
    together = "All foods together: " if len(pool) > 1 else ""
    amount = with_unit(short(float(f"{per_day:.2g}")), supply.unit)
    return SupplyOutlook(
        supply, left / per_day, per_day, f"{together}{amount} a day in the last {days}."
    )


def _shared(one: Supply, other: Supply) -> bool:
    """Whether two supplies are used up together: a meal does not say which food it was."""
    return one.id == other.id or one.kind == other.kind == "food"


def _lacking(supply: Supply) -> str:
    """What is not known about a supply, in a sentence, or an empty text."""
    if supply.kind == "conditioner" and (supply.label_ml is None or supply.label_l is None):
        return "Write what the label says: so many mL for so many liters."
    if supply.kind == "reagent" and supply.kit_id is None:
        return "Choose the kit that it belongs to."
    if supply.kind == "reagent" and supply.unit != "tests":
        return "Count it in tests, then the tests that were made tell how long it lasts."
    return ""


def _used(session: Session, supply: Supply, since: datetime, period: _Period) -> float | None:
    """How much was used, in the supply's unit; None where no meal was weighed."""
    if supply.kind == "food":
        meals = use.meals(session, period.site_id, since, period.end)
        if meals.count and not meals.weighed:
            return None
        # a meal that was not weighed counts like the others
        return meals.grams * meals.count / meals.weighed if meals.weighed else 0.0
    if supply.kind == "conditioner":
        liters = use.conditioned_liters(session, period.site_id, since, period.end)
        return liters * (supply.label_ml or 0.0) / (supply.label_l or 1.0)
    made = use.tests_by_kit(session, period.site_id, since, period.end)
    return float(made.get(supply.kit_id or 0, 0))


def _set(session: Session, supply_id: int, values: dict[str, Any]) -> None:
    begin_at_site(session)
    row = session.get(SupplyRow, supply_id)
    if row is None:
        raise NotFound("There is no such supply.")
    for column, value in values.items():
        setattr(row, column, value)
    finish(session)


def _check_left(left: float) -> None:
    if not left >= 0:
        raise Refused("Enter how much is left: 0 or more.")


def _columns(session: Session, draft: SupplyDraft) -> dict[str, Any]:
    if draft.kind not in KINDS:
        raise Refused("Choose what it is.")
    if draft.unit not in UNITS[draft.kind]:
        raise Refused("Choose how it is counted.")
    _check_left(draft.left)
    label = (draft.label_ml, draft.label_l)
    if (None in label and label != (None, None)) or any(v is not None and not v > 0 for v in label):
        raise Refused("Write both numbers of the label: mL, and for how many liters.")
    if draft.kit_id is not None and session.get(Kit, draft.kit_id) is None:
        raise NotFound("There is no such kit.")
    values = asdict(draft)
    values["amount_left"] = values.pop("left")
    return {**values, "name": required(draft.name, "Enter the name that stands on it.")}
