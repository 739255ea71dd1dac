"""What stored measures give, for every shape of glass."""

from dataclasses import replace

import pytest

from app.domain.measures import fall_cm, fall_l, glass_of, net_volume, surface_cm2
from app.domain.tank import TankForm, TankShape

BOX = TankShape(length_cm=78, width_cm=34, water_depth_cm=36)
CYLINDER = replace(BOX, form=TankForm.CYLINDER, length_cm=40, width_cm=40)
HEXAGON = replace(CYLINDER, form=TankForm.HEXAGON)
BOW = replace(BOX, form=TankForm.BOW_FRONT, length_cm=80, width_cm=30, bow_cm=8)
# a whole ball of 30 cm, half full
BOWL = replace(BOX, form=TankForm.BOWL, length_cm=30, width_cm=30, water_depth_cm=15)


@pytest.mark.parametrize(
    ("shape", "cm2"),
    [
        (BOX, 78 * 34),
        # pi r^2; a hexagon over flats f has f^2 x sqrt(3) / 2 (geometry)
        (CYLINDER, 1256.64),
        (HEXAGON, 1385.64),
        # slice of a circle of radius 104 over a chord of 80: 104^2 x (0.78958 - 0.71006) / 2
        (BOW, 2400 + 430.1),
        # the widest circle of the ball: pi x 15^2
        (BOWL, 706.86),
    ],
)
def test_the_surface_of_each_shape(shape: TankShape, cm2: float) -> None:
    assert surface_cm2(shape) == pytest.approx(cm2, rel=2e-4)


@pytest.mark.parametrize("shape", [BOX, CYLINDER, HEXAGON, BOW, BOWL])
def test_level_and_liters_are_the_same_step(shape: TankShape) -> None:
    liters = fall_l(shape, 2.0)

    assert liters is not None
    assert fall_cm(shape, liters) == pytest.approx(2.0)


def test_a_bowl_narrows_below_its_middle() -> None:
    # the slice between 13 and 15 cm: pi x (15^2 x 2 - 2^3 / 3) = 1405.3 cm3 (geometry)
    assert fall_l(BOWL, 2.0) == pytest.approx(1.4053, abs=1e-4)


def test_upright_walls_need_no_water_depth_and_a_bowl_does() -> None:
    # 78 x 34 x 1.2 = 3.18 L (arithmetic)
    assert fall_l(replace(BOX, water_depth_cm=None), 1.2) == pytest.approx(3.1824)
    unmeasured = replace(BOWL, water_depth_cm=None)
    assert (fall_l(unmeasured, 1.2), fall_cm(unmeasured, 1.0)) == (None, None)
    assert (surface_cm2(unmeasured), net_volume(unmeasured)) == (None, None)


def test_measures_that_do_not_go_together_give_nothing() -> None:
    too_wide = replace(BOWL, base_cm=31.0)
    with pytest.raises(ValueError, match="base_cm"):
        glass_of(too_wide)
    assert net_volume(too_wide) is None
    assert (surface_cm2(too_wide), fall_l(too_wide, 1.0), fall_cm(too_wide, 1.0)) == (None,) * 3
    assert net_volume(replace(BOX, displacement_l=96.0)) is None


def test_more_water_than_a_bowl_holds_has_no_level() -> None:
    assert fall_cm(BOWL, 8.0) is None
    # half a ball: 2/3 x pi x 15^3 = 7.07 L (geometry); nearly all of it leaves little level
    assert fall_cm(BOWL, 7.0) == pytest.approx(14.0, abs=0.8)
