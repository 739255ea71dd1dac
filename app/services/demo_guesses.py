"""Rounds of sealed guesses of the demo, opened and filled by the services that the pages use."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app.domain.quantities import Quantity
from app.services.access.people import Visitor
from app.services.ahead import predictions
from app.services.demo_story import Setting

_BETWEEN = timedelta(minutes=2)


@dataclass(frozen=True, slots=True)
class PlannedRound:
    """A round that is opened at a moment; `guesses` are (nickname, value as it is typed)."""

    tank_id: int
    quantity: Quantity
    at: datetime
    guesses: tuple[tuple[str, float], ...]


def planned_rounds(tank_id: int, facts: dict[str, Any], setting: Setting) -> list[PlannedRound]:
    """The rounds of one tank, oldest first; on days on which nobody tests there is none."""
    return [
        PlannedRound(
            tank_id=tank_id,
            quantity=Quantity(fact["quantity"]),
            at=setting.at(fact["ago"], fact["at"]),
            guesses=tuple(zip(facts["helpers"], fact["values"], strict=False)),
        )
        for fact in facts.get("guesses", ())
        if not setting.is_break(fact["ago"]) and not setting.is_deserted(fact["ago"])
    ]


def guess_all(
    session: Session, planned: PlannedRound, adult: Visitor, tiles: dict[str, int]
) -> None:
    """Open a round, and let each tile guess in turn."""
    token = f"demo-guesses-{planned.at:%Y-%m-%d}"
    round_id = predictions.open_round(
        session, planned.tank_id, planned.quantity, closes_at=None, author_id=adult.author_id,
        token=token, now=planned.at,
    )  # fmt: skip
    unit = predictions.one(session, planned.tank_id, round_id).unit
    for turn, (name, value) in enumerate(planned.guesses, start=1):
        predictions.write_guess(
            session, planned.tank_id, round_id, unit.to_kept(value), f"{value:g}",
            author_id=tiles[name], token=f"{token}-{turn}", now=planned.at + turn * _BETWEEN,
        )  # fmt: skip
