"""The catch-up grid: a week of paper typed into one page, row by row as the paper has it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectField, StringField
from wtforms.validators import Length, Optional

from app.domain.calendar import local_day, somebody_comes, wall_time
from app.domain.drafts import (
    LONGEST_NOTE,
    MOST_ANIMALS,
    MOST_LITERS,
    MOST_SCOOPS,
    NewJob,
    NewLook,
    NewMeal,
)
from app.domain.errors import Refused, TokenReused
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Treated
from app.domain.wording import count, degrees, water_amount
from app.services import changes
from app.services.ahead import ledger
from app.services.school import catch_up as service
from app.services.school import rota
from app.services.school.catch_up import PaperDay, PaperQuestions
from app.web.fields import (
    WATER_UNITS,
    NumberField,
    PageForm,
    TimeOfDayField,
    again_name,
    choices_of,
    judge,
    unit_name,
    with_fields,
)
from app.web.papers.sheet import day_asked
from app.web.request import database
from app.web.writing import bp
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import shown
from app.web.writing.stamped import CLOCK_SLIP

DAYS = 7
# what the questions about meals rest on reaches back 60 days
MOST_DAYS_BACK = 52
_NOON = time(12)
_NOBODY = "0"


class _GridForm(PageForm):
    """Seven rows; every cell may stay empty, and an empty cell says nothing."""

    volume_unit = SelectField("Unit of water", choices=WATER_UNITS)

    def sure(self, row: int, desk: Desk) -> bool:
        """Whether a count of more animals than expected was said twice."""
        seen = self[f"seen_{row}"].number
        return seen is None or seen <= desk.snapshot.expected_fish or self[f"sure_{row}"].data


@dataclass(frozen=True, slots=True, kw_only=True)
class GridRow:
    """A row as it is shown: its number, its day, what stands written of it already.

    A day that is still to come has its row as on the paper, and nothing to type in.
    """

    at: int
    day: date
    title: str
    is_to_come: bool
    nobody_comes: bool
    known: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GridPage:
    """What the page shows."""

    desk: Desk
    form: Any
    rows: tuple[GridRow, ...]
    volume_unit: str
    earlier_url: str
    later_url: str


def _cells(row: int) -> dict[str, Any]:
    """The fields of one row by name."""
    note = Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")
    warmth = f"temperature_{row}"
    return {
        f"scoops_{row}": NumberField(
            "Fed, scoops", noun="the scoops", low=0.1, high=MOST_SCOOPS
        ),
        f"fed_again_{row}": BooleanField("Yes, food went in."),
        warmth: StringField("Temperature"),
        unit_name(warmth): StringField("Unit of the temperature"),
        again_name(warmth): StringField("Temperature, as it stands once more on the paper"),
        f"seen_{row}": NumberField(
            "Animals seen", noun="how many were seen", low=0, high=MOST_ANIMALS, whole=True
        ),
        f"sure_{row}": BooleanField("It stands so on the paper."),
        f"water_{row}": NumberField(
            "Water out and in", noun="the water that was changed", low=0.1, high=MOST_LITERS
        ),
        f"time_{row}": TimeOfDayField("Time", [Optional()], description="Empty: about noon."),
        f"hands_{row}": SelectField("Whose hands"),
        f"note_{row}": StringField("Note", [note]),
    }  # fmt: skip


GridForm = with_fields(
    _GridForm, "GridForm", {k: v for row in range(DAYS) for k, v in _cells(row).items()}
)


@dataclass(frozen=True, slots=True)
class _Week:
    """The days of a grid, from Monday to Sunday as on every paper."""

    days: tuple[date, ...]

    @classmethod
    def of(cls, day: date) -> Self:
        """The week that holds a day."""
        monday = rota.monday_of(day)
        return cls(tuple(monday + timedelta(days=at) for at in range(DAYS)))


def _form(desk: Desk, week: _Week) -> Any:
    """An empty grid; days that are still to come have no cells."""
    site = desk.snapshot.site
    units = {unit_name(f"temperature_{row}"): desk.temperature_unit for row in range(DAYS)}
    form = GridForm(data={"volume_unit": "gal" if site.us_gallons else "L", **units})
    tiles = {_NOBODY: "Don’t know"} | {str(t.author_id): t.name for t in desk.tiles}
    for row, day in enumerate(week.days):
        form[f"hands_{row}"].choices = tiles
        if day > desk.snapshot.today:
            for name in _cells(row):
                del form[name]
    return form


def _asked_week(today: date) -> _Week:
    """The week that the address asks for; by default the one with yesterday in it.

    On a Monday that is the whole week before: of this one nothing stands on paper yet.
    """
    day = day_asked("week", today - timedelta(days=1))
    return _Week.of(min(max(day, today - timedelta(days=MOST_DAYS_BACK)), today))


@bp.route("/tank/<int:tank_id>/catch-up", methods=["GET", "POST"])
def catch_up(tank_id: int) -> ResponseReturnValue:
    """Show a week to fill in, or save all of it."""
    desk = at_desk(tank_id)
    week = _asked_week(desk.snapshot.today)
    form = _form(desk, week)
    if form.is_submitted():
        days = _read(form, desk, week)
        if days is not None:
            answer = _save(desk, form, week, days)
            if answer is not None:
                return answer
    return render_template("writing/catch_up.html", page=_page(desk, form, week)), shown(form)


def _save(
    desk: Desk, form: Any, week: _Week, days: Sequence[PaperDay]
) -> ResponseReturnValue | None:
    """Save, or None with sentences and questions beside the cells."""
    try:
        with database().writing() as session:
            saved = service.record_days(
                session, desk.tank_id, form.once, days,
                author_id=desk.visitor.author_id, now=desk.now,
            )  # fmt: skip
    except TokenReused:
        form.form_errors.append(
            "This page was saved before, with other values. Look at the story, then open it anew."
        )
        return None
    except Refused as refused:
        form.form_errors.append(str(refused))
        return None
    if isinstance(saved, PaperQuestions):
        for row, day in enumerate(week.days):
            if day in saved.by_day:
                form.asked.add(f"fed_again_{row}")
                form.complain(f"scoops_{row}", saved.by_day[day])
        return None
    if any(day.temperature for day in days):
        ledger.keep(database(), desk.tank_id, now=desk.now)
    flash(f"{count(len(saved), 'entry', 'entries')} saved, marked as added later.", "saved")
    return redirect(url_for("story.story", tank_id=desk.tank_id, once=form.once), 303)


def _read(form: Any, desk: Desk, week: _Week) -> tuple[PaperDay, ...] | None:
    """The rows with something in them, or None with sentences beside the cells."""
    form.validate()
    today = desk.snapshot.today
    rows = [_row(form, desk, row, day) for row, day in enumerate(week.days) if day <= today]
    filled = tuple(each for each in rows if each is not None)
    if form.errors:
        return None
    if not filled:
        form.form_errors.append("Nothing is filled in yet.")
        return None
    return filled


def _row(form: Any, desk: Desk, row: int, day: date) -> PaperDay | None:
    note = form.text(f"note_{row}")
    scoops, seen = form[f"scoops_{row}"].number, form[f"seen_{row}"].number
    liters = changes.liters(form[f"water_{row}"].number, form.volume_unit.data)
    warmth = judge(
        form, Quantity.TEMPERATURE, name=f"temperature_{row}",
        usual=desk.usual(Quantity.TEMPERATURE),
    )  # fmt: skip
    _ask_about(form, desk, row, liters)
    if not any((note, warmth, scoops, liters, seen is not None)):
        return None
    happened_at = _moment(form, desk, row, day)
    if happened_at is None:
        return None
    tile = form[f"hands_{row}"]
    # a tile that is not offered is refused already
    hands = int(tile.data) if tile.data in choices_of(tile) else int(_NOBODY)
    noted = note if seen is not None or not liters else ""
    return PaperDay(
        day=day,
        happened_at=happened_at,
        done_by_id=hands or None,
        meal=NewMeal(scoops=scoops) if scoops else None,
        fed_again=form[f"fed_again_{row}"].data,
        temperature=warmth,
        look=NewLook(seen=None if seen is None else int(seen), note=noted)
        if seen is not None or noted
        else None,
        change=_change(liters, "" if noted else note) if liters else None,
    )


def _change(liters: float, note: str) -> NewJob:
    return NewJob(
        job=JobKind.WATER_CHANGE,
        liters_out=liters,
        liters_in=liters,
        treated=Treated.UNKNOWN,
        note=note,
    )


def _ask_about(form: Any, desk: Desk, row: int, liters: float | None) -> None:
    """Put a question beside a count or an amount of water that is more than there can be."""
    if not form.sure(row, desk):
        form.asked.add(f"sure_{row}")
        form.complain(f"seen_{row}", f"{desk.snapshot.expected_fish} are expected. Is it right?")
    net_l = changes.plan_of(desk.snapshot).net_l
    if liters is not None and net_l is not None and liters > net_l:
        held = water_amount(desk.site, net_l)
        form.complain(f"water_{row}", f"The tank holds {held} in all.")


def _moment(form: Any, desk: Desk, row: int, day: date) -> datetime | None:
    """When it happened, in UTC; None with a sentence beside the time."""
    name, zone = f"time_{row}", desk.site.zone
    told = form[name].data
    if told is None and day == desk.snapshot.today and desk.zone_now.time() < _NOON:
        return desk.now
    try:
        moment = wall_time(datetime.combine(day, told or _NOON), zone)
    except ValueError:
        form.complain(name, "The clocks went forward: that time did not exist. Write another.")
        return None
    if moment > desk.now + CLOCK_SLIP:
        form.complain(name, "That time has not come yet.")
        return None
    return moment


def _page(desk: Desk, form: Any, week: _Week) -> GridPage:
    site, today = desk.snapshot.site, desk.snapshot.today
    rows = tuple(
        GridRow(
            at=row,
            day=day,
            title=f"{day:%A} {day.day} {day:%B}",
            is_to_come=day > today,
            nobody_comes=not somebody_comes(site, day),
            known=tuple(_known(desk, day)),
            names=tuple(_cells(row)),
        )
        for row, day in enumerate(week.days)
    )
    monday, sunday = week.days[0], week.days[-1]
    return GridPage(
        desk=desk,
        form=form,
        rows=rows,
        volume_unit=WATER_UNITS["gal" if site.us_gallons else "L"],
        earlier_url=_week_url(desk, monday - timedelta(days=1)),
        later_url=_week_url(desk, sunday + timedelta(days=1)),
    )


def _week_url(desk: Desk, day: date) -> str:
    """The grid of the week with a day, "" for one to come or one that is too long ago."""
    today = desk.snapshot.today
    if day > today or (today - day).days > MOST_DAYS_BACK:
        return ""
    return url_for("writing.catch_up", tank_id=desk.tank_id, week=day)


def _known(desk: Desk, day: date) -> Iterator[str]:
    """What stands written of a day already, so that it is not typed again."""
    snapshot = desk.snapshot
    meals = [f for f in snapshot.feedings if f.local_day == day]
    if meals:
        yield "fed" if len(meals) == 1 else f"fed {count(len(meals), 'time', 'times')}"
    zone = snapshot.site.zone
    warm = [r for r in snapshot.of(Quantity.TEMPERATURE) if local_day(r.at, zone) == day]
    if warm:
        yield degrees(snapshot.site, warm[-1].best)
    seen = [o.seen for o in snapshot.observations if o.local_day == day and o.seen is not None]
    if seen:
        yield f"{seen[-1]} seen"
    for job in snapshot.jobs_of(JobKind.WATER_CHANGE):
        if job.local_day == day and job.liters_out:
            yield f"{water_amount(snapshot.site, job.liters_out)} changed"
