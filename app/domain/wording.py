"""How numbers, times and ages are written for people."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.tank import Site
from app.domain.tube import Seen, Tube
from app.science.units import (
    FAHRENHEIT_PER_CELSIUS,
    fahrenheit_from_celsius,
    inches_from_cm,
    us_gallons_from_liters,
)

NBSP: Final = "\u00a0"
_MINUS: Final = "\u2212"


def decimal(value: float, decimals: int) -> str:
    """A number with so many decimals and a true minus sign; never "-0.0"."""
    text = f"{value:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", _MINUS)


def short(value: float) -> str:
    """A number with as few decimals as it needs: 25, 0.5, 0.005."""
    return f"{value:g}".replace("-", _MINUS)


def with_unit(number: str, unit: str) -> str:
    """A written number and its unit, with a space that does not break."""
    return f"{number}{NBSP}{unit}" if unit else number


def count(number: int, one: str, many: str) -> str:
    """How many of something, in words: "1 day", "3 days"."""
    return f"{number} {one if number == 1 else many}"


def in_sentence(label: str) -> str:
    """A label inside a sentence: small first letter, unless it is a short form as pH or KH."""
    return label if label == "pH" else label[0].lower() + label[1:]


def listed(parts: Sequence[str]) -> str:
    """Several things in a row: "ammonia", "ammonia and pH", "ammonia, nitrite and pH"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def degrees(site: Site, celsius: float) -> str:
    """A temperature in the unit that the site reads."""
    if site.fahrenheit:
        return with_unit(decimal(fahrenheit_from_celsius(celsius), 1), "°F")
    return with_unit(decimal(celsius, 1), "°C")


def bare_degrees(site: Site, celsius: float) -> str:
    """A temperature in the unit that the site reads, without its name, for sums."""
    return degrees(site, celsius).partition(NBSP)[0]


def degrees_apart(site: Site, celsius: float) -> str:
    """A difference of temperatures in the unit that the site reads."""
    if site.fahrenheit:
        return with_unit(decimal(celsius * FAHRENHEIT_PER_CELSIUS, 1), "°F")
    return with_unit(decimal(celsius, 1), "°C")


def known_amount(value: float, unit: str, *, fahrenheit: bool = False) -> str:
    """A number of the knowledge with its unit: "23 °C", for °F households "73.4 °F (23 °C)".

    The unit K marks a difference of temperatures: people read it in °C, and in °F it has no 32.
    """
    text = with_unit(short(value), "°C" if unit == "K" else unit)
    if not fahrenheit or unit not in {"°C", "K"}:
        return text
    shown = fahrenheit_from_celsius(value) if unit == "°C" else value * FAHRENHEIT_PER_CELSIUS
    return f"{with_unit(short(round(shown, 1)), '°F')} ({text})"


def water_amount(site: Site, liters: float) -> str:
    """An amount of water to carry, in whole liters or tenths of US gallons."""
    if site.us_gallons:
        return with_unit(decimal(us_gallons_from_liters(liters), 1), "US gal")
    return with_unit(decimal(liters, 0 if liters >= 10 else 1), "L")


def volume_text(site: Site, liters: float) -> str:
    """A volume to compare, in whole liters: "85 L", for US households "22.5 US gal (85 L)"."""
    text = with_unit(number(liters, 0), "L")
    return f"{water_amount(site, liters)} ({text})" if site.us_gallons else text


def length_text(site: Site, cm: float) -> str:
    """A length of an animal: "3.5 cm", for households with US units "1.4 in (3.5 cm)"."""
    text = with_unit(number(cm, 1), "cm")
    return f"{with_unit(number(inches_from_cm(cm), 1), 'in')} ({text})" if site.us_gallons else text


def unit_and_basis(quantity: Quantity) -> str:
    """The kept unit with its basis: "mg/L (as nitrate)"."""
    facts = FACTS[quantity]
    return f"{facts.unit} ({facts.basis})" if facts.basis else facts.unit


def value_text(quantity: Quantity, value: float, site: Site) -> str:
    """A value of a quantity with its unit, and the basis where one is needed."""
    if quantity is Quantity.TEMPERATURE:
        return degrees(site, value)
    decimals = FACTS[quantity].decimals
    return with_unit(decimal(value, decimals), unit_and_basis(quantity))


def range_text(quantity: Quantity, low: float, high: float, site: Site) -> str:
    """From one value of a quantity to another, "16 to 22 mg/L (as nitrate)", or the one value."""
    if low == high:
        return value_text(quantity, high, site)
    if quantity is Quantity.TEMPERATURE:
        return f"{bare_degrees(site, low)} to {degrees(site, high)}"
    decimals = FACTS[quantity].decimals
    return f"{decimal(low, decimals)} to {value_text(quantity, high, site)}"


def reading_text(reading: Reading, site: Site) -> str:
    """A reading as it is: a value, what else it could be, or a tube beyond the card's ends."""
    quantity, most = reading.quantity, reading.most
    if reading.tube is not None and reading.tube.is_color:
        return _several_text(reading, reading.tube, site)
    if reading.lighter_than_first and most is not None:
        return f"lighter than the first color, less than {value_text(quantity, most, site)}"
    if most is None:
        return f"more than {value_text(quantity, reading.least, site)}"
    if reading.least == most:
        return value_text(quantity, reading.best, site)
    if quantity is Quantity.TEMPERATURE:
        read, *ends = (degrees(site, v) for v in (reading.best, reading.least, most))
        return f"{read}, could be {ends[0]} to {ends[1]}"
    # a color of a card is named as it stands on the card: 0, 0.25, 5
    color = with_unit(color_text(reading.best), unit_and_basis(quantity))
    return f"{color}, could be {color_text(reading.least)} to {color_text(most)}"


