"""Range templates: ranges that several tanks share, and the tanks that differ from them."""

from dataclasses import dataclass
from typing import Any, Final, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import SelectField, SelectMultipleField, StringField
from wtforms.validators import Length
from wtforms.widgets import CheckboxInput

from app.domain.errors import Refused
from app.domain.quantities import FACTS
from app.domain.tank import Range, Site
from app.domain.wording import count, listed
from app.services import target_templates as service
from app.services.board import tank_places
from app.services.target_templates import TankOnIt, Template
from app.web.fields import PageForm
from app.web.many import bp
from app.web.range_form import RANGED, ends_text, range_form, typed_ranges, unit_words
from app.web.request import database, id_from, visitor
from app.web.where import place_of_page

_ROWS: Final = 60


class NameForm(PageForm):
    """The name of a new template."""

    name = StringField(
        "Name", [Length(max=80, message="Use 80 letters at most.")],
        description="Such as: tropical, cold water.",
    )  # fmt: skip


class PutOnForm(PageForm):
    """Which tanks get the template: one, all of a place, all of a round."""

    tank = SelectField("One tank", default="")
    place = SelectField("All tanks of", default="")
    round = SelectField("All tanks of the round", default="")

    @classmethod
    def of(cls, session: Session) -> Self:
        """The form with the tanks that this visitor looks after."""
        form = cls(prefix="on-")
        places = tank_places(session, visitor().tank_ids)
        rounds = sorted({p.round for p in places if p.round}, key=str.casefold)
        form.tank.choices = {"": "–"} | {str(p.tank_id): p.name for p in places}
        form.place.choices = {"": "–"} | {str(p.site_id): p.site_name for p in places}
        form.round.choices = {"": "–"} | {name: name for name in rounds}
        form.chosen = tuple(
            p.tank_id
            for p in places
            if str(p.tank_id) == form.tank.data
            or str(p.site_id) == form.place.data
            or (p.round and p.round == form.round.data)
        )
        return form

    chosen: tuple[int, ...] = ()


class TakeOffForm(PageForm):
    """Tanks that are taken off a template."""

    tanks = SelectMultipleField("Take off", option_widget=CheckboxInput(), validate_choice=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplatesPage:
    """All templates as (name, ranges in words, tanks, address), and the form for one more."""

    templates: tuple[tuple[str, str, str, str], ...]
    form: NameForm


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplatePage:
    """One template: its ranges, and its tanks as (number, name, how it differs, address)."""

    template: Template
    form: Any
    rows: tuple[tuple[str, str, str, str], ...]
    on_form: PutOnForm
    tanks: tuple[tuple[int, str, str, str], ...]
    tank_words: str
    before_url: str
    after_url: str


@bp.route("/templates", methods=["GET", "POST"])
def templates() -> ResponseReturnValue:
    """Show the templates; begin one."""
    form = NameForm()
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                fresh = service.add(session, form.text("name"))
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            return redirect(url_for("many.template", template_id=fresh), 303)
    with database().reading() as session:
        site = place_of_page(session)
        found = service.templates(session)
    page = TemplatesPage(
        templates=tuple(
            (
                each.name,
                _ranges_text(each.ranges, site),
                count(each.tanks, "tank", "tanks"),
                url_for("many.template", template_id=each.id),
            )
            for each in found
        ),
        form=form,
    )
    return render_template("many/templates.html", page=page), 422 if form.is_submitted() else 200


@bp.route("/templates/<int:template_id>", methods=["GET", "POST"])
def template(template_id: int) -> ResponseReturnValue:
    """Show one template; change its ranges."""
    with database().reading() as session:
        known, site = service.template(session, template_id), place_of_page(session)
    form = range_form(site, known.range_of)
    typed = typed_ranges(form, site) if form.is_submitted() else None
    if typed is not None:
        try:
            with database().writing() as session:
                service.set_ranges(session, template_id, typed, among=visitor().tank_ids)
        except Refused as refused:
            form.complain(f"{RANGED[0].value}_low", str(refused))
        else:
            flash("The ranges are saved. They hold for all tanks on this template.", "saved")
            return _back(template_id)
    return _shown(known, site, form), 422 if form.is_submitted() else 200


@bp.post("/templates/<int:template_id>/put-on")
def put_on_template(template_id: int) -> ResponseReturnValue:
    """Put tanks on a template."""
    with database().reading() as session:
        form = PutOnForm.of(session)
    if form.validate() and form.chosen:
        with database().writing() as session:
            service.put_on(session, template_id, form.chosen)
        flash(f"{count(len(form.chosen), 'tank is', 'tanks are')} on this template now.", "saved")
    else:
        flash("No tank was chosen. Choose one, or all of a place or a round.", "not-saved")
    return _back(template_id)


@bp.post("/templates/<int:template_id>/take-off")
def take_off_template(template_id: int) -> ResponseReturnValue:
    """Take tanks off a template; only those on it that this visitor looks after."""
    chosen = {id_from(text) for text in TakeOffForm().tanks.data or ()}
    with database().writing() as session:
        on_it = service.tanks_on(session, template_id, among=visitor().tank_ids)
        off = [each.tank_id for each in on_it if each.tank_id in chosen]
        if off:
            service.put_on(session, None, off)
    flash(f"{count(len(off), 'tank was', 'tanks were')} taken off.", "saved")
    return _back(template_id)


@bp.post("/templates/<int:template_id>/remove")
def remove_template(template_id: int) -> ResponseReturnValue:
    """Strike a template on which no tank is."""
    try:
        with database().writing() as session:
            service.remove(session, template_id)
    except Refused as refused:
        flash(str(refused), "not-saved")
        return _back(template_id)
    flash("The template is struck.", "saved")
    return redirect(url_for("many.templates"), 303)


def _back(template_id: int) -> ResponseReturnValue:
    return redirect(url_for("many.template", template_id=template_id), 303)


def _shown(known: Template, site: Site, form: Any) -> str:
    start = id_from(request.args.get("start", "")) or 0
    with database().reading() as session:
        on_it = service.tanks_on(session, known.id, among=visitor().tank_ids)
        on_form = PutOnForm.of(session)
    differing = sum(bool(each.own) for each in on_it)
    # those that differ stand first
    in_order = sorted(on_it, key=lambda each: not each.own)
    page = TemplatePage(
        template=known,
        form=form,
        rows=tuple(
            (f"{q.value}_low", f"{q.value}_high", FACTS[q].label, unit_words(site.unit_of(q)))
            for q in RANGED
        ),
        on_form=on_form,
        tanks=tuple(_tank_row(each, site) for each in in_order[start : start + _ROWS]),
        tank_words=f"{count(len(on_it), 'tank', 'tanks')}, {differing} with ranges of their own",
        before_url=_part(known.id, start - _ROWS) if start else "",
        after_url=_part(known.id, start + _ROWS) if start + _ROWS < len(on_it) else "",
    )
    return render_template("many/template.html", page=page)


def _part(template_id: int, start: int) -> str:
    return url_for("many.template", template_id=template_id, start=max(start, 0))


def _tank_row(each: TankOnIt, site: Site) -> tuple[int, str, str, str]:
    own = _ranges_text(each.own, site) if each.own else ""
    return each.tank_id, each.name, own, url_for("tank.ranges", tank_id=each.tank_id)


def _ranges_text(ranges: tuple[Range, ...], site: Site) -> str:
    said = [
        f"{FACTS[r.quantity].label} {ends_text(r.low, r.high, site.unit_of(r.quantity))}"
        for r in ranges
    ]
    return listed(said) if said else "no range yet"
