"""Random months of readings, written as the rows of a sheet and exported as data frames."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd

from app.domain.features import Change, Feature, FeatureKind, Row
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.series import Point
from app.services.lessons.found import Found
from app.services.lessons.rows import Line, MonthOf

START = datetime(2027, 2, 1, 5, 0, tzinfo=UTC)
ZONE = "America/New_York"
STEPS = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0)


def meter_rows(chance: np.random.Generator, count: int) -> list[Row]:
    """Temperatures at odd times of different days."""
    days = sorted(int(d) for d in chance.choice(28, size=count, replace=False))
    found = []
    for day in days:
        at = START + timedelta(days=day, minutes=int(chance.integers(7 * 60, 16 * 60)))
        value = round(float(chance.normal(24.5, 0.8)), 1)
        found.append(Row(at=at, day=(at - timedelta(hours=5)).date(), value=value))
    return found


def card_rows(chance: np.random.Generator, count: int) -> list[Row]:
    """Colors of a card, each with the range to its neighbors."""
    found = []
    for row in meter_rows(chance, count):
        place = int(chance.integers(1, len(STEPS) - 1))
        low, color, high = STEPS[place - 1 : place + 2]
        found.append(replace(row, value=color, low=low, high=high))
    return found


def found_in(
    kind: FeatureKind,
    rows: Sequence[Row],
    places: tuple[int, ...],
    *,
    quantity: Quantity = Quantity.TEMPERATURE,
    unit: Unit | None = None,
    tap: float | None = None,
    changes: Sequence[Change] = (),
) -> Found:
    """A feature at these places of these rows."""
    facts = FACTS[quantity]
    month = MonthOf(
        quantity=quantity,
        unit=unit or facts.units[0],
        decimals=facts.decimals,
        zone=ZONE,
        tank_name="Brook",
        start=START,
        end=START + timedelta(days=28),
        rows=tuple(rows),
        points=tuple(Point(r.at, r.value, r.low, r.high) for r in rows),
        lines=tuple(Line(r.at, f"{r.value:.{facts.decimals}f}", "", "", True) for r in rows),
    )
    return Found(Feature(kind, places, 1.0), month, tap, tuple(changes))


def exported(found: Found) -> pd.DataFrame:
    """The rows as a pupil reads them off the sheet: the printed day, time and number."""
    table = found.month.table()
    frame = pd.DataFrame(table.rows, columns=list(table.columns))
    frame["value"] = frame["Read"].astype(float)
    printed = frame["Day"] + " 2027 " + frame["Time"].str.upper()
    frame["at"] = pd.to_datetime(printed, format="%a %d %b %Y %I:%M %p")
    frame["day"] = frame["at"].dt.normalize()
    return frame
