"""The entry guard: what somebody typed becomes a reading, a question, or a refusal with an offer.

Impossible is refused with the likely value; unusual asks for one more measurement. Nothing is
ever changed unasked: an offer is taken only by a tap.
"""

import re
import statistics
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from typing import Final

from app.domain.kit import Kit, comparable
from app.domain.quantities import FACTS, Quantity, QuantityFacts, Unit
from app.domain.wording import in_sentence

LIGHTER: Final = "lighter"
DARKER: Final = "darker"
LONGEST_TYPED: Final = 40

_NO_BREAK = "\u00a0"
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)", re.ASCII)
_LONGEST_NUMBER = 16
# keyboards of other scripts: full-width digits and signs, and the minus sign of typesetters
_KEYS = str.maketrans("０１２３４５６７８９．，－＋−", "0123456789.,-+-")

# A step is only a surprise above this size, however calm the tank was (the project's own
# choice; temperature and pH as in the doubtful-entry check of common practice).
_SMALLEST_SURPRISE: Final[dict[Quantity, float]] = {
    Quantity.TEMPERATURE: 3.0,
    Quantity.PH: 1.0,
    Quantity.AMMONIA: 1.0,
    Quantity.NITRITE: 1.0,
    Quantity.NITRATE: 40.0,
    Quantity.KH: 4.0,
    Quantity.GH: 6.0,
    Quantity.OXYGEN: 4.0,
    Quantity.CHLORINE: 1.0,
    Quantity.CHLORIDE: 100.0,
    Quantity.WATER_LEVEL: 50.0,
}
_SCATTERS_FOR_A_SURPRISE = 5.0
_STEPS_TO_KNOW_A_TANK = 3


@dataclass(frozen=True, slots=True)
class NewReading:
    """A reading about to be saved; `value`, `low`, `high` in the kept unit of the quantity.

    `value` is None where a card was lighter than its first color or darker than its last.
    `typed`, `unit` and `basis` are what stood on the page; `reader_id` is the author who looked.
    """

    quantity: Quantity
    value: float | None
    low: float | None
    high: float | None
    typed: str
    unit: str
    basis: str
    kit_id: int | None = None
    reader_id: int | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A likely value instead of an impossible one; `label` is the words on the button."""

    typed: str
    unit_symbol: str
    basis: str
    label: str


@dataclass(frozen=True, slots=True)
class Blank:
    """Nothing was typed: the quantity was not measured. It is never zero."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What to save: one reading, or two where a surprise was measured once more."""

    readings: tuple[NewReading, ...]

    @property
    def middle(self) -> float:
        """The middle value in the kept unit."""
        return statistics.median(r.value for r in self.readings if r.value is not None)


@dataclass(frozen=True, slots=True)
class Impossible:
    """Not a number, or one that no tank and no kit can show. Nothing is saved."""

    message: str
    offers: tuple[Offer, ...] = ()


@dataclass(frozen=True, slots=True)
class Unusual:
    """Possible, but far from what is usual: measure once more before `held` is saved."""

    message: str
    held: NewReading
    offers: tuple[Offer, ...] = ()


Verdict = Taken | Blank | Impossible | Unusual


def number_from(typed: str) -> Decimal | None:
    """The number in a text with a decimal point or comma, or None if it is no plain number.

    "1e5", "NaN", "1,234.5" and more than 16 characters are no plain numbers.
    """
    text = typed.strip().translate(_KEYS)
    if len(text) > _LONGEST_NUMBER or not _NUMBER.fullmatch(text):
        return None
    return Decimal(text.replace(",", "."))


def check(
    typed: str,
    quantity: Quantity,
    unit: Unit,
    *,
    usual: tuple[float, ...] = (),
    second: str | None = None,
    kit_id: int | None = None,
    sample: bool = False,
) -> Verdict:
    """Judge one typed value.

    Args:
        typed: As it stands in the field.
        quantity: What was measured.
        unit: The unit chosen beside the field.
        usual: This tank's last values in the kept unit, oldest first; () when there are none.
        second: The value of the second measurement; None or blank when there is none yet.
        kit_id: The kit or meter that showed it.
        sample: It is of a known sample, and not of a tank: more can be, and nothing is unusual.

    Returns:
        `Taken` with the first reading and, where there was one, the second; `Blank` for an empty
        field; `Impossible` or `Unusual` with a sentence to show.
    """
    if not typed.strip():
        return Blank()
    facts = FACTS[quantity]
    if sample:
        facts = replace(facts, impossible=comparable(quantity))
    number = _number(typed, unit)
    if number is None:
        return Impossible(_no_number(facts))
    if not _within(unit.to_kept(float(number)), facts.impossible):
        offers = tuple(_offers(number, facts, unit))
        return Impossible(_impossible_words(number, facts, unit) + _did_you_mean(offers), offers)
    first = _reading(typed, number, facts, unit, kit_id)
    if second is None or not second.strip():
        if sample or not _is_unusual(unit.to_kept(float(number)), facts, usual):
            return Taken((first,))
        offers = tuple(_offers(number, facts, unit))
        said = f"{_shown(number, unit)} is far from what is usual here. Measure once more?"
        return Unusual(said + _did_you_mean(offers), first, offers)
    again = _number(second, unit)
    if again is None or not _within(unit.to_kept(float(again)), facts.impossible):
        said = _no_number(facts) if again is None else _impossible_words(again, facts, unit)
        return Impossible(f"Second measurement: {said}")
    return Taken((first, _reading(second, again, facts, unit, kit_id)))


