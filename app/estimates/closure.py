"""A time without people rehearsed before it comes: what would fail, and on which day."""

from dataclasses import dataclass

from app.domain.snapshot import TankSnapshot
from app.estimates.closure_food import food, nitrate
from app.estimates.closure_model import Away, Part, Trouble
from app.estimates.closure_warmth import warmth_part
from app.estimates.closure_water import fallen_l, level, oxygen
from app.knowledge.model import Knowledge


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehearsal:
    """All parts of one time without people, in the order in which a keeper looks at them."""

    away: Away
    parts: tuple[Part, ...]

    @property
    def failing(self) -> tuple[Part, ...]:
        """What fails by the best guess, the soonest first."""
        found = [(part.likely, part) for part in self.parts if part.likely is not None]
        return tuple(part for _, part in sorted(found, key=lambda each: each[0]))

    def part(self, trouble: Trouble) -> Part | None:
        """One part, or None where a tank has no such thing."""
        return next((part for part in self.parts if part.trouble is trouble), None)


def rehearse(away: Away, snapshot: TankSnapshot, knowledge: Knowledge) -> Rehearsal:
    """Go through a time without people from leaving to coming back.

    Each part is an estimate with low, best and high; nothing of it is ever an all-clear.

    Raises:
        ValueError: If somebody comes back before leaving.
    """
    water = before_nights(away, snapshot, knowledge)
    fall, held = water.part(Trouble.LEVEL), water.part(Trouble.WARMTH)
    known_c = held.estimate.best if held is not None and held.estimate.known else None
    fall_mm = fall.estimate.best if fall is not None else 0.0
    return Rehearsal(
        away=away, parts=(*water.parts, oxygen(away, snapshot, knowledge, fall_mm, known_c))
    )


def before_nights(away: Away, snapshot: TankSnapshot, knowledge: Knowledge) -> Rehearsal:
    """The same without the oxygen of the nights, which costs more than all the rest.

    Raises:
        ValueError: As `rehearse`.
    """
    if away.returns <= away.leaves:
        raise ValueError("they must come back after they leave")
    fall, held = level(away, snapshot, knowledge), warmth_part(away, snapshot, knowledge)
    return Rehearsal(
        away=away,
        parts=(
            food(away, snapshot, knowledge),
            fall,
            *(() if held is None else (held,)),
            nitrate(away, snapshot, knowledge, fallen_l(fall, snapshot)),
        ),
    )
