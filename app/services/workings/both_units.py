"""Answers in both unit systems, as working-out pages write them."""

from app.domain.wording import NBSP, decimal
from app.science import units


def liters(value: float, decimals: int = 1) -> str:
    """An amount of water: "34.0 L (9.0 US gal)"."""
    gallons = decimal(units.us_gallons_from_liters(value), 1)
    return f"{liters_only(value, decimals)} ({gallons}{NBSP}US{NBSP}gal)"


def liters_only(value: float, decimals: int = 1) -> str:
    """An amount of water in liters: "34.0 L"."""
    return f"{decimal(value, decimals)}{NBSP}L"


def warmth(celsius: float) -> str:
    """A temperature: "22.2 °C (72.0 °F)"."""
    fahrenheit = units.fahrenheit_from_celsius(celsius)
    return f"{decimal(celsius, 1)}{NBSP}°C ({decimal(fahrenheit, 1)}{NBSP}°F)"


def apart(celsius: float) -> str:
    """A difference of temperatures: "2.8 °C (5.0 °F)"."""
    fahrenheit = units.fahrenheit_difference(celsius)
    return f"{decimal(celsius, 1)}{NBSP}°C ({decimal(fahrenheit, 1)}{NBSP}°F)"


def length(cm: float) -> str:
    """A length: "12.8 cm (5.0 in)"."""
    return f"{decimal(cm, 1)}{NBSP}cm ({decimal(units.inches_from_cm(cm), 1)}{NBSP}in)"


def mass(kg: float) -> str:
    """A mass: "121 kg (267 lb)"; tenths below ten kilograms."""
    places = 1 if kg < 10 else 0
    pounds = units.pounds_from_kg(kg)
    return f"{decimal(kg, places)}{NBSP}kg ({decimal(pounds, places)}{NBSP}lb)"
