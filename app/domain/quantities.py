"""What can be measured: names, the unit kept inside, units accepted, and typing limits.

Inside, every quantity has one unit and basis. What was typed is kept beside it. The
`impossible` limits catch slips of the pen; they say nothing about fish.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from app.science import hardness, units
from app.science.hardness import HardnessUnit


class Quantity(StrEnum):
    """A measurable property of the water."""

    TEMPERATURE = "temperature"
    PH = "ph"
    AMMONIA = "ammonia"
    NITRITE = "nitrite"
    NITRATE = "nitrate"
    KH = "kh"
    GH = "gh"
    OXYGEN = "oxygen"
    CHLORINE = "chlorine"
    CHLORIDE = "chloride"
    WATER_LEVEL = "water_level"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit somebody may type in, with the way to and from the unit kept inside."""

    symbol: str
    to_kept: Callable[[float], float]
    from_kept: Callable[[float], float]
    basis: str = ""


@dataclass(frozen=True, slots=True)
class QuantityFacts:
    """How one quantity is written, typed and guarded against slips.

    `impossible` and `unusual` are (low, high) in the kept unit: outside the first nothing
    is saved, outside the second a second measurement is asked for.
    """

    quantity: Quantity
    label: str
    child_label: str
    unit: str
    basis: str
    decimals: int
    units: tuple[Unit, ...]
    impossible: tuple[float, float]
    unusual: tuple[float, float]

    def unit_named(self, symbol: str, basis: str = "") -> Unit:
        """The accepted unit with this symbol and basis.

        Raises:
            KeyError: If the quantity is never typed in that unit.
        """
        for unit in self.units:
            if unit.symbol == symbol and unit.basis == basis:
                return unit
        raise KeyError(f"{self.label} is not measured in {symbol} {basis}".strip())


def _same(value: float) -> float:
    return value


def _plain(symbol: str, basis: str = "") -> Unit:
    return Unit(symbol, _same, _same, basis)


CELSIUS: Final = _plain("°C")
FAHRENHEIT: Final = Unit("°F", units.celsius_from_fahrenheit, units.fahrenheit_from_celsius)


def _degrees(as_degrees: str) -> tuple[Unit, ...]:
    per_degree = hardness.convert(1.0, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MG_PER_L_CACO3)
    return (
        _plain(as_degrees),
        Unit("mg/L", lambda v: v / per_degree, lambda v: v * per_degree, "as CaCO3"),
    )


# `impossible`: what no tank and no kit can show (common practice, no single source);
# `unusual`: the doubtful-entry limits, where one more measurement is worth the minute
# (common practice, no single source; temperature and pH follow the guard of the forms).
FACTS: Final[dict[Quantity, QuantityFacts]] = {
    f.quantity: f
    for f in (
        QuantityFacts(
            Quantity.TEMPERATURE,
            "Temperature",
            "How warm the water is",
            "°C",
            "",
            1,
            (CELSIUS, FAHRENHEIT),
            (0.0, 45.0),
            (18.0, 31.0),
        ),
        QuantityFacts(
            Quantity.PH,
            "pH",
            "Sour or soapy number",
            "",
            "",
            1,
            (_plain(""),),
            (4.0, 10.0),
            (5.5, 9.0),
        ),
        QuantityFacts(
            Quantity.AMMONIA,
            "Ammonia (total)",
            "Waste from the fish",
            "mg/L",
            "as N",
            2,
            (
                _plain("mg/L", "as N"),
                Unit("mg/L", units.n_from_nh4, units.nh4_from_n, "as ammonium"),
            ),
            (0.0, 100.0),
            (0.0, 8.0),
        ),
        QuantityFacts(
            Quantity.NITRITE,
            "Nitrite",
            "Waste, step two",
            "mg/L",
            "as nitrite",
            2,
            (
                _plain("mg/L", "as nitrite"),
                Unit("mg/L", units.no2_from_n, units.n_from_no2, "as N"),
            ),
            (0.0, 200.0),
            (0.0, 20.0),
        ),
        QuantityFacts(
            Quantity.NITRATE,
            "Nitrate",
            "Waste, step three",
            "mg/L",
            "as nitrate",
            0,
            (
                _plain("mg/L", "as nitrate"),
                Unit("mg/L", units.no3_from_n, units.n_from_no3, "as N"),
            ),
            (0.0, 1000.0),
            (0.0, 300.0),
        ),
        QuantityFacts(
            Quantity.KH,
            "Carbonate hardness (KH)",
            "The water’s shock absorber",
            "°dKH",
            "",
            1,
            _degrees("°dKH"),
            (0.0, 60.0),
            (0.0, 30.0),
        ),
        QuantityFacts(
            Quantity.GH,
            "General hardness (GH)",
            "How much mineral is in the water",
            "°dGH",
            "",
            1,
            _degrees("°dGH"),
            (0.0, 100.0),
            (0.0, 40.0),
        ),
        QuantityFacts(
            Quantity.OXYGEN,
            "Oxygen",
            "Air the fish breathe, hidden in water",
            "mg/L",
            "",
            1,
            (_plain("mg/L"),),
            (0.0, 30.0),
            (2.0, 14.0),
        ),
        QuantityFacts(
            Quantity.CHLORINE,
            "Chlorine (total)",
            "Tap-water cleaner that hurts fish",
            "mg/L",
            "as chlorine",
            2,
            (_plain("mg/L", "as chlorine"),),
            (0.0, 20.0),
            (0.0, 5.0),
        ),
        QuantityFacts(
            Quantity.CHLORIDE,
            "Chloride",
            "Part of salt",
            "mg/L",
            "",
            0,
            (_plain("mg/L"),),
            (0.0, 20000.0),
            (0.0, 500.0),
        ),
        QuantityFacts(
            Quantity.WATER_LEVEL,
            "Water below the line",
            "How far the water went down",
            "mm",
            "",
            0,
            (
                _plain("mm"),
                Unit("cm", lambda v: v * 10.0, lambda v: v / 10.0),
                Unit(
                    "in",
                    lambda v: units.cm_from_inches(v) * 10.0,
                    lambda v: units.inches_from_cm(v / 10.0),
                ),
            ),
            (0.0, 1000.0),
            (0.0, 100.0),
        ),
    )
}
