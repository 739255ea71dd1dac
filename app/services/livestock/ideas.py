"""What animals and plants would mean before they are bought: worked out on a copy of the tank.

Nothing here is saved. There is no score: what stands beside what would be, as numbers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from app.domain.livestock import Plant, StockGroup
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.estimates.bodies import group_mass
from app.estimates.food import grams_a_day, protein_of
from app.estimates.model import Triple
from app.estimates.nitrate_course import rise_of
from app.estimates.nitrate_from_food import could_be, days_to
from app.knowledge.model import Knowledge
from app.rules.needs import Clash
from app.rules.ranges import range_shown
from app.science.nitrogen import (
    nitrate_rise_mg_per_l,
    plant_dry_mass_g,
    plant_uptake_mg_per_day,
)
from app.services.livestock.needs import Needs, needs_of

WEEK_DAYS = 7
_BANDS = {"surface": "surface", "bottom": "bottom"}
_DENSITY = {"sparse": "plants.sparse", "moderate": "plants.moderate", "dense": "plants.dense"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Idea:
    """What somebody thinks about.

    `counts` says by group id how many animals would live here, `amounts` by plant id how much of
    a plant; `animals` and `plants` are new ones, by scientific name with count and amount.
    `nitrate` and `target` are mg/L as nitrate; None: the last test, and our range.
    """

    counts: Mapping[int, int] = field(default_factory=dict)
    animals: Sequence[tuple[str, int]] = ()
    amounts: Mapping[int, str] = field(default_factory=dict)
    plants: Sequence[tuple[str, str]] = ()
    nitrate: float | None = None
    target: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """The tank as it is, or as it would be; None where an input is missing.

    `grams` of fish, for each 100 L of water and each square meter of surface; `food_g` a day;
    `nitrate` is its rise in mg/L a week before plants take any, `uptake` what plants could take
    in mg/L a week, `days` how long nitrate takes to the target.
    """

    grams: Triple
    per_100_l: Triple | None
    per_m2: Triple | None
    food_g: float | None
    nitrate: Triple | None
    uptake: Triple | None
    days: Triple | None
    needs: Needs


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Both sides, what is missing to say more, and what was assumed.

    `start` and `target` of nitrate are mg/L; `new` and `ended` are the clashes by which the two
    lists differ.
    """

    before: Side
    after: Side
    start: float | None
    target: float | None
    missing: tuple[str, ...]
    assumed: tuple[str, ...]
    new: tuple[Clash, ...]
    ended: tuple[Clash, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Terms:
    """What both sides are worked out with; None where nobody knows it."""

    food_g: float | None
    protein: float
    start: float | None
    target: float | None


@dataclass(frozen=True, slots=True)
class _Weight:
    """Grams of fish with who could not be weighed, and whose shape of body was assumed."""

    grams: Triple
    unknown: tuple[str, ...]
    assumed: tuple[str, ...]
    left_out: tuple[str, ...]


def copy_with(snapshot: TankSnapshot, idea: Idea, knowledge: Knowledge) -> TankSnapshot:
    """The tank as it would be; the snapshot that was given stays as it is."""
    stay = (replace(g, count=idea.counts.get(g.id, g.count)) for g in snapshot.groups)
    come = (_group(-at, *new, knowledge) for at, new in enumerate(idea.animals, start=1))
    grow = (replace(p, amount=idea.amounts.get(p.id, p.amount)) for p in snapshot.plants)
    planted = (
        Plant(id=-at, name=_plant_name(name, knowledge), species=name, amount=amount)
        for at, (name, amount) in enumerate(idea.plants, start=1)
    )
    return replace(snapshot, groups=(*stay, *come), plants=(*grow, *planted))


def compare_with(snapshot: TankSnapshot, idea: Idea, knowledge: Knowledge) -> Compared:
    """The tank as it is beside the tank as it would be.

    Food grows with the weight of the fish; nitrate with the food. Neither knows whether somebody
    would really feed so.
    """
    after = copy_with(snapshot, idea, knowledge)
    food, food_words = _food(snapshot, knowledge)
    reading = snapshot.latest(Quantity.NITRATE)
    our = range_shown(snapshot.tank, (), Quantity.NITRATE, knowledge)
    terms = _Terms(
        food_g=food,
        protein=protein_of(snapshot, knowledge).best,
        start=idea.nitrate if idea.nitrate is not None else reading.best if reading else None,
        target=idea.target if idea.target is not None else our.high if our else None,
    )
    now_g, then_g = _weigh(snapshot.groups, knowledge), _weigh(after.groups, knowledge)
    sides = (
        _side(snapshot, now_g, 1.0, terms, knowledge),
        _side(after, then_g, _ratio(now_g, then_g), terms, knowledge),
    )
    held, would = (side.needs.clashes for side in sides)
    return Compared(
        before=sides[0],
        after=sides[1],
        start=terms.start,
        target=terms.target,
        missing=_missing(sides[0], now_g, then_g, terms),
        assumed=_assumed(then_g, now_g, food_words, after, snapshot),
        new=tuple(c for c in would if c.text not in {h.text for h in held}),
        ended=tuple(c for c in held if c.text not in {w.text for w in would}),
    )


def _group(group_id: int, name: str, count: int, knowledge: Knowledge) -> StockGroup:
    species = knowledge.species[name]
    return StockGroup(
        id=group_id,
        name=species.common_name,
        count=count,
        band=_BANDS.get(species.position, "middle"),
        adult_cm=species.adult_tl_cm,
        species=name,
    )


def _plant_name(name: str, knowledge: Knowledge) -> str:
    return knowledge.plants[name].common_name


def _weigh(groups: Sequence[StockGroup], knowledge: Knowledge) -> _Weight:
    total = [0.0, 0.0, 0.0]
    unknown, assumed, left_out = [], [], []
    for group in groups:
        species = knowledge.species.get(group.species)
        if group.count <= 0:
            continue
        if species is not None and species.group != "fish":
            left_out.append(group.name)
            continue
        mass = group_mass(group, knowledge)
        if mass is None:
            unknown.append(group.name)
            continue
        if mass.is_assumed:
            assumed.append(group.name)
        for at, part in enumerate((mass.low, mass.best, mass.high)):
            total[at] += part
    grams = (total[0], total[1], total[2])
    return _Weight(grams, tuple(unknown), tuple(assumed), tuple(left_out))


def _ratio(now: _Weight, then: _Weight) -> float | None:
    """How many times as much the fish would weigh; None where that cannot be told."""
    if now.unknown or then.unknown or now.grams[1] <= 0.0:
        return None
    return then.grams[1] / now.grams[1]


def _side(
    snapshot: TankSnapshot,
    weight: _Weight,
    ratio: float | None,
    terms: _Terms,
    knowledge: Knowledge,
) -> Side:
    needs = needs_of(snapshot, knowledge)
    net, surface = needs.tank.net_l, needs.tank.surface_m2
    food = None if terms.food_g is None or ratio is None else terms.food_g * ratio
    nitrate = _nitrate(food, terms.protein, net, knowledge)
    return Side(
        grams=weight.grams,
        per_100_l=_times(weight.grams, 100.0 / net) if net else None,
        per_m2=_times(weight.grams, 1.0 / surface) if surface else None,
        food_g=food,
        nitrate=nitrate,
        uptake=_uptake(snapshot.plants, net, surface, knowledge),
        days=_days(nitrate, terms),
        needs=needs,
    )


def _times(triple: Triple, factor: float) -> Triple:
    return triple[0] * factor, triple[1] * factor, triple[2] * factor


def _nitrate(
    food_g: float | None, protein: float, net_l: float | None, knowledge: Knowledge
) -> Triple | None:
    if food_g is None or not net_l:
        return None
    return could_be(rise_of(food_g * WEEK_DAYS, net_l, protein / 100.0), knowledge)


def _uptake(
    plants: Sequence[Plant], net_l: float | None, bed_m2: float | None, knowledge: Knowledge
) -> Triple | None:
    """What the plants could take a week as nitrate; the bed counts as large as the surface."""
    if not net_l or not bed_m2:
        return None
    density = max((knowledge.value(_DENSITY[p.amount]) for p in _growing(plants)), default=0.0)
    dry = plant_dry_mass_g(bed_m2, density)
    tissue = knowledge.value("plants.tissue-n")

    def week(percent: float) -> float:
        taken = plant_uptake_mg_per_day(dry, percent / 100.0, tissue) * WEEK_DAYS
        return nitrate_rise_mg_per_l(taken, net_l)

    return (
        week(knowledge.value("plants.growth-slow")),
        week(knowledge.value("plants.growth")),
        week(knowledge.value("plants.growth-fast")),
    )


def _growing(plants: Sequence[Plant]) -> tuple[Plant, ...]:
    return tuple(p for p in plants if not p.removed and p.amount in _DENSITY)


def _days(nitrate: Triple | None, terms: _Terms) -> Triple | None:
    if nitrate is None or terms.start is None or terms.target is None:
        return None
    return days_to(terms.start, terms.target, _times(nitrate, 1.0 / WEEK_DAYS))


def _food(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[float | None, str]:
    """Grams of food a day: as written of late, else as planned; with how it was told."""
    written = grams_a_day(snapshot, knowledge)
    if written is not None:
        days = knowledge.value("nitrate.feed-days")
        return written, f"Food now: the meals written in the last {days:.0f} days."
    tank = snapshot.tank
    if tank.scoop_grams is None:
        return None, ""
    scoops = tank.plan.portion_scoops * len(tank.plan.feed_weekdays) / WEEK_DAYS
    return scoops * tank.scoop_grams, "Food now: the care plan, not what was written."


def _missing(before: Side, now: _Weight, then: _Weight, terms: _Terms) -> tuple[str, ...]:
    found = []
    if before.needs.tank.net_l is None:
        found.append("the water volume: measure the tank")
    if terms.food_g is None:
        found.append("the weight of one flat scoop of food")
    if unknown := (*now.unknown, *(n for n in then.unknown if n not in now.unknown)):
        found.append(f"the length of {', '.join(unknown)}")
    elif now.grams[1] <= 0.0:
        found.append("fish to take the food of now from")
    if terms.start is None:
        found.append("nitrate now: no test is written")
    if terms.target is None:
        found.append("the highest nitrate of our range")
    return tuple(found)


def _assumed(
    then: _Weight, now: _Weight, food: str, after: TankSnapshot, snapshot: TankSnapshot
) -> tuple[str, ...]:
    found = ["Food in proportion to the weight of the fish."]
    if food:
        found.append(food)
    if snapshot.tank.food_protein_percent is None:
        found.append("Food of 45\u00a0% protein. The label of your food says how much it is.")
    if new := [g.name for g in after.groups if g.count > 0 and g.length_cm is None]:
        found.append(f"Grown animals, where nobody measured: {', '.join(new)}.")
    if shapes := sorted({*now.assumed, *then.assumed}):
        found.append(f"The usual shape of a small fish: {', '.join(shapes)}.")
    if out := sorted({*now.left_out, *then.left_out}):
        found.append(f"No weight for animals other than fish: {', '.join(out)}.")
    if _growing(after.plants):
        found.append("The thickest growth of the list on the whole bed.")
    return tuple(found)
