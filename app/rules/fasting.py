"""Days on which the tank speaks against food: little air, hot water, or toxins in it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading, Sign
from app.domain.snapshot import TankSnapshot
from app.domain.wording import in_sentence, listed, reading_text
from app.knowledge.model import Knowledge
from app.rules import chlorine, oxygen, signs
from app.rules.ammonia import free_ammonia
from app.rules.filter import filter_off
from app.rules.model import Evidence, Finding, Severity
from app.rules.nitrogen import nitrite
from app.rules.showing import of_reading, worst
from app.rules.warmth_range import warmth_range

NO_FOOD_HELPS: Final = "Fish then use less oxygen and make less waste."
_SHORT_OF_AIR: Final = tuple(s for s in signs.SIGNS if s.sign in {Sign.GASPING, Sign.POWER_CUT})


@dataclass(frozen=True, slots=True)
class NoFood:
    """Why no food goes in today.

    `because` is short, for the answer to "May we feed?"; `reason` a sentence; `at` when the water
    was last measured or the animals were last seen so; `certain`: nothing had to be assumed.
    """

    because: str
    reason: str
    at: datetime
    evidence: tuple[Evidence, ...]
    certain: bool


def no_food_now(snapshot: TankSnapshot, knowledge: Knowledge) -> NoFood | None:
    """Why the tank speaks against food, or None.

    Fish that gasp, no power, a filter that stopped or oxygen in Act; 29 °C and over its range;
    ammonia, nitrite or chlorine in Act. What was seen or measured speaks for so many days only:
    nobody lets animals go hungry on an old number, while its own rule goes on asking.
    """
    if not snapshot.expected_fish:
        return None
    days = knowledge.value("feeding.no-food-keeps")
    causes = [c for c in _causes(snapshot, knowledge, days) if _speaks(c.at, days, snapshot)]
    if not causes:
        return None
    return NoFood(
        because=causes[0].because,
        reason=" ".join(c.reason for c in causes),
        at=max(c.at for c in causes),
        evidence=tuple(dict.fromkeys(e for c in causes for e in c.evidence)),
        certain=any(c.certain for c in causes),
    )


def _causes(snapshot: TankSnapshot, knowledge: Knowledge, days: float) -> Iterator[NoFood]:
    """Each cause on its own, those of life support first."""
    for advice in _SHORT_OF_AIR:
        for found in signs.check(advice, snapshot, knowledge):
            yield _cause(advice.seen[0].lower() + advice.seen[1:], f"{advice.seen}.", found)
    for found in filter_off(snapshot, knowledge):
        yield _cause("the filter does not run", "The filter does not run.", found)
    for found in oxygen.level(snapshot, knowledge):
        if found.severity >= Severity.ACT:
            yield _cause("oxygen too low", "Oxygen is too low.", found)
    hot = _hot(snapshot, knowledge)
    if hot is not None:
        reason = f"The water is {reading_text(hot, snapshot.site)}."
        shown = (of_reading(hot, snapshot),)
        yield NoFood("the water is too warm", reason, hot.at, shown, certain=True)
    toxins = [
        f
        for rule in (free_ammonia, nitrite, chlorine.level)
        for f in rule(snapshot, knowledge)
        if f.severity >= Severity.ACT and _speaks(f.due_at, days, snapshot)
    ]
    if toxins:
        names = [in_sentence(FACTS[f.quantity].label) for f in toxins if f.quantity]
        short = listed([name.removesuffix(" (total)") for name in names])
        verb = "is" if len(names) == 1 else "are"
        yield NoFood(
            because=f"{short} too high",
            reason=f"{short.capitalize()} {verb} too high.",
            at=max(f.due_at for f in toxins),
            evidence=tuple(e for f in toxins for e in f.evidence),
            certain=any(f.certain for f in toxins),
        )


def _cause(because: str, reason: str, found: Finding) -> NoFood:
    return NoFood(because, reason, found.due_at, found.evidence, found.certain)


def _speaks(at: datetime, days: float, snapshot: TankSnapshot) -> bool:
    """Whether a reading is of today or of so many days before."""
    return (snapshot.today - local_day(at, snapshot.site.zone)).days <= days


def _hot(snapshot: TankSnapshot, knowledge: Knowledge) -> Reading | None:
    """The deciding temperature where it is hot, and over what this tank is meant to have."""
    edge = knowledge.value("feeding.hot")
    reading, severity = worst(
        snapshot.of(Quantity.TEMPERATURE),
        lambda r: Severity.ACT if r.best >= edge else Severity.INFO,
    )
    if reading is None or severity is Severity.INFO:
        return None
    return reading if reading.best > warmth_range(snapshot, knowledge).high else None
