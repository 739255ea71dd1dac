"""Where nitrate will settle, checked with a worked example of the reference formulas.

0.14 g of food a day of 45 % protein in 40 L with tap water of 10 mg/L and a quarter changed every
7 days settle at 28.0 mg/L: Timmons and Ebeling 2013 for 0.092 g of ammonia nitrogen per g of
protein, 62.004 ÷ 14.007 for nitrate per nitrogen, and the sum of a geometric series.
"""

from dataclasses import replace

import pytest

from app.domain.quantities import Quantity
from app.domain.records import Feeding
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity
from tests.situations import SCHOOL, fed, metered, snapshot, tank

NOW = "2027-02-14 09:00"
RULE = "water.nitrate-peak"
# 50 by 40 cm and 20 cm of water are 40 L
FORTY = TankShape(length_cm=50, width_cm=40, rim_cm=25, water_depth_cm=20)
TAP = replace(SCHOOL, tap=((Quantity.NITRATE, 10.0),))


def meals(grams: float | None, first: int = 1) -> list[Feeding]:
    return [fed(f"2027-02-{day:02d} 08:00", grams=grams) for day in range(first, 15)]


def situation(grams: float | None, **more: object) -> TankSnapshot:
    first = more.pop("first", 1)
    fields = {"shape": FORTY, "food_protein_percent": 45.0, **more}
    site = fields.pop("site", TAP)
    return snapshot(NOW, *meals(grams, first), site=site, tank=tank(**fields))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("grams", "expected"),
    # (50 − 10) ÷ 18.0 × 0.14 g = 0.312 g a day
    [(0.30, None), (0.311, None), (0.313, Severity.WATCH), (0.6, Severity.WATCH)],
)
def test_over_fifty_is_watched(grams: float, expected: Severity | None) -> None:
    assert severity(situation(grams), RULE) is expected


def test_it_says_how_much_to_change_and_that_it_is_an_estimate() -> None:
    (finding,) = found(situation(0.35), RULE)
    assert not finding.certain
    # 7 × 1.604 ÷ (50 − 10) = 0.28
    assert "At this feeding you need about 28 % every 7 days." in plain(finding.reason)


def test_where_half_is_not_enough_the_answer_is_less_food() -> None:
    half = found(situation(0.62), RULE)[0]
    assert "you need about 50 %" in plain(half.reason)
    more = found(situation(0.64), RULE)[0]
    assert "Less food" in more.reason
    assert more.action.title.startswith("Feed less")


@pytest.mark.parametrize("missing", [{"food_protein_percent": None}, {"site": SCHOOL}])
def test_where_something_is_missing_nothing_is_said(missing: dict[str, object]) -> None:
    assert severity(situation(0.6, **missing), RULE) is None


def test_a_high_nitrate_test_says_what_is_missing_for_the_size_of_the_change() -> None:
    now = snapshot(NOW, fed("2027-02-14 08:00"), *metered(NOW, nitrate=60.0))
    (finding,) = found(now, "water.nitrate")
    texts = " ".join(line.text for line in finding.working)
    assert "unknown is the protein of the food" in texts
