"""What the stored measures of a tank give: the water in it."""

from app.domain.records import TankShape
from app.science.volume import NetVolume, net_volume_l


def net_volume(shape: TankShape) -> NetVolume | None:
    """The water in a tank, with the numbers that lead to it.

    Sand and stones that nobody measured count as none.

    Returns:
        None while the water depth is not measured, or where the measures leave no water.
    """
    if shape.water_depth_cm is None:
        return None
    try:
        return net_volume_l(
            length_cm=shape.length_cm,
            width_cm=shape.width_cm,
            water_depth_cm=shape.water_depth_cm,
            sand_front_cm=shape.sand_front_cm or 0.0,
            sand_back_cm=shape.sand_back_cm or 0.0,
            pore_share=shape.sand_pore_share,
            displacement_l=shape.displacement_l,
        )
    except ValueError:
        return None
