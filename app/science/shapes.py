"""Shapes of glass: how much they hold at a water depth, and how large the surface is there.

All measures are inner ones, in centimeters. A tank with upright walls is a prism over its base,
whatever the base; only a bowl changes its surface with the level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.science.bounds import require_above_zero, require_within

CM3_PER_L = 1000.0
_FLAT = 1e-4
"""A bow of less than this share of the length is none; its radius would outgrow all digits."""


@dataclass(frozen=True, slots=True)
class Prism:
    """Upright walls over a base that is the same to the left and to the right."""

    base_cm2: float
    """Area of the base, at least 0."""
    front_to_back_cm: float
    """From the foremost point of the base to the back pane, at least 0."""
    centroid_from_back_cm: float
    """From the back pane to the middle of the area, 0 to ``front_to_back_cm``."""

    def volume_l(self, depth_cm: float) -> float:
        """Liters up to a depth of at least 0; ValueError below."""
        require_within("depth_cm", depth_cm, 0.0)
        return self.base_cm2 * depth_cm / CM3_PER_L

    def surface_cm2(self, depth_cm: float) -> float:
        """Free water surface at a depth of at least 0: the base, at any level."""
        require_within("depth_cm", depth_cm, 0.0)
        return self.base_cm2

    def level_cm(self, liters: float) -> float:
        """Depth at which so many liters stand, at least 0; ValueError without a base."""
        require_within("liters", liters, 0.0)
        require_above_zero("base_cm2", self.base_cm2)
        return liters * CM3_PER_L / self.base_cm2

    def bed_l(self, front_cm: float, back_cm: float) -> float:
        """Volume of a bed, pores included, whose top is a plane from front to back.

        Args:
            front_cm: Depth of the bed at the foremost point of the base, at least 0.
            back_cm: Depth of the bed at the back pane, at least 0.

        Returns:
            Liters: base times the depth over the middle of its area.

        Raises:
            ValueError: If a depth is negative.
        """
        require_within("front_cm", front_cm, 0.0)
        require_within("back_cm", back_cm, 0.0)
        if self.front_to_back_cm == 0.0:
            return 0.0
        share = self.centroid_from_back_cm / self.front_to_back_cm
        return self.volume_l(back_cm + (front_cm - back_cm) * share)


@dataclass(frozen=True, slots=True)
class Bowl:
    """A ball with a flat base, open or closed at the top."""

    diameter_cm: float
    """Largest inner diameter, at least 0."""
    base_cm: float
    """Diameter of the flat base, 0 to ``diameter_cm``."""

    def __post_init__(self) -> None:
        require_within("diameter_cm", self.diameter_cm, 0.0)
        require_within("base_cm", self.base_cm, 0.0, self.diameter_cm)

    @property
    def _radius_cm(self) -> float:
        return self.diameter_cm / 2.0

    @property
    def _base_below_center_cm(self) -> float:
        return math.sqrt(self._radius_cm**2 - self.base_cm**2 / 4.0)

    @property
    def full_depth_cm(self) -> float:
        """From the base to the top of the ball."""
        return self._radius_cm + self._base_below_center_cm

    def volume_l(self, depth_cm: float) -> float:
        """Liters up to a depth over the base, 0 to ``full_depth_cm``; ValueError outside."""
        require_within("depth_cm", depth_cm, 0.0, self.full_depth_cm)
        below = self._base_below_center_cm
        height = depth_cm - below  # over the center; negative below it
        cubes_cm3 = (height**3 + below**3) / 3.0
        return math.pi * (self._radius_cm**2 * depth_cm - cubes_cm3) / CM3_PER_L

    def surface_cm2(self, depth_cm: float) -> float:
        """Free water surface at a depth over the base, 0 to ``full_depth_cm``."""
        require_within("depth_cm", depth_cm, 0.0, self.full_depth_cm)
        height = depth_cm - self._base_below_center_cm
        return math.pi * max(self._radius_cm**2 - height**2, 0.0)

    def level_cm(self, liters: float) -> float:
        """Depth over the base at which so many liters stand.

        Args:
            liters: Water, from 0 to what the full ball holds.

        Raises:
            ValueError: If the bowl does not hold that much.
        """
        require_above_zero("diameter_cm", self.diameter_cm)
        require_within("liters", liters, 0.0, self.volume_l(self.full_depth_cm))
        radius, below = self._radius_cm, self._base_below_center_cm
        # the height s over the center solves s^3 - 3 R^2 s + q = 0; of its three real roots this
        # is the one inside the ball
        q = 3.0 * liters * CM3_PER_L / math.pi - 3.0 * radius**2 * below + below**3
        cosine = min(max(-q / (2.0 * radius**3), -1.0), 1.0)
        height = 2.0 * radius * math.cos((math.acos(cosine) - 2.0 * math.pi) / 3.0)
        return min(max(height + below, 0.0), self.full_depth_cm)

    def bed_l(self, front_cm: float, back_cm: float) -> float:
        """Volume of a bed, pores included, taken as level at the mean of two depths."""
        require_within("front_cm", front_cm, 0.0)
        require_within("back_cm", back_cm, 0.0)
        return self.volume_l((front_cm + back_cm) / 2.0)


Shape = Prism | Bowl


def box(length_cm: float, width_cm: float) -> Prism:
    """A box by its inner length and width, front to back, both at least 0."""
    require_within("length_cm", length_cm, 0.0)
    require_within("width_cm", width_cm, 0.0)
    return Prism(length_cm * width_cm, width_cm, width_cm / 2.0)


def cylinder(diameter_cm: float) -> Prism:
    """An upright cylinder by its inner diameter, at least 0."""
    require_within("diameter_cm", diameter_cm, 0.0)
    return Prism(math.pi * diameter_cm**2 / 4.0, diameter_cm, diameter_cm / 2.0)


def hexagon(across_flats_cm: float) -> Prism:
    """An upright six-sided tank by the inner distance of opposite panes, at least 0."""
    require_within("across_flats_cm", across_flats_cm, 0.0)
    return Prism(math.sqrt(3.0) / 2.0 * across_flats_cm**2, across_flats_cm, across_flats_cm / 2.0)


def bow_front(length_cm: float, side_width_cm: float, bow_cm: float) -> Prism:
    """A tank whose front pane is an arc of a circle.

    Args:
        length_cm: Inner length of the straight back, at least 0.
        side_width_cm: Inner width at the ends, front to back, at least 0.
        bow_cm: How far the middle of the front stands out beyond its ends, 0 to half the length.

    Raises:
        ValueError: If a measure lies outside its range.

    Source:
        Geometry of the circular segment.
    """
    require_within("length_cm", length_cm, 0.0)
    require_within("side_width_cm", side_width_cm, 0.0)
    require_within("bow_cm", bow_cm, 0.0, length_cm / 2.0)
    if bow_cm < _FLAT * length_cm or length_cm == 0.0:
        return box(length_cm, side_width_cm)
    radius_cm = (length_cm**2 / 4.0 + bow_cm**2) / (2.0 * bow_cm)
    half_angle = 2.0 * math.atan(2.0 * bow_cm / length_cm)
    bow_cm2 = radius_cm**2 / 2.0 * (2.0 * half_angle - math.sin(2.0 * half_angle))
    behind_cm2 = length_cm * side_width_cm
    # the first moment of the segment about its chord
    moment_cm3 = length_cm**3 / 12.0 - bow_cm2 * (radius_cm - bow_cm)
    from_back_cm = (behind_cm2 * side_width_cm / 2.0 + bow_cm2 * side_width_cm + moment_cm3) / (
        behind_cm2 + bow_cm2
    )
    return Prism(behind_cm2 + bow_cm2, side_width_cm + bow_cm, from_back_cm)
