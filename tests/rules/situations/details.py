"""What stands after the comma of a phrase: how much, by whom, what was seen."""

import re
from collections.abc import Callable
from typing import Any, Final

from app.domain.records import Rinse, Treated

_NUMBER = r"(\d+(?:\.\d+)?)"
_Made = Callable[[re.Match[str]], dict[str, Any]]


def _number(name: str, share: float = 1.0) -> _Made:
    return lambda match: {name: float(match[1]) * share}


def _is(**known: Any) -> _Made:
    return lambda _match: known


_KNOWN: Final[tuple[tuple[str, _Made], ...]] = (
    (rf"{_NUMBER} scoops?", _number("scoops")),
    (rf"{_NUMBER} g", _number("grams")),
    (r"food left", _is(left_over=True)),
    (r"none left", _is(left_over=False)),
    (rf"eaten in {_NUMBER} minutes", _number("minutes_to_eat")),
    (r"by (Otter|Finch|Newt|Hare)", lambda m: {"by": m[1]}),
    (r"by an adult", _is(by_adult=True)),
    (r"saw (\d+) of (\d+)", lambda m: {"seen": int(m[1]), "expected": int(m[2])}),
    (r"breathing calm", _is(breathing_calm=True)),
    (r"breathing not calm", _is(breathing_calm=False)),
    (r"lid closed", _is(lid_closed=True)),
    (r"lid open", _is(lid_closed=False)),
    (r"plug on", _is(plug_on=True)),
    (r"plug off", _is(plug_on=False)),
    (r"algae (\d)", lambda m: {"algae": int(m[1])}),
    (r"note “(.+)”", lambda m: {"note": m[1]}),
    (rf"{_NUMBER} L out", _number("liters_out")),
    (rf"{_NUMBER} L in", _number("liters_in")),
    (r"treated", _is(treated=Treated.YES)),
    (r"not treated", _is(treated=Treated.NO)),
    (r"treated or not: unknown", _is(treated=Treated.UNKNOWN)),
    (rf"new water {_NUMBER} °C", _number("new_water_c")),
    (r"in tank water", _is(rinse=Rinse.TANK)),
    (r"in tap water", _is(rinse=Rinse.TAP)),
    (rf"{_NUMBER} % of the media", _number("media_share", 0.01)),
    (rf"for {_NUMBER} L", _number("volume_l")),
    (rf"{_NUMBER} mL", _number("amount_ml")),
    (r"carbon out", _is(carbon_out=True)),
    (r"carbon in", _is(carbon_out=False)),
    (r"step (\S+)", lambda m: {"step": m[1]}),
    (rf"up to {_NUMBER} mg/L", _number("mg_per_l")),
    (rf"kept apart {_NUMBER} days", lambda m: {"apart_days": int(m[1])}),
)


def details(text: str) -> dict[str, Any]:
    """The fields that the parts after the commas name.

    Raises:
        ValueError: If a part is none that the tables know.
    """
    known: dict[str, Any] = {}
    for part in text.split(", ")[1:]:
        known |= _one(part)
    return known


def _one(part: str) -> dict[str, Any]:
    for pattern, make in _KNOWN:
        match = re.fullmatch(pattern, part)
        if match:
            return make(match)
    raise ValueError(f"“{part}” is no detail that the tables know.")
