"""Volumes, beds and masses of tanks, by examples worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import shapes, volume
from app.science.units import us_gallons_from_liters
from app.science.volume import NetVolume, net_volume_l

CM = st.floats(1, 200)


def school_tank(pore_share: float = 0.4) -> NetVolume:
    """Inside 78 x 34 cm, water 36 cm, sand 5 cm, rocks 2.5 L."""
    return net_volume_l(
        length_cm=78,
        width_cm=34,
        water_depth_cm=36,
        sand_front_cm=5,
        sand_back_cm=5,
        pore_share=pore_share,
        displacement_l=2.5,
    )


def test_a_liter_is_a_cube_of_ten_centimeters() -> None:
    assert volume.box_l(10, 10, 10) == pytest.approx(1.0)  # definition of the liter


def test_worked_example_of_a_class_tank() -> None:
    # By hand: 78 * 34 * 36 = 95 472 cm3; sand 78 * 34 * 5 = 13 260 cm3, 60 % of it grains.
    tank = school_tank()

    assert tank.gross_l == pytest.approx(95.472)
    assert tank.sand_bed_l == pytest.approx(13.26)
    assert tank.sand_solids_l == pytest.approx(7.956)
    assert tank.displacement_l == 2.5
    assert tank.net_l == pytest.approx(85.016)
    assert us_gallons_from_liters(tank.net_l) == pytest.approx(22.5, abs=0.05)


def test_counting_the_pores_as_sand_takes_too_much_away() -> None:
    assert school_tank(pore_share=0.0).net_l == pytest.approx(79.712)


def test_worked_example_of_a_home_tank() -> None:
    tank = net_volume_l(
        length_cm=58,
        width_cm=28,
        water_depth_cm=30,
        sand_front_cm=4,
        sand_back_cm=4,
        pore_share=0.4,
        displacement_l=1.5,
    )
    assert tank.gross_l == pytest.approx(48.72)
    assert tank.net_l == pytest.approx(43.32, abs=0.005)


def test_a_bare_tank_holds_what_its_box_holds() -> None:
    tank = net_volume_l(length_cm=50, width_cm=30, water_depth_cm=30, pore_share=0.4)
    assert tank.net_l == tank.gross_l == pytest.approx(45.0)


def test_sand_up_to_the_water_line_is_allowed_and_higher_is_not() -> None:
    def filled_with_sand(depth_cm: float) -> NetVolume:
        return net_volume_l(
            length_cm=50,
            width_cm=30,
            water_depth_cm=30,
            sand_front_cm=depth_cm,
            sand_back_cm=30,
            pore_share=0.4,
        )

    assert filled_with_sand(30).net_l == pytest.approx(18.0)  # 40 % of 45 L
    with pytest.raises(ValueError, match="sand_front_cm must be within 0 to 30"):
        filled_with_sand(30.1)


def test_rocks_that_fill_the_tank_are_refused() -> None:
    with pytest.raises(ValueError, match="leave no water"):
        net_volume_l(
            length_cm=50, width_cm=30, water_depth_cm=30, pore_share=0.4, displacement_l=45.0
        )


@pytest.mark.parametrize("pore_share", [-0.01, 1.01, 40.0])
def test_pores_are_a_share_and_not_a_percentage(pore_share: float) -> None:
    with pytest.raises(ValueError, match="pore_share must be within 0 to 1"):
        school_tank(pore_share)


def test_a_measure_not_taken_gives_no_volume() -> None:
    assert math.isnan(school_tank(pore_share=math.nan).net_l)


def test_level_of_a_planned_change_and_of_evaporation() -> None:
    # By hand, surface 78 * 34 = 2652 cm2: 34 000 cm3 are 12.82 cm; 1.2 cm are 3182 cm3.
    assert volume.level_change_cm(78, 34, 34.0) == pytest.approx(12.82, abs=0.005)
    assert volume.level_change_l(78, 34, 1.2) == pytest.approx(3.182, abs=0.001)


@given(length_cm=CM, width_cm=CM, level_cm=st.floats(0, 100))
def test_level_and_liters_turn_into_each_other(
    length_cm: float, width_cm: float, level_cm: float
) -> None:
    liters = volume.level_change_l(length_cm, width_cm, level_cm)
    assert volume.level_change_cm(length_cm, width_cm, liters) == pytest.approx(level_cm, abs=1e-9)


def test_a_tank_without_surface_has_no_level() -> None:
    with pytest.raises(ValueError, match="length_cm must be above 0"):
        volume.level_change_cm(0, 34, 1)
    with pytest.raises(ValueError, match="width_cm must be above 0"):
        volume.level_change_cm(78, 0, 1)


def test_negative_measures_are_refused() -> None:
    with pytest.raises(ValueError, match="depth_cm"):
        volume.box_l(10, 10, -1)
    with pytest.raises(ValueError, match="liters"):
        volume.level_change_cm(78, 34, -1)
    with pytest.raises(ValueError, match="back_cm"):
        volume.sand_bed_l(10, 10, 1, -1)


def test_half_a_ball_and_a_whole_one() -> None:
    assert volume.bowl_l(30, 0, 15) == pytest.approx(2 / 3 * math.pi * 15**3 / 1000)
    assert volume.bowl_l(30, 0, 30) == pytest.approx(4 / 3 * math.pi * 15**3 / 1000)
    with pytest.raises(ValueError, match="depth_cm"):
        volume.bowl_l(30, 0, 30.1)


def test_a_bow_of_nothing_is_a_box_and_a_full_bow_a_half_disc() -> None:
    assert volume.bow_front_l(80, 30, 0, 40) == volume.box_l(80, 30, 40)
    half_disc_l = math.pi * 80**2 / 8 * 40 / 1000
    assert volume.bow_front_l(80, 0, 40, 40) == pytest.approx(half_disc_l)
    with pytest.raises(ValueError, match="bow_cm"):
        volume.bow_front_l(80, 30, 40.1, 40)


def test_panes_too_thick_for_the_tank_are_refused() -> None:
    with pytest.raises(ValueError, match="width_cm"):
        volume.glass_mass_kg(length_cm=60, width_cm=2, height_cm=36, thickness_mm=11)


def test_filled_mass_is_the_sum_of_its_parts() -> None:
    mass_kg = volume.filled_mass_kg(
        net_l=85.0, sand_dry_kg=20.6, decor_kg=6.5, glass_kg=18.0, other_kg=25.0
    )
    assert mass_kg == pytest.approx(155.1)
    with pytest.raises(ValueError, match="decor_kg"):
        volume.filled_mass_kg(net_l=85.0, sand_dry_kg=20.6, decor_kg=-1, glass_kg=18.0)


def test_a_bow_front_tank_loses_its_bed_like_any_other() -> None:
    # by hand: a bow of 1 cm over 80 cm adds 2/3 * 80 = 53 cm2 to the 2400 of its box
    tank = volume.net_volume_of(
        shapes.bow_front(80.0, 30.0, 1.0),
        water_depth_cm=36.0,
        sand_front_cm=5.0,
        sand_back_cm=5.0,
        pore_share=0.4,
        displacement_l=1.0,
    )
    assert tank.gross_l == pytest.approx(2453.3 * 36 / 1000, rel=1e-3)
    assert tank.net_l == pytest.approx(2453.3 * (36 - 0.6 * 5) / 1000 - 1.0, rel=1e-3)


def test_a_box_by_its_shape_is_a_box_by_its_measures() -> None:
    measures = {"water_depth_cm": 36.0, "sand_front_cm": 4.0, "sand_back_cm": 8.0}
    by_shape = volume.net_volume_of(shapes.box(78.0, 34.0), **measures, pore_share=0.4)
    assert by_shape == net_volume_l(length_cm=78.0, width_cm=34.0, **measures, pore_share=0.4)


def test_a_bowl_has_a_net_volume_too() -> None:
    bowl = shapes.Bowl(30.0, 10.0)
    tank = volume.net_volume_of(
        bowl, water_depth_cm=20.0, sand_front_cm=3.0, sand_back_cm=3.0, pore_share=0.4
    )
    assert tank.net_l == pytest.approx(bowl.volume_l(20.0) - 0.6 * bowl.volume_l(3.0))
    with pytest.raises(ValueError, match="depth_cm"):
        volume.net_volume_of(bowl, water_depth_cm=31.0, pore_share=0.4)


def test_level_after_a_bucket() -> None:
    # by hand: 10 L over 2652 cm2 are 3.77 cm
    tank = shapes.box(78.0, 34.0)
    assert volume.level_after_cm(tank, 36.0, -10.0) == pytest.approx(32.23, abs=0.005)
    assert volume.level_after_cm(tank, 32.23, 10.0) == pytest.approx(36.0, abs=0.005)
    with pytest.raises(ValueError, match="liters must be at least 0"):
        volume.level_after_cm(tank, 1.0, -10.0)


def test_the_same_bucket_moves_a_bowl_more_near_its_brim() -> None:
    bowl = shapes.Bowl(30.0, 10.0)
    high = 26.0 - volume.level_after_cm(bowl, 26.0, -1.0)
    middle = 15.0 - volume.level_after_cm(bowl, 15.0, -1.0)
    assert high > middle > 0


def test_sand_for_a_bed() -> None:
    # by hand: 13.26 L at 1.55 kg/L
    assert volume.sand_mass_kg(13.26, 1.55) == pytest.approx(20.55, abs=0.005)


@pytest.mark.parametrize("bulk", [0.29, 2.21, 1550.0])
def test_a_density_in_other_units_is_refused(bulk: float) -> None:
    with pytest.raises(ValueError, match="bulk_kg_per_l"):
        volume.sand_mass_kg(13.26, bulk)


def test_pores_from_two_densities() -> None:
    # by hand: 1 - 1.59 / 2.65
    assert volume.pore_share(1.59, 2.65) == pytest.approx(0.40)
    assert volume.pore_share(2.65, 2.65) == 0.0
    with pytest.raises(ValueError, match="bulk_kg_per_l"):
        volume.pore_share(2.66, 2.65)
    with pytest.raises(ValueError, match="grain_kg_per_l"):
        volume.pore_share(0.0, 0.0)
