"""Scales begin and end at whole labels, hold what they show, and say how long it keeps."""

from datetime import timedelta
from typing import Any

import pytest

from app.domain.quantities import Quantity
from app.domain.series import Band
from app.domain.tube import Seen, Tube
from app.domain.wording import listed
from app.knowledge.load import load
from app.rules.engine import evaluate
from app.web.gauge import Gauge, gauges
from tests import situations
from tests.situations import snapshot

KNOWLEDGE = load()


def gauge_of(name: str, *entries: Any, band: Band | None = None, **more: Any) -> Gauge:
    seen = snapshot("2027-02-01 08:05", *entries, **more)
    ranges = {Quantity.TEMPERATURE: band} if band else {}
    found, _ = gauges(seen, evaluate(seen, KNOWLEDGE).freshness, ranges)
    return next(g for g in found if g.name == name)


@pytest.mark.parametrize("value", [0.0, 0.01, 3.7, 23.0, 24.9, 31.0, 44.9])
def test_a_scale_holds_its_reading_and_its_range(value: float) -> None:
    band = Band(23.0, 26.0, "our range", "")
    reading = situations.reading(Quantity.TEMPERATURE, value, "2027-02-01 08:00")
    scale = gauge_of("Temperature", reading, band=band).scale
    assert scale is not None
    assert scale.low <= min(value, 23.0)
    assert scale.high >= max(value, 26.0)
    assert scale.labels[0] == scale.low
    assert scale.labels[-1] == scale.high
    assert 2 <= len(scale.labels) <= 6
    ticks = (scale.high - scale.low) / scale.step
    assert ticks == pytest.approx(round(ticks))
    assert ticks <= 30


def test_a_meter_reading_of_nothing_still_has_a_scale() -> None:
    reading = situations.reading(Quantity.NITRITE, 0.0, "2027-02-01 08:00")
    scale = gauge_of("Nitrite", reading).scale
    assert scale is not None
    assert scale.high > scale.low == 0.0


def test_darker_than_the_last_color_goes_on_to_the_end_of_the_scale() -> None:
    reading = situations.reading(Quantity.NITRATE, None, "2027-02-01 08:00", low=80.0, high=None)
    gauge = gauge_of("Nitrate", reading)
    assert gauge.value == "over 80"
    assert gauge.scale is not None
    assert gauge.scale.maybe == (80.0, gauge.scale.high)
    assert gauge.scale.value is None


def test_lighter_than_the_first_color_begins_at_nothing() -> None:
    reading = situations.reading(Quantity.AMMONIA, None, "2027-02-01 08:00", low=0.0, high=0.25)
    gauge = gauge_of("Ammonia (total)", reading)
    assert gauge.value == "under 0.25"
    assert "lighter than the first color" in gauge.sub


@pytest.mark.parametrize(
    ("taken", "gone", "said"),
    [
        ("2027-01-18 08:06", False, "Keeps less than an hour"),
        ("2027-01-18 08:05", True, "Tested 14 days ago. It kept 14 days. Now: don’t know."),
        ("2027-01-31 08:05", False, "Tested 1 day ago. Keeps 13 more days."),
    ],
)
def test_how_long_a_test_keeps(taken: str, gone: bool, said: str) -> None:
    gauge = gauge_of("Nitrate", situations.reading(Quantity.NITRATE, 20.0, taken))
    assert gauge.gone is gone
    assert said in gauge.age.replace("\u00a0", " ")
    assert gauge.shelf[1] == pytest.approx(14)


def test_a_doubtful_kit_freshens_nothing_and_says_so() -> None:
    reading = situations.reading(Quantity.PH, 7.0, "2027-02-01 08:00", kit_doubtful=True)
    seen = snapshot("2027-02-01 08:05", reading)
    found, never = gauges(seen, evaluate(seen, KNOWLEDGE).freshness, {})
    gauge = next(g for g in found if g.name == "pH")
    assert gauge.gone
    assert "doubtful kit" in gauge.age
    assert "pH" not in never


def test_the_count_stands_beside_what_was_expected() -> None:
    look = situations.look("2027-02-01 08:00", seen=13, expected=16, breathing_calm=False)
    gauge = gauge_of("Fish seen", look)
    assert (gauge.value, gauge.unit, gauge.sub) == ("13", "of 16", "breathing not calm")
    assert gauge.shelf[0] == pytest.approx(timedelta(minutes=5) / timedelta(hours=1), abs=0.1)


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (
            (Seen(10, 5, 20, "10"), Seen(20, 10, 40, "20"), Seen(20, 10, 40, "20")),
            "the card said 20 mg/L (10 to 20, 3 readers), as nitrate",
        ),
        (
            (Seen(10, 5, 20, "10"), Seen(10, 5, 20, "10")),
            "the card said 10 mg/L (all the same, 2 readers), as nitrate",
        ),
        (
            (Seen(None, 0, 5, "lighter"), Seen(None, 0, 5, "lighter"), Seen(5, 0, 10, "5")),
            "lighter than the first color (lighter to 5, 3 readers), as nitrate",
        ),
        (
            (
                Seen(40, 20, 80, "40"),
                Seen(None, 80, None, "darker"),
                Seen(None, 80, None, "darker"),
            ),
            "darker than the last color (40 to darker, 3 readers), as nitrate",
        ),
        (
            (Seen(20, typed="20"), Seen(30, typed="30")),
            "measured 2 times: 20 and 30 mg/L, as nitrate",
        ),
    ],
)
def test_several_readers_stand_beside_the_value(seen: tuple[Seen, ...], said: str) -> None:
    tube = Tube(seen)
    reading = situations.reading(
        Quantity.NITRATE, tube.value, "2027-02-01 08:00", low=tube.low, high=tube.high, tube=tube,
        typed=listed([each.typed for each in seen]), unit="mg/L", basis="as nitrate",
    )  # fmt: skip
    assert gauge_of("Nitrate", reading).sub == said
