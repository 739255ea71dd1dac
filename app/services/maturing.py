"""How far the filter has grown, for its page: stages with their days, tests, what to do next."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.maturing import Stage
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count, reading_text, short
from app.knowledge.load import load
from app.knowledge.model import Knowledge
from app.rules.maturing import ORDER, Maturing, stage, stages_reached
from app.rules.model import Evaluation, Evidence
from app.rules.paired_tests import paired_tests
from app.rules.showing import of_entry
from app.services import board, stages
from app.storage.queries import evaluations
from app.storage.queries.evaluations import Kept

_TITLES: Final = {
    Stage.IDLE: "Waiting",
    Stage.AMMONIA_UP: "Ammonia goes up",
    Stage.NITRITE_UP: "Ammonia goes down, nitrite goes up",
    Stage.NITRITE_DOWN: "Nitrite goes down, nitrate goes up",
    Stage.READY: "Ready",
}
_MG: Final = f"{NBSP}mg/L"
_PERCENT: Final = f"{NBSP}%"


@dataclass(frozen=True, slots=True, kw_only=True)
class StageLine:
    """One stage: what tests show in it, and the day on which they first did (None: not seen)."""

    stage: Stage
    title: str
    sign: str
    on: date | None
    is_now: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TestLine:
    """The tests of one day in words, with the entry to look them up in; "" where none was made."""

    on: date
    entry_id: int
    ammonia: str
    nitrite: str
    nitrate: str


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do next. `door` names where: test, change, sum, animals; "" for nowhere."""

    text: str
    door: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterProgress:
    """All that the page of a maturing filter tells. `tests` and `added` are newest first.

    `may_add` is whether a sum for ammonia may be offered: only where no animal lives.
    """

    now: Maturing
    lines: tuple[StageLine, ...]
    tests: tuple[TestLine, ...]
    added: tuple[Evidence, ...]
    steps: tuple[NextStep, ...]
    may_add: bool


def progress_of(snapshot: TankSnapshot) -> FilterProgress:
    """How far the filter is, from a snapshot that has its stages (see `stages.recalled`)."""
    knowledge = load()
    now = stage(snapshot, knowledge)
    since = snapshot.today - timedelta(days=knowledge.value("maturing.window-days"))
    added = [j for j in snapshot.jobs_of(JobKind.AMMONIA_ADDED) if j.local_day >= since]
    return FilterProgress(
        now=now,
        lines=tuple(_lines(now, snapshot, knowledge)),
        tests=tuple(_tests(snapshot, since)),
        added=tuple(of_entry(job, snapshot.site) for job in reversed(added)),
        steps=tuple(_steps(now, snapshot, knowledge)),
        may_add=not snapshot.expected_fish,
    )


def to_keep(session: Session, snapshot: TankSnapshot, seen: Evaluation) -> tuple[Kept, ...]:
    """What `board.keep` is to keep of a tank whose tests show a stage that is not kept yet.

    Call it in the session that read the snapshot, and only with all that adults know of it.
    """
    if stages_reached(snapshot, load()) == snapshot.stages:
        return ()
    tank_id = snapshot.tank.id
    told = stages.recalled(session, [snapshot])
    revisions = evaluations.revisions(session, [tank_id])
    return board.to_keep({tank_id: (snapshot, seen)}, revisions, told)


