"""A bed of sand or gravel: how much to buy. And the filled tank: what a floor has to carry."""

from math import ceil

from app.domain.measures import glass_of
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count, decimal, number
from app.knowledge.model import Knowledge
from app.science import shapes
from app.science.volume import filled_mass_kg, glass_mass_kg, sand_mass_kg
from app.services.workings import both_units, known
from app.services.workings.glass import BED_ASKS, GLASS_ASKS, shape_from
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import (
    CENTIMETERS,
    KG_PER_L,
    KILOGRAMS,
    LITERS,
    MILLIMETERS,
)

_CM2_PER_M2 = 10_000.0


def _bed_work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    shape = shape_from(given)
    glass = glass_of(shape)
    front, back = given.number("sand_front"), given.number("sand_back")
    density, bag = given.number("density"), given.maybe("bag")
    if isinstance(glass, shapes.Bowl) and (front + back) / 2.0 > glass.full_depth_cm:
        raise CannotWork("The sand cannot stand higher than the bowl.", "sand_front")
    bed = glass.bed_l(front, back)
    mass = sand_mass_kg(bed, density)
    if not bed:
        raise CannotWork("Enter how high the sand is to be.", "sand_front")
    sums = [
        Sum(
            "The bed, with the water between its grains",
            f"{_bed_text(glass, bed, (front + back) / 2.0)} =",
            both_units.liters_only(bed),
        ),
        Sum(
            "Its dry weight",
            f"{decimal(bed, 1)} × {number(density, 2)} =",
            f"{decimal(mass, 1)}{NBSP}kg",
        ),
    ]
    bags = ceil(round(mass / bag, 6)) if bag else 0
    if bag:
        each = number(bag, 1)
        sums.append(Sum("Bags", f"{decimal(mass, 1)} ÷ {each} → up to", count(bags, "bag", "bags")))
    least, most = (sand_mass_kg(bed, knowledge.value(key)) for key in ("bed.loose", "bed.dense"))
    return Worked(
        answer=f"About {both_units.mass(mass)} of dry sand"
        + (f", {count(bags, 'bag', 'bags')}." if bag else "."),
        spread=f"Sand and gravel differ: from {both_units.mass(least)} to {both_units.mass(most)}.",
        sums=tuple(sums),
        remarks=(
            "Rinse it in plain water, in small lots, until the water runs clear.",
            "Wet sand weighs more. A bucket of it is a job for two.",
        ),
        basis="Dry bulk density of sand and screened gravel from engineering tables. What stands "
        "on the bag counts more.",
        cautions=("hands",),
    )


def _bed_text(glass: shapes.Shape, bed_l: float, level_cm: float) -> str:
    if isinstance(glass, shapes.Bowl):
        return f"a slice of the ball, {number(level_cm, 1)}{NBSP}cm high"
    mean = bed_l * 1000.0 / glass.base_cm2
    return f"{number(glass.base_cm2, 0)}{NBSP}cm² × {number(mean, 2)}{NBSP}cm on average ÷ 1000"


