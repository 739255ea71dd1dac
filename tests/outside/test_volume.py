"""Volumes and beds against numerical integration, definitions and handbook figures."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy import integrate, optimize

from app.science import shapes, volume
from app.science.shapes import Bowl, Prism
from app.science.units import cm_from_inches, kg_from_pounds, us_gallons_from_liters
from tests.outside.check import Check, Pair, difference, says

DEPTH_CM = 33.0
BOWS_CM = (0.1, 8.0, 40.0)


def _bow_edge(bow_cm: float) -> Callable[[float], float]:
    """Distance of the front pane from the back, by the place along an 80 cm back."""
    radius_cm = (80.0**2 / 4 + bow_cm**2) / (2 * bow_cm)
    return lambda x: 30.0 + math.sqrt(max(radius_cm**2 - x**2, 0.0)) - (radius_cm - bow_cm)


def _circle_half(y: float) -> float:
    return math.sqrt(max(20.0**2 - (y - 20.0) ** 2, 0.0))


def _hexagon_half(y: float) -> float:
    """Half the length of a hexagon of 40 cm across flats, flat to front and back."""
    return (40.0 - abs(y - 20.0)) / math.sqrt(3.0)


ACROSS: dict[str, tuple[Prism, Callable[[float], float], float]] = {
    "box": (shapes.box(78.0, 34.0), lambda _: 39.0, 34.0),
    "cylinder": (shapes.cylinder(40.0), _circle_half, 40.0),
    "hexagon": (shapes.hexagon(40.0), _hexagon_half, 40.0),
}


def _prisms() -> Pair:
    ours, theirs = [], []
    for shape, half, deep in ACROSS.values():
        area, _ = integrate.quad(lambda y, half=half: 2 * half(y), 0.0, deep, limit=200)
        theirs.append(area * DEPTH_CM / 1000)
        ours.append(shape.volume_l(DEPTH_CM))
    for bow_cm in BOWS_CM:
        area, _ = integrate.quad(_bow_edge(bow_cm), -40.0, 40.0, limit=200)
        theirs.append(area * DEPTH_CM / 1000)
        ours.append(shapes.bow_front(80.0, 30.0, bow_cm).volume_l(DEPTH_CM))
    return ours, theirs


def _bowls() -> Pair:
    bottom_cm = -math.sqrt(15.0**2 - 5.0**2)
    depths = (1.0, 12.0, 20.0, 27.0)
    theirs = [
        integrate.quad(lambda z: math.pi * (15.0**2 - z**2), bottom_cm, bottom_cm + d)[0] / 1000
        for d in depths
    ]
    return [Bowl(30.0, 10.0).volume_l(d) for d in depths], theirs


def _beds() -> Pair:
    """A bed of 3 cm at the back and 9 cm at the front, or the other way round."""
    ours, theirs = [], []
    for back, front in ((3.0, 9.0), (9.0, 3.0), (5.0, 5.0)):
        for shape, half, deep in ACROSS.values():

            def slice_cm2(
                y: float,
                half: Callable[[float], float] = half,
                slope: float = (front - back) / deep,
                back: float = back,
            ) -> float:
                return 2 * half(y) * (back + slope * y)

            theirs.append(integrate.quad(slice_cm2, 0.0, deep, limit=200)[0] / 1000)
            ours.append(shape.bed_l(front, back))
        for bow_cm in BOWS_CM:
            edge, slope = _bow_edge(bow_cm), (front - back) / (30.0 + bow_cm)

            def column_cm2(
                x: float,
                edge: Callable[[float], float] = edge,
                slope: float = slope,
                back: float = back,
            ) -> float:
                return back * edge(x) + slope * edge(x) ** 2 / 2

            theirs.append(integrate.quad(column_cm2, -40.0, 40.0, limit=200)[0] / 1000)
            ours.append(shapes.bow_front(80.0, 30.0, bow_cm).bed_l(front, back))
    return ours, theirs


def _bowl_levels() -> Pair:
    bowl = Bowl(30.0, 10.0)
    liters = np.linspace(0.1, bowl.volume_l(bowl.full_depth_cm) - 0.1, 9)
    theirs = [
        optimize.brentq(lambda d, v=v: bowl.volume_l(d) - v, 0.0, bowl.full_depth_cm, xtol=1e-13)
        for v in liters
    ]
    return [bowl.level_cm(float(v)) for v in liters], theirs


CHECKS = (
    Check(
        "Volume of box, cylinder, hexagon and bow front",
        "numerical integration",
        "6 tanks, bow 0.1 to 40 cm",
        "%",
        1e-5,
        "scipy, quad",
        _prisms,
    ),
    Check(
        "Volume of a bowl",
        "numerical integration",
        "4 depths",
        "%",
        1e-9,
        "scipy, quad",
        _bowls,
    ),
    Check(
        "Volume of a sloped bed on any base",
        "numerical integration",
        "6 bases, 3 slopes",
        "%",
        1e-5,
        "scipy, quad",
        _beds,
    ),
    Check(
        "Water level in a bowl",
        "a numerical root",
        "9 volumes",
        "cm",
        1e-9,
        "scipy, brentq",
        _bowl_levels,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


@pytest.mark.parametrize("depth_cm", [1.0, 14.142, 20.0, 29.0])
def test_surface_of_a_bowl_is_the_slope_of_its_volume(depth_cm: float) -> None:
    bowl, step = Bowl(30.0, 10.0), 1e-4
    slope = (bowl.volume_l(depth_cm + step) - bowl.volume_l(depth_cm - step)) / (2 * step) * 1000
    assert bowl.surface_cm2(depth_cm) == pytest.approx(slope, rel=1e-6)


def test_segment_of_a_ball_from_two_radii() -> None:
    # handbook form for the spherical segment: pi h / 6 (3 r1^2 + 3 r2^2 + h^2)
    bowl, depth_cm = Bowl(30.0, 10.0), 20.0
    top2 = bowl.surface_cm2(depth_cm) / math.pi
    expected = math.pi * depth_cm / 6 * (3 * 5.0**2 + 3 * top2 + depth_cm**2) / 1000
    assert bowl.volume_l(depth_cm) == pytest.approx(expected)


def test_half_a_ball_and_a_whole_one() -> None:
    assert volume.bowl_l(30, 0, 15) == pytest.approx(2 / 3 * math.pi * 15**3 / 1000)
    assert volume.bowl_l(30, 0, 30) == pytest.approx(4 / 3 * math.pi * 15**3 / 1000)


def test_centroid_of_a_segment_by_the_handbook() -> None:
    # 4 R sin^3(phi/2) / (3 (phi - sin phi)) - R cos(phi/2) in front of the chord
    bow_cm = 8.0
    radius = (80.0**2 / 4 + bow_cm**2) / (2 * bow_cm)
    phi = 4 * math.atan(2 * bow_cm / 80.0)
    expected = 4 * radius * math.sin(phi / 2) ** 3 / (3 * (phi - math.sin(phi)))
    expected -= radius * math.cos(phi / 2)
    segment_alone = shapes.bow_front(80.0, 0.0, bow_cm)
    assert segment_alone.centroid_from_back_cm == pytest.approx(expected)


def test_a_full_bow_is_half_a_disc() -> None:
    # area pi w^2 / 8, middle at 4 R / (3 pi) from the chord; the form with the arcsine fails here
    half_disc = shapes.bow_front(80.0, 0.0, 40.0)
    assert half_disc.base_cm2 == pytest.approx(math.pi * 80.0**2 / 8)
    assert half_disc.centroid_from_back_cm == pytest.approx(4 * 40.0 / (3 * math.pi))


def test_hexagon_is_six_triangles() -> None:
    # Handbook form from the side a: 3 sqrt(3) / 2 a^2, and a = across flats / sqrt(3).
    side_cm = 40 / math.sqrt(3)
    assert volume.hexagon_l(40, 50) == pytest.approx(1.5 * math.sqrt(3) * side_cm**2 * 50 / 1000)


@pytest.mark.parametrize(
    ("length_in", "width_in", "height_in", "gallons"), [(24, 12, 12, 14.96), (48, 12, 21, 52.36)]
)
def test_boxes_in_inches_and_gallons(
    length_in: float, width_in: float, height_in: float, gallons: float
) -> None:
    # 231 cubic inches to the US gallon, by definition: sold as "15" and "55" by their outer size.
    liters = volume.box_l(*(cm_from_inches(side) for side in (length_in, width_in, height_in)))
    assert us_gallons_from_liters(liters) == pytest.approx(gallons, abs=0.005)


@pytest.mark.parametrize(
    ("pounds_per_ft3", "kg_per_l", "pores"), [(97, 1.555, 0.41), (105, 1.680, 0.37)]
)
def test_dry_sand_and_gravel_of_the_handbooks(
    pounds_per_ft3: float, kg_per_l: float, pores: float
) -> None:
    # engineering reference table, dry sand and dry gravel; quartz 2.65 kg/L (from memory)
    liters = volume.box_l(*[cm_from_inches(12.0)] * 3)
    bulk = kg_from_pounds(pounds_per_ft3) / liters
    assert bulk == pytest.approx(kg_per_l, abs=0.003)
    assert volume.pore_share(bulk, 2.65) == pytest.approx(pores, abs=0.005)
    assert volume.sand_mass_kg(liters, bulk) == pytest.approx(kg_from_pounds(pounds_per_ft3))


def test_pores_of_screened_sand_are_those_of_well_sorted_sand() -> None:
    # Beard and Weyl (1973): 0.424 extremely well sorted, 0.279 very poorly. The 0.20 to 0.25 of
    # hydrology is for natural gravel with sand in its pores.
    from_bulk = volume.pore_share(1.55, 2.65)
    assert 0.279 < from_bulk < 0.424
    assert from_bulk > 0.25


def test_the_whole_bed_displaces_two_thirds_too_much() -> None:
    # 1 / (1 - 0.4) = 1.67: the error of taking the bed for its grains
    assert 10.0 / volume.solids_l(10.0, 0.4) == pytest.approx(1.67, abs=0.005)


def test_a_soaked_bed_weighs_its_grains_and_its_pores() -> None:
    # Saturated sand is 1.97 kg/L; the "wet sand" of tables, 1.905, is only damp.
    soaked_kg = volume.filled_mass_kg(net_l=0.41, sand_dry_kg=1.555, decor_kg=0, glass_kg=0)
    assert soaked_kg == pytest.approx(1.97, abs=0.01)
    assert soaked_kg > 1.905


def test_glass_weighs_two_and_a_half_kilograms_per_square_meter_and_millimeter() -> None:
    # EN 572-1. Floor 60 x 30, two walls 60 x 35.4, two walls 28.8 x 35.4 between them, all 6 mm.
    square_meters = (60 * 30 + 2 * 60 * 35.4 + 2 * 28.8 * 35.4) / 1e4
    mass_kg = volume.glass_mass_kg(length_cm=60, width_cm=30, height_cm=36, thickness_mm=6)
    assert mass_kg == pytest.approx(2.5 * 6 * square_meters)
