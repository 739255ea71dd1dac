"""Shapes of glass: levels, surfaces and beds, and their edges."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import shapes
from app.science.shapes import Bowl, Shape

CM = st.floats(1, 200)

prisms = st.one_of(
    st.builds(shapes.box, CM, CM),
    st.builds(shapes.cylinder, CM),
    st.builds(shapes.hexagon, CM),
    st.tuples(CM, CM, st.floats(0, 0.5)).map(lambda m: shapes.bow_front(m[0], m[1], m[2] * m[0])),
)
bowls = st.tuples(CM, st.floats(0, 1)).map(lambda m: Bowl(m[0], m[1] * m[0]))


def full_depth(shape: Shape) -> float:
    return shape.full_depth_cm if isinstance(shape, Bowl) else 60.0


@given(shape=prisms | bowls, low=st.floats(0, 1), high=st.floats(0, 1))
def test_more_depth_is_more_water(shape: Shape, low: float, high: float) -> None:
    low, high = sorted((low * full_depth(shape), high * full_depth(shape)))
    assert shape.volume_l(low) <= shape.volume_l(high) * (1 + 1e-12) + 1e-12


@given(shape=prisms | bowls, share=st.floats(0, 1))
def test_level_and_liters_turn_into_each_other(shape: Shape, share: float) -> None:
    liters = share * shape.volume_l(full_depth(shape))
    back = shape.volume_l(shape.level_cm(liters))
    assert back == pytest.approx(liters, rel=1e-9, abs=1e-9 * shape.volume_l(full_depth(shape)))


@given(shape=prisms, front=st.floats(0, 20), back=st.floats(0, 20))
def test_a_bed_lies_between_its_lower_and_its_higher_edge(
    shape: shapes.Prism, front: float, back: float
) -> None:
    low, high = sorted((front, back))
    bed = shape.bed_l(front, back)
    slack = 1e-9 * (1 + shape.volume_l(high))
    assert shape.volume_l(low) - slack <= bed <= shape.volume_l(high) + slack


@given(shape=prisms, depth=st.floats(0, 20))
def test_a_level_bed_is_its_depth_over_the_base(shape: shapes.Prism, depth: float) -> None:
    assert shape.bed_l(depth, depth) == pytest.approx(shape.volume_l(depth))


@given(shape=prisms)
def test_the_middle_of_a_base_lies_in_its_back_half(shape: shapes.Prism) -> None:
    # all of these are as long at the back as anywhere, or longer
    assert 0.4 <= shape.centroid_from_back_cm / shape.front_to_back_cm <= 0.5 + 1e-9


def test_a_hair_of_a_bow_is_none() -> None:
    flat, hair = shapes.box(80.0, 30.0), shapes.bow_front(80.0, 30.0, 1e-9)
    assert hair == flat
    slight = shapes.bow_front(80.0, 30.0, 0.02)
    # by hand: a shallow arc over a chord covers two thirds of its box
    assert slight.base_cm2 == pytest.approx(flat.base_cm2 + 2 / 3 * 80.0 * 0.02, rel=1e-6)


def test_a_tank_of_no_length_holds_nothing() -> None:
    assert shapes.bow_front(0.0, 30.0, 0.0).volume_l(30.0) == 0.0
    assert shapes.box(50.0, 0.0).bed_l(3.0, 6.0) == 0.0
    with pytest.raises(ValueError, match="base_cm2 must be above 0"):
        shapes.box(0.0, 30.0).level_cm(1.0)


@pytest.mark.parametrize(("side", "bow"), [(30.0, 40.1), (30.0, -0.1), (-1.0, 8.0)])
def test_a_bow_beyond_half_the_length_is_refused(side: float, bow: float) -> None:
    with pytest.raises(ValueError, match="_cm must be"):
        shapes.bow_front(80.0, side, bow)


def test_surface_of_a_bowl_grows_to_its_middle_and_shrinks_above() -> None:
    bowl = Bowl(30.0, 0.0)
    assert bowl.surface_cm2(15.0) == pytest.approx(math.pi * 225.0)
    assert bowl.surface_cm2(14.0) < bowl.surface_cm2(15.0) > bowl.surface_cm2(16.0)
    assert bowl.surface_cm2(30.0) == pytest.approx(0.0, abs=1e-9)
    assert Bowl(30.0, 10.0).surface_cm2(0.0) == pytest.approx(math.pi * 25.0)


def test_surface_of_upright_walls_is_the_base() -> None:
    assert shapes.box(78.0, 34.0).surface_cm2(10.0) == pytest.approx(2652.0)
    with pytest.raises(ValueError, match="depth_cm"):
        shapes.box(78.0, 34.0).surface_cm2(-1.0)


def test_a_bowl_runs_over() -> None:
    bowl = Bowl(30.0, 10.0)
    brim = bowl.volume_l(bowl.full_depth_cm)
    assert bowl.level_cm(brim) == pytest.approx(bowl.full_depth_cm)
    assert bowl.level_cm(0.0) == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(ValueError, match="liters must be within"):
        bowl.level_cm(brim + 0.01)
    with pytest.raises(ValueError, match="depth_cm"):
        bowl.volume_l(bowl.full_depth_cm + 0.1)


def test_a_base_wider_than_the_bowl_is_refused() -> None:
    with pytest.raises(ValueError, match="base_cm must be within 0 to 30"):
        Bowl(30.0, 30.1)


def test_a_bed_in_a_bowl_counts_by_its_mean_depth() -> None:
    bowl = Bowl(30.0, 10.0)
    assert bowl.bed_l(2.0, 4.0) == bowl.volume_l(3.0)


def test_what_was_not_measured_stays_so() -> None:
    assert math.isnan(Bowl(30.0, 10.0).level_cm(math.nan))
    assert math.isnan(shapes.box(78.0, 34.0).bed_l(math.nan, 5.0))
