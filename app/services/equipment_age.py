"""Equipment of many tanks: how old each piece is, and how many of a lot failed."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from app.domain.kit import Equipment
from app.knowledge.load import load
from app.science.proportion import wilson_interval
from app.storage.base import folded
from app.storage.queries import overview

CONFIDENCE: Final = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece with the tank it belongs to."""

    tank_id: int
    tank_name: str
    item: Equipment

    def age_days(self, today: date) -> int | None:
        """For how many days it is, or was, in use; None where nobody wrote since when."""
        if self.item.since is None:
            return None
        return max(
            ((self.item.failed_on or self.item.retired_on or today) - self.item.since).days, 0
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """The pieces of one lot and kind: how many there are, are in use, failed.

    `share` is that of failed ones with the range in which the true one lies 9 times of 10, as
    (low, counted, high) from 0 to 1; None while the pieces are too few to tell.
    """

    lot: str
    kind: str
    pieces: int
    in_use: int
    failed: int
    share: tuple[float, float, float] | None


def pieces(
    session: Session,
    *,
    among: Collection[int] | None = None,
    kind: str = "",
    lot: str = "",
) -> tuple[Piece, ...]:
    """All pieces of a kind and a lot ("" for any), also of closed tanks; the oldest first.

    What was put away or failed comes last.
    """
    wanted = folded(lot)
    found = [
        Piece(tank_id=tank_id, tank_name=name, item=item)
        for tank_id, name, item in overview.equipment(session, among)
        if kind in {"", item.kind} and (not lot or folded(item.lot) == wanted)
    ]
    return tuple(sorted(found, key=_place))


def lots(found: Iterable[Piece]) -> tuple[Lot, ...]:
    """The lots of these pieces, those with the most failures first."""
    grouped: dict[tuple[str, str], list[Equipment]] = defaultdict(list)
    for piece in found:
        if piece.item.lot:
            grouped[folded(piece.item.lot), piece.item.kind].append(piece.item)
    made = [_lot(items) for items in grouped.values()]
    return tuple(sorted(made, key=lambda each: (-each.failed, -each.pieces, each.lot, each.kind)))


def few_pieces() -> int:
    """Below how many pieces of a lot no share is said."""
    return int(load().value("lot.few-pieces"))


def _lot(items: Sequence[Equipment]) -> Lot:
    failed, total = sum(i.failed_on is not None for i in items), len(items)
    share = None
    if total >= few_pieces():
        low, high = wilson_interval(failed, total, CONFIDENCE)
        share = (low, failed / total, high)
    return Lot(
        lot=min(items, key=lambda item: item.id).lot,
        kind=items[0].kind,
        pieces=total,
        in_use=sum(i.retired_on is None and i.failed_on is None for i in items),
        failed=failed,
        share=share,
    )


def _place(piece: Piece) -> tuple[bool, date, str, int]:
    item = piece.item
    gone = item.retired_on is not None or item.failed_on is not None
    return (gone, item.since or date.max, piece.tank_name.casefold(), item.id)
