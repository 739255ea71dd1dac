"""The tank by its measures: net volume with its working, and the drawing from the front."""

from dataclasses import dataclass

from app.domain.records import StockGroup, Tank, TankShape
from app.domain.wording import number
from app.science.units import us_gallons_from_liters
from app.science.volume import NetVolume, level_change_l, net_volume_l

NB = "\u00a0"


@dataclass(frozen=True, slots=True)
class Sum:
    """One step of the working: what is worked out, the sum, its answer, what stands behind."""

    what: str
    text: str
    answer: str
    after: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeShown:
    """The net volume with its finding in one sentence and the working, step by step."""

    volume: NetVolume
    finding: str
    sums: tuple[Sum, ...]


def net_volume(shape: TankShape) -> NetVolume | None:
    """The water in a tank; None while the water depth is not measured or no water is left."""
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


def volume_shown(shape: TankShape) -> VolumeShown | None:
    """The net volume with its working; None while it cannot be told."""
    volume = net_volume(shape)
    if volume is None:
        return None
    depth = number(shape.water_depth_cm or 0.0, 1)
    length, width = number(shape.length_cm, 1), number(shape.width_cm, 1)
    front, back = shape.sand_front_cm or 0.0, shape.sand_back_cm or 0.0
    sand = (front + back) / 2.0
    grains = 1.0 - shape.sand_pore_share
    net, gross = _liters(volume.net_l), _liters(volume.gross_l)
    solids, stones = _liters(volume.sand_solids_l), _liters(volume.displacement_l)
    centimeter = level_change_l(shape.length_cm, shape.width_cm, 1.0)
    sums = [
        Sum("The box", f"{length} × {width} × {depth} ÷ 1000 =", f"{gross}{NB}L"),
        Sum(
            "The sand, mean of front and back",
            f"({number(front, 1)} + {number(back, 1)}) ÷ 2 =",
            f"{number(sand, 2)}{NB}cm",
        ),
        Sum(
            f"Its grains; {number(100.0 * shape.sand_pore_share, 0)} of 100 parts are water",
            f"{length} × {width} × {number(sand, 2)} ÷ 1000 × {number(grains, 2)} =",
            f"{solids}{NB}L",
        ),
        Sum(
            "What is left",
            f"{gross} − {solids} − {stones} =",
            f"{net}{NB}L",
            f"= {_liters(us_gallons_from_liters(volume.net_l))}{NB}US gal",
        ),
        Sum(
            "One centimeter of level",
            f"{length} × {width} ÷ 1000 =",
            f"{centimeter:.2f}{NB}L",
        ),
    ]
    finding = (
        f"{net}{NB}L of water, not {gross}. The sand grains take {solids}{NB}L, "
        f"stones and gear {stones}{NB}L."
    )
    return VolumeShown(volume=volume, finding=finding, sums=tuple(sums))


def _liters(liters: float) -> str:
    return f"{liters:.1f}"
