"""The course of a tank's life in steps: which are done, which is next, what one still waits for."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from sqlalchemy.orm import Session

from app.domain.drafts import NewJob
from app.domain.errors import NotFound
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.domain.wording import count, listed, short, until_text, with_unit
from app.knowledge.load import load
from app.knowledge.model import Advice, Number, Step
from app.rules.starting import end_of, steps_of
from app.services import entries
from app.services.entries import Saved, Stamp
from app.storage.queries import steps as query
from app.storage.queries.steps import Tick

Way = Literal["starting", "closing"]
STARTING: Final[Way] = "starting"
CLOSING: Final[Way] = "closing"
_UNIT_WORDS: Final = {"min": ("minute", "minutes"), "days": ("day", "days")}


@dataclass(frozen=True, slots=True)
class StepState:
    """A step, its last tick or None, and until when the next one waits, or None."""

    step: Step
    tick: Tick | None
    until: datetime | None

    def waits(self, now: datetime) -> bool:
        """Whether it is ticked off, and its wait is not over."""
        return self.until is not None and self.until > now


@dataclass(frozen=True, slots=True)
class Course:
    """The steps of one way, in their order, as of `now`."""

    way: Way
    now: datetime
    steps: tuple[StepState, ...]

    @property
    def next_one(self) -> StepState | None:
        """The first step that is not ticked off, or None when all are."""
        return next((s for s in self.steps if s.tick is None), None)

    @property
    def waiting(self) -> tuple[StepState, ...]:
        """The steps whose wait is not over."""
        return tuple(s for s in self.steps if s.waits(self.now))

    def state(self, name: str) -> StepState:
        """The step called `name`.

        Raises:
            NotFound: If this way has no such step.
        """
        for each in self.steps:
            if each.step.name == name:
                return each
        raise NotFound("There is no such step.")

    def before(self, name: str) -> tuple[StepState, ...]:
        """The steps before this one that are open, or whose wait is not over."""
        place = self.steps.index(self.state(name))
        return tuple(s for s in self.steps[:place] if s.tick is None or s.waits(self.now))


def course(session: Session, tank: Tank, way: Way, *, now: datetime) -> Course:
    """How far a tank is on its way; a tank without a heater has no step for it."""
    ticked = query.ticks(session, tank.id)
    wanted = steps_of(f"{way}.", tank, load())
    return Course(way, now, tuple(_state(step, ticked.get(step.key)) for step in wanted))


def _state(step: Step, tick: Tick | None) -> StepState:
    return StepState(step, tick, end_of(step, tick.at) if tick is not None else None)


def wait_words(wait: Number) -> str:
    """A wait in words: "24 h", "7 days", "30 minutes"."""
    if wait.unit == "h":
        return with_unit(short(wait.value), "h")
    return count(int(wait.value), *_UNIT_WORDS[wait.unit])


def doubts(found: Course, name: str, snapshot: TankSnapshot) -> tuple[str, ...]:
    """What speaks against ticking a step off now, in sentences; empty when nothing does."""
    before, zone = found.before(name), snapshot.site.zone
    still_open = [s.step.title for s in before if s.tick is None]
    return tuple(
        [f"Still open: {'; '.join(still_open)}."] * bool(still_open)
        + [
            f"{s.step.title}: wait until {until_text(s.until, zone, found.now)}."
            for s in before
            if s.until is not None
        ]
        + _not_yet(found.state(name).step, snapshot)
    )


def _not_yet(step: Step, snapshot: TankSnapshot) -> list[str]:
    """What the record says against a step that is about it."""
    if step.key == "starting.people" and not _both_named(snapshot.tank):
        return ["Not written yet: both names and phone numbers, under Place and people."]
    if step.key == "closing.animals" and snapshot.expected_fish:
        left = listed([f"{group.count} {group.name}" for group in snapshot.groups if group.count])
        return [f"Still written here: {left}."]
    return []


def _both_named(tank: Tank) -> bool:
    return all((tank.adult, tank.adult_phone, tank.deputy, tank.deputy_phone))


def tick_off(session: Session, stamp: Stamp, step: Step, note: str, *, now: datetime) -> Saved:
    """Write down that a step is done; a form that comes twice counts once.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the time lies ahead of the clock, or the tank is closed.
        TokenReused: If the same form was saved before with other values.
    """
    return entries.record(
        session, stamp, NewJob(job=JobKind.STEP, step=step.key, note=note), now=now
    )


def advice(key: str) -> Advice:
    """The lines on one question of starting a tank: "never" or "class"."""
    return load().advice[key]
