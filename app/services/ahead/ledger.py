"""The ledger of forecasts: kept when a new test is first looked at, compared when the next one is.

Scores are never stored: they follow from the readings that count now, so that a correction
scores anew.
"""

import json
import logging
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import local_day, somebody_comes
from app.domain.errors import NotFound
from app.domain.forecast import Forecast
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, in_sentence, listed
from app.estimates import nitrate_forecast
from app.estimates.model import Input, Origin
from app.estimates.nitrate import inputs_of, pace_of
from app.estimates.score import Scored, Skill, score, skill, widening
from app.estimates.temperature import temperature_at
from app.knowledge.load import load
from app.knowledge.model import Knowledge
from app.services import tanks
from app.services.transaction import begin, finish
from app.storage import snapshot as storage
from app.storage.engine import Database
from app.storage.models.entry import Entry
from app.storage.models.forecast import Forecast as ForecastRow
from app.storage.queries import forecasts, kits

_LOG = logging.getLogger(__name__)
_DAY: Final = timedelta(days=1)
# a forecast is made right after a test; an older test was written down later
_RIGHT_AFTER: Final = _DAY
# longer breaks than this have no next day of testing
_LOOKED_AHEAD: Final = 60
# how many forecasts a page shows and a score looks at
_KEPT_IN_SIGHT: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelRange:
    """What a model expects of its quantity: the range in the kept unit, and what it rests on."""

    low: float
    best: float
    high: float
    inputs: tuple[Input, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """A way to look a quantity ahead; another `version` is another way.

    `expect` gives what is expected at a moment, or None where too much is missing. `horizon` is for
    which moment a forecast is kept.
    """

    quantity: Quantity
    name: str
    version: str
    expect: Callable[[TankSnapshot, datetime, Knowledge], ModelRange | None]
    horizon: Callable[[TankSnapshot, Quantity], datetime | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """The forecasts of one quantity, newest first, with how they did.

    `factor` is how many times as wide the next range will be.
    """

    quantity: Quantity
    lines: tuple[Scored, ...]
    skill: Skill
    factor: float


def _nitrate(snapshot: TankSnapshot, moment: datetime, knowledge: Knowledge) -> ModelRange | None:
    pace = pace_of(snapshot, knowledge)
    if pace is None:
        return None
    ahead = nitrate_forecast.expected_at(moment, pace, snapshot)
    return ModelRange(
        low=ahead.low,
        best=ahead.best,
        high=ahead.high,
        inputs=inputs_of(snapshot, knowledge, pace),
    )


def _temperature(
    snapshot: TankSnapshot, moment: datetime, knowledge: Knowledge
) -> ModelRange | None:
    ahead = temperature_at(moment, snapshot, knowledge)
    if not ahead.known:
        return None
    return ModelRange(low=ahead.low, best=ahead.best, high=ahead.high, inputs=ahead.inputs)


def next_test(snapshot: TankSnapshot, quantity: Quantity) -> datetime | None:
    """The next day of testing of the plan, at the same time of day as the last test of a quantity.

    On days on which nobody comes it waits for the next on which somebody does; None where that
    is too far away, or nothing was tested yet. A plan whose tests grew seldom because they were
    all clean is taken by its usual days.
    """
    own, plan = snapshot.tank.plan.job("test"), snapshot.tank.plan
    days = own.every_days if own and own.every_days else plan.test_days
    return _same_time(snapshot, quantity, days)


def next_day(snapshot: TankSnapshot, quantity: Quantity) -> datetime | None:
    """The next day on which somebody comes, at the same time of day as the last reading."""
    return _same_time(snapshot, quantity, 1)


def _same_time(snapshot: TankSnapshot, quantity: Quantity, days: int) -> datetime | None:
    last, site = snapshot.latest(quantity), snapshot.site
    if last is None:
        return None
    for later in range(days, days + _LOOKED_AHEAD):
        moment = last.at + _DAY * later
        if somebody_comes(site, local_day(moment, site.zone)):
            return moment
    return None


MODELS: Final = (
    Model(
        quantity=Quantity.NITRATE,
        name="pace from tests and food",
        version="1",
        expect=_nitrate,
        horizon=next_test,
    ),
    Model(
        quantity=Quantity.TEMPERATURE,
        name="the last days and how much they swing",
        version="1",
        expect=_temperature,
        horizon=next_day,
    ),
)
KEPT: Final = frozenset(model.quantity for model in MODELS)
"""The quantities whose forecasts are kept."""


def model_of(quantity: Quantity) -> Model | None:
    """The model that looks a quantity ahead, or None."""
    return next((m for m in MODELS if m.quantity is quantity), None)


def keep(database: Database, tank_id: int, *, now: datetime) -> None:
    """Keep what the newest tests let expect, unless somebody else writes just now.

    Whoever looks at the tank comes first: whatever goes wrong here is told to the log only.
    """
    try:
        with database.reading() as session:
            if not _lacking(session, tank_id, now):
                return
        with database.writing_if_free() as session:
            if session is not None:
                note(session, tank_id, now=now)
    except Exception:  # noqa: BLE001  # no forecast is worth a save that seems to have failed
        _LOG.warning("a forecast could not be kept", exc_info=True)


def note(session: Session, tank_id: int, *, now: datetime) -> int:
    """Keep the forecasts that follow from the newest tests and are not kept yet; returns how many.

    A test that was written down more than a day after it was made lets nothing be forecast, and
    of several tests of one day the first does.
    """
    lacking = _lacking(session, tank_id, now)
    if not lacking:
        return 0
    (snapshot,) = storage.load(session, [tank_id], now)
    rows = [
        row
        for quantity, entry_id in lacking
        if (row := _row(session, snapshot, quantity, entry_id)) is not None
    ]
    if rows:
        begin(session, tank_id)
        session.add_all(rows)
        finish(session)
    return len(rows)


def _lacking(session: Session, tank_id: int, now: datetime) -> tuple[tuple[Quantity, int], ...]:
    return forecasts.lacking(session, tank_id, sorted(KEPT), now - _RIGHT_AFTER)


def row_for(
    session: Session, snapshot: TankSnapshot, quantity: Quantity, about_at: datetime
) -> ForecastRow | None:
    """A forecast as it is kept, with the factor that its past asks for; None without a model.

    The range is kept as it was worked out; what it was widened by stands beside it.
    """
    model, last = model_of(quantity), snapshot.latest(quantity)
    if model is None or last is None or about_at <= snapshot.as_of:
        return None
    knowledge = load()
    expected = model.expect(replace(snapshot, widened=()), about_at, knowledge)
    if expected is None:
        return None
    past = _scored(session, snapshot.tank.id, quantity, snapshot.as_of, knowledge)
    return ForecastRow(
        tank_id=snapshot.tank.id,
        quantity=quantity.value,
        revision=tanks.revision(session, snapshot.tank.id),
        made_at=snapshot.as_of,
        about_at=about_at,
        low=expected.low,
        best=expected.best,
        high=expected.high,
        factor=widening(past, knowledge),
        last=last.best,
        model=model.name,
        version=f"{model.version}-{knowledge.version}",
        inputs=json.dumps([_plain(each) for each in expected.inputs]),
    )


def ledgers(session: Session, tank_id: int, *, now: datetime) -> tuple[Ledger, ...]:
    """The ledger of each quantity that was ever looked ahead.

    Raises:
        NotFound: If there is no such tank.
    """
    tanks.tank(session, tank_id)
    knowledge, found = load(), []
    for quantity in sorted(KEPT):
        lines = _scored(session, tank_id, quantity, now, knowledge)
        if lines:
            found.append(
                Ledger(
                    quantity=quantity,
                    lines=lines,
                    skill=skill(lines, knowledge),
                    factor=widening(lines, knowledge),
                )
            )
    return tuple(found)


def kept(
    session: Session, tank_id: int, forecast_id: int, *, now: datetime
) -> tuple[Scored, tuple[Input, ...]]:
    """One forecast with what it rested on.

    Raises:
        NotFound: If the tank has no such forecast.
    """
    row = session.get(ForecastRow, forecast_id)
    if row is None or row.tank_id != tank_id or row.entry_id is None:
        raise NotFound("This tank has no such forecast.")
    quantity = Quantity(row.quantity)
    lines = _scored(session, tank_id, quantity, now, load())
    found = next((s for s in lines if s.forecast.id == forecast_id), None)
    if found is None:  # older than what is scored together
        (found,) = _meet(session, tank_id, (_alone(session, row),), now, load())
    return found, tuple(_input(each) for each in json.loads(row.inputs))


def _row(
    session: Session, snapshot: TankSnapshot, quantity: Quantity, entry_id: int
) -> ForecastRow | None:
    model = model_of(quantity)
    about_at = None if model is None else model.horizon(snapshot, quantity)
    row = None if about_at is None else row_for(session, snapshot, quantity, about_at)
    if row is not None:
        row.entry_id = entry_id
    return row


def _scored(
    session: Session, tank_id: int, quantity: Quantity, now: datetime, knowledge: Knowledge
) -> tuple[Scored, ...]:
    known = forecasts.newest(session, tank_id, quantity, _KEPT_IN_SIGHT)
    return _meet(session, tank_id, known, now, knowledge)


def _meet(
    session: Session,
    tank_id: int,
    known: Sequence[Forecast],
    now: datetime,
    knowledge: Knowledge,
) -> tuple[Scored, ...]:
    if not known:
        return ()
    since = min(f.made_at for f in known)
    readings = readings_since(session, tank_id, known[0].quantity, since)
    return score(known, readings, now=now, knowledge=knowledge)


def readings_since(
    session: Session, tank_id: int, quantity: Quantity, since: datetime
) -> tuple[Reading, ...]:
    """The readings that people took from a moment on, several readers of one tube as one."""
    rows = forecasts.readings(session, tank_id, quantity, since)
    return storage.combined(rows, kits.all_kits(session))


def _alone(session: Session, row: ForecastRow) -> Forecast:
    entry = session.get(Entry, row.entry_id)
    return forecasts.record(row, None if entry is None else entry.status)


def _plain(given: Input) -> dict[str, object]:
    """An input as JSON can hold it."""
    at = None if given.at is None else given.at.isoformat()
    return {**asdict(given), "origin": given.origin.value, "at": at}


def _input(kept_as: dict[str, object]) -> Input:
    at = kept_as["at"]
    moment = datetime.fromisoformat(at) if isinstance(at, str) else None
    return Input(**{**kept_as, "origin": Origin(kept_as["origin"]), "at": moment})  # type: ignore[arg-type]


def answer(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """Whether ranges are widened because of past misses, in a sentence."""
    wide = [in_sentence(FACTS[q].label) for q, factor in snapshot.widened if factor > 1.0]
    if not wide:
        return "Each forecast is kept, and compared with the test that comes."
    cover = decimal(knowledge.value("ledger.cover"), 0)
    return (
        f"The ranges for {listed(wide)} held less than {cover} % of the tests, so that they are "
        "shown wider."
    )
