"""The tank by its measures: net volume with its working, and the drawing from the front."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.charts.elevation import draw, legend
from app.charts.side_view import BANDS, Elevation, Lodger
from app.charts.silhouettes import PLAIN_SHAPE
from app.domain.measures import net_volume
from app.domain.records import StockGroup, Tank, TankShape
from app.domain.wording import NBSP, number
from app.science.units import us_gallons_from_liters
from app.science.volume import NetVolume, level_change_l


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

    @property
    def net_text(self) -> str:
        """The net volume in liters, as it is shown."""
        return f"{_liters(self.volume.net_l)}{NBSP}L"


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
        Sum("The box", f"{length} × {width} × {depth} ÷ 1000 =", f"{gross}{NBSP}L"),
        Sum(
            "The sand, mean of front and back",
            f"({number(front, 1)} + {number(back, 1)}) ÷ 2 =",
            f"{number(sand, 2)}{NBSP}cm",
        ),
        Sum(
            f"Its grains; {number(100.0 * shape.sand_pore_share, 0)} of 100 parts are water",
            f"{length} × {width} × {number(sand, 2)} ÷ 1000 × {number(grains, 2)} =",
            f"{solids}{NBSP}L",
        ),
        Sum(
            "What is left",
            f"{gross} − {solids} − {stones} =",
            f"{net}{NBSP}L",
            f"= {_liters(us_gallons_from_liters(volume.net_l))}{NBSP}US gal",
        ),
        Sum(
            "One centimeter of level",
            f"{length} × {width} ÷ 1000 =",
            f"{centimeter:.2f}{NBSP}L",
        ),
    ]
    finding = (
        f"{net}{NBSP}L of water, not {gross}. The sand grains take {solids}{NBSP}L, "
        f"stones and gear {stones}{NBSP}L."
    )
    return VolumeShown(volume=volume, finding=finding, sums=tuple(sums))


def _liters(liters: float) -> str:
    return f"{liters:.1f}"


@dataclass(frozen=True, slots=True)
class Drawing:
    """The tank from the front: the SVG, and what its letters stand for."""

    svg: str
    legend: tuple[tuple[str, str], ...]


def drawn(tank: Tank, groups: Sequence[StockGroup], drawing_id: str) -> Drawing | None:
    """The tank from the front, to scale; None where neither rim nor water was measured."""
    shape = tank.shape
    rim = shape.rim_cm or shape.water_depth_cm
    if rim is None:
        return None
    seen = Elevation(
        length_cm=shape.length_cm,
        rim_cm=max(rim, shape.water_depth_cm or rim),
        water_depth_cm=shape.water_depth_cm,
        sand_front_cm=_both_corners(shape.sand_front_cm),
        sand_back_cm=_both_corners(shape.sand_back_cm),
        heater_line_cm=shape.heater_line_cm if tank.has_heater else None,
        groups=tuple(_lodger(g) for g in groups if g.count > 0 and g.adult_cm is not None),
    )
    return Drawing(draw(seen, drawing_id, f"{tank.name} from the front"), legend(seen))


def _both_corners(height_cm: float | None) -> tuple[float, float] | None:
    return None if height_cm is None else (height_cm, height_cm)


def _lodger(group: StockGroup) -> Lodger:
    return Lodger(
        name=group.name,
        count=group.count,
        adult_cm=group.adult_cm or 0.0,
        band=next((b for b in BANDS if b == group.band), "middle"),
        shape="bottom" if group.band == "bottom" else PLAIN_SHAPE,
    )


def share_of(percent: float) -> float:
    """A share from 0 to 1 from its percent."""
    return percent / 100.0


def percent_of(share: float) -> float:
    """Percent of a share, to a tenth."""
    return round(share * 100.0, 1)
