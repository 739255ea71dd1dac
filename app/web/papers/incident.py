"""The incident report: an adult picks days, ticks facts in, and says what was done."""

from dataclasses import dataclass
from datetime import date, timedelta

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectMultipleField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput

from app.domain.snapshot import TankSnapshot
from app.domain.wording import clock, listed
from app.services.papers import incident as service
from app.services.papers.incident import MOST_DAYS, Fact
from app.web.fields import NOT_YET, DayField, PageForm
from app.web.filters import short_day
from app.web.papers import bp
from app.web.papers.sheet import Sheet, seen, sheet_of
from app.web.request import database

_LONG = 1500
_SHORT = 80
_BACK = timedelta(days=7)
# which button was pressed: look for the facts of other days, or make the report
_FACTS = "facts"


def _told(label: str, description: str = "") -> TextAreaField:
    longest = Length(max=_LONG, message=f"Use {_LONG} letters at most.")
    return TextAreaField(label, [longest], description=description)


class IncidentForm(PageForm):
    """The days, the facts of these days, and what an adult says; nothing of it is kept."""

    first_day = DayField("First day", [InputRequired("Pick the first day.")])
    last_day = DayField("Last day", [InputRequired("Pick the last day.")])
    facts = SelectMultipleField(
        "Facts from the record", option_widget=CheckboxInput(), validate_choice=False,
        description="Tick what belongs to it. Nothing else of the record goes on the paper.",
    )  # fmt: skip
    what = _told(
        "What happened", "Write nothing about a child. Where one was there, write “a helper”."
    )
    actions = _told("What was done, and when")
    outcome = _told("How it ended")
    approved_by = StringField(
        "Which grown-up approves it", [Length(max=_SHORT, message=f"Use {_SHORT} letters at most.")]
    )
    sure = BooleanField("These words mean no child.")

    def refuse_strange_days(self, today: date) -> None:
        """Put a sentence beside days that cannot be."""
        first, last = self.first_day.data, self.last_day.data
        if first is None or last is None:
            return
        if last > today:
            self.complain("last_day", NOT_YET)
        elif last < first:
            self.complain("last_day", "The last day lies before the first.")
        elif (last - first).days >= MOST_DAYS:
            self.complain("last_day", f"Pick {MOST_DAYS} days at most.")

    @property
    def asks_for_facts(self) -> bool:
        """Whether only the facts of other days were asked for."""
        return request.form.get("step") == _FACTS

    @property
    def said(self) -> tuple[str, ...]:
        """All that was typed as text."""
        return tuple(self.text(n) for n in ("what", "actions", "outcome", "approved_by"))


@dataclass(frozen=True, slots=True)
class FactShown:
    """A fact on the paper: day and time, and what."""

    when: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IncidentPage:
    """The form, and the report as soon as it is whole; `names` are tiles that were named."""

    sheet: Sheet
    form: IncidentForm
    report: tuple[FactShown, ...] | None
    untold: bool
    names: tuple[str, ...]


@bp.route("/tank/<int:tank_id>/papers/incident", methods=["GET", "POST"])
def incident(tank_id: int) -> ResponseReturnValue:
    """Choose days and facts; show the report."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        today = snapshot.today
        form = IncidentForm(data={"first_day": today - _BACK, "last_day": today})
        if form.is_submitted():
            form.validate()
            form.refuse_strange_days(today)
        days = form.first_day.data, form.last_day.data
        found: tuple[Fact, ...] = ()
        if not (form.first_day.errors or form.last_day.errors) and days[0] and days[1]:
            found = service.facts(session, tank_id, snapshot.site, days[0], days[1])
        names = service.names_in(session, form.said)
    form.facts.choices = [(str(f.entry_id), _label(f, snapshot)) for f in found]
    page = _page(form, snapshot, found, names)
    is_wrong = form.is_submitted() and page.report is None and not form.asks_for_facts
    return render_template("papers/incident.html", page=page), 422 if is_wrong else 200


def _page(
    form: IncidentForm, snapshot: TankSnapshot, found: tuple[Fact, ...], names: tuple[str, ...]
) -> IncidentPage:
    report = None
    if form.is_submitted() and not form.asks_for_facts:
        report = _report(form, snapshot, found, names)
    chosen = set(form.facts.data or ())
    return IncidentPage(
        sheet=sheet_of(snapshot),
        form=form,
        report=report,
        untold=any(f.untold and str(f.entry_id) in chosen for f in found),
        names=names,
    )


def _report(
    form: IncidentForm, snapshot: TankSnapshot, found: tuple[Fact, ...], names: tuple[str, ...]
) -> tuple[FactShown, ...] | None:
    """The facts that were ticked in, or None with sentences beside the fields."""
    if not form.text("what"):
        form.complain("what", "Write what happened.")
    if not form.text("approved_by"):
        form.complain("approved_by", "Write which grown-up approves it.")
    if names and not form.sure.data:
        named = listed([f"“{name}”" for name in names])
        form.complain("sure", f"{named} stands on a tile. Write “a helper”, or tick this.")
    if form.errors:
        return None
    chosen = set(form.facts.data or ())
    return tuple(
        FactShown(_when(fact, snapshot), fact.text)
        for fact in found
        if str(fact.entry_id) in chosen
    )


def _when(fact: Fact, snapshot: TankSnapshot) -> str:
    return f"{short_day(fact.day)} {fact.day.year}, {clock(fact.at, snapshot.site.zone)}"


def _label(fact: Fact, snapshot: TankSnapshot) -> str:
    untold = " (pupils were not told of it yet)" if fact.untold else ""
    return f"{_when(fact, snapshot)}: {fact.text}{untold}"
