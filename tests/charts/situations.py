"""Series for the chart tests; all numbers are invented."""

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from app.domain.quantities import Quantity
from app.domain.series import Ahead, Band, Mark, Point, Series, Span

CHICAGO = "America/Chicago"


def local(year: int, month: int, day: int, hour: int = 12, minute: int = 0) -> datetime:
    """A wall-clock time of Chicago, as UTC."""
    return datetime(year, month, day, hour, minute, tzinfo=ZoneInfo(CHICAGO)).astimezone(UTC)


def series(*points: Point, **changes: Any) -> Series:
    """A temperature series of January 2027, changed as asked."""
    facts: dict[str, Any] = {
        "quantity": Quantity.TEMPERATURE, "tank_name": "Pebble Brook", "unit": "°C",
        "decimals": 1, "zone": CHICAGO, "start": local(2027, 1, 1, 0),
        "end": local(2027, 2, 1, 0), "points": points,
    }  # fmt: skip
    return Series(**(facts | changes))


def daily(*values: float, first: datetime | None = None, kit_id: int | None = None) -> list[Point]:
    """One meter reading a day."""
    begin = first or local(2027, 1, 2)
    return [
        Point(begin + timedelta(days=i), value, kit_id=kit_id) for i, value in enumerate(values)
    ]


def card(day: int, value: float | None, low: float, high: float | None, kit: int = 1) -> Point:
    """A card reading in January 2027; no upper end means the last step of the card."""
    return Point(local(2027, 1, day), value, low, high, open_top=high is None, kit_id=kit)


def nitrate(*points: Point, **changes: Any) -> Series:
    """Card readings of nitrate under a limit of 40."""
    return series(
        *points, quantity=Quantity.NITRATE, unit="mg/L", decimals=0,
        bands=(Band(None, 40, "our limit", "our own"),), **changes,
    )  # fmt: skip


def full() -> Series:
    """Something of everything."""
    return nitrate(
        card(4, 10, 5, 20), card(11, 20, 10, 40), card(18, 40, 20, 80, kit=2),
        card(25, 80, 60, None, kit=2), Point(local(2027, 1, 26), 31.0),
        marks=(Mark(local(2027, 1, 5), "change"), Mark(local(2027, 1, 6), "filter"),
               Mark(local(2027, 1, 7), "fish", "6 came")),
        spans=(Span(local(2027, 1, 12), local(2027, 1, 17), "away"),
               Span(local(2027, 1, 20, 8), local(2027, 1, 20, 18), "lights")),
        now=local(2027, 1, 28),
    )  # fmt: skip


def logger(spike_at: int | None = None, count: int = 175_000) -> Series:
    """A thermometer that writes every three minutes for a year, with one spike."""
    begin = local(2026, 1, 1, 0)
    points = [
        Point(begin + timedelta(minutes=3 * i), 31.5 if i == spike_at else 24.0 + (i % 7) / 10)
        for i in range(count)
    ]
    return series(*points, start=begin, end=begin + timedelta(minutes=3 * count))


def with_fan(**changes: Any) -> Series:
    """Nitrate by a meter, with what is expected in the two weeks after it."""
    end = local(2027, 1, 15)
    expected = (
        Ahead(end, 17.0, 19.0, 22.0, "now"), Ahead(end + timedelta(days=7), 18.0, 22.0, 29.0),
        Ahead(end + timedelta(days=14), 19.0, 25.0, 35.0),
    )  # fmt: skip
    points = daily(10.0, 12.0, 14.0, 16.0, 18.0)
    return nitrate(*points, end=end, now=end, **({"ahead": expected} | changes))
