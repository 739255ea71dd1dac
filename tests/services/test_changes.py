"""Water changes before the pour, for a tank of 78 by 34 cm with 85.0 L of water.

Volumes and levels are arithmetic on the measures; mixing is a balance of heat by volume.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.measures import net_volume
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.services import changes
from tests.situations import snapshot, warm

SHAPE = TankShape(
    length_cm=78,
    width_cm=34,
    water_depth_cm=36,
    sand_front_cm=5,
    sand_back_cm=5,
    displacement_l=2.5,
)


def tank_at(*readings: Reading, shape: TankShape = SHAPE) -> TankSnapshot:
    seen = snapshot("2027-02-08 08:41", *readings)
    return replace(seen, tank=replace(seen.tank, shape=shape))


def test_the_plan_in_liters_level_and_warmth() -> None:
    plan = changes.plan_of(tank_at(warm(25.0, "2027-02-08 08:00")))

    assert plan.percent == 25
    assert plan.net_l == pytest.approx(85.016)
    assert plan.liters == pytest.approx(21.254)
    assert plan.level_cm == pytest.approx(21254 / (78 * 34), abs=0.001)
    assert plan.lowest_new_c == pytest.approx(21.0)  # 25 - 1 / 0.25


def test_without_a_water_depth_only_the_share_is_known() -> None:
    plan = changes.plan_of(tank_at(shape=replace(SHAPE, water_depth_cm=None)))

    assert (plan.percent, plan.liters, plan.lowest_new_c) == (25, None, None)


@pytest.mark.parametrize(("hours", "known"), [(24, True), (24.1, False)])
def test_a_temperature_counts_for_a_day(hours: float, known: bool) -> None:
    seen = tank_at(warm(25.0, "2027-02-08 08:41"))
    later = replace(seen, as_of=seen.as_of + timedelta(hours=hours))

    assert (changes.tank_temperature(later) is not None) is known


@pytest.mark.parametrize(("new_c", "asked"), [(23.0, False), (22.9, True), (27.0, False)])
def test_more_than_two_degrees_colder_is_asked_about(new_c: float, asked: bool) -> None:
    seen = tank_at(warm(25.0, "2027-02-08 08:00"))

    assert (changes.cold_water(seen, new_c, 20.0) is not None) is asked


def test_where_the_tank_would_end() -> None:
    seen = tank_at()
    assert changes.cold_water(seen, 18.0, 34.0) is None  # nobody knows how warm the tank is

    cold = changes.cold_water(seen, 18.0, 34.0, tank_c=25.0)

    assert cold is not None
    assert cold.colder_c == pytest.approx(7.0)
    assert cold.mixed_c == pytest.approx(22.2, abs=0.01)
    without = changes.cold_water(seen, 18.0, None, tank_c=25.0)
    assert without is not None
    assert without.mixed_c is None


def test_gallons_are_us_gallons() -> None:
    # 1 US gallon = 231 cubic inches = 3.785411784 L (NIST Handbook 44)
    assert changes.liters(2.0, "gal") == pytest.approx(7.570823568)
    assert changes.liters(2.0, "L") == 2.0
    assert changes.liters(None, "gal") is None


@pytest.mark.parametrize(
    ("shape", "net_l"),
    [
        (SHAPE, 85.016),
        (replace(SHAPE, sand_pore_share=0.0), 79.712),
        (replace(SHAPE, sand_front_cm=None, sand_back_cm=None), 92.972),
        (replace(SHAPE, water_depth_cm=None), None),
        (replace(SHAPE, displacement_l=90.0), None),
        (replace(SHAPE, sand_front_cm=37.0), None),
    ],
)
def test_net_volume_of_stored_measures(shape: TankShape, net_l: float | None) -> None:
    volume = net_volume(shape)

    assert (volume.net_l if volume else None) == pytest.approx(net_l)