def card_reading(kit: Kit, choice: str) -> NewReading:
    """The reading of a color card: an interval between the neighbors of the chosen color.

    Concentrations end at 0 below, and have no upper end where the last color was reached. A pH
    card is given one more step at either end, because pH has no zero to stop at. Darker than the
    last color is always open.

    Args:
        kit: A kit with at least two steps, ascending, in its own unit.
        choice: A step as text, `LIGHTER` than the first color, or `DARKER` than the last.

    Raises:
        ValueError: If the card has no such color.
    """
    if len(kit.steps) < 2:
        raise ValueError(f"{kit.name} is no color card")
    value, low, high = _card_interval(kit, choice)
    to_kept = FACTS[kit.quantity].unit_named(kit.unit, kit.basis).to_kept
    return NewReading(
        quantity=kit.quantity,
        value=None if value is None else to_kept(value),
        low=to_kept(low),
        high=None if high is None else to_kept(high),
        typed=choice.strip(),
        unit=kit.unit,
        basis=kit.basis,
        kit_id=kit.id,
    )


def _card_interval(kit: Kit, choice: str) -> tuple[float | None, float, float | None]:
    steps = kit.steps
    below, above = 0.0, None
    if kit.quantity is Quantity.PH:
        below = round(2 * steps[0] - steps[1], 6)
        above = round(2 * steps[-1] - steps[-2], 6)
    if choice == LIGHTER:
        return None, below, next(step for step in steps if step > 0.0)
    if choice == DARKER:
        return None, steps[-1], None  # an open end is what tells darker from lighter
    number = number_from(choice)
    if number is None or float(number) not in steps:
        raise ValueError(f"{kit.name} has no color {choice!r}")
    at = steps.index(float(number))
    low = steps[at - 1] if at > 0 else min(below, steps[0])
    high = steps[at + 1] if at + 1 < len(steps) else above
    return steps[at], low, high


def _number(typed: str, unit: Unit) -> Decimal | None:
    """The number, also with its own unit written behind it."""
    text = typed.strip()
    return number_from(text.removesuffix(unit.symbol) if unit.symbol else text)


def _reading(
    typed: str, number: Decimal, facts: QuantityFacts, unit: Unit, kit_id: int | None
) -> NewReading:
    return NewReading(
        quantity=facts.quantity,
        value=unit.to_kept(float(number)),
        low=None,
        high=None,
        typed=typed.strip()[:LONGEST_TYPED],
        unit=unit.symbol,
        basis=unit.basis,
        kit_id=kit_id,
    )


def _within(value: float, bounds: tuple[float, float]) -> bool:
    return bounds[0] <= value <= bounds[1]


def _is_unusual(kept: float, facts: QuantityFacts, usual: tuple[float, ...]) -> bool:
    return not _within(kept, facts.unusual) or _is_surprise(kept, facts.quantity, usual)


def _is_surprise(kept: float, quantity: Quantity, usual: tuple[float, ...]) -> bool:
    """Whether the step from the last value is five times the usual step, and large by itself."""
    if len(usual) <= _STEPS_TO_KNOW_A_TANK:
        return False
    usual_step = statistics.median(abs(b - a) for a, b in pairwise(usual))
    step = abs(kept - usual[-1])
    return step >= max(_SCATTERS_FOR_A_SURPRISE * usual_step, _SMALLEST_SURPRISE[quantity])


def may_surprise(quantity: Quantity, before: float, value: float) -> bool:
    """Whether a step from one value to the next is large enough to ask about at all."""
    return abs(value - before) >= _SMALLEST_SURPRISE[quantity]


def _offers(number: Decimal, facts: QuantityFacts, unit: Unit) -> Iterator[Offer]:
    """The same digits in another unit of temperature, or with the point elsewhere."""
    if facts.quantity is Quantity.TEMPERATURE:
        for other in facts.units:
            if other is not unit and _fits(number, facts, other):
                yield _offer(number, facts, other)
    for moved in (number / 10, number * 10):
        if _fits(moved, facts, unit) and moved != number:
            yield _offer(moved, facts, unit)


def _fits(number: Decimal, facts: QuantityFacts, unit: Unit) -> bool:
    """Whether a number would be usual in another unit; below absolute zero nothing is."""
    try:
        return _within(unit.to_kept(float(number)), facts.unusual)
    except ValueError:
        return False


def _offer(number: Decimal, facts: QuantityFacts, unit: Unit) -> Offer:
    text = _digits(number)
    label = _shown(Decimal(text), unit)
    if unit.symbol != facts.unit or unit.basis != facts.basis:
        kept = unit.to_kept(float(number))
        label += f" = {kept:.{facts.decimals}f}{_NO_BREAK}{facts.unit}"
    return Offer(text, unit.symbol, unit.basis, label)


def _digits(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _shown(number: Decimal, unit: Unit) -> str:
    text = f"{number:f}"
    return f"{text}{_NO_BREAK}{unit.symbol}" if unit.symbol else text


def _did_you_mean(offers: tuple[Offer, ...]) -> str:
    return f" Did you mean {' or '.join(o.label for o in offers)}?" if offers else ""


def _no_number(facts: QuantityFacts) -> str:
    # one example for all: a likely value would suggest itself to whoever guesses or reads a card
    return f"Write {in_sentence(facts.label)} with digits only, such as 7.5."


def _impossible_words(number: Decimal, facts: QuantityFacts, unit: Unit) -> str:
    low, high = (unit.from_kept(limit) for limit in facts.impossible)
    shown = _shown(number, unit)
    if facts.quantity is Quantity.TEMPERATURE:
        return f"{shown} would be {'ice' if float(number) < low else 'too hot to touch'}."
    if float(number) < low:
        return f"{shown} is lower than any tank and any kit can show ({low:g} at least)."
    return f"{shown} is higher than any tank and any kit can show ({high:g} at most)."
