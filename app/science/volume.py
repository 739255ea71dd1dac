"""Volumes and masses of a tank, from measures taken inside the glass.

Measure inside: outer sizes and the gallons on the box overstate the water by a tenth or more. Water
depth runs from the glass floor to the water line. Water between the grains of sand counts as water;
only the grains themselves displace it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.science.bounds import require_above_zero, require_within

CM3_PER_L = 1000.0
MM_PER_CM = 10.0
# EN 572-1: float glass, 2500 kg/m3, that is 2.5 kg per square meter and millimeter
GLASS_KG_PER_L = 2.5


def box_l(length_cm: float, width_cm: float, depth_cm: float) -> float:
    """Volume of a box.

    Args:
        length_cm: Inner length, at least 0.
        width_cm: Inner width, front to back, at least 0.
        depth_cm: Depth of what fills it, at least 0.

    Returns:
        Volume in liters.

    Raises:
        ValueError: If a measure is negative.
    """
    require_within("length_cm", length_cm, 0.0)
    require_within("width_cm", width_cm, 0.0)
    require_within("depth_cm", depth_cm, 0.0)
    return length_cm * width_cm * depth_cm / CM3_PER_L


def cylinder_l(diameter_cm: float, depth_cm: float) -> float:
    """Volume of an upright cylinder in liters, from inner measures of at least 0."""
    require_within("diameter_cm", diameter_cm, 0.0)
    require_within("depth_cm", depth_cm, 0.0)
    return math.pi * diameter_cm**2 / 4.0 * depth_cm / CM3_PER_L


def hexagon_l(across_flats_cm: float, depth_cm: float) -> float:
    """Volume of an upright six-sided tank in liters.

    Args:
        across_flats_cm: Inner distance between two opposite panes, at least 0.
        depth_cm: Water depth, at least 0.

    Raises:
        ValueError: If a measure is negative.
    """
    require_within("across_flats_cm", across_flats_cm, 0.0)
    require_within("depth_cm", depth_cm, 0.0)
    return math.sqrt(3.0) / 2.0 * across_flats_cm**2 * depth_cm / CM3_PER_L


def bow_front_l(length_cm: float, side_width_cm: float, bow_cm: float, depth_cm: float) -> float:
    """Volume of a tank whose front pane is an arc of a circle.

    Args:
        length_cm: Inner length of the straight back, above 0.
        side_width_cm: Inner width at the ends, front to back, at least 0.
        bow_cm: How far the middle of the front stands out beyond its ends, 0 to half the length.
        depth_cm: Water depth, at least 0.

    Returns:
        Volume in liters.

    Raises:
        ValueError: If a measure lies outside its range.

    Source:
        Geometry of the circular segment.
    """
    require_within("length_cm", length_cm, 0.0)
    require_within("bow_cm", bow_cm, 0.0, length_cm / 2.0)
    behind_l = box_l(length_cm, side_width_cm, depth_cm)
    if bow_cm == 0.0:
        return behind_l
    radius_cm = (length_cm**2 / 4.0 + bow_cm**2) / (2.0 * bow_cm)
    angle = 4.0 * math.atan(2.0 * bow_cm / length_cm)
    segment_cm2 = radius_cm**2 / 2.0 * (angle - math.sin(angle))
    return behind_l + segment_cm2 * depth_cm / CM3_PER_L


def bowl_l(diameter_cm: float, base_cm: float, depth_cm: float) -> float:
    """Volume of water in a ball-shaped bowl with a flat base.

    Args:
        diameter_cm: Largest inner diameter, above 0.
        base_cm: Diameter of the flat base, 0 to ``diameter_cm``.
        depth_cm: Water depth over the base, from 0 to the top of the ball.

    Returns:
        Volume in liters.

    Raises:
        ValueError: If a measure lies outside its range.

    Source:
        Geometry of the spherical segment.
    """
    require_within("diameter_cm", diameter_cm, 0.0)
    require_within("base_cm", base_cm, 0.0, diameter_cm)
    radius_cm = diameter_cm / 2.0
    base_below_center_cm = math.sqrt(radius_cm**2 - base_cm**2 / 4.0)
    require_within("depth_cm", depth_cm, 0.0, radius_cm + base_below_center_cm)
    surface_cm = depth_cm - base_below_center_cm  # height over the center; negative below it
    cubes_cm3 = (surface_cm**3 + base_below_center_cm**3) / 3.0
    return math.pi * (radius_cm**2 * depth_cm - cubes_cm3) / CM3_PER_L


def sand_bed_l(length_cm: float, width_cm: float, front_cm: float, back_cm: float) -> float:
    """Volume of a sand or gravel bed, pores included, level or evenly sloped front to back.

    Args:
        length_cm: Inner length, at least 0.
        width_cm: Inner width, at least 0.
        front_cm: Depth of the bed at the front pane, at least 0.
        back_cm: Depth of the bed at the back pane, at least 0.

    Returns:
        Volume of the bed in liters.

    Raises:
        ValueError: If a measure is negative.
    """
    require_within("front_cm", front_cm, 0.0)
    require_within("back_cm", back_cm, 0.0)
    return box_l(length_cm, width_cm, (front_cm + back_cm) / 2.0)


def solids_l(bed_l: float, pore_share: float) -> float:
    """Water that the grains of a bed displace, in liters.

    Args:
        bed_l: Volume of the bed, pores included, in liters, at least 0.
        pore_share: Share of the bed that is pores, 0 to 1; washed, screened sand and gravel have
            about 0.4.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("bed_l", bed_l, 0.0)
    require_within("pore_share", pore_share, 0.0, 1.0)
    return bed_l * (1.0 - pore_share)


