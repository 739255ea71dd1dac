"""What the next readings are expected to show, what did not fit, and which test tells most."""

from dataclasses import dataclass
from typing import Final

from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import NBSP, decimal, degrees_apart, range_text, short, value_text
from app.estimates.next_tests import NextTest, next_tests, sentence
from app.estimates.twin import (
    Compared,
    Expected,
    History,
    Way,
    compared,
    expected_now,
    history_of,
    quantities,
)
from app.estimates.twin_causes import Cause, causes, most_useful
from app.knowledge.model import Knowledge
from app.rules.freshness import freshness, matters
from app.services.workings.model import Sum

_BY_HISTORY: Final = (Way.HISTORY, Way.SET_POINT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One quantity: what a reading would show now, and how the last one lay; None: too little.

    `causes` and `useful` are empty where the last reading fits.
    """

    quantity: Quantity
    expected: Expected | None
    compared: Compared | None
    causes: tuple[Cause, ...] = ()
    useful: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReadings:
    """All quantities that were ever tested, and the tests that tell most, the best one first."""

    rows: tuple[Row, ...]
    tests: tuple[NextTest, ...]

    @property
    def best(self) -> str:
        """The best next test in a sentence: what does not add up comes first."""
        odd = next((row.useful for row in self.rows if row.useful), "")
        return f"Something does not add up. {odd}" if odd else sentence(self.tests)


def next_readings(snapshot: TankSnapshot, knowledge: Knowledge) -> NextReadings:
    """What is expected of every next reading of a tank."""
    tested = (quantity for quantity in quantities() if snapshot.of(quantity))
    return NextReadings(
        rows=tuple(_row(quantity, snapshot, knowledge) for quantity in tested),
        tests=next_tests(snapshot, knowledge, _stale(snapshot, knowledge)),
    )


def best_next_test(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """Which test to do first, and why, in a sentence."""
    return next_readings(snapshot, knowledge).best


def sums_of(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Sum, ...]:
    """The working of what is expected by its history, with the numbers put in."""
    found = []
    for quantity in quantities():
        expected = expected_now(quantity, snapshot, knowledge)
        history = history_of(quantity, snapshot, knowledge)
        if history is not None and expected is not None and expected.way in _BY_HISTORY:
            found.append(_sum(expected, history, snapshot, knowledge))
    return tuple(found)


def _sum(expected: Expected, history: History, snapshot: TankSnapshot, knowledge: Knowledge) -> Sum:
    """One range: the median, and the larger of some spreads and the least that is taken."""
    site, facts = snapshot.site, FACTS[expected.quantity]
    swing, least = (
        _apart(each, expected.quantity, site) for each in (history.swing, history.least)
    )
    spreads = short(knowledge.value("twin.spreads"))
    start = value_text(expected.quantity, expected.best, site)
    return Sum(
        f"{facts.label}, from {history.readings} readings: the middle one, and the larger of "
        f"{spreads} spreads and {least}",
        f"{start} \u00b1 max({spreads} \u00d7 {swing}; {least}) =",
        range_text(expected.quantity, expected.low, expected.high, site),
    )


def _apart(value: float, quantity: Quantity, site: Site) -> str:
    """A difference of two values, without its unit."""
    if quantity is Quantity.TEMPERATURE:
        return degrees_apart(site, value).partition(NBSP)[0]
    return decimal(value, FACTS[quantity].decimals + 1)


def _row(quantity: Quantity, snapshot: TankSnapshot, knowledge: Knowledge) -> Row:
    found = compared(quantity, snapshot, knowledge)
    why = () if found is None else causes(found, snapshot, knowledge)
    return Row(
        quantity=quantity,
        expected=expected_now(quantity, snapshot, knowledge),
        compared=found,
        causes=why,
        useful=most_useful(found) if found is not None and why else "",
    )


def _stale(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Quantity, ...]:
    """What keeps the tank from being Steady because its last test is too old."""
    names = {quantity.value for quantity in Quantity}
    return tuple(
        Quantity(row.name)
        for row in freshness(snapshot, knowledge)
        if row.name in names and matters(snapshot, row.name) and not row.is_fresh(snapshot.as_of)
    )
