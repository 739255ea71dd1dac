"""Volumes and masses of a tank, from measures taken inside the glass.

Measure inside: outer sizes and the gallons on the box overstate the water by a tenth or more. Water
depth runs from the glass floor to the water line. Water between the grains of sand counts as water;
only the grains themselves displace it.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.science import shapes
from app.science.bounds import require_above_zero, require_within
from app.science.shapes import Shape

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
    return shapes.box(length_cm, width_cm).volume_l(depth_cm)


def cylinder_l(diameter_cm: float, depth_cm: float) -> float:
    """Volume of an upright cylinder in liters; takes the measures of ``shapes.cylinder``."""
    return shapes.cylinder(diameter_cm).volume_l(depth_cm)


def hexagon_l(across_flats_cm: float, depth_cm: float) -> float:
    """Volume of an upright six-sided tank in liters; takes the measures of ``shapes.hexagon``."""
    return shapes.hexagon(across_flats_cm).volume_l(depth_cm)


def bow_front_l(length_cm: float, side_width_cm: float, bow_cm: float, depth_cm: float) -> float:
    """Volume of a bow-front tank in liters; takes the measures of ``shapes.bow_front``."""
    return shapes.bow_front(length_cm, side_width_cm, bow_cm).volume_l(depth_cm)


def bowl_l(diameter_cm: float, base_cm: float, depth_cm: float) -> float:
    """Volume of water in a ball-shaped bowl in liters; takes the measures of ``shapes.Bowl``."""
    return shapes.Bowl(diameter_cm, base_cm).volume_l(depth_cm)


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
    return shapes.box(length_cm, width_cm).bed_l(front_cm, back_cm)


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


def sand_mass_kg(bed_l: float, bulk_kg_per_l: float) -> float:
    """Dry mass of the sand or gravel that makes a bed: what to buy, and what a stand carries.

    Args:
        bed_l: Volume of the bed, pores included, in liters, at least 0.
        bulk_kg_per_l: Dry bulk density, 0.3 to 2.2 kg/L: about 1.55 for sand and 1.50 for screened
            gravel; for light soils what their bag says.

    Returns:
        Mass in kilograms.

    Raises:
        ValueError: If a value lies outside its range, such as a density in kg/m3.
    """
    require_within("bed_l", bed_l, 0.0)
    require_within("bulk_kg_per_l", bulk_kg_per_l, 0.3, 2.2)
    return bed_l * bulk_kg_per_l


def pore_share(bulk_kg_per_l: float, grain_kg_per_l: float) -> float:
    """Share of a bed that is pores, from its dry bulk density and that of its grains.

    Args:
        bulk_kg_per_l: Dry bulk density, at least 0, at most that of the grains.
        grain_kg_per_l: Density of the grains, above 0; quartz has about 2.65 kg/L.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_above_zero("grain_kg_per_l", grain_kg_per_l)
    require_within("bulk_kg_per_l", bulk_kg_per_l, 0.0, grain_kg_per_l)
    return 1.0 - bulk_kg_per_l / grain_kg_per_l


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
    return net_volume_of(
        shapes.box(length_cm, width_cm),
        water_depth_cm=water_depth_cm,
        sand_front_cm=sand_front_cm,
        sand_back_cm=sand_back_cm,
        pore_share=pore_share,
        displacement_l=displacement_l,
    )


def net_volume_of(
    shape: Shape,
    *,
    water_depth_cm: float,
    sand_front_cm: float = 0.0,
    sand_back_cm: float = 0.0,
    pore_share: float,
    displacement_l: float = 0.0,
) -> NetVolume:
    """Work out the water in a tank of any shape; see ``net_volume_l`` for the arguments.

    Args:
        shape: The glass, by its inner measures.
        water_depth_cm: From the glass floor to the water line, above 0.
        sand_front_cm: Depth of sand at the foremost point of the base.
        sand_back_cm: Depth of sand at the back.
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
    bed_l = shape.bed_l(sand_front_cm, sand_back_cm)
    volume = NetVolume(
        gross_l=shape.volume_l(water_depth_cm),
        sand_bed_l=bed_l,
        sand_solids_l=solids_l(bed_l, pore_share),
        displacement_l=displacement_l,
    )
    if volume.net_l <= 0.0:
        raise ValueError("these measures leave no water in the tank")
    return volume


def level_after_cm(shape: Shape, depth_cm: float, liters: float) -> float:
    """Water depth after liters were poured in, or, with a minus sign, taken out.

    Args:
        shape: The glass, by its inner measures.
        depth_cm: Water depth before, at least 0.
        liters: Water poured in; negative for water taken out.

    Returns:
        Water depth in centimeters, where only water stands in the layer that comes or goes.

    Raises:
        ValueError: If more is taken out than there is, or a bowl would run over.
    """
    return shape.level_cm(shape.volume_l(depth_cm) + liters)


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
