"""How fast the water falls: typed, from a written level, from room and cover.

Open, 25 °C water in a room of 20 °C half damp evaporates 4.7 mm a day: Smith, Löf and Jones 1998.
"""

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.estimates.evaporation import fall_in_a_day
from app.estimates.model import Input, Origin, exact
from tests.rules.checks import KNOWLEDGE
from tests.situations import Thing, job, reading, snapshot, tank

NOW = "2027-02-12 18:00"
ROOM = exact("room", "The room", 20.0, "°C", origin=Origin.TYPED)
FILLED = job(JobKind.TOP_UP, "2027-02-02 18:00", liters_in=3.0)


def fall(*things: Thing, typed_mm: float | None = None, cover: str = "open") -> Input:
    known: TankSnapshot = snapshot(NOW, *things, tank=tank(cover=cover))
    return fall_in_a_day(known, KNOWLEDGE, water_c=25.0, room=ROOM, typed_mm=typed_mm)


def level(mm: float, when: str = NOW) -> Thing:
    return reading(Quantity.WATER_LEVEL, mm, when)


def test_what_is_typed_is_taken() -> None:
    found = fall(FILLED, level(15.0), typed_mm=3.0)

    assert (found.low, found.best, found.high) == (3.0, 3.0, 3.0)
    assert found.origin is Origin.TYPED


def test_a_level_ten_days_after_a_filling() -> None:
    found = fall(FILLED, level(15.0))

    # 15 mm in 10 days, read to 2 mm
    assert (found.low, found.best, found.high) == pytest.approx((1.3, 1.5, 1.7))
    assert found.origin is Origin.MEASURED


@pytest.mark.parametrize(
    "things",
    [
        (),
        (level(15.0),),  # nobody knows since when
        (FILLED, level(3.0, "2027-02-03 18:00")),  # after one day only
        (job(JobKind.TOP_UP, "2027-02-13 08:00"), level(15.0)),  # filled after it only
    ],
)
def test_else_it_comes_from_the_warmth(things: tuple[Thing, ...]) -> None:
    found = fall(*things)

    assert found.origin is Origin.ASSUMED
    assert found.best == pytest.approx(4.7, abs=0.05)
    assert found.low < found.best < found.high


def test_a_cover_holds_it_back() -> None:
    closed, gap, unknown, bare = (fall(cover=cover) for cover in ("closed", "gap", "", "open"))

    assert closed.low == 0.0
    assert closed.best < gap.best < bare.best
    assert unknown.high - unknown.low > gap.high - gap.low > closed.high - closed.low
