"""Days on which the water speaks against food: too warm, or with ammonia or nitrite in it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import in_sentence, listed, reading_text
from app.knowledge.model import Knowledge
from app.rules.ammonia import free_ammonia
from app.rules.model import Evidence, Severity
from app.rules.nitrogen import nitrite
from app.rules.showing import of_reading, worst
from app.rules.warmth_range import warmth_range

NO_FOOD_HELPS: Final = "Fish then use less oxygen and make less waste."


@dataclass(frozen=True, slots=True)
class NoFood:
    """Why no food goes in today.

    `because` is short, for the answer to "May we feed?"; `reason` a sentence; `at` when the water
    was last measured so; `certain`: nothing had to be assumed.
    """

    because: str
    reason: str
    at: datetime
    evidence: tuple[Evidence, ...]
    certain: bool


def no_food_now(snapshot: TankSnapshot, knowledge: Knowledge) -> NoFood | None:
    """Why the water speaks against food, or None: 29 °C and over its range, or toxins in Act.

    A reading speaks for so many days only: nobody lets animals go hungry on an old number, while
    the rule of the reading itself goes on asking for a test.
    """
    if not snapshot.expected_fish:
        return None
    days = knowledge.value("feeding.no-food-keeps")
    toxins = [
        f
        for f in (*free_ammonia(snapshot, knowledge), *nitrite(snapshot, knowledge))
        if f.severity >= Severity.ACT and _speaks(f.due_at, days, snapshot)
    ]
    hot = _hot(snapshot, knowledge)
    if hot is not None and not _speaks(hot.at, days, snapshot):
        hot = None
    names = [in_sentence(FACTS[f.quantity].label) for f in toxins if f.quantity]
    short = [name.removesuffix(" (total)") for name in names]
    sentences = [f"The water is {reading_text(hot, snapshot.site)}."] if hot else []
    if short:
        verb = "is" if len(short) == 1 else "are"
        sentences.append(f"{listed(short).capitalize()} {verb} too high.")
    if not sentences:
        return None
    moments = [f.due_at for f in toxins] + ([hot.at] if hot else [])
    return NoFood(
        because="the water is too warm" if hot else f"{listed(short)} too high",
        reason=" ".join(sentences),
        at=max(moments),
        evidence=(
            *((of_reading(hot, snapshot),) if hot else ()),
            *dict.fromkeys(e for f in toxins for e in f.evidence),
        ),
        certain=hot is not None or any(f.certain for f in toxins),
    )


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