def _sand_density(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return knowledge.value("bed.sand")


_FRONT, _BACK = BED_ASKS
SAND = Working(
    slug="sand",
    theme=Theme.TANK,
    title="Sand to buy",
    question="How many kilograms of sand or gravel make the bed?",
    asks=(
        *GLASS_ASKS,
        Ask(
            name="sand_front", label=_FRONT.label, noun=_FRONT.noun, units=CENTIMETERS, low=0,
            high=200, known=_FRONT.known, hint="As it is to be.",
        ),
        Ask(
            name="sand_back", label=_BACK.label, noun=_BACK.noun, units=CENTIMETERS, low=0,
            high=200, known=_BACK.known,
        ),
        Ask(
            name="density", label="One liter of it, dry", noun="what one liter of it weighs",
            units=KG_PER_L, low=0.3, high=2.2, known=_sand_density,
            hint="Dry sand is filled in; loose gravel is a little lighter. Light soils: what the "
            "bag says.",
        ),
        Ask(
            name="bag", label="One bag holds", noun="what one bag holds", units=KILOGRAMS,
            low=0.1, high=1000, required=False,
        ),
    ),
    work=_bed_work,
)  # fmt: skip


def bed_kg(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """What the dry sand of a tank weighs in kilograms; None where nobody measured its bed."""
    shape = snapshot.tank.shape
    if shape.sand_front_cm is None and shape.sand_back_cm is None:
        return None
    bed = glass_of(shape).bed_l(shape.sand_front_cm or 0.0, shape.sand_back_cm or 0.0)
    return sand_mass_kg(bed, knowledge.value("bed.sand"))


def _weight_work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    net_l, sand = given.number("net"), given.maybe("sand") or 0.0
    stones, other = given.maybe("stones") or 0.0, given.maybe("other") or 0.0
    length, width = given.number("length"), given.number("width")
    glass = _glass_kg(given)
    total = filled_mass_kg(
        net_l=net_l, sand_dry_kg=sand, decor_kg=stones, glass_kg=glass.kg, other_kg=other
    )
    parts = [decimal(part, 1) for part in (net_l, sand, stones, glass.kg, other)]
    area = total / (length * width / _CM2_PER_M2)
    return Worked(
        answer=f"About {both_units.mass(total)} when it is full.",
        warning="Never lift or push a tank with water in it. Glass breaks, and backs are hurt.",
        sums=(
            *glass.sums,
            Sum(
                "Water (1 kg per liter), sand, stones, glass, stand",
                f"{' + '.join(parts)} =",
                f"{decimal(total, 0)}{NBSP}kg",
            ),
            Sum(
                "On each square meter below the tank",
                f"{decimal(total, 0)} ÷ ({number(length, 1)} × {number(width, 1)} ÷ 10 000) =",
                f"{decimal(area, 0)}{NBSP}kg/m²",
            ),
        ),
        remarks=(
            "What carries it: made for a tank, or built for this weight. A shelf or desk is not.",
            "Level both ways, looked at with a spirit level, empty and again half full.",
            "Flat all over. A soft mat only where the maker of the tank asks for one.",
            "Across the joists and near a wall that carries, not along one joist.",
            "Doubts about floor or stand: a builder looks at it before the water goes in.",
            "Not above a plug, not beside a door, a heater or a sunny window.",
        ),
        basis="Dry sand and the water in it are counted once each. Glass 2.5 kg per square meter "
        "and millimeter (EN 572-1).",
        cautions=("electricity",),
    )


class _Glass:
    """What the empty tank weighs, and the sum behind it."""

    def __init__(self, kg: float, sums: tuple[Sum, ...] = ()) -> None:
        self.kg = kg
        self.sums = sums


def _glass_kg(given: Given) -> _Glass:
    weighed, thick = given.maybe("glass"), given.maybe("thick")
    if weighed is not None:
        return _Glass(weighed)
    high = given.maybe("high")
    if thick is None or high is None:
        name = "glass" if thick is None else "high"
        raise CannotWork(
            "Enter what the empty tank weighs, or the thickness and the height of its glass.", name
        )
    length, width = given.number("length"), given.number("width")
    if min(length, width) <= thick / 5.0 or high <= thick / 10.0:
        raise CannotWork("Glass as thick as this does not fit into these sizes.", "thick")
    kg = glass_mass_kg(length_cm=length, width_cm=width, height_cm=high, thickness_mm=thick)
    sizes = " × ".join(number(size, 1) for size in (length, width, high))
    what = f"Floor and four walls of {number(thick, 1)}{NBSP}mm glass, outside {sizes}{NBSP}cm"
    panes_l = kg / 2.5
    return _Glass(
        kg, (Sum(what, f"{decimal(panes_l, 2)}{NBSP}L × 2.5 =", f"{decimal(kg, 1)}{NBSP}kg"),)
    )


WEIGHT = Working(
    slug="weight",
    theme=Theme.TANK,
    title="The full tank’s weight",
    question="How heavy is it when it is full, and what may carry it?",
    asks=(
        Ask(
            name="net", label="Water", noun="the water", units=LITERS, low=0.1, high=20000,
            known=known.net_l,
        ),
        Ask(
            name="sand", label="Sand, dry", noun="the weight of the sand", units=KILOGRAMS, low=0,
            high=5000, required=False, known=bed_kg,
        ),
        Ask(
            name="stones", label="Stones and wood", noun="the weight of the stones",
            units=KILOGRAMS, low=0, high=5000, required=False, hint="On a bathroom scale.",
        ),
        Ask(
            name="other", label="Stand, cover and gear", noun="the weight of the stand",
            units=KILOGRAMS, low=0, high=5000, required=False,
        ),
        Ask(
            name="length", label="Length outside", noun="the length outside", units=CENTIMETERS,
            low=1, high=1000,
        ),
        Ask(
            name="width", label="Front to back outside", noun="the width outside",
            units=CENTIMETERS, low=1, high=1000,
        ),
        Ask(
            name="glass", label="The empty tank", noun="the weight of the empty tank",
            units=KILOGRAMS, low=0.1, high=5000, required=False, hint="Its sheet may say it.",
        ),
        Ask(
            name="thick", label="Or: thickness of the glass", noun="the thickness of the glass",
            units=MILLIMETERS, low=1, high=50, required=False,
        ),
        Ask(
            name="high", label="And its height outside", noun="the height outside",
            units=CENTIMETERS, low=1, high=500, required=False,
        ),
    ),
    work=_weight_work,
)  # fmt: skip
