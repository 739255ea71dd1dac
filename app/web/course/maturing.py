"""How far the filter has grown: in words, with the days of its stages and never a promised one."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from flask import render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.maturing import Stage
from app.domain.quantities import FACTS, Quantity
from app.domain.tank import Tank
from app.domain.wording import full_day
from app.rules.maturing import ORDER
from app.rules.stall_checks import StallCheck
from app.services import board, stages, tasks
from app.services import maturing as service
from app.services.maturing import FilterProgress, StageLine
from app.web.course import bp
from app.web.request import database, now, show_state
from app.web.rights import may_open
from app.web.task_card import EvidenceRow, evidence_row

_DOORS: Final = {
    "test": ("writing.test", "Write down a test"),
    "change": ("writing.change", "Write down a water change"),
    "animals": ("livestock.overview", "Fish and plants"),
    "sum": ("workings.work_by_adult", "Work the amount out"),
}
# where the answer to a check is written down
_ANSWERS: Final = {
    "filter": ("writing.look", "Look, and write it down"),
    "chlorine": ("writing.change", "Write down a water change"),
    "acid": ("writing.test", "Test KH and pH"),
    "cold": ("writing.look", "Read the thermometer"),
    "too-much": ("writing.test", "Test ammonia and nitrite"),
    "media": ("writing.job", "Write down what was done"),
    "treatment": ("trouble.treatment", "Write a treatment down"),
    "kit": ("tank.kits", "Look at the test kits"),
}
_FOUND: Final = {True: "Yes, it may be this", False: "No", None: "Not known"}
_CHARTS: Final = (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE)


@dataclass(frozen=True, slots=True)
class Link:
    """An address and its words; both are empty where there is nothing to open."""

    label: str = ""
    url: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One thing to look at when nothing moves, and what the record says to it."""

    title: str
    word: str
    answer: str
    link: Link


@dataclass(frozen=True, slots=True, kw_only=True)
class MaturingPage:
    """The page of a maturing filter. `since` is the day on which the present stage began, or ""."""

    tank: Tank
    progress: FilterProgress
    since: str
    stages: tuple[tuple[str, str, str, bool], ...]
    tests: tuple[tuple[str, str, str, str, str], ...]
    added: tuple[EvidenceRow, ...]
    steps: tuple[tuple[str, Link], ...]
    checks: tuple[CheckRow, ...]
    charts: tuple[Link, ...]


@bp.get("/tank/<int:tank_id>/maturing")
def maturing(tank_id: int) -> ResponseReturnValue:
    """Where this filter is, why, what comes next, and what may hold it back."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        told = stages.recalled(session, [snapshot])[tank_id]
        fresh = service.to_keep(session, snapshot, seen)
    board.keep(database(), fresh)
    show_state(seen)
    progress = service.progress_of(told)
    today = told.today
    page = MaturingPage(
        tank=told.tank,
        progress=progress,
        since=next((_day(s.on, today) for s in progress.lines if s.is_now and s.on), ""),
        stages=tuple(
            (s.title, s.sign, _seen(s, progress.now.stage, today), s.is_now) for s in progress.lines
        ),
        tests=tuple(
            (
                _day(t.on, today),
                url_for("story.entry", tank_id=tank_id, entry_id=t.entry_id),
                t.ammonia,
                t.nitrite,
                t.nitrate or "–",
            )
            for t in progress.tests
        ),
        added=tuple(evidence_row(e, told, linked=True) for e in progress.added),
        steps=tuple((step.text, _link(tank_id, step.door)) for step in progress.steps),
        checks=tuple(_checks(tank_id, progress.now.stall_checks)),
        charts=tuple(
            Link(
                FACTS[each].label,
                url_for("charts.chart", tank_id=tank_id, quantity=each.value, days="90"),
            )
            for each in _CHARTS
        ),
    )
    return render_template("course/maturing.html", page=page)


def _day(day: date, today: date) -> str:
    return full_day(day) if day.year == today.year else f"{full_day(day)} {day.year}"


def _seen(line: StageLine, now: Stage, today: date) -> str:
    if line.on is not None:
        return _day(line.on, today)
    if line.stage is Stage.IDLE:
        return "–"
    return "not seen yet" if ORDER.index(line.stage) > ORDER.index(now) else "no day written"


def _link(tank_id: int, door: str) -> Link:
    if not door:
        return Link()
    endpoint, label = _DOORS[door]
    if not may_open(endpoint):
        return Link()
    slug = "maturing" if door == "sum" else None
    return Link(label, url_for(endpoint, tank_id=tank_id, slug=slug))


def _checks(tank_id: int, checks: tuple[StallCheck, ...]) -> Iterator[CheckRow]:
    for check in checks:
        endpoint, label = _ANSWERS[check.key]
        asks = check.found is None and may_open(endpoint)
        link = Link(label, url_for(endpoint, tank_id=tank_id)) if asks else Link()
        yield CheckRow(title=check.title, word=_FOUND[check.found], answer=check.answer, link=link)
