"""Room for animals: the smallest tank, length, height, and how much weight the water carries."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot, last_where
from app.domain.tank import TankShape
from app.domain.wording import listed, number, short, with_unit
from app.estimates.bodies import one_g
from app.knowledge.model import Knowledge
from app.rules.lodgers import (
    HEIGHTS,
    Clash,
    ClashKind,
    ClashLevel,
    Lodger,
    Surroundings,
    clash,
    together,
)
from app.rules.showing import limit

_LITERS_PER_CM_OF_M2: Final = 10.0
"""A square meter of surface, one centimeter deep, is so many liters."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What the animals weigh when grown, for the water and its surface, beside two length rules.

    Grams of those in `weighed`; `unweighed` names fish whose weight nobody knows. `looser_l` and
    `stricter_l` are the liters that the two published rules ask for (tail left out, tail
    included), over `length_cm` of fish. None where nobody measured the tank or knows a length.
    `why` says why rules by length and weight disagree, with this list's own numbers.
    """

    grams: float
    per_100_l: float | None
    per_m2: float | None
    unweighed: tuple[str, ...]
    length_cm: float
    looser_l: float
    stricter_l: float
    net_l: float | None
    why: str


@dataclass(frozen=True, slots=True)
class HeightShare:
    """Who lives at one height ("surface", "mid", "bottom", and in words), with their weight.

    `percent` of the fish weight, or None where it is not known of every fish.
    """

    position: str
    words: str
    names: tuple[str, ...]
    grams: float
    percent: float | None


def surroundings_of(snapshot: TankSnapshot, knowledge: Knowledge) -> Surroundings:
    """The tank as its record knows it: measures, set point, temperatures of recent days, tests."""
    shape, tank = snapshot.tank.shape, snapshot.tank
    since = snapshot.as_of - timedelta(days=knowledge.value("needs.recent-days"))
    warm = snapshot.between(Quantity.TEMPERATURE, since, snapshot.as_of)
    recent = [r.best for r in warm if not r.kit_doubtful]
    water = net_volume(shape)
    return Surroundings(
        net_l=water.net_l if water else None,
        glass_l=_glass_l(shape),
        length_cm=shape.length_cm,
        surface_m2=_surface_m2(shape),
        set_point_c=tank.set_point_c if tank.has_heater else None,
        temperature_c=(min(recent), max(recent)) if recent else None,
        ph=_latest(snapshot, Quantity.PH),
        gh=_latest(snapshot, Quantity.GH),
        fahrenheit=snapshot.site.fahrenheit,
    )


def grown_g(lodger: Lodger) -> float | None:
    """What one grown animal weighs in grams, or None where nobody knows."""
    return one_g(lodger.species, lodger.grown_cm)


def load_of(animals: Sequence[Lodger], tank: Surroundings, knowledge: Knowledge) -> Load:
    """Weight for the water and the surface, and what two published length rules ask for.

    Shrimps, crayfish and snails are left out: no weight from length is known for them.
    """
    fish = _fish(together(animals))
    weights = {lodger.called: grown_g(lodger) for lodger in fish}
    grams = sum(lodger.count * (weights[lodger.called] or 0.0) for lodger in fish)
    length = sum(lodger.count * (lodger.grown_cm or 0.0) for lodger in fish)
    without_tails = length / knowledge.value("needs.tail-factor")
    return Load(
        grams=grams,
        per_100_l=100.0 * grams / tank.net_l if tank.net_l else None,
        per_m2=grams / tank.surface_m2 if tank.surface_m2 else None,
        unweighed=tuple(name for name, weight in weights.items() if weight is None),
        length_cm=length,
        looser_l=without_tails * knowledge.value("needs.looser-rule"),
        stricter_l=length * knowledge.value("needs.stricter-rule"),
        net_l=tank.net_l,
        why=_why(fish),
    )


def by_height(animals: Sequence[Lodger]) -> tuple[HeightShare, ...]:
    """Who lives at which height, from the surface down; heights where nobody lives are left out.

    The share is None where the weight of a fish of the list is not known.
    """
    living = together(animals)
    weights = {a.called: grown_g(a) for a in living}
    fish = _fish(living)
    whole = sum(a.count * (weights[a.called] or 0.0) for a in fish)
    judged = whole > 0 and all(weights[a.called] is not None for a in fish)
    found = []
    for position in HEIGHTS:
        there = [a for a in living if a.species and a.species.position == position]
        grams = sum(a.count * (weights[a.called] or 0.0) for a in there)
        if there:
            names = tuple(a.called for a in there)
            percent = 100.0 * grams / whole if judged else None
            found.append(HeightShare(position, HEIGHTS[position], names, grams, percent))
    return tuple(found)


def room_clashes(
    living: Sequence[Lodger], tank: Surroundings, knowledge: Knowledge
) -> Iterator[Clash]:
    """Animals for which the tank is too small or too short, crowding, and crowded heights."""
    for lodger in living:
        yield from _small_tank(lodger, tank, knowledge)
        yield from _short_tank(lodger, tank, knowledge)
    yield from _crowded(_fish(living), tank, knowledge)
    yield from _heights(_fish(living), knowledge)


def _fish(living: Sequence[Lodger]) -> tuple[Lodger, ...]:
    """Fish, and animals of which nobody said what they are."""
    return tuple(a for a in living if a.species is None or a.species.group == "fish")


def _small_tank(lodger: Lodger, tank: Surroundings, knowledge: Knowledge) -> Iterator[Clash]:
    wanted = lodger.species.min_tank_liters if lodger.species else None
    held = tank.glass_l or tank.net_l
    if wanted is None or held is None or held >= wanted:
        return
    edge = knowledge.value("needs.room-conflict")
    level = ClashLevel.CONFLICT if held < wanted * edge / 100.0 else ClashLevel.CAUTION
    text = (
        f"{lodger.called} wants a tank of {with_unit(short(wanted), 'L')} or more. "
        f"This one holds {with_unit(number(held, 0), 'L')}."
    )
    limits = (limit(knowledge, "needs.room-conflict", "A conflict below this share"),)
    yield clash(ClashKind.TANK, level, text, (lodger,), ("min_tank_liters",), limits=limits)


def _short_tank(lodger: Lodger, tank: Surroundings, knowledge: Knowledge) -> Iterator[Clash]:
    grown = lodger.grown_cm
    lengths = knowledge.value("needs.tank-lengths")
    if grown is None or tank.length_cm is None or tank.length_cm >= grown * lengths:
        return
    text = (
        f"{lodger.called} grows to {with_unit(short(grown), 'cm')}: {short(lengths)} lengths are "
        f"{with_unit(number(grown * lengths, 0), 'cm')}. "
        f"The tank is {with_unit(number(tank.length_cm, 0), 'cm')} long."
    )
    limits = (limit(knowledge, "needs.tank-lengths", "The tank at least"),)
    fields = ("adult_tl_cm",)
    yield clash(ClashKind.LENGTH, ClashLevel.CAUTION, text, (lodger,), fields, limits=limits)


def _crowded(fish: Sequence[Lodger], tank: Surroundings, knowledge: Knowledge) -> Iterator[Clash]:
    each = knowledge.value("needs.crowding")
    length = sum(lodger.count * (lodger.grown_cm or 0.0) for lodger in fish)
    if tank.net_l is None or length <= tank.net_l / each:
        return
    text = (
        f"Grown, the fish measure {with_unit(number(length, 0), 'cm')} together. "
        f"{with_unit(number(tank.net_l, 0), 'L')} of water at {with_unit(short(each), 'L')} a "
        f"centimeter are enough for {with_unit(number(tank.net_l / each, 0), 'cm')}."
    )
    limits = (limit(knowledge, "needs.crowding", "A caution under"),)
    fields = ("adult_tl_cm",)
    yield clash(ClashKind.CROWDED, ClashLevel.CAUTION, text, fish, fields, limits=limits)


def _heights(fish: Sequence[Lodger], knowledge: Knowledge) -> Iterator[Clash]:
    if len(fish) < knowledge.value("needs.height-species"):
        return
    unknown = [a for a in fish if grown_g(a) is None or not (a.species and a.species.position)]
    if unknown:
        names = listed([a.called for a in unknown])
        text = f"Who crowds which height is not judged: weight or height is not known of {names}."
        yield clash(ClashKind.UNKNOWN, ClashLevel.REMARK, text, unknown, ())
        return
    at: dict[str, float] = defaultdict(float)
    for lodger in fish:
        if lodger.species is not None:
            at[lodger.species.position] += lodger.count * (grown_g(lodger) or 0.0)
    place, most = max(at.items(), key=lambda item: item[1])
    share = round(100.0 * most / sum(at.values()), 6)
    if share <= knowledge.value("needs.height-share"):
        return
    there = [a for a in fish if a.species and a.species.position == place]
    text = (
        f"{with_unit(number(share, 0), '%')} of the fish weight lives {HEIGHTS[place]}: "
        f"{with_unit(number(most, 0), 'g')} of {with_unit(number(sum(at.values()), 0), 'g')}."
    )
    limits = (limit(knowledge, "needs.height-share", "A caution above"),)
    fields = ("adult_tl_cm", "position", "length_weight_a")
    yield clash(ClashKind.HEIGHT, ClashLevel.CAUTION, text, there, fields, limits=limits)


def _why(fish: Sequence[Lodger]) -> str:
    """Why length and weight tell different things, on the smallest and the largest of the list."""
    known = [(a.grown_cm, grown, a.called) for a in fish if (grown := grown_g(a)) and a.grown_cm]
    start = (
        "Both rules add up lengths, the looser without tails. "
        "Weight, food and waste grow with the cube of the length"
    )
    if len(known) < 2 or max(known)[0] == min(known)[0]:
        return f"{start}, so that few long fish and many short ones of equal length differ widely."
    (small_cm, small_g, small), (big_cm, big_g, big) = min(known), max(known)
    return (
        f"{start}: a grown {big} is {number(big_cm / small_cm, 1)} times as long as a "
        f"{small}, and weighs {number(big_g / small_g, 0)} times as much."
    )


def _latest(snapshot: TankSnapshot, quantity: Quantity) -> float | None:
    found = last_where(snapshot.of(quantity), lambda r: not r.kit_doubtful)
    return found.best if found else None


def _glass_l(shape: TankShape) -> float | None:
    """What the glass holds to its rim."""
    if shape.rim_cm is None:
        return None
    return _gross_l(shape, shape.rim_cm)


def _surface_m2(shape: TankShape) -> float | None:
    """The open water at the line, from the last centimeter of depth."""
    depth = shape.water_depth_cm
    if depth is None or depth <= 1.0:
        return None
    whole, below = _gross_l(shape, depth), _gross_l(shape, depth - 1.0)
    return None if whole is None or below is None else (whole - below) / _LITERS_PER_CM_OF_M2


def _gross_l(shape: TankShape, depth_cm: float) -> float | None:
    empty = replace(
        shape,
        water_depth_cm=depth_cm,
        sand_front_cm=None,
        sand_back_cm=None,
        displacement_l=0.0,
    )
    found = net_volume(empty)
    return found.gross_l if found else None
