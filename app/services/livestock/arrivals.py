"""Animals that come before the filter is ready, or very many of them: asked about first."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, TypeVar

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.measures import net_volume
from app.domain.tank import Site, TankShape
from app.domain.wording import water_amount
from app.knowledge.load import load
from app.rules.newcomers import comes_early
from app.services import entries, tasks
from app.services.entries import Stamp
from app.storage.queries import entries as entry_rows

Written = TypeVar("Written")
# stands with the entry, in the story and on the cards that rest on it
ASKED: Final = "Asked first: the filter was not ready. They came all the same"


@dataclass(frozen=True, slots=True)
class EarlyQuestion:
    """Asked before animals are written into a tank whose filter is not ready. Nothing is stored."""

    text: str
    because: tuple[str, ...]


def many_question(shape: TankShape, site: Site, came: int) -> str:
    """What to ask where more animals come than its water can hold; "" for any other number.

    Empty too while nobody measured the water.
    """
    net = net_volume(shape)
    if net is None or came <= net.net_l * load().value("count.many-per-liter"):
        return ""
    return f"{came:,} in {water_amount(site, net.net_l)}: is that the number?"


def ask_first(
    session: Session,
    stamp: Stamp,
    write: Callable[[Stamp], Written],
    *,
    answered: bool,
    now: datetime,
    tank_id: int | None = None,
) -> Written | EarlyQuestion:
    """Write an arrival, or ask first; decided inside the one write transaction.

    Args:
        session: A writing session.
        stamp: Where, when and who.
        write: Writes the arrival with the stamp that it gets.
        answered: Somebody said that the animals came all the same.
        now: The present moment.
        tank_id: The tank they come to, where it is not that of the stamp.

    Raises:
        NotFound: If there is no such tank.
    """
    where = stamp.tank_id if tank_id is None else tank_id
    entries.raise_revision(session, where)
    if entry_rows.by_token(session, where, stamp.token) is not None:
        return write(stamp)
    snapshot = tasks.snapshot_of(session, where, now=now)
    day = local_day(stamp.happened_at, snapshot.site.zone)
    early = comes_early(snapshot, day, load())
    if early is None:
        return write(stamp)
    if not answered:
        session.rollback()
        return EarlyQuestion(early.words, early.not_yet_because)
    return write(replace(stamp, reason=ASKED))
