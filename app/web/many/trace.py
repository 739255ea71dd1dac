"""Trace: which tanks shared water, nets, fish, plants or equipment, with days and the way."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final, Self

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import Form, SelectField, StringField
from wtforms.validators import Optional

from app.domain.calendar import local_day
from app.domain.errors import NotFound
from app.domain.wording import count, dated
from app.services import tanks
from app.services import trace as service
from app.services.tanks import TankLine
from app.services.trace import Asked, TracedTank
from app.web.fields import DayField
from app.web.many import bp
from app.web.request import database, id_from, now, visitor
from app.web.where import place_of_page

_LONGEST: Final = 80
_ROWS: Final = 100


class TraceForm(Form):
    """What to trace, and since which day; it stands in the address."""

    tank = SelectField("A tank", validate_choice=False)
    batch = StringField("Or a fish batch", description="The label that came with the animals.")
    lot = StringField("Or an equipment lot", description="As it stands on the heater or filter.")
    since = DayField("Since", [Optional()])

    @classmethod
    def of(cls, lines: tuple[TankLine, ...], since: date) -> Self:
        """The form as the address fills it."""
        form = cls(request.args, data={"since": since})
        form.tank.choices = {"": "–"} | {str(line.id): line.name for line in lines}
        return form

    def asked(self, lines: tuple[TankLine, ...], since: date) -> Asked | None:
        """What to trace; None with sentences beside the fields, or where nothing was asked."""
        given = {n: (self[n].data or "").strip()[:_LONGEST] for n in ("tank", "batch", "lot")}
        filled = [name for name, text in given.items() if text]
        if not filled:
            return None
        if len(filled) > 1:
            self[filled[1]].errors = ["Fill in one of the three: a tank, a batch or a lot."]
            return None
        if not self.validate():
            return None
        tank_id = id_from(given["tank"]) if given["tank"] else None
        if given["tank"] and tank_id not in {line.id for line in lines}:
            self.tank.errors = ["Choose a tank from the list."]
            return None
        return Asked(
            since=self.since.data or since,
            tank_id=tank_id,
            batch=given["batch"],
            lot=given["lot"],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TracePage:
    """The form and what was found: where it began, and where it could have come to."""

    form: TraceForm
    heading: str = ""
    since: str = ""
    began: tuple[tuple[str, str, str], ...] = ()
    reached: tuple[tuple[str, str, str, tuple[str, ...]], ...] = ()
    words: str = ""
    nothing: str = ""


@bp.get("/trace")
def trace() -> ResponseReturnValue:
    """The form; with something to trace in the address, what was found."""
    among = visitor().tank_ids
    with database().reading() as session:
        lines = (*tanks.tank_lines(session, among), *tanks.closed_lines(session, among))
        today = local_day(now(), place_of_page(session).zone)
        usual = today - timedelta(days=service.back_days())
        form = TraceForm.of(lines, usual)
        asked = form.asked(lines, usual)
        page = TracePage(form=form)
        if asked is not None:
            try:
                page = _page(form, asked, service.trace(session, asked, among=among), lines)
            except NotFound as nothing:
                page = TracePage(form=form, nothing=str(nothing))
    return render_template("many/trace.html", page=page), 422 if form.errors else 200


def _page(
    form: TraceForm, asked: Asked, found: tuple[TracedTank, ...], lines: tuple[TankLine, ...]
) -> TracePage:
    names = {line.id: line.name for line in lines}
    reached = [each for each in found if each.steps]
    return TracePage(
        form=form,
        heading=_what(asked, names),
        since=dated(asked.since),
        began=tuple((e.name, _url(e), dated(e.since)) for e in found if not e.steps),
        reached=tuple((e.name, _url(e), dated(e.since), e.steps) for e in reached[:_ROWS]),
        words=_words(len(reached)),
    )


def _what(asked: Asked, names: Mapping[int, str]) -> str:
    if asked.tank_id is not None:
        return names[asked.tank_id]
    return f"Batch {asked.batch}" if asked.batch else f"Lot {asked.lot}"


def _words(reached: int) -> str:
    if not reached:
        return "Nothing is written that would have carried it to another tank."
    more = f" The first {_ROWS} are shown." if reached > _ROWS else ""
    return f"{count(reached, 'more tank', 'more tanks')} shared something afterwards.{more}"


def _url(each: TracedTank) -> str:
    return url_for("today.today", tank_id=each.tank_id)
