"""Our range of a quantity, as forms, scales and charts show it.

The tank's own comes first, then what its animals need, then the general one: the same order in
which the state of the tank takes them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from app.domain.quantities import Quantity
from app.domain.tank import Tank
from app.domain.wording import listed
from app.knowledge.model import Knowledge, Number
from app.rules.lodgers import Lodger
from app.rules.shared_water import SharedRange, needed

# the numbers at which Watch begins, for tanks without a range of their own
_GENERAL = {
    Quantity.TEMPERATURE: ("temperature.general-low", "temperature.general-high"),
    Quantity.PH: ("ph.general-low", "ph.general-high"),
    Quantity.AMMONIA: (None, "ammonia.total-watch"),
    Quantity.NITRITE: (None, "nitrite.watch"),
    Quantity.NITRATE: (None, "nitrate.watch"),
}


@dataclass(frozen=True, slots=True)
class RangeShown:
    """A range in the kept unit with its name in a sentence and where it comes from."""

    low: float | None
    high: float | None
    label: str
    source: str


def range_shown(
    tank: Tank, animals: Sequence[Lodger], quantity: Quantity, knowledge: Knowledge
) -> RangeShown | None:
    """The range inside which a quantity asks for nothing; None where none is settled.

    Args:
        tank: The tank with its own ranges.
        animals: Who lives in it.
        quantity: What is measured.
        knowledge: The general numbers.
    """
    needs, own = needed(animals, quantity), tank.own_range(quantity)
    low, high = (_number(knowledge, key) for key in _GENERAL.get(quantity, (None, None)))
    least, most = (needs.low, needs.high) if needs else (_value(low), _value(high))
    if own is not None:
        return RangeShown(
            least if own.low is None else own.low,
            most if own.high is None else own.high,
            "our range",
            own.said,
        )
    if needs is not None:
        return RangeShown(least, most, "the animals’ range", _who(needs))
    used = high or low
    if used is None:
        return None
    source = knowledge.sources.get(used.source)
    words = source.title if source is not None else used.basis.value
    return RangeShown(least, most, "the general range", words)


def _who(needs: SharedRange) -> str:
    names = listed(tuple(dict.fromkeys(needs.low_by + needs.high_by)))
    return f"its ends are set by what {names} can live in"


def _number(knowledge: Knowledge, key: str | None) -> Number | None:
    return None if key is None else knowledge.numbers.get(key)


def _value(number: Number | None) -> float | None:
    return None if number is None else number.value
