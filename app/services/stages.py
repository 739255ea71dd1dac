"""The stages of a growing filter: kept with the evaluation, told anew when they were dropped."""

from collections.abc import Iterable
from dataclasses import replace

from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.freshness import is_mature
from app.rules.maturing import stages_reached
from app.storage import snapshot as storage


def recalled(session: Session, found: Iterable[TankSnapshot]) -> dict[int, TankSnapshot]:
    """These snapshots by tank, with their stages: the kept ones, or told from all tests there are.

    However many tanks lack them, the number of statements is the same.
    """
    told = {s.tank.id: s for s in found}
    lacking = [s for s in told.values() if not s.stages and not is_mature(s.tank, s.today)]
    if not lacking:
        return told
    ids, as_of = [s.tank.id for s in lacking], max(s.as_of for s in lacking)
    for whole in storage.load(session, ids, as_of, filter_history=True):
        known = told[whole.tank.id]
        told[whole.tank.id] = replace(known, stages=stages_reached(whole, load()))
    return told
