"""Nitrate from the food alone, checked with a worked example of the published formulas.

0.14 g of food a day of 45 % protein in 40 L with tap water of 10 mg/L and a quarter changed every
7 days settle at 28.0 mg/L: Timmons and Ebeling 2013 for 0.092 g of ammonia nitrogen per g of
protein, 62.004 ÷ 14.007 for nitrate per nitrogen, and the sum of a geometric series.
"""

from dataclasses import replace
from typing import Any

import pytest

from app.domain.quantities import Quantity
from app.domain.records import Feeding
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan, TankShape
from app.estimates.nitrate_from_food import could_be, days_to, outlook
from tests.rules.checks import KNOWLEDGE
from tests.situations import SCHOOL, fed, snapshot, tank

NOW = "2027-02-14 09:00"
# 50 by 40 cm and 20 cm of water are 40 L
FORTY = TankShape(length_cm=50, width_cm=40, rim_cm=25, water_depth_cm=20)
TAP = replace(SCHOOL, tap=((Quantity.NITRATE, 10.0),))


def meals(grams: float | None, first: int) -> list[Feeding]:
    return [fed(f"2027-02-{day:02d} 08:00", grams=grams) for day in range(first, 15)]


def situation(grams: float | None, first: int = 1, **more: Any) -> TankSnapshot:
    fields = {"shape": FORTY, "food_protein_percent": 45.0, **more}
    site = fields.pop("site", TAP)
    return snapshot(NOW, *meals(grams, first), site=site, tank=tank(**fields))


def test_the_worked_example() -> None:
    ahead = outlook(situation(0.14), KNOWLEDGE)
    assert ahead.rise == pytest.approx(0.64, abs=0.005)
    assert ahead.best == pytest.approx(28.0, abs=0.1)
    # the range of 0.8 to 1.6 of what the food explains, on the part above the tap's 10
    assert ahead.low == pytest.approx(10 + 0.8 * 18.0, abs=0.1)
    assert ahead.high == pytest.approx(10 + 1.6 * 18.0, abs=0.1)


@pytest.mark.parametrize(
    ("missing", "word"),
    [
        ({"food_protein_percent": None}, "the protein of the food"),
        ({"shape": TankShape(length_cm=50, width_cm=40)}, "the water volume"),
        ({"site": SCHOOL}, "the tap water’s own nitrate"),
        ({"plan": CarePlan(water_change_percent=0.0)}, "the plan for water changes"),
        ({"first": 9}, "the grams fed on each day"),  # six days tell too little
    ],
)
def test_what_is_missing_is_named_and_never_assumed(missing: dict[str, Any], word: str) -> None:
    now = situation(0.6, **missing)
    assert outlook(now, KNOWLEDGE).missing == (word,)


def test_a_scoop_that_nobody_weighed_is_missing() -> None:
    assert outlook(situation(None), KNOWLEDGE).missing == ("the grams fed on each day",)


def test_seven_days_of_meals_are_enough() -> None:
    assert outlook(situation(0.6, first=8), KNOWLEDGE).missing == ()


def test_the_fastest_rise_is_the_shortest_time() -> None:
    # 8 mg/L at 0.5 a day are 16 days; at 0.8 and 1.6 of that 20 and 10 (arithmetic)
    assert days_to(12.0, 20.0, could_be(0.5, KNOWLEDGE)) == pytest.approx((10.0, 16.0, 20.0))
