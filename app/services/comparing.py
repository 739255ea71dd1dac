"""Two tanks, or two stretches of one, on one chart."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app.charts import beside
from app.charts.beside import Beside, BesideWords
from app.domain.calendar import day_start
from app.domain.errors import Refused
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.series import Laid, Series
from app.domain.snapshot import TankSnapshot
from app.services import charted, tasks, trends


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What to compare: a quantity in two tanks (or twice in one), for some days.

    `first_on` is where the first stretch begins, `second_on` the second; where the second is
    laid over by date or age it follows from the first, and None stands for it.
    """

    quantity: Quantity
    first_tank: int
    second_tank: int
    days: int
    laid: Laid
    first_on: date
    second_on: date | None = None


@dataclass(frozen=True, slots=True)
class Compared:
    """A finished chart of two."""

    svg: str
    words: BesideWords
    unit: str


def compare(session: Session, wanted: Wanted, *, now: datetime) -> Compared:
    """Draw both and say what can be said.

    Raises:
        NotFound: If there is no such tank.
        Refused: If both are the same days of one tank, or the age of a tank is not known.
    """
    first = tasks.snapshot_of(session, wanted.first_tank, now=now)
    second = tasks.snapshot_of(session, wanted.second_tank, now=now)
    first_on = wanted.first_on
    second_on, age = _second_start(wanted, first, second)
    if wanted.first_tank == wanted.second_tank and first_on == second_on:
        raise Refused("These are the same days of the same tank. Choose another day or tank.")
    unit = first.site.unit_of(wanted.quantity)
    both = Beside(
        first=_series(session, first, first_on, wanted, unit),
        second=_series(session, second, second_on, wanted, unit),
        first_name=_name(first, second, first_on),
        second_name=_name(second, first, second_on),
        laid=wanted.laid,
        first_day=age,
    )
    words = beside.describe(both)
    return Compared(beside.draw(both, "beside", words), words, unit.symbol)


def _second_start(wanted: Wanted, first: TankSnapshot, second: TankSnapshot) -> tuple[date, int]:
    """Where the second stretch begins, and what the first day is called."""
    if wanted.laid is Laid.DATE:
        return wanted.first_on, 0
    if wanted.laid is Laid.START:
        if wanted.second_on is None:
            raise Refused("Choose where the second stretch begins.")
        return wanted.second_on, 0
    begun = [each.tank.started_on for each in (first, second)]
    for each, day in zip((first, second), begun, strict=True):
        if day is None:
            raise Refused(f"Nobody wrote when {each.tank.name} was started, so its age is open.")
    one, other = (day for day in begun if day is not None)
    age = (wanted.first_on - one).days
    return other + timedelta(days=age), age


def _name(tank: TankSnapshot, other: TankSnapshot, start: date) -> str:
    if tank.tank.id != other.tank.id:
        return tank.tank.name
    return f"{tank.tank.name} from {start.day} {start:%B} {start.year}"


def _series(
    session: Session, tank: TankSnapshot, start_on: date, wanted: Wanted, unit: Unit
) -> Series:
    zone = tank.site.zone
    start = day_start(start_on, zone)
    end = start + timedelta(days=wanted.days)
    read = charted.readings(
        session,
        charted.Wanted(
            tank_id=tank.tank.id,
            quantity=wanted.quantity,
            start=start,
            end=end,
            unit=unit,
            zone=zone,
        ),
    )
    return Series(
        quantity=wanted.quantity,
        tank_name=tank.tank.name,
        unit=unit.symbol,
        decimals=FACTS[wanted.quantity].decimals,
        zone=zone,
        start=start,
        end=end,
        points=read.points,
        logged=read.logged,
        spans=trends.away(tank.site, start, end),
    )
