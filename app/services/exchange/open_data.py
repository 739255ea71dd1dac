"""Open data of many tanks: figures by month and quantity, of no tank, place or person alone."""

import statistics
from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import String, func, select, type_coerce
from sqlalchemy.orm import Session

from app.domain.quantities import FACTS, Quantity
from app.knowledge.load import load
from app.services.csv_text import csv_cell, csv_line
from app.storage.models.water import Reading

CODEBOOK: Final = (
    ("month", "the month in UTC, as year and month"),
    ("quantity", "what was measured"),
    ("unit", "unit of the figures"),
    ("basis", "as what it is counted, such as nitrogen (as N) or nitrate"),
    ("tanks", "tanks in which it was measured that month"),
    ("readings", "readings in those tanks; a reading beyond all colors of a card is left out"),
    ("lower_quarter", "a quarter of the tanks had a mean of the month below this"),
    ("middle", "half of the tanks had a mean of the month below this"),
    ("upper_quarter", "a quarter of the tanks had a mean of the month above this"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A quantity in one month ("2027-02"): means of single tanks, and how they lie."""

    month: str
    quantity: Quantity
    tanks: int
    readings: int
    lower: float
    middle: float
    upper: float


def least_tanks() -> int:
    """Over how many tanks a figure has to go to be told."""
    return int(load().value("sharing.open-data-tanks"))


def figures(session: Session, tank_ids: Collection[int] | None = None) -> tuple[Figures, ...]:
    """All figures over enough tanks, oldest month first.

    A month in which fewer than `sharing.open-data-tanks` tanks were measured is left out, and the
    lowest and highest tank are never told. Each tank counts once, however often it was measured.

    Args:
        session: Any session.
        tank_ids: The tanks; None for all.
    """
    least = least_tanks()
    of_tanks: dict[tuple[str, Quantity], list[tuple[float, int]]] = defaultdict(list)
    for month, quantity, mean, readings in session.execute(_means(tank_ids)):
        of_tanks[month, Quantity(quantity)].append((mean, readings))
    order = list(Quantity)
    return tuple(
        _figures(month, quantity, found)
        for (month, quantity), found in sorted(
            of_tanks.items(), key=lambda item: (item[0][0], order.index(item[0][1]))
        )
        if len(found) >= least
    )


def _means(tank_ids: Collection[int] | None) -> Any:
    # times are kept as text of one width, whose first seven letters are year and month
    month = func.substr(type_coerce(Reading.at, String), 1, 7)
    query = (
        select(month, Reading.quantity, func.avg(Reading.value), func.count(Reading.value))
        .where(Reading.in_force.is_(True), Reading.value.is_not(None))
        .group_by(month, Reading.quantity, Reading.tank_id)
    )
    return query if tank_ids is None else query.where(Reading.tank_id.in_(tank_ids))


def _figures(month: str, quantity: Quantity, found: list[tuple[float, int]]) -> Figures:
    lower, middle, upper = statistics.quantiles(
        [mean for mean, _ in found], n=4, method="inclusive"
    )
    return Figures(
        month=month,
        quantity=quantity,
        tanks=len(found),
        readings=sum(readings for _, readings in found),
        lower=lower,
        middle=middle,
        upper=upper,
    )


def open_csv(found: Collection[Figures]) -> Iterator[str]:
    """The figures as a CSV whose columns are those of `CODEBOOK`."""
    yield csv_line([name for name, _ in CODEBOOK])
    for each in found:
        facts = FACTS[each.quantity]
        told = (each.lower, each.middle, each.upper)
        values = (
            each.month,
            each.quantity.value,
            facts.unit,
            facts.basis,
            each.tanks,
            each.readings,
            *(round(figure, facts.decimals + 1) for figure in told),
        )
        yield csv_line([csv_cell(value) for value in values])
