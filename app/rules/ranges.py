"""Our range of a quantity, as forms, scales and charts show it: the tank's own, else general."""

from dataclasses import dataclass

from app.domain.quantities import Quantity
from app.domain.tank import Tank
from app.knowledge.model import Knowledge, Number

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


def range_shown(tank: Tank, quantity: Quantity, knowledge: Knowledge) -> RangeShown | None:
    """The range inside which a quantity asks for nothing; None where none is settled."""
    own = tank.own_range(quantity)
    low, high = (_number(knowledge, key) for key in _GENERAL.get(quantity, (None, None)))
    if own is not None:
        return RangeShown(
            own.low if own.low is not None else _value(low),
            own.high if own.high is not None else _value(high),
            "our range",
            f"set for this tank by {own.set_by}" if own.set_by else "set for this tank",
        )
    used = high or low
    if used is None:
        return None
    source = knowledge.sources.get(used.source)
    words = source.title if source is not None else used.basis.value
    return RangeShown(_value(low), _value(high), "the general range", words)


def _number(knowledge: Knowledge, key: str | None) -> Number | None:
    return None if key is None else knowledge.numbers.get(key)


def _value(number: Number | None) -> float | None:
    return None if number is None else number.value
