"""For how many days supplies last at the present use, and whether that is enough for a break."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import day_start, local_day
from app.domain.kit import Supply
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import count, full_day, short, with_unit
from app.knowledge.load import load
from app.services import absences, sites
from app.services.absences import ComingBreak
from app.services.supplies import supplies
from app.services.workings.model import Unit
from app.services.workings.units import FLUID, GRAMS, kept
from app.storage.queries import use
from app.storage.queries.use import Use

AMOUNTS: Final[dict[str, tuple[Unit, ...]]] = {
    "g": GRAMS,
    "mL": FLUID,
    "tests": (kept("tests"),),
}
"""The units in which an amount may be typed and read, by the kept unit, which comes first."""

_NAMED_DAYS: Final = 60.0  # a use of weeks does not tell a day beyond it
_LONGEST_DAYS: Final = 3650.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyOutlook:
    """For how many days a supply lasts; None where it cannot be told, and `words` says why.

    `days` are ten years at most. `per_day` is in the supply's unit. Several foods last together: a
    meal does not say which. `ends_on` is the local day on which it is used up, None where that is
    too far away to name one. `low` when it is near. `shortfall` says for which coming break it is
    too little, or is empty.
    """

    supply: Supply
    words: str
    days: float | None = None
    per_day: float | None = None
    ends_on: date | None = None
    low: bool = False
    shortfall: str = ""


@dataclass(frozen=True, slots=True)
class _Period:
    """The stretch of time whose use is taken as the present one.

    `used` is what went in since its start, and since each supply was counted, up to its end.
    """

    site: Site
    start: datetime
    end: datetime
    used: Mapping[datetime, Use]

    @property
    def days(self) -> float:
        return (self.end - self.start) / timedelta(days=1)


def days_left(
    session: Session, site_id: int, *, now: datetime, coming: Sequence[ComingBreak] = ()
) -> tuple[SupplyOutlook, ...]:
    """For how many days each supply of a place lasts at the use of the last 28 days.

    Food goes by the grams of the meals, conditioner by its label and the new water that was
    conditioned, a reagent by the tubes that were filled with its kit. What was used since the
    supply was counted is taken off. Of several foods the earliest count decides from when:
    the cautious side.

    Args:
        session: A session; nothing is written.
        site_id: The household or school; all its tanks use the supplies.
        now: The present moment.
        coming: Breaks that have not ended, the nearest first, with who comes in them.
    """
    known = supplies(session, site_id)
    if not known:
        return ()
    site = sites.place(session, site_id)
    first = use.first_entry_at(session, site_id)
    window = timedelta(days=load().value("supply.window-days"))
    start = max(now - window, first) if first is not None else now
    moments = [start, *(_counted_from(supply, site) for supply in known)]
    period = _Period(site, start, now, use.since_each(session, site_id, moments, now))
    return tuple(_outlook(supply, known, period, coming) for supply in known)


def soon(session: Session, snapshot: TankSnapshot) -> tuple[SupplyOutlook, ...]:
    """Supplies of the tank's place to buy soon: they run low, or are too little for a near break.

    They are no task of a tank: all tanks of the place use them, and no rule sees the others.
    """
    outlooks = days_left(
        session, snapshot.site.id, now=snapshot.as_of, coming=absences.coming(snapshot)
    )
    return tuple(outlook for outlook in outlooks if outlook.low or outlook.shortfall)


def amount_text(amount: float, unit: str, site: Site) -> str:
    """An amount of a supply, beside it in ounces where the site reads US units."""
    digits = _digits(amount)
    text = with_unit(digits, unit.removesuffix("s") if digits == "1" else unit)
    us = AMOUNTS[unit][1:]
    if not site.us_gallons or not us:
        return text
    return f"{with_unit(_digits(us[0].from_kept(amount)), us[0].symbol)} ({text})"


def _outlook(
    supply: Supply,
    known: tuple[Supply, ...],
    period: _Period,
    coming: Sequence[ComingBreak],
) -> SupplyOutlook:
    least = load().value("supply.least-days")
    lacking = _lacking(supply)
    if not lacking and period.days < least:
        lacking = f"The record is too short. {short(least)} days are needed to tell."
    used = None if lacking else _used(supply, period.used[period.start])
    if used is None:
        words = lacking or "No meal was weighed. Weigh what one scoop holds."
        return SupplyOutlook(supply=supply, words=words)
    days = count(round(period.days), "day", "days")
    if not used:
        words = f"Not used in the last {days}."
        return SupplyOutlook(supply=supply, words=words, per_day=0.0)
    per_day = used / period.days
    pool = [s for s in known if _shared(s, supply) and not _lacking(s)]
    lasts = min(_left(supply, pool, period) / per_day, _LONGEST_DAYS)
    together = "All foods together: " if len(pool) > 1 else ""
    amount = _rate_text(per_day, supply.unit, period.site)
    ends_on = local_day(period.end + timedelta(days=lasts), period.site.zone)
    return SupplyOutlook(
        supply=supply,
        words=f"{together}{amount} in the last {days}.",
        days=lasts,
        per_day=per_day,
        ends_on=ends_on if lasts <= _NAMED_DAYS else None,
        low=lasts <= load().value("supply.low-days"),
        shortfall=_shortfall(supply, ends_on, coming, local_day(period.end, period.site.zone)),
    )


def _rate_text(per_day: float, unit: str, site: Site) -> str:
    """A use in words: "0.5 g a day", "2 tests a week"."""
    if unit == "tests":
        return f"{amount_text(per_day * 7.0, unit, site)} a week"
    return f"{amount_text(per_day, unit, site)} a day"


def _counted_from(supply: Supply, site: Site) -> datetime:
    """From when on a supply is used up: the end of the day on which it was counted."""
    return day_start(supply.counted_on + timedelta(days=1), site.zone)


def _left(supply: Supply, pool: Sequence[Supply], period: _Period) -> float:
    """What is left of all that is used up together, in the supply's unit."""
    counted = min(_counted_from(s, period.site) for s in pool)
    since = _used(supply, period.used[counted]) or 0.0
    return max(0.0, sum(s.left for s in pool) - since)


