"""Bring in a calendar: choose a file, say of each event what it is, save."""

import hashlib
from dataclasses import dataclass
from typing import Any, Final

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.file import FileField
from wtforms import SelectField

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.tank import DayKind, Site
from app.domain.wording import count, dated
from app.services.school import school_days
from app.services.school.calendar_file import CalendarFile, read_calendar
from app.services.school.calendar_times import Days
from app.services.school.school_days import News, Offer
from app.web.fields import with_fields
from app.web.handed_in import FileForm, handed_in
from app.web.request import database, now
from app.web.settings import bp
from app.web.settings.breaks import KIND_WORDS
from app.web.where import place_of_page

MOST_SHOWN: Final = 60
_LEAVE, _STRIKE = "", "strike"
_KINDS: Final = {
    DayKind.HOLIDAY.value: KIND_WORDS[DayKind.HOLIDAY],
    DayKind.STAFF.value: KIND_WORDS[DayKind.STAFF],
}
_BREAK: Final = {DayKind.BREAK.value: KIND_WORDS[DayKind.BREAK]}


class CalendarForm(FileForm):
    """The file with the calendar; the choice for each event comes with it."""

    file = FileField(
        "The calendar’s file",
        description="A file that ends in .ics. Most calendars can save one: export or download.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """One event to choose for: the name of its field, what it is, what is new about it."""

    field: str
    name: str
    days: str
    news: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarPage:
    """The form, the events that want a choice, and in words what else the file holds."""

    form: Any
    rows: tuple[EventRow, ...]
    findings: tuple[str, ...]


@bp.route("/settings/calendar", methods=["GET", "POST"])
def calendar() -> ResponseReturnValue:
    """Choose a file, look at its events, save those that matter."""
    with database().reading() as session:
        place = place_of_page(session)
        known = school_days.written(session, place.id)
    today = local_day(now(), place.zone)
    form = CalendarForm()
    found = _read(form, place) if form.is_submitted() else None
    news: tuple[Offer, ...] = ()
    if found is not None:
        offers = school_days.offers(found.events, known, today=today)
        news = tuple(offer for offer in offers if offer.news is not News.SAME)[:MOST_SHOWN]
        form = _with_choices(news, form, chosen=bool(request.form.get("save")))
        if request.form.get("save") and form.validate():
            return _save(place, news, form)
        page = CalendarPage(form=form, rows=_rows(news), findings=_findings(found, offers, news))
    else:
        page = CalendarPage(form=form, rows=(), findings=())
    status = 422 if form.is_submitted() and found is None else 200
    return render_template("settings/calendar.html", page=page), status


def _read(form: CalendarForm, place: Site) -> CalendarFile | None:
    """The file that was handed in now or a page ago, or None with a sentence beside it."""
    if not form.validate():
        return None
    content = handed_in(form)
    if content is None:
        return None
    try:
        return read_calendar(content, place.zone, today=local_day(now(), place.zone))
    except Refused as refused:
        form.complain("file", str(refused))
        return None


def _with_choices(news: tuple[Offer, ...], form: CalendarForm, *, chosen: bool) -> Any:
    """The form with a choice for each event, at first as it is guessed or written."""
    fields = {_field(offer): _choice(offer) for offer in news}
    kind = with_fields(CalendarForm, "EventsForm", fields)
    if chosen:
        return kind()
    made = kind(formdata=None, data={"token": form.once, "file_name": form.file_name.data})
    made.token.data = form.once
    return made


def _choice(offer: Offer) -> SelectField:
    label = f"What is {offer.event.name or 'this event'}"
    if offer.news is News.CALLED_OFF:
        choices = {_LEAVE: "Keep it", _STRIKE: "Strike it"}
        return SelectField(label, choices=choices, default=_STRIKE)
    is_break = offer.guess is DayKind.BREAK
    leave = "Leave it as it was" if offer.news is News.CHANGED else "Leave it out"
    choices = {_LEAVE: leave} | _KINDS | (_BREAK if is_break else {})
    return SelectField(label, choices=choices, default=offer.guess.value if offer.guess else "")


def _save(place: Site, news: tuple[Offer, ...], form: Any) -> ResponseReturnValue:
    choices: dict[str, DayKind | None] = {}
    for offer in news:
        chosen = form[_field(offer)].data
        if chosen != _LEAVE:
            choices[offer.event.uid] = None if chosen == _STRIKE else DayKind(chosen)
    with database().writing() as session:
        changed = school_days.bring_in(
            session, place.id, news, choices, today=local_day(now(), place.zone)
        )
    flash(f"{count(changed, 'event is', 'events are')} saved.", "saved")
    return redirect(url_for("settings.breaks"), 303)


def _field(offer: Offer) -> str:
    """A name for the choice of an event that any page can carry."""
    return f"event-{hashlib.sha256(offer.event.uid.encode()).hexdigest()[:16]}"


def _rows(news: tuple[Offer, ...]) -> tuple[EventRow, ...]:
    return tuple(
        EventRow(
            field=_field(offer),
            name=offer.event.name or "Without a name",
            days=_days_text(offer.event.days),
            news=_news_text(offer),
        )
        for offer in news
    )


def _news_text(offer: Offer) -> str:
    if offer.news is News.NEW:
        return "New" if offer.event.whole_days else "New, with a time of day"
    if offer.news is News.CALLED_OFF:
        return "Called off"
    first = offer.known[0]
    was = _days_text(tuple(Days(each.first_day, each.last_day) for each in offer.known))
    name = "" if first.name == offer.event.name else f"{first.name or 'Without a name'}, "
    return f"Changed. Before: {name}{was} ({KIND_WORDS[first.kind].lower()})"


def _days_text(days: tuple[Days, ...]) -> str:
    """The days of an event: one day, from one to another, or how many times and between which."""
    if not days:
        return "No day ahead"
    first, last = days[0].first, days[-1].last
    if len(days) > 1:
        return f"{count(len(days), 'time', 'times')}, {dated(first)} to {dated(last)}"
    return dated(first) if first == last else f"{dated(first)} to {dated(last)}"


def _findings(
    found: CalendarFile, offers: tuple[Offer, ...], news: tuple[Offer, ...]
) -> tuple[str, ...]:
    same = sum(offer.news is News.SAME for offer in offers)
    more = len(offers) - same - len(news)
    parts = (
        (same, "event stands here already", "events stand here already"),
        (found.over, "event is over", "events are over"),
        (found.unclear, "event cannot be read", "events cannot be read"),
        (more, "event more is not shown", "events more are not shown"),
    )
    return tuple(f"{count(number, one, many)}." for number, one, many in parts if number)
