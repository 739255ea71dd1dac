"""The units that working-out pages take, the kept one first."""

from typing import Final

from app.domain.quantities import FACTS, Quantity
from app.science import units as convert
from app.services.workings.model import Unit


def _same(value: float) -> float:
    return value


def kept(symbol: str) -> Unit:
    """The kept unit itself."""
    return Unit(key_of(symbol), symbol, _same, _same)


def key_of(symbol: str, basis: str = "") -> str:
    """A unit as it stands in an address: plain letters, such as "C" or "mg-L-as-N"."""
    plain = f"{symbol} {basis}".strip().replace("°", "").replace("/", " ")
    return "-".join(plain.split())


def of(quantity: Quantity) -> tuple[Unit, ...]:
    """The units in which a quantity is typed, each with its basis."""
    return tuple(
        Unit(key_of(u.symbol, u.basis), f"{u.symbol} {u.basis}".strip(), u.to_kept, u.from_kept)
        for u in FACTS[quantity].units
    )


CELSIUS: Final = of(Quantity.TEMPERATURE)
DEGREES: Final = (
    kept("°C"),
    Unit("F", "°F", convert.celsius_difference, convert.fahrenheit_difference),
)
LITERS: Final = (
    kept("L"),
    Unit("gal", "US gal", convert.liters_from_us_gallons, convert.us_gallons_from_liters),
    Unit(
        "impgal",
        "imperial gal",
        convert.liters_from_imperial_gallons,
        convert.imperial_gallons_from_liters,
    ),
)
LITERS_PER_CM: Final = (kept("L"),)
TIMES: Final = (kept("times"),)
CENTIMETERS: Final = (
    kept("cm"),
    Unit("in", "in", convert.cm_from_inches, convert.inches_from_cm),
)
LEVEL: Final = (
    kept("cm"),
    Unit("mm", "mm", lambda v: v / 10.0, lambda v: v * 10.0),
    Unit("in", "in", convert.cm_from_inches, convert.inches_from_cm),
)
KILOGRAMS: Final = (
    kept("kg"),
    Unit("lb", "lb", convert.kg_from_pounds, convert.pounds_from_kg),
)
GRAMS: Final = (
    kept("g"),
    Unit("oz", "oz", convert.g_from_ounces, convert.ounces_from_g),
)
FLUID: Final = (
    kept("mL"),
    Unit("fl-oz", "fl oz", convert.ml_from_us_fluid_ounces, convert.us_fluid_ounces_from_ml),
)
NITRATE: Final = of(Quantity.NITRATE)
PLAIN: Final = (kept(""),)
KG_PER_L: Final = (kept("kg/L"),)
PERCENT: Final = (kept("%"),)
BUCKET_COUNT: Final = (kept("buckets"),)
HOURS: Final = (kept("h"),)
DAYS: Final = (kept("days"),)
WATTS: Final = (kept("W"),)
MILLIMETERS: Final = (
    kept("mm"),
    Unit("in", "in", lambda v: convert.cm_from_inches(v) * 10, lambda v: v / 10 / 2.54),
)
MILLILITERS: Final = (kept("mL"),)
MG_PER_L: Final = (kept("mg/L"),)
AMMONIA: Final = of(Quantity.AMMONIA)
KH: Final = of(Quantity.KH)
OXYGEN: Final = of(Quantity.OXYGEN)
CLOCK: Final = (kept(""),)
METERS: Final = (
    kept("m"),
    Unit(
        "ft",
        "ft",
        lambda v: convert.cm_from_inches(v * 12.0) / 100.0,
        lambda v: convert.inches_from_cm(v * 100.0) / 12.0,
    ),
)
