"""Tests that an event asks for, and the card that says when fewer tests are enough."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import day_start
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Entry, JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import day_text, in_sentence
from app.knowledge.model import Knowledge
from app.rules.maturing import stage
from app.rules.model import Action, Concern, Finding, Rule, Severity
from app.rules.newcomers import new_arrivals
from app.rules.showing import days_text, limit, of_entry
from app.rules.testing import DUE, is_stable

_STEPS: Final = ("testing.new-first", "testing.new-second", "testing.new-third")


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkpoint:
    """A day on which an event asks for a test. `watched`: a long wait changes the state."""

    due: date
    event: Entry
    words: str
    watched: bool


def test_after_event(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """An event asks for a test of ammonia and nitrite.

    What: days 1, 3 and 7 after new animals, day 2 after the filter was cleaned, days 0, 1, 3
        and 7 after a loss, every second day of a treatment; a later test serves for all before
        it. Watch two days after the first one that nobody made was due, except for the filter.
    Why: what an event did to the filter shows after days.
    Source: common practice, no single source; when a reminder turns to watch is our own choice.
    Bad: new fish on Monday, no test on Tuesday. Good: tested on Tuesday and Thursday.
    """
    points = list(_points(snapshot, knowledge))
    if not points or not snapshot.expected_fish:
        return ()
    behind = int(knowledge.value("testing.behind-days"))
    found = []
    for quantity in (Quantity.AMMONIA, Quantity.NITRITE):
        missed = [p for p in points if not _tested(quantity, p, snapshot)]
        if not missed:
            continue
        point = max(missed, key=lambda p: (p.due, p.watched))
        slow = any(p.watched and (snapshot.today - p.due).days >= behind for p in missed)
        label = in_sentence(FACTS[quantity].label)
        day = day_text(point.event.local_day, snapshot.today)
        found.append(
            Finding(
                rule_id="water.test-after",
                severity=Severity.WATCH if slow else Severity.INFO,
                action=DUE,
                reason=f"{point.words} {day}: test what it did to the water.",
                child_reason="Something changed. A test tells more.",
                due_at=day_start(point.due, snapshot.site.zone),
                clears_when=f"A {label} test is written, with a kit in date.",
                counterfactual=f"With a {label} test since then this would not be here.",
                evidence=(of_entry(point.event, snapshot.site),),
                limits=(
                    *(limit(knowledge, key, "New animals or a loss, after") for key in _STEPS),
                    limit(knowledge, "testing.rinse", "A cleaned filter, after"),
                    limit(knowledge, "testing.behind-days", "Watch after"),
                    limit(knowledge, "testing.treatment-days", "In a treatment, every"),
                    limit(knowledge, "testing.treatment-length", "A treatment without an end"),
                    limit(knowledge, "testing.event-days", "Events looked at, up to"),
                ),
                quantity=quantity,
            )
        )
    return tuple(found)


def calm_weeks(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Two calm weeks: fewer tests are enough. It asks for nothing.

    What: the filter is ready, six tests in a row were clean, the plan wants them more often than
        every second week, and no sign, loss or treatment was written for 14 days.
    Why: tests that never tell anything new are soon not done at all.
    Source: common practice, no single source.
    Bad: (for once, the good news) six clean weekly tests. Good: four clean tests so far.
    """
    days = int(knowledge.value("testing.calm-days"))
    if (
        not snapshot.expected_fish
        or not is_stable(snapshot, knowledge)
        or not stage(snapshot, knowledge).ready
        or snapshot.tank.plan.test_days >= days
        or not _calm_since(snapshot, days)
    ):
        return ()
    newest = [snapshot.latest(q) for q in (Quantity.AMMONIA, Quantity.NITRITE)]
    return (
        Finding(
            rule_id="water.calm-weeks",
            severity=Severity.INFO,
            action=Action(
                key="calm-weeks",
                title="Calm weeks",
                child_title="Calm weeks. Well done, filter!",
                concern=Concern.ROUTINE,
                door="",
            ),
            reason=f"{days_text(days)} without a sign, and clean tests. You may test every second "
            "week.",
            child_reason="All was calm for two weeks.",
            due_at=max((r.at for r in newest if r is not None), default=snapshot.as_of),
            clears_when="A sign, a loss, a treatment or a test that is not clean is written.",
            counterfactual="With fewer clean tests this would not be here.",
            limits=(
                limit(knowledge, "testing.calm-days", "Calm for"),
                limit(knowledge, "testing.clean-tests", "Clean tests in a row"),
            ),
        ),
    )


def _points(snapshot: TankSnapshot, knowledge: Knowledge) -> Iterator[Checkpoint]:
    """The days so far on which events asked for a test; a test since then serves for each."""
    for event, offsets, words, watched in _events(snapshot, knowledge):
        age = (snapshot.today - event.local_day).days
        if age > knowledge.value("testing.event-days"):
            continue
        for days in offsets:
            if days <= age:
                due = event.local_day + timedelta(days=days)
                yield Checkpoint(due=due, event=event, words=words, watched=watched)


def _events(
    snapshot: TankSnapshot, knowledge: Knowledge
) -> Iterator[tuple[Entry, tuple[int, ...], str, bool]]:
    days = tuple(int(knowledge.value(key)) for key in _STEPS)
    for came in new_arrivals(snapshot):
        yield came, days, "New animals came", True
    for event in snapshot.stock_events:
        if event.what is StockEventKind.DIED:
            yield event, (0, *days), "An animal died", True
    for job in snapshot.jobs_of(JobKind.FILTER_RINSE, JobKind.MEDIA_REPLACED):
        yield job, (int(knowledge.value("testing.rinse")),), "The filter was cleaned", False
    step = int(knowledge.value("testing.treatment-days"))
    for job in snapshot.jobs_of(JobKind.TREATMENT):
        until = job.treatment.until if job.treatment else None
        length = int(knowledge.value("testing.treatment-length"))
        length = length if until is None else (until - job.local_day).days
        yield job, tuple(range(step, length + 1, step)), "A treatment began", True


def _tested(quantity: Quantity, point: Checkpoint, snapshot: TankSnapshot) -> bool:
    start: datetime = max(day_start(point.due, snapshot.site.zone), point.event.happened_at)
    return any(r.at >= start and not r.kit_doubtful for r in snapshot.of(quantity))


def _calm_since(snapshot: TankSnapshot, days: int) -> bool:
    near = [e for e in (*snapshot.stock_events, *snapshot.jobs) if _is_trouble(e)]
    near += [o for o in snapshot.observations if o.signs or o.breathing_calm is False]
    return all((snapshot.today - e.local_day).days > days for e in near)


def _is_trouble(entry: Entry) -> bool:
    job = getattr(entry, "job", None)
    what = getattr(entry, "what", None)
    return job is JobKind.TREATMENT or what is StockEventKind.DIED


RULES: Final = (
    Rule(
        id="water.test-after",
        title="A test after an event",
        why="What an event did shows after days.",
        limits=(
            *_STEPS,
            "testing.rinse",
            "testing.behind-days",
            "testing.treatment-days",
            "testing.treatment-length",
            "testing.event-days",
        ),
        check=test_after_event,
        lesson="First something changes. Then we test what it did.",
    ),
    Rule(
        id="water.calm-weeks",
        title="Calm weeks",
        why="Tests that tell nothing new are soon not done.",
        limits=("testing.calm-days", "testing.clean-tests"),
        check=calm_weeks,
        lesson="When all stays calm, we can test less often.",
    ),
)
