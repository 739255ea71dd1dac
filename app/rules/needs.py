"""The needs of animals that live together, held against one another and against the tank.

Each clash says what it rests on and where that comes from. There is no score: some clashes
matter more to one keeper than to another, and what nobody knows is not judged but named.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from app.domain.wording import listed
from app.knowledge.model import Knowledge
from app.rules.company import company_clashes
from app.rules.lodgers import (
    WANTED_LABELS,
    Clash,
    ClashKind,
    ClashLevel,
    Lodger,
    Surroundings,
    ValueSource,
    clash,
    together,
    value_words,
)
from app.rules.room import (
    HeightShare,
    Load,
    by_height,
    grown_g,
    load_of,
    room_clashes,
    surroundings_of,
)
from app.rules.shared_water import NeedsOverlap, SharedRange, overlap, water_clashes

__all__ = [
    "NUMBERS",
    "Clash",
    "ClashKind",
    "ClashLevel",
    "HeightShare",
    "Load",
    "Lodger",
    "NeedsOverlap",
    "SharedRange",
    "Surroundings",
    "ValueSource",
    "by_height",
    "compare",
    "grown_g",
    "load_of",
    "overlap",
    "surroundings_of",
    "value_words",
]

NUMBERS: Final = (
    "needs.temperature-overlap",
    "needs.ph-apart",
    "needs.gh-overlap",
    "needs.hard-water",
    "needs.recent-days",
    "needs.swallow-conflict",
    "needs.swallow-caution",
    "needs.nibble-caution",
    "needs.shrimp-cm",
    "needs.shrimp-eater-cm",
    "needs.height-share",
    "needs.height-species",
    "needs.room-conflict",
    "needs.crowding",
    "needs.tank-lengths",
    "needs.looser-rule",
    "needs.stricter-rule",
    "needs.tail-factor",
    "temperature.act-outside",
)
"""The keys of all numbers that the comparison uses."""

# cells without which a part of the comparison cannot speak
_NEEDED: Final = (
    "temp_c",
    "ph",
    "gh",
    "min_group",
    "temperament",
    "position",
    "min_tank_liters",
)


def compare(
    animals: Sequence[Lodger], tank: Surroundings, knowledge: Knowledge
) -> tuple[Clash, ...]:
    """Everything that does not go together, the gravest first.

    Groups of one species count as one. Nothing is said of what nobody knows, except that
    nobody knows it.

    Args:
        animals: The living list, or a list that somebody thinks about.
        tank: The tank as it is or might be; what nobody measured is not compared.
        knowledge: The numbers that decide.
    """
    living = together(animals)
    found = [
        *water_clashes(living, tank, knowledge),
        *company_clashes(living, knowledge),
        *room_clashes(living, tank, knowledge),
        *_unknown(living),
    ]
    order = list(ClashKind)
    return tuple(sorted(found, key=lambda c: (-c.level, order.index(c.kind))))


def _unknown(living: Sequence[Lodger]) -> Iterator[Clash]:
    for lodger in living:
        if lodger.species is None:
            text = f"{lodger.called}: nobody said what it is, so its needs are not judged."
            yield clash(ClashKind.UNKNOWN, ClashLevel.REMARK, text, (lodger,), ())
            continue
        missing = [
            WANTED_LABELS[f]
            for f in _NEEDED
            if getattr(lodger.species, f) in (None, "", frozenset())
        ]
        if lodger.grown_cm is None:
            missing.append(WANTED_LABELS["adult_tl_cm"])
        if missing:
            text = f"{lodger.called}: {listed(missing)} not known, and so not judged."
            yield clash(ClashKind.UNKNOWN, ClashLevel.REMARK, text, (lodger,), ())
