"""Kits held against something known: how far off one may be, and which readings are in doubt.

No reading is ever changed by an offset; a doubtful one may raise a finding and never clear one.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from app.domain.kit import Kit, KitComparison, KitFacts
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot, last
from app.knowledge.model import Knowledge
from app.rules.model import LimitShown
from app.rules.showing import limit

SHARE: Final = "kit.offset-share"
_KEYS: Final = {Quantity.TEMPERATURE: "kit.offset-degrees", Quantity.PH: "kit.offset-ph"}
_WORDS: Final = {
    Quantity.TEMPERATURE: "A thermometer, at most off by",
    Quantity.PH: "A pH meter, at most off by",
}
_EPSILON: Final = 1e-9

Check = tuple[datetime, bool]


def is_off(kit: KitFacts, compared: KitComparison, knowledge: Knowledge) -> bool:
    """Whether a comparison was further off than a color step, or than a meter may be."""
    return abs(compared.offset) > allowed_offset(kit, compared.known, knowledge) + _EPSILON


def allowed_offset(kit: KitFacts, known: float, knowledge: Knowledge) -> float:
    """How far off a kit may be at a known value, in the kept unit.

    A card may be off by the color step around that value; a meter by a number of its own.
    """
    steps = _kept_steps(kit)
    if steps:
        above = next((i for i, s in enumerate(steps) if s >= known), len(steps) - 1)
        near = max(above, 1)
        return steps[near] - steps[near - 1]
    key = _KEYS.get(kit.quantity, SHARE)
    value = knowledge.value(key)
    return value / 100.0 * known if key == SHARE else value


def offset_limit(kit: KitFacts, knowledge: Knowledge) -> LimitShown:
    """The limit that decides for this kit, in words."""
    if _kept_steps(kit):
        return LimitShown("A color card, at most off by: one color", "", "own choice")
    key = _KEYS.get(kit.quantity, SHARE)
    return limit(knowledge, key, _WORDS.get(kit.quantity, "Another meter, at most off by"))


def newest_comparison(kit: Kit, snapshot: TankSnapshot) -> KitComparison | None:
    """What the kit was last held against."""
    return last([c for c in snapshot.comparisons if c.kit_id == kit.id])


def with_doubts(snapshot: TankSnapshot, knowledge: Knowledge) -> TankSnapshot:
    """The same tank, where a reading is doubtful if its kit was off in a comparison beside it.

    Beside it are the last comparison before the reading and the first after it: a kit that is off
    now was hardly right an hour ago, and stays doubtful until it was held against something known
    again, and was near.
    """
    kits = {kit.id: kit for kit in snapshot.kits}
    checks: dict[int, list[Check]] = defaultdict(list)
    for compared in snapshot.comparisons:
        if kit := kits.get(compared.kit_id):
            checks[kit.id].append((compared.at, is_off(kit, compared, knowledge)))
    doubtful = {kit_id for kit_id, made in checks.items() if any(off for _, off in made)}
    if not doubtful:
        return snapshot
    return replace(
        snapshot,
        readings=tuple(
            replace(r, kit_doubtful=True)
            if r.kit_id in doubtful and _beside_one_off(r.at, checks[r.kit_id])
            else r
            for r in snapshot.readings
        ),
    )


def _beside_one_off(at: datetime, checks: Sequence[Check]) -> bool:
    """Whether the comparison before or after a moment was off; `checks` ascend in time."""
    after = bisect_right([moment for moment, _ in checks], at)
    return any(off for _, off in checks[max(0, after - 1) : after + 1])


def _kept_steps(kit: KitFacts) -> tuple[float, ...]:
    """The colors of a card in the kept unit; () for drops, a meter, or a unit nobody types."""
    if len(kit.steps) < 2:
        return ()
    try:
        unit = FACTS[kit.quantity].unit_named(kit.unit, kit.basis)
    except KeyError:
        return ()
    return tuple(unit.to_kept(step) for step in kit.steps)
