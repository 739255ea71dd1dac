"""The hand-over pack for certain days and a certain person, and the debrief afterwards."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict
from wtforms import Form

from app.domain.errors import Refused
from app.domain.sitter import Packet
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.domain.wording import clock, dated
from app.knowledge.load import load
from app.services import tasks
from app.services.sharing import debrief as debriefs
from app.services.sharing import handing_over, links, sitter
from app.services.sharing.debrief import Debrief
from app.services.sharing.handing_over import Days, Pack, Person
from app.services.sharing.links import LinkKind
from app.web.fields import ChoiceField, DayField
from app.web.request import database, now
from app.web.share import bp

PERSONS = {
    Person.SITTER.value: "A sitter",
    Person.SUBSTITUTE.value: "A substitute",
    Person.TECHNICIAN.value: "A technician",
    Person.TEACHER.value: "The next teacher or keeper",
}
_WEEK = timedelta(days=6)


class DaysForm(Form):
    """For which days, and for whom."""

    person = ChoiceField("Who takes over", noun="who takes over", choices=PERSONS)
    first = DayField("First day")
    last = DayField("Last day")


@dataclass(frozen=True, slots=True, kw_only=True)
class PackPage:
    """The pack, or the questions before it."""

    tank: Tank
    form: DaysForm
    refused: str
    pack: Pack | None
    whom: str
    span: str
    printed: str
    debrief_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DebriefPage:
    """How days away went; `debrief` is None before they are over."""

    tank: Tank
    span: str
    debrief: Debrief | None
    back_url: str


def _asked(snapshot: TankSnapshot) -> DaysForm:
    today = snapshot.today
    usual = {
        "person": Person.SITTER.value,
        "first": today.isoformat(),
        "last": (today + _WEEK).isoformat(),
    }
    return DaysForm(MultiDict(usual | request.args.to_dict()))


def _packets(session: Any, snapshot: TankSnapshot, first: date, last: date) -> tuple[Packet, ...]:
    """The packets of the newest sitter's link of just these days."""
    for link in links.links_of(session, snapshot.tank.id):
        if link.kind is LinkKind.SITTER and (link.first_day, link.last_day) == (first, last):
            return sitter.packets_of(session, link.id)
    return ()


@bp.get("/tank/<int:tank_id>/share/hand-over")
def hand_over(tank_id: int) -> ResponseReturnValue:
    """Make the pack for the days and the person that the address names."""
    knowledge, made, refused = load(), None, ""
    with database().reading() as session:
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
        form = _asked(snapshot)
        if form.validate() and form.first.data and form.last.data:
            first, last, person = form.first.data, form.last.data, Person(form.person.data)
            packets = _packets(session, snapshot, first, last) if person is Person.SITTER else ()
            try:
                days = Days(first, last, packets)
                made = handing_over.pack(session, snapshot, person, days, knowledge)
            except Refused as error:
                refused = str(error)
    at = clock(now(), snapshot.site.zone)
    page = PackPage(
        tank=snapshot.tank,
        form=form,
        refused=refused,
        pack=made,
        whom=PERSONS.get(form.person.data or "", ""),
        span="" if made is None else f"{dated(made.first)} to {dated(made.last)}",
        printed=f"printed {dated(snapshot.today)}, {at}",
        debrief_url=""
        if made is None
        else url_for("share.debrief", tank_id=tank_id, first=made.first, last=made.last),
    )
    return render_template("share/hand_over.html", page=page), 200 if made else 422


@bp.get("/tank/<int:tank_id>/share/debrief")
def debrief(tank_id: int) -> ResponseReturnValue:
    """How the days went that the address names."""
    with database().reading() as session:
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
        form = _asked(snapshot)
        form.validate()
        first = form.first.data or snapshot.today
        last = form.last.data or snapshot.today
        told = None
        if first <= last < snapshot.today:
            packets = _packets(session, snapshot, first, last)
            told = debriefs.debrief(session, snapshot, Days(first, last, packets), load())
    page = DebriefPage(
        tank=snapshot.tank,
        span=f"{dated(first)} to {dated(last)}",
        debrief=told,
        back_url=url_for("share.overview", tank_id=tank_id),
    )
    return render_template("share/debrief.html", page=page)
