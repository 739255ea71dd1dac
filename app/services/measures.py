"""The tank by its measures: net volume with its working, and the drawing from the front."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from app.charts.elevation import draw, legend
from app.charts.side_view import BANDS, Elevation, Lodger
from app.charts.silhouettes import shape_of
from app.domain.livestock import StockGroup
from app.domain.measures import fall_l, glass_of, net_volume
from app.domain.tank import Tank, TankForm, TankShape
from app.domain.wording import NBSP, number
from app.knowledge.model import Knowledge
from app.science.shapes import Bowl, Prism
from app.science.units import us_gallons_from_liters
from app.science.volume import NetVolume
from app.services.workings.model import Sum


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeShown:
    """The net volume with its finding in one sentence and the working, step by step."""

    volume: NetVolume
    finding: str
    sums: tuple[Sum, ...]

    @property
    def net_text(self) -> str:
        """The net volume in liters, as it is shown."""
        return _liters(self.volume.net_l)


def volume_shown(shape: TankShape) -> VolumeShown | None:
    """The net volume with its working; None while it cannot be told."""
    volume = net_volume(shape)
    if volume is None:
        return None
    glass = glass_of(shape)
    net, gross = _bare(volume.net_l), _bare(volume.gross_l)
    solids, stones = _bare(volume.sand_solids_l), _bare(volume.displacement_l)
    sums = (
        *(_bowl_sums(shape, glass, volume) if isinstance(glass, Bowl) else ()),
        *(_prism_sums(shape, glass, volume) if isinstance(glass, Prism) else ()),
        Sum(
            "What is left",
            f"{gross} − {solids} − {stones} =",
            _liters(volume.net_l),
            f"= {_bare(us_gallons_from_liters(volume.net_l))}{NBSP}US gal",
        ),
        _centimeter_sum(shape, glass),
    )
    finding = (
        f"{net}{NBSP}L of water, not {gross}. The sand grains take {solids}{NBSP}L, "
        f"stones and gear {stones}{NBSP}L."
    )
    if net == gross:
        finding = f"{net}{NBSP}L of water. Sand, stones and gear are not counted yet."
    return VolumeShown(volume=volume, finding=finding, sums=sums)


def _prism_sums(shape: TankShape, glass: Prism, volume: NetVolume) -> tuple[Sum, ...]:
    name, base = _base(shape)
    depth = number(shape.water_depth_cm or 0.0, 1)
    mean = _mean_bed(shape, glass)
    return (
        *_bow_sums(shape, glass),
        Sum(name, f"{base} × {depth} ÷ 1000 =", _liters(volume.gross_l)),
        _bed_sum(shape, glass, mean),
        Sum(
            _grains(shape),
            f"{base} × {number(mean, 2)} ÷ 1000 × {_grain_share(shape)} =",
            _liters(volume.sand_solids_l),
        ),
    )


def _base(shape: TankShape) -> tuple[str, str]:
    """What the glass is called, and the sum that gives its base in cm²."""
    length, width = number(shape.length_cm, 1), number(shape.width_cm, 1)
    half = number(shape.length_cm / 2.0, 2)
    match shape.form:
        case TankForm.CYLINDER:
            return "The cylinder; half its diameter counts twice", f"3.1416 × {half} × {half}"
        case TankForm.HEXAGON:
            return "The six-sided glass", f"0.866 × {length} × {length}"
        case TankForm.BOW_FRONT:
            return "All up to the water line", number(glass_of(shape).surface_cm2(0.0), 0)
        case _:
            return "The box", f"{length} × {width}"


def _bow_sums(shape: TankShape, glass: Prism) -> tuple[Sum, ...]:
    if shape.form is not TankForm.BOW_FRONT:
        return ()
    length, width = number(shape.length_cm, 1), number(shape.width_cm, 1)
    bow = glass.base_cm2 - shape.length_cm * shape.width_cm
    return (
        Sum(
            f"The base: rectangle and slice of a circle {number(shape.bow_cm, 1)}{NBSP}cm high",
            f"{length} × {width} + {number(bow, 0)} =",
            f"{number(glass.base_cm2, 0)}{NBSP}cm²",
        ),
    )


def _mean_bed(shape: TankShape, glass: Prism) -> float:
    front, back = shape.sand_front_cm or 0.0, shape.sand_back_cm or 0.0
    return back + (front - back) * glass.centroid_from_back_cm / glass.front_to_back_cm


def _bed_sum(shape: TankShape, glass: Prism, mean: float) -> Sum:
    front, back = shape.sand_front_cm or 0.0, shape.sand_back_cm or 0.0
    answer = f"{number(mean, 2)}{NBSP}cm"
    if shape.form is not TankForm.BOW_FRONT:
        text = f"({number(front, 1)} + {number(back, 1)}) ÷ 2 ="
        return Sum("The sand, mean of front and back", text, answer)
    share = number(glass.centroid_from_back_cm / glass.front_to_back_cm, 3)
    text = f"{number(back, 1)} + ({number(front, 1)} − {number(back, 1)}) × {share} ="
    return Sum("The sand, at the middle of the base", text, answer)


def _bowl_sums(shape: TankShape, glass: Bowl, volume: NetVolume) -> tuple[Sum, ...]:
    front, back = shape.sand_front_cm or 0.0, shape.sand_back_cm or 0.0
    mean = (front + back) / 2.0
    radius = glass.diameter_cm / 2.0
    below = (radius**2 - glass.base_cm**2 / 4.0) ** 0.5
    radius_text, below_text = number(radius, 1), number(below, 1)

    def slice_of_ball(depth: float) -> str:
        over = number(depth - below, 1)
        cubes = f"(({over})³ + {below_text}³) ÷ 3"
        return f"3.1416 × ({radius_text}² × {number(depth, 1)} − {cubes}) ÷ 1000"

    return (
        Sum(
            "From the flat bottom up to the middle of the ball",
            f"√({radius_text}² − {number(glass.base_cm / 2.0, 1)}²) =",
            f"{below_text}{NBSP}cm",
        ),
        Sum(
            "The ball, up to the water line",
            f"{slice_of_ball(shape.water_depth_cm or 0.0)} =",
            _liters(volume.gross_l),
        ),
        Sum("The sand, taken as level", f"{slice_of_ball(mean)} =", _liters(volume.sand_bed_l)),
        Sum(
            _grains(shape),
            f"{_bare(volume.sand_bed_l)} × {_grain_share(shape)} =",
            _liters(volume.sand_solids_l),
        ),
    )


def _grains(shape: TankShape) -> str:
    return f"Its grains; {number(100.0 * shape.sand_pore_share, 0)} of 100 parts are water"


def _grain_share(shape: TankShape) -> str:
    return number(1.0 - shape.sand_pore_share, 2)


def _centimeter_sum(shape: TankShape, glass: Prism | Bowl) -> Sum:
    if isinstance(glass, Prism):
        liters = glass.base_cm2 / 1000.0
        return Sum("One centimeter of level", f"{_base(shape)[1]} ÷ 1000 =", _fine(liters))
    liters = fall_l(shape, 1.0) or 0.0
    surface = glass.surface_cm2(shape.water_depth_cm or 0.0)
    across = number(2.0 * (surface / pi) ** 0.5, 1)
    what = f"The first centimeter below the water line, where the bowl is {across}{NBSP}cm wide"
    return Sum(what, f"3.1416 × {across}² ÷ 4 ÷ 1000, about", _fine(liters))


def _bare(liters: float) -> str:
    return f"{liters:.1f}"


def _liters(liters: float) -> str:
    return f"{liters:.1f}{NBSP}L"


def _fine(liters: float) -> str:
    return f"{liters:.2f}{NBSP}L"


@dataclass(frozen=True, slots=True)
class Drawing:
    """The tank from the front: the SVG, and what its letters stand for."""

    svg: str
    legend: tuple[tuple[str, str], ...]


def drawn(
    tank: Tank, groups: Sequence[StockGroup], knowledge: Knowledge, drawing_id: str
) -> Drawing | None:
    """The tank from the front, to scale; None where neither rim nor water was measured."""
    shape = tank.shape
    return shape_drawn(
        shape,
        drawing_id,
        f"{tank.name} from the front",
        heater_line_cm=shape.heater_line_cm if tank.has_heater else None,
        groups=tuple(
            _lodger(g, knowledge) for g in groups if g.count > 0 and g.adult_cm is not None
        ),
    )


def shape_drawn(
    shape: TankShape,
    drawing_id: str,
    title: str,
    *,
    heater_line_cm: float | None = None,
    groups: tuple[Lodger, ...] = (),
) -> Drawing | None:
    """Any measures from the front, to scale; None as `drawn`."""
    rim = shape.rim_cm or shape.water_depth_cm
    if rim is not None and shape.form is TankForm.BOWL:
        rim = min(rim, Bowl(shape.length_cm, shape.base_cm).full_depth_cm)
    if not rim:
        return None
    seen = Elevation(
        length_cm=shape.length_cm,
        rim_cm=max(rim, shape.water_depth_cm or rim),
        water_depth_cm=shape.water_depth_cm,
        sand_front_cm=_both_corners(shape.sand_front_cm),
        sand_back_cm=_both_corners(shape.sand_back_cm),
        heater_line_cm=heater_line_cm,
        bowl_base_cm=shape.base_cm if shape.form is TankForm.BOWL else None,
        groups=groups,
    )
    return Drawing(draw(seen, drawing_id, title), legend(seen))


def _both_corners(height_cm: float | None) -> tuple[float, float] | None:
    return None if height_cm is None else (height_cm, height_cm)


def _lodger(group: StockGroup, knowledge: Knowledge) -> Lodger:
    return Lodger(
        name=group.name,
        count=group.count,
        adult_cm=group.adult_cm or 0.0,
        band=next((b for b in BANDS if b == group.band), "middle"),
        shape=shape_of(knowledge.species.get(group.species), group.band),
    )


def share_of(percent: float) -> float:
    """A share from 0 to 1 from its percent."""
    return percent / 100.0


def percent_of(share: float) -> float:
    """Percent of a share, to a tenth."""
    return round(share * 100.0, 1)