def _shortfall(supply: Supply, ends_on: date, coming: Sequence[ComingBreak], today: date) -> str:
    """For which near break a supply is too little; "" when it lasts through all of them."""
    ahead = timedelta(days=load().value("breaks.ahead-days"))
    for each in coming:
        away = each.away
        if away.first_day - today > ahead or ends_on >= away.last_day:
            continue
        name = f"“{away.name}”" if away.name else "the break"
        said = (
            f"Too little for {name}: it lasts to {full_day(away.last_day)}, and this ends "
            f"on {full_day(ends_on)}."
        )
        if each.arranged is not None:
            return f"{said} Who comes then: {each.arranged.note}"
        return f"{said} Who feeds then is not written yet." if supply.kind == "food" else said
    return ""


def _shared(one: Supply, other: Supply) -> bool:
    """Whether two supplies are used up together: a meal does not say which food it was."""
    return one.id == other.id or one.kind == other.kind == "food"


def _lacking(supply: Supply) -> str:
    """What is not known about a supply, in a sentence, or an empty text."""
    if supply.kind == "conditioner" and (supply.label_ml is None or supply.label_l is None):
        return "Write what the label says: so much for so much water."
    if supply.kind == "reagent" and supply.kit_id is None:
        return "Choose the kit that it belongs to."
    if supply.kind == "reagent" and supply.unit != "tests":
        return "Count it in tests, then the tests that were made tell how long it lasts."
    return ""


def _used(supply: Supply, used: Use) -> float | None:
    """How much was used, in the supply's unit; None where no meal was weighed."""
    if supply.kind == "food":
        meals = used.meals
        if meals.count and not meals.weighed:
            return None
        # a meal that was not weighed counts like the others
        return meals.grams * meals.count / meals.weighed if meals.weighed else 0.0
    if supply.kind == "conditioner":
        return used.liters * (supply.label_ml or 0.0) / (supply.label_l or 1.0)
    return float(used.tubes.get(supply.kit_id or 0, 0))


def _digits(amount: float) -> str:
    """Two digits that count below 100, whole numbers above."""
    return short(float(f"{amount:.2g}")) if amount < 100.0 else f"{amount:.0f}"
