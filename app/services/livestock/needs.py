"""What the animals of a tank want, held against one another and against the tank."""

from dataclasses import dataclass

from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.model import LimitShown
from app.rules.needs import (
    Clash,
    HeightShare,
    Load,
    Lodger,
    NeedsOverlap,
    Surroundings,
    by_height,
    compare,
    load_of,
    overlap,
    surroundings_of,
)
from app.rules.showing import limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """The whole comparison: who lives here, in what, what they share, what does not fit.

    `rules` are the two length rules that stand beside the load, each with its source.
    """

    lodgers: tuple[Lodger, ...]
    tank: Surroundings
    shared: NeedsOverlap
    clashes: tuple[Clash, ...]
    load: Load
    heights: tuple[HeightShare, ...]
    rules: tuple[LimitShown, ...]


def needs_of(snapshot: TankSnapshot, knowledge: Knowledge, *, own_names: bool = False) -> Needs:
    """The needs of the animals that live in a tank; by their `own_names` there, or the list's."""
    lodgers = living(snapshot, knowledge)
    if own_names:
        lodgers = tuple(lodger.under_own_name() for lodger in lodgers)
    tank = surroundings_of(snapshot, knowledge)
    return Needs(
        lodgers=lodgers,
        tank=tank,
        shared=overlap(lodgers),
        clashes=compare(lodgers, tank, knowledge),
        load=load_of(lodgers, tank, knowledge),
        heights=by_height(lodgers),
        rules=(
            limit(knowledge, "needs.looser-rule", "The looser rule, for fish without tails"),
            limit(knowledge, "needs.stricter-rule", "The stricter rule, for fish with tails"),
        ),
    )