@dataclass(frozen=True, slots=True)
class NetVolume:
    """The water in a tank, with the numbers that lead to it; all in liters."""

    gross_l: float
    """All up to the water line."""
    sand_bed_l: float
    """The bed, pores included."""
    sand_solids_l: float
    """The grains of the bed without the pores."""
    displacement_l: float
    """Rocks, wood and equipment."""

    @property
    def net_l(self) -> float:
        """Water, in liters: gross less sand solids less displacement."""
        return self.gross_l - self.sand_solids_l - self.displacement_l


def net_volume_l(
    *,
    length_cm: float,
    width_cm: float,
    water_depth_cm: float,
    sand_front_cm: float = 0.0,
    sand_back_cm: float = 0.0,
    pore_share: float,
    displacement_l: float = 0.0,
) -> NetVolume:
    """Work out the water in a box-shaped tank, which every concentration and change hangs on.

    Args:
        length_cm: Inner length, above 0.
        width_cm: Inner width, front to back, above 0.
        water_depth_cm: From the glass floor to the water line, above 0.
        sand_front_cm: Depth of sand at the front pane, 0 to ``water_depth_cm``.
        sand_back_cm: Depth of sand at the back pane, 0 to ``water_depth_cm``.
        pore_share: Share of the bed that is pores, 0 to 1.
        displacement_l: Solid volume of rocks, wood and equipment under water, at least 0.

    Returns:
        The net volume with its working numbers, all in liters.

    Raises:
        ValueError: If a measure lies outside its range, or no water would be left.
    """
    require_within("sand_front_cm", sand_front_cm, 0.0, water_depth_cm)
    require_within("sand_back_cm", sand_back_cm, 0.0, water_depth_cm)
    require_within("displacement_l", displacement_l, 0.0)
    bed_l = sand_bed_l(length_cm, width_cm, sand_front_cm, sand_back_cm)
    volume = NetVolume(
        gross_l=box_l(length_cm, width_cm, water_depth_cm),
        sand_bed_l=bed_l,
        sand_solids_l=solids_l(bed_l, pore_share),
        displacement_l=displacement_l,
    )
    if volume.net_l <= 0.0:
        raise ValueError("these measures leave no water in the tank")
    return volume


def level_change_l(length_cm: float, width_cm: float, level_cm: float) -> float:
    """Liters in a layer of water at the surface, where nothing stands out of it.

    Args:
        length_cm: Inner length, at least 0.
        width_cm: Inner width, at least 0.
        level_cm: How far the water line rose or fell, at least 0.

    Raises:
        ValueError: If a measure is negative.
    """
    return box_l(length_cm, width_cm, level_cm)


def level_change_cm(length_cm: float, width_cm: float, liters: float) -> float:
    """Centimeters by which liters taken out or poured in move the water line.

    Args:
        length_cm: Inner length, above 0.
        width_cm: Inner width, above 0.
        liters: Water taken out or poured in, at least 0.

    Raises:
        ValueError: If the surface is zero or a value is negative.
    """
    require_within("liters", liters, 0.0)
    require_above_zero("length_cm", length_cm)
    require_above_zero("width_cm", width_cm)
    return liters / box_l(length_cm, width_cm, 1.0)


def glass_mass_kg(
    *, length_cm: float, width_cm: float, height_cm: float, thickness_mm: float
) -> float:
    """Mass of the floor and the four walls of an open glass box.

    Args:
        length_cm: Outer length, at least 0.
        width_cm: Outer width, at least 0.
        height_cm: Outer height, at least 0.
        thickness_mm: Thickness of all panes; they must fit into the outer sizes.

    Returns:
        Mass in kilograms, without bracing, cover and silicone.

    Raises:
        ValueError: If a measure is negative or the panes do not fit.

    Source:
        EN 572-1: density of float glass 2500 kg/m3.
    """
    thickness_cm = thickness_mm / MM_PER_CM
    outside_l = box_l(length_cm, width_cm, height_cm)
    require_within("thickness_mm", thickness_mm, 0.0)
    inside_l = box_l(
        length_cm - 2.0 * thickness_cm, width_cm - 2.0 * thickness_cm, height_cm - thickness_cm
    )
    return (outside_l - inside_l) * GLASS_KG_PER_L


def filled_mass_kg(
    *, net_l: float, sand_dry_kg: float, decor_kg: float, glass_kg: float, other_kg: float = 0.0
) -> float:
    """Mass that a floor or a stand has to carry; have anything doubtful judged by a builder.

    Sand counts dry, because the net volume already holds the water in its pores. Water counts
    1 kg per liter, at most 0.5 % too much.

    Args:
        net_l: Net water volume in liters, at least 0.
        sand_dry_kg: Dry mass of the bed, at least 0.
        decor_kg: Rocks and wood, at least 0.
        glass_kg: The empty tank, at least 0.
        other_kg: Stand, hood and equipment, at least 0.

    Returns:
        Mass in kilograms.

    Raises:
        ValueError: If a value is negative.
    """
    parts = {
        "net_l": net_l,
        "sand_dry_kg": sand_dry_kg,
        "decor_kg": decor_kg,
        "glass_kg": glass_kg,
        "other_kg": other_kg,
    }
    for name, mass_kg in parts.items():
        require_within(name, mass_kg, 0.0)
    return sum(parts.values())