def color_text(value: float) -> str:
    """The number beside a color; one that was converted has no more than three digits."""
    return short(float(f"{value:.3g}"))


def seen_text(seen: Seen) -> str:
    """What one reader saw on a card, without the unit."""
    if seen.value is not None:
        return color_text(seen.value)
    if seen.high is not None:
        return f"less than {color_text(seen.high)}"
    return f"more than {color_text(seen.low or 0.0)}"


def readers_text(tube: Tube) -> str:
    """How many read one tube, and from which color to which: "3 readers saw 10 to 20"."""
    if tube.agreed:
        return f"{len(tube.seen)} readers saw the same"
    lowest, *_, highest = tube.in_order
    return f"{len(tube.seen)} readers saw {seen_text(lowest)} to {seen_text(highest)}"


def _several_text(reading: Reading, tube: Tube, site: Site) -> str:
    unit = unit_and_basis(reading.quantity)
    if reading.quantity is Quantity.TEMPERATURE and site.fahrenheit:
        tube, unit = tube.through(fahrenheit_from_celsius), "°F"
    low, high = tube.low or 0.0, tube.high
    ends = "or more" if high is None else f"to {color_text(high)}"
    middle = with_unit(seen_text(tube.middle), unit)
    return f"{middle}, {readers_text(tube)}, could be {color_text(low)} {ends}"


def duration(span: timedelta) -> str:
    """A length of time: "3 minutes", "16 h 55 min", "2 days 16 h 55 min"."""
    minutes = max(0, int(span.total_seconds() // 60))
    days, rest = divmod(minutes, 24 * 60)
    hours, minutes = divmod(rest, 60)
    if not days and not hours:
        return count(minutes, "minute", "minutes")
    parts = [count(days, "day", "days")] if days else []
    if hours:
        parts.append(with_unit(str(hours), "h"))
    if minutes:
        parts.append(with_unit(str(minutes), "min"))
    return " ".join(parts)


def rounded(span: timedelta) -> str:
    """A length of time to be read from far: "25 minutes", "17 hours", "2 days 17 hours"."""
    if span < timedelta(minutes=59, seconds=30):
        return count(max(0, round(span / timedelta(minutes=1))), "minute", "minutes")
    days, hours = divmod(round(span / timedelta(hours=1)), 24)
    parts = [count(days, "day", "days")] if days else []
    return " ".join([*parts, count(hours, "hour", "hours")] if hours else parts)


def short_while(seconds: float) -> str:
    """A wait beside a test kit: "30 seconds", "5 minutes"."""
    if seconds % 60:
        return count(int(seconds), "second", "seconds")
    return count(int(seconds // 60), "minute", "minutes")


def clock(moment: datetime, zone: str) -> str:
    """The time of day: "3:10 pm"."""
    there = moment.astimezone(ZoneInfo(zone))
    return f"{bare_clock(moment, zone)} {'am' if there.hour < 12 else 'pm'}"


def hour_text(hour: float) -> str:
    """An hour of the day as a time: "8:00 am" for 8, "12:30 pm" for 12.5; 24 is midnight again."""
    minutes = round(hour * 60.0) % (24 * 60)
    full, rest = divmod(minutes, 60)
    return f"{full % 12 or 12}:{rest:02d} {'am' if full < 12 else 'pm'}"


def bare_clock(moment: datetime, zone: str) -> str:
    """The time of day without am or pm, where the day part is plain: "8:41"."""
    there = moment.astimezone(ZoneInfo(zone))
    return f"{there.hour % 12 or 12}:{there.minute:02d}"


def exact_clock(moment: datetime, zone: str) -> str:
    """The time of day, with its seconds where it is no full minute: "3:10:30 pm"."""
    there = moment.astimezone(ZoneInfo(zone))
    seconds = f":{there.second:02d}" if there.second else ""
    return f"{bare_clock(moment, zone)}{seconds} {'am' if there.hour < 12 else 'pm'}"


def day_text(day: date, today: date) -> str:
    """A day as people say it: "today", "Friday", "Friday 29 January"."""
    age = (today - day).days
    if age == 0:
        return "today"
    if age == 1:
        return "yesterday"
    if 1 < age < 7:
        return f"{day:%A}"
    return full_day(day) if day.year == today.year else dated(day)


def dated(day: date) -> str:
    """A weekday with its whole date, for paper and old records: "Friday 29 January 2027"."""
    return f"{full_day(day)} {day.year}"


def full_day(day: date) -> str:
    """A weekday with its date: "Friday 29 January"."""
    return f"{day:%A} {day.day} {day:%B}"


def when_text(moment: datetime, zone: str, now: datetime) -> str:
    """A moment as people say it on the tank's wall calendar: "Friday 3:10 pm"."""
    day, today = local_day(moment, zone), local_day(now, zone)
    name = day_text(day, today)
    return f"{name} {clock(moment, zone)}"


def until_text(moment: datetime, zone: str, now: datetime) -> str:
    """A moment ahead as people say it: "today 3:10 pm", "Saturday 10:00 am", with date later on."""
    day, today = local_day(moment, zone), local_day(now, zone)
    ahead = (day - today).days
    name = {0: "today", 1: "tomorrow"}.get(ahead) or (f"{day:%A}" if ahead < 7 else full_day(day))
    return f"{name} {clock(moment, zone)}"


def number(value: float, decimals: int) -> str:
    """A number with at most so many decimals, without trailing zeros."""
    text = decimal(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text
