"""What the templates of this folder get."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final

from flask import current_app, url_for

from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.domain.wording import until_text, when_text
from app.knowledge.model import Advice, Basis, Step
from app.services import set_up, words
from app.services.access.people import Visitor
from app.services.course import Course, StepState, wait_words
from app.services.story import StoryLine
from app.web.rights import may_open, may_save
from app.web.saved import SavedLine, saved_line
from app.web.tank.after import STARTING

# the pages on which what belongs to a step is written down, with what their links say
_DOORS: Final[Mapping[str, tuple[tuple[str, str, dict[str, Any]], ...]]] = {
    "starting.people": (("Place and people", "tank.place", STARTING),),
    "starting.place": (
        ("Place and people", "tank.place", STARTING),
        ("Outlets and equipment", "tank.equipment", {}),
        ("The full weight", "workings.work", {"slug": "weight"}),
    ),
    "starting.sand": (
        ("Sand to buy", "workings.work", {"slug": "sand"}),
        ("Measure the tank", "tank.change", STARTING),
    ),
    "starting.plants": (("Plants", "plants.plants", {}),),
    "starting.water": (("Measure the tank", "tank.change", STARTING),),
    "starting.filter": (
        ("Equipment", "tank.equipment", {}),
        ("Hours of light", "tank.change", STARTING),
    ),
    "starting.heater": (
        ("Set point", "tank.place", STARTING),
        ("Its lowest line", "tank.change", STARTING),
        ("Equipment", "tank.equipment", {}),
    ),
    "starting.cover": (("Place and people", "tank.place", STARTING),),
    "starting.maturing": (("How far the filter is", "course.maturing", {}),),
    "starting.apart": (("What if? Before buying", "ideas.before_buying", {}),),
    "starting.first": (("Add a group", "livestock.add", {}),),
    "starting.batches": (("Fish and plants", "livestock.overview", {}),),
    "closing.homes": (("Fish and plants", "livestock.overview", {}),),
    "closing.animals": (("Animals left or died", "writing.animals", {}),),
    "closing.plants": (("Plants", "plants.plants", {}),),
    "closing.gear": (("Equipment", "tank.equipment", {}),),
}
Link = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepShown:
    """One step of the list. `done` says when and by whom, `until` how long the next one waits.

    `margin` is its number with a word; `url` leads to its own page, `entry_url` to its entry.
    """

    name: str
    title: str
    lines: tuple[str, ...]
    check: str
    tick: str
    margin: tuple[str, str]
    done: str
    until: str
    wait: str
    known: tuple[str, ...]
    doors: tuple[Link, ...]
    cautions: tuple[tuple[str, tuple[str, ...]], ...]
    basis: str
    is_next: bool
    may_save: bool
    url: str
    entry_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoursePage:
    """A way in its parts, each with its steps; what is next, and what one waits for.

    `lived_in`: animals are written in the tank. `token` and `hands` are for the one button.
    """

    tank: Tank
    parts: tuple[tuple[str, tuple[StepShown, ...]], ...]
    next_one: StepShown | None
    waiting: tuple[str, ...]
    lived_in: bool
    token: str
    hands: int
    saved: SavedLine | None


def course_page(
    found: Course, snapshot: TankSnapshot, visitor: Visitor, token: str, saved: StoryLine | None
) -> CoursePage:
    """The page of one way from how far the tank is; `token` is for its one button."""
    shown = tuple(_steps(found, snapshot))
    tank_id = snapshot.tank.id
    parts = groupby(zip(found.steps, shown, strict=True), key=lambda pair: pair[0].step.part)
    return CoursePage(
        tank=snapshot.tank,
        parts=tuple((part, tuple(step for _, step in pairs)) for part, pairs in parts),
        next_one=next((step for step in shown if step.is_next), None),
        waiting=tuple(f"{s.step.title}: until {_until(s, found, snapshot)}" for s in found.waiting),
        lived_in=bool(snapshot.expected_fish),
        token=token,
        hands=visitor.author_id,
        saved=saved_line(saved, tank_id, visitor, found.now) if saved else None,
    )


def step_shown(found: Course, name: str, snapshot: TankSnapshot) -> StepShown:
    """One step as its own page shows it."""
    wanted = found.state(name)
    pairs = zip(found.steps, _steps(found, snapshot), strict=True)
    return next(shown for state, shown in pairs if state is wanted)


def _steps(found: Course, snapshot: TankSnapshot) -> Iterator[StepShown]:
    known = set_up.known_at_steps(snapshot)
    for number, state in enumerate(found.steps, start=1):
        yield _step(number, state, found, snapshot, known.get(state.step.key, ()))


def _step(
    number: int, state: StepState, found: Course, snapshot: TankSnapshot, known: tuple[str, ...]
) -> StepShown:
    step, tank_id, zone = state.step, snapshot.tank.id, snapshot.site.zone
    is_next = state is found.next_one
    waits = state.waits(found.now)
    done = entry_url = ""
    if state.tick is not None:
        done = f"{when_text(state.tick.at, zone, found.now)}, {state.tick.by}"
        entry_url = url_for("story.entry", tank_id=tank_id, entry_id=state.tick.entry_id)
    word = "wait" if waits else "done" if state.tick else "next" if is_next else ""
    return StepShown(
        name=step.name,
        title=step.title,
        lines=step.lines,
        check=step.check,
        tick=step.tick,
        margin=(str(number), word),
        done=done[:1].upper() + done[1:],
        until=_until(state, found, snapshot) if waits else "",
        wait=wait_words(step.wait) if step.wait else "",
        known=known,
        doors=_doors(step.key, tank_id),
        cautions=tuple((c.title, c.lines) for c in words.cautions(step.cautions)),
        basis=basis_words(step),
        is_next=is_next,
        may_save=may_save(f"course.{found.way}_step"),
        url=url_for(f"course.{found.way}_step", tank_id=tank_id, name=step.name),
        entry_url=entry_url,
    )


def _until(state: StepState, found: Course, snapshot: TankSnapshot) -> str:
    if state.until is None:
        return ""
    return until_text(state.until, snapshot.site.zone, found.now)


def _doors(key: str, tank_id: int) -> tuple[Link, ...]:
    return tuple(
        (label, url_for(endpoint, tank_id=tank_id, **more))
        for label, endpoint, more in _DOORS.get(key, ())
        if may_open(endpoint)
        if endpoint in current_app.view_functions
    )


def basis_words(said: Step | Advice) -> str:
    """Where the lines of a step or an advice come from."""
    source = words.source_named(said.source)
    if source is None:
        return f"{said.basis.value[:1].upper()}{said.basis.value[1:]}."
    return source.title if said.basis is Basis.PUBLISHED else f"{said.basis.value}: {source.title}"
