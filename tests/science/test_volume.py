"""Outside references: numerical integration (scipy), exact geometry and published examples."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate  # type: ignore[import-untyped]

from app.science import volume
from app.science.units import cm_from_inches, us_gallons_from_liters
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


@pytest.mark.parametrize(
    ("length_in", "width_in", "height_in", "gallons"), [(24, 12, 12, 14.96), (48, 12, 21, 52.36)]
)
def test_boxes_in_inches_and_gallons(
    length_in: float, width_in: float, height_in: float, gallons: float
) -> None:
    # 231 cubic inches to the US gallon, by definition: sold as "15" and "55" by their outer size.
    liters = volume.box_l(*(cm_from_inches(side) for side in (length_in, width_in, height_in)))
    assert us_gallons_from_liters(liters) == pytest.approx(gallons, abs=0.005)


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


def test_quartz_sand_of_the_handbooks_has_the_pores_that_are_assumed() -> None:
    # Dry sand 1.555 kg/L (engineering reference table, 97 lb/ft3), quartz 2.65 kg/L (from memory):
    # a liter of bed displaces 1.555 / 2.65 = 0.587 L.
    assert volume.solids_l(1.0, pore_share=0.41) == pytest.approx(1.555 / 2.65, abs=0.005)


def test_a_sloped_bed_counts_by_its_mean_depth() -> None:
    # The wedge, integrated over the width by an outside library.
    def depth_at(from_front_cm: float) -> float:
        return 3.0 + (9.0 - 3.0) * from_front_cm / 34.0

    area_cm2, _ = integrate.quad(depth_at, 0.0, 34.0)
    assert volume.sand_bed_l(78, 34, 3, 9) == pytest.approx(78 * area_cm2 / 1000)


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


def test_cylinder_agrees_with_numerical_integration() -> None:
    def chord(x: float) -> float:
        return 2.0 * math.sqrt(max(20.0**2 - x**2, 0.0))

    area_cm2, _ = integrate.quad(chord, -20.0, 20.0)
    assert volume.cylinder_l(40, 50) == pytest.approx(area_cm2 * 50 / 1000, rel=1e-6)


def test_hexagon_is_six_triangles() -> None:
    # Handbook form from the side a: 3 sqrt(3) / 2 a^2, and a = across flats / sqrt(3).
    side_cm = 40 / math.sqrt(3)
    assert volume.hexagon_l(40, 50) == pytest.approx(1.5 * math.sqrt(3) * side_cm**2 * 50 / 1000)


@pytest.mark.parametrize("depth_cm", [1.0, 12.0, 20.0, 27.0])
def test_bowl_agrees_with_numerical_integration(depth_cm: float) -> None:
    bottom_cm = -math.sqrt(15.0**2 - 5.0**2)

    def disc(z_cm: float) -> float:
        return math.pi * (15.0**2 - z_cm**2)

    expected_cm3, _ = integrate.quad(disc, bottom_cm, bottom_cm + depth_cm)
    assert volume.bowl_l(30, 10, depth_cm) == pytest.approx(expected_cm3 / 1000)


def test_half_a_ball_and_a_whole_one() -> None:
    assert volume.bowl_l(30, 0, 15) == pytest.approx(2 / 3 * math.pi * 15**3 / 1000)
    assert volume.bowl_l(30, 0, 30) == pytest.approx(4 / 3 * math.pi * 15**3 / 1000)
    with pytest.raises(ValueError, match="depth_cm"):
        volume.bowl_l(30, 0, 30.1)


@pytest.mark.parametrize("bow_cm", [0.1, 8.0, 40.0])
def test_bow_front_agrees_with_numerical_integration(bow_cm: float) -> None:
    radius_cm = (80.0**2 / 4 + bow_cm**2) / (2 * bow_cm)

    def front(x_cm: float) -> float:
        return 30.0 + math.sqrt(max(radius_cm**2 - x_cm**2, 0.0)) - (radius_cm - bow_cm)

    area_cm2, _ = integrate.quad(front, -40.0, 40.0)
    assert volume.bow_front_l(80, 30, bow_cm, 40) == pytest.approx(area_cm2 * 40 / 1000, rel=1e-6)


def test_a_bow_of_nothing_is_a_box_and_a_full_bow_a_half_disc() -> None:
    assert volume.bow_front_l(80, 30, 0, 40) == volume.box_l(80, 30, 40)
    half_disc_l = math.pi * 80**2 / 8 * 40 / 1000
    assert volume.bow_front_l(80, 0, 40, 40) == pytest.approx(half_disc_l)
    with pytest.raises(ValueError, match="bow_cm"):
        volume.bow_front_l(80, 30, 40.1, 40)


def test_glass_weighs_two_and_a_half_kilograms_per_square_meter_and_millimeter() -> None:
    # EN 572-1. Floor 60 x 30, two walls 60 x 35.4, two walls 28.8 x 35.4 between them, all 6 mm.
    square_meters = (60 * 30 + 2 * 60 * 35.4 + 2 * 28.8 * 35.4) / 1e4
    mass_kg = volume.glass_mass_kg(length_cm=60, width_cm=30, height_cm=36, thickness_mm=6)
    assert mass_kg == pytest.approx(2.5 * 6 * square_meters)


def test_panes_too_thick_for_the_tank_are_refused() -> None:
    with pytest.raises(ValueError, match="width_cm"):
        volume.glass_mass_kg(length_cm=60, width_cm=2, height_cm=36, thickness_mm=11)


def test_filled_mass_counts_the_water_in_the_pores_once() -> None:
    # A bed soaked with water is 1.97 kg/L (handbook: dry 1.555 plus pores 0.41 full of water).
    soaked_kg = 1.0 * 1.97
    bed_alone_kg = volume.filled_mass_kg(net_l=0.41, sand_dry_kg=1.555, decor_kg=0, glass_kg=0)
    assert bed_alone_kg == pytest.approx(soaked_kg, abs=0.01)


def test_filled_mass_is_the_sum_of_its_parts() -> None:
    mass_kg = volume.filled_mass_kg(
        net_l=85.0, sand_dry_kg=20.6, decor_kg=6.5, glass_kg=18.0, other_kg=25.0
    )
    assert mass_kg == pytest.approx(155.1)
    with pytest.raises(ValueError, match="decor_kg"):
        volume.filled_mass_kg(net_l=85.0, sand_dry_kg=20.6, decor_kg=-1, glass_kg=18.0)