def _lines(now: Maturing, snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[StageLine]:
    first = {reached.stage: reached.on for reached in stages_reached(snapshot, knowledge)}
    if now.ready and now.since is not None:
        first.setdefault(Stage.READY, now.since)
    signs = _signs(knowledge)
    for each in ORDER:
        yield StageLine(
            stage=each,
            title=_TITLES[each],
            sign=signs[each],
            on=first.get(each),
            is_now=each is now.stage,
        )


def _signs(knowledge: Knowledge) -> dict[Stage, str]:
    def mg(key: str) -> str:
        return f"{short(knowledge.value(f'maturing.{key}'))}{_MG}"

    tests, days = (short(knowledge.value(f"maturing.ready-{k}")) for k in ("tests", "days"))
    return {
        Stage.IDLE: "No waste goes in yet, so tests show nothing.",
        Stage.AMMONIA_UP: f"Ammonia is {mg('ammonia-up')} or more, and nitrite below "
        f"{mg('nitrite-up')}.",
        Stage.NITRITE_UP: f"Ammonia falls, and nitrite is {mg('nitrite-up')} or more.",
        Stage.NITRITE_DOWN: f"Ammonia is below {mg('ammonia-low')}, nitrite falls, nitrate rises.",
        Stage.READY: f"With animals: {tests} tests in a row at the lowest step of the kit, over "
        f"{days} days with food. Without: added ammonia is gone a day later, two times.",
    }


def _tests(snapshot: TankSnapshot, since: date) -> Iterator[TestLine]:
    nitrates = {r.entry_id: r for r in snapshot.of(Quantity.NITRATE)}

    def words(reading: Reading | None) -> str:
        return reading_text(reading, snapshot.site) if reading is not None else ""

    for test in reversed(paired_tests(snapshot)):
        if test.on >= since:
            entries = (test.ammonia.entry_id, test.nitrite.entry_id)
            yield TestLine(
                on=test.on,
                entry_id=entries[0],
                ammonia=words(test.ammonia),
                nitrite=words(test.nitrite),
                nitrate=words(next((nitrates[e] for e in entries if e in nitrates), None)),
            )


def _steps(now: Maturing, snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[NextStep]:
    if now.ready:
        yield from _when_ready(snapshot, knowledge)
    elif snapshot.expected_fish:
        yield from _with_animals(knowledge)
    else:
        yield from _without_animals(snapshot, knowledge)


def _when_ready(snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[NextStep]:
    if snapshot.expected_fish:
        wait = short(knowledge.value("arrivals.many-days"))
        yield NextStep(f"Add few animals at a time, and leave {wait} days between.", "animals")
        yield NextStep("Go on testing. If the filter slips back, To do says so.", "test")
        return
    if snapshot.jobs_of(JobKind.AMMONIA_ADDED):
        share = short(knowledge.value("growing.change-percent"))
        yield NextStep(
            f"Change {share}{_PERCENT} of the water or more. Match the warmth, and use "
            "conditioner.",
            "change",
        )
    days, mg, each = (
        short(knowledge.value(key))
        for key in ("growing.first-fish-days", "growing.kept-mg", "growing.kept-days")
    )
    yield NextStep(f"Then bring the first few animals within {days} days.", "animals")
    yield NextStep(
        f"If they come later: {mg}{_MG} of ammonia every {each} days keeps the bacteria alive.",
        "sum",
    )


def _with_animals(knowledge: Knowledge) -> Iterator[NextStep]:
    ammonia, nitrite = (short(knowledge.value(key)) for key in ("ammonia.total-act", "nitrite.act"))
    share = short(knowledge.value("growing.rescue-percent"))
    yield NextStep("Test ammonia and nitrite every day.", "test")
    yield NextStep("Feed every other day, and little. What is not eaten comes out.")
    yield NextStep(
        f"Change {share}{_PERCENT} of the water whenever ammonia is {ammonia} or nitrite "
        f"{nitrite}{_MG} or more.",
        "change",
    )
    yield NextStep("Bring no more animals until the filter is ready.")


def _without_animals(snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[NextStep]:
    target, below, nitrite = (
        f"{short(knowledge.value(f'maturing.{key}'))}{_MG}"
        for key in ("added-mg", "added-below", "nitrite-halve")
    )
    if snapshot.jobs_of(JobKind.AMMONIA_ADDED):
        yield NextStep(
            f"Add ammonia again only when it has fallen below {below}. While nitrite is above "
            f"{nitrite}, add half as much.",
            "sum",
        )
        yield NextStep("Test ammonia and nitrite a day after each time.", "test")
    else:
        yield NextStep(
            f"The bacteria need food: ammonia up to {target}, which only grown-ups add.", "sum"
        )
    days = count(int(knowledge.value("growing.test-days")), "day", "days")
    yield NextStep(f"Test ammonia, nitrite and nitrate at least every {days}.", "test")
    yield NextStep("Test KH each week. Soft water runs out of it, and then nothing grows.", "test")
    yield NextStep("Bring no animals until the filter is ready.")
