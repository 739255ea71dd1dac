"""What the stored measures of a tank give: the water in it, and what a layer of it holds."""

from functools import lru_cache

from app.domain.tank import TankForm, TankShape
from app.science import shapes, volume
from app.science.volume import NetVolume


def glass_of(shape: TankShape) -> shapes.Shape:
    """The glass by its inner measures.

    Raises:
        ValueError: If the measures of a bow front or a bowl do not go together.
    """
    match shape.form:
        case TankForm.CYLINDER:
            return shapes.cylinder(shape.length_cm)
        case TankForm.HEXAGON:
            return shapes.hexagon(shape.length_cm)
        case TankForm.BOW_FRONT:
            return shapes.bow_front(shape.length_cm, shape.width_cm, shape.bow_cm)
        case TankForm.BOWL:
            return shapes.Bowl(shape.length_cm, shape.base_cm)
        case _:
            return shapes.box(shape.length_cm, shape.width_cm)


@lru_cache(maxsize=256)
def net_volume(shape: TankShape) -> NetVolume | None:
    """The water in a tank, with the numbers that lead to it.

    Sand and stones that nobody measured count as none.

    Returns:
        None while the water depth is not measured, or where the measures leave no water.
    """
    if not shape.water_depth_cm:
        return None
    try:
        return volume.net_volume_of(
            glass_of(shape),
            water_depth_cm=shape.water_depth_cm,
            sand_front_cm=shape.sand_front_cm or 0.0,
            sand_back_cm=shape.sand_back_cm or 0.0,
            pore_share=shape.sand_pore_share,
            displacement_l=shape.displacement_l,
        )
    except ValueError:
        return None


def surface_cm2(shape: TankShape) -> float | None:
    """The free water surface in cm²; None for a bowl whose water depth is not measured."""
    if shape.form is TankForm.BOWL and shape.water_depth_cm is None:
        return None
    try:
        return glass_of(shape).surface_cm2(shape.water_depth_cm or 0.0)
    except ValueError:
        return None


def fall_l(shape: TankShape, level_cm: float) -> float | None:
    """Liters gone when the water line fell by so many cm; None where that cannot be told.

    Between upright walls that needs no water depth; a bowl narrows, and needs it.
    """
    depth = shape.water_depth_cm
    if depth is None:
        depth = level_cm
        if shape.form is TankForm.BOWL:
            return None
    try:
        glass = glass_of(shape)
        return glass.volume_l(depth) - glass.volume_l(max(0.0, depth - level_cm))
    except ValueError:
        return None


def fall_cm(shape: TankShape, liters: float) -> float | None:
    """Centimeters by which the water line falls when liters are taken out; None as `fall_l`."""
    try:
        glass = glass_of(shape)
        if isinstance(glass, shapes.Prism):
            return glass.level_cm(liters)
        if shape.water_depth_cm is None:
            return None
        return shape.water_depth_cm - volume.level_after_cm(glass, shape.water_depth_cm, -liters)
    except ValueError:
        return None
