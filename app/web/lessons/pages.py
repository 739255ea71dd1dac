"""What the templates of this folder get."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from flask import url_for
from markupsafe import Markup

from app.domain.calendar import local_day
from app.domain.snapshot import TankSnapshot
from app.domain.wording import clock, dated
from app.knowledge.lessons import Lesson
from app.knowledge.model import Caution, Knowledge
from app.services.lessons.found import Found
from app.services.lessons.model import Filled, Guided
from app.services.lessons.month import Month, sheet
from app.services.lessons.registry import GUIDED, MONTH
from app.web.request import now

LinkTo = tuple[str, str]
"""Words and address."""

# pages that belong to the place and not to one tank
_OF_A_PLACE = "settings."


@dataclass(frozen=True, slots=True)
class LessonLine:
    """A guided lesson in the list."""

    title: str
    url: str
    ages: str
    question: str


@dataclass(frozen=True, slots=True)
class MonthChoice:
    """A month in the chooser."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OverviewPage:
    """The months, what the chosen one shows, and the guided lessons."""

    tank_id: int
    months: tuple[MonthChoice, ...]
    month_label: str
    minutes: int
    found: tuple[LinkTo, ...]
    lacking: tuple[str, ...]
    guided: tuple[LessonLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """A sheet for pupils, or its answers: the same lesson, filled with the tank's numbers.

    `is_guided` sheets show what is needed and each step; the others only the questions.
    """

    tank_id: int
    tank: str
    place: str
    printed: str
    title: str
    lead: str
    lesson: Lesson
    minutes: int
    filled: Filled
    svg: Markup
    told_svg: Markup
    is_guided: bool
    sheet_url: str
    answers_url: str
    back_url: str
    doors: tuple[LinkTo, ...]
    lacking: tuple[tuple[str, LinkTo], ...]
    cautions: tuple[Caution, ...]
    standards: tuple[str, ...]


def month_value(first: date) -> str:
    """A month as an address writes it: "2027-02"."""
    return f"{first:%Y-%m}"


def month_label(first: date) -> str:
    """A month for people: "February 2027"."""
    return f"{first:%B} {first.year}"


def overview_page(
    tank_id: int, months: tuple[date, ...], month: Month, knowledge: Knowledge
) -> OverviewPage:
    """The page around what a month shows."""
    value = month_value(month.first)
    return OverviewPage(
        tank_id=tank_id,
        months=tuple(
            MonthChoice(month_value(each), month_label(each), each == month.first)
            for each in months
        ),
        month_label=month_label(month.first),
        minutes=int(knowledge.value("lesson.minutes")),
        found=tuple(
            (
                found.title,
                url_for("lessons.month", tank_id=tank_id, month=value, key=found.key),
            )
            for found in month.found
        ),
        lacking=month.lacking,
        guided=tuple(_line(tank_id, knowledge.lessons[each.key]) for each in GUIDED),
    )


def _line(tank_id: int, lesson: Lesson) -> LessonLine:
    first, last = lesson.ages
    return LessonLine(
        title=lesson.title,
        url=url_for("lessons.guided", tank_id=tank_id, key=lesson.key),
        ages=f"{first} to {last} years",
        question=lesson.question,
    )


def month_sheet(
    snapshot: TankSnapshot, first: date, found: Found, knowledge: Knowledge
) -> SheetPage:
    """The sheet of one feature of a month."""
    named: dict[str, Any] = {
        "tank_id": snapshot.tank.id, "month": month_value(first), "key": found.key,
    }  # fmt: skip
    return _sheet(
        snapshot,
        sheet(found),
        knowledge,
        lesson=knowledge.lessons[MONTH],
        title=found.title,
        lead=month_label(first),
        guided=None,
        urls=(url_for("lessons.month", **named), url_for("lessons.month_answers", **named)),
        back=url_for("lessons.start", tank_id=snapshot.tank.id, month=month_value(first)),
    )


def guided_sheet(
    snapshot: TankSnapshot, guided: Guided, filled: Filled, knowledge: Knowledge
) -> SheetPage:
    """The sheet of a guided lesson."""
    lesson = knowledge.lessons[guided.key]
    named: dict[str, Any] = {"tank_id": snapshot.tank.id, "key": guided.key}
    return _sheet(
        snapshot,
        filled,
        knowledge,
        lesson=lesson,
        title=lesson.title,
        lead=lesson.question,
        guided=guided,
        urls=(url_for("lessons.guided", **named), url_for("lessons.guided_answers", **named)),
        back=url_for("lessons.start", tank_id=snapshot.tank.id),
    )


def _sheet(
    snapshot: TankSnapshot,
    filled: Filled,
    knowledge: Knowledge,
    *,
    lesson: Lesson,
    title: str,
    lead: str,
    guided: Guided | None,
    urls: tuple[str, str],
    back: str,
) -> SheetPage:
    site, tank_id = snapshot.site, snapshot.tank.id
    day = dated(local_day(now(), site.zone))
    return SheetPage(
        tank_id=tank_id,
        tank=snapshot.tank.name,
        place=site.name,
        printed=f"{day}, {clock(now(), site.zone)}",
        title=title,
        lead=lead,
        lesson=lesson,
        minutes=int(knowledge.value("lesson.minutes")),
        filled=filled,
        svg=Markup(filled.svg),  # noqa: S704  # drawn and cleaned by the charts themselves
        told_svg=Markup(filled.told_svg),  # noqa: S704
        is_guided=guided is not None,
        sheet_url=urls[0],
        answers_url=urls[1],
        back_url=back,
        doors=_doors(tank_id, guided.doors if guided else (("Write a test down", "writing.test"),)),
        lacking=tuple(
            (one.words, link)
            for one in filled.lacking
            for link in _doors(tank_id, ((one.label, one.endpoint),))
        ),
        cautions=tuple(knowledge.cautions[key] for key in lesson.cautions),
        standards=tuple(knowledge.sources[key].title for key in lesson.standards),
    )


def _doors(tank_id: int, doors: tuple[tuple[str, str], ...]) -> tuple[LinkTo, ...]:
    return tuple(
        (
            label,
            url_for(endpoint)
            if endpoint.startswith(_OF_A_PLACE)
            else url_for(endpoint, tank_id=tank_id),
        )
        for label, endpoint in doors
    )
