"""The page behind a link: a family's digest, or a sitter's visit."""

from collections.abc import Callable

from flask import Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from app.domain.errors import NotFound, Refused, TokenReused
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.services import photos, tasks
from app.services.photos import Photo
from app.services.sharing import digest, links, sitter, sitter_cards, sitter_sheet
from app.services.sharing.links import Link, LinkKind
from app.services.sharing.sitter import Found
from app.web.fields import new_token
from app.web.guest import bp
from app.web.guest.forms import GuestForm, VisitForm
from app.web.guest.manners import form_key
from app.web.guest.pages import CardsPage, FamilyPage, VisitPage
from app.web.request import database, now

_SAID = {"fine": "Written down. Doing nothing more is right. Thank you!"}
_TITLES = {Found.ODD: "Something is odd", Found.HELP: "I need help now"}
_CAUTIONS = ("electricity", "hands")


def _opened(token: str, *kinds: LinkKind) -> tuple[Link, TankSnapshot]:
    """The link behind a token and its tank as pupils know it; the day of use is kept.

    Raises:
        NotFound: If it does not open.
    """
    with database().reading() as session:
        link = links.open_link(session, token, *kinds, now=now())
        snapshot = tasks.snapshot_of(session, link.tank_id, now=now()).for_pupils()
    if link.last_used_on != snapshot.today:
        with database().writing() as session:
            links.mark_used(session, link.id, snapshot.today)
    return link, snapshot


@bp.get("/v/<token>")
def page(token: str) -> ResponseReturnValue:
    """What the link shows."""
    link, snapshot = _opened(token, LinkKind.FAMILY, LinkKind.SITTER)
    if link.kind is LinkKind.FAMILY:
        return _family(token, snapshot)
    return _visit_page(token, link, snapshot)


def _family(token: str, snapshot: TankSnapshot) -> ResponseReturnValue:
    is_month = request.args.get("span") == "month"
    knowledge, tank_id = load(), snapshot.tank.id
    days = int(knowledge.value("sharing.month" if is_month else "sharing.week"))
    with database().reading() as session:
        _, seen = tasks.look(session, [tank_id], now=now(), pupils=True)[tank_id]
        told = digest.digest(session, snapshot, knowledge, days=days)
        photo = photos.newest_shown(session, tank_id)
    shown = FamilyPage(
        state=seen.state,
        line=digest.STATE_LINES[seen.state],
        digest=told,
        chart_name=digest.chart_name(told.chart) if told.chart else "",
        is_month=is_month,
        other_url=url_for("guest.page", token=token, span=None if is_month else "month"),
        photo_url=_photo_url(token, photo),
    )
    svg = Markup(told.chart.svg) if told.chart else ""  # noqa: S704  # drawn by the charts
    return render_template("guest/family.html", page=shown, svg=svg)


def _visit_page(
    token: str, link: Link, snapshot: TankSnapshot, form: GuestForm | None = None, refused: str = ""
) -> ResponseReturnValue:
    knowledge = load()
    with database().reading() as session:
        plan = sitter.day_of(link, sitter.packets_of(session, link.id), snapshot)
        around = sitter_sheet.around(session, snapshot, knowledge, "visit")
        photo = photos.newest_shown(session, snapshot.tank.id)
    drawing = around.drawing
    shown = VisitPage(
        tank=snapshot.tank.name,
        day=snapshot.today,
        now=now(),
        zone=snapshot.site.zone,
        plan=plan,
        around=around,
        legend=drawing.legend if drawing else (),
        form=form or VisitForm.at(snapshot, plan.packet),
        key=form_key(token),
        said=_SAID.get(request.args.get("said", ""), ""),
        refused=refused,
        photo_url=_photo_url(token, photo),
    )
    svg = Markup(drawing.svg) if drawing else ""  # noqa: S704  # drawn from measures alone
    status = 422 if form is not None or refused else 200
    return render_template("guest/visit.html", page=shown, svg=svg), status


def _photo_url(token: str, photo: Photo | None) -> str:
    return "" if photo is None else url_for("guest.photo", token=token)


@bp.get("/v/<token>/photo.jpg")
def photo(token: str) -> ResponseReturnValue:
    """The newest photo that everybody with the tank may see."""
    link, _ = _opened(token, LinkKind.FAMILY, LinkKind.SITTER)
    with database().reading() as session:
        newest = photos.newest_shown(session, link.tank_id)
        if newest is None:
            raise NotFound(links.CLOSED)
        picture, _ = photos.picture(session, link.tank_id, newest.id, keeper=False)
    return Response(picture, mimetype="image/jpeg")


@bp.post("/v/<token>")
def visit(token: str) -> ResponseReturnValue:
    """Write a visit down once, and say what comes next."""
    link, snapshot = _opened(token, LinkKind.SITTER)
    found = _found(request.form.get("found", ""))
    form = VisitForm.at(snapshot, None)
    form.validate()
    readings, picture = form.readings(snapshot), form.picture()
    if found is Found.HELP and form.errors:
        # who needs help is not asked for digits
        form, readings, picture = VisitForm(formdata=None, data={"token": form.once}), (), None
        form.validate()
    if form.errors:
        return _visit_page(token, link, snapshot, form)
    said, once = form.visit(found, readings), form.once

    def write() -> None:
        with database().writing() as session:
            saved = sitter.write_visit(session, link, said, snapshot, token=once, now=now())
        if picture is not None:
            with database().writing() as session:
                sitter.add_photo(session, link, picture, saved, token=once, now=now())

    refused = _refusal(write)
    if refused and found is not Found.HELP:
        return _visit_page(token, link, snapshot, refused=refused)
    if found is not Found.HELP and sitter_sheet.is_outside(readings, snapshot, load()):
        # the thermometer says more than the button: whom to call, and what to leave alone
        odd = Found.ODD.value
        address = url_for("guest.cards", token=token, found=odd, chosen=sitter_cards.WARMTH)
        return redirect(address, 303)
    if found is Found.FINE:
        return redirect(url_for("guest.page", token=token, said="fine"), 303)
    return redirect(url_for("guest.cards", token=token, found=found.value), 303)


def _found(text: str) -> Found:
    """Which button was pressed; Enter in a field presses the first one."""
    try:
        return Found(text)
    except ValueError:
        return Found.FINE


def _refusal(write: Callable[[], None]) -> str:
    """Write, and give the sentence to show where that was refused, or ""."""
    try:
        write()
    except Refused as refused:
        return str(refused)
    except TokenReused:
        return "This form was saved before. What stood in it then stays. Begin again below."
    return ""


@bp.get("/v/<token>/<any(odd, help):found>")
def cards(token: str, found: str) -> ResponseReturnValue:
    """A handful of pictures with words, and what to do for each."""
    _, snapshot = _opened(token, LinkKind.SITTER)
    return _cards_page(token, snapshot, Found(found))


def _cards_page(token: str, snapshot: TankSnapshot, found: Found) -> ResponseReturnValue:
    knowledge = load()
    with database().reading() as session:
        around = sitter_sheet.around(session, snapshot, knowledge, "cards")
    shown_cards = sitter_cards.cards(found, sitter_sheet.limits_text(snapshot, knowledge))
    chosen = request.args.get("chosen", "")
    is_help = found is Found.HELP
    shown = CardsPage(
        tank=snapshot.tank.name,
        zone=snapshot.site.zone,
        title=_TITLES[found],
        is_help=is_help,
        cards=shown_cards,
        chosen=next((each for each in shown_cards if each.key == chosen), None),
        phones=around.phones,
        places=around.places,
        cautions=tuple(knowledge.cautions[key] for key in _CAUTIONS) if is_help else (),
        token=new_token(),
        key=form_key(token),
        back_url=url_for("guest.page", token=token),
    )
    return render_template("guest/cards.html", page=shown)


@bp.post("/v/<token>/<any(odd, help):found>")
def say(token: str, found: str) -> ResponseReturnValue:
    """Write down which of the pictures it is."""
    link, _ = _opened(token, LinkKind.SITTER)
    form = GuestForm()
    card = sitter_cards.card(Found(found), request.form.get("card", ""))
    if card is None or not form.validate():
        raise NotFound(links.CLOSED)

    def write() -> None:
        with database().writing() as session:
            sitter.write_sign(session, link, card.sign, card.note, token=form.once, now=now())

    _refusal(write)
    address = url_for("guest.cards", token=token, found=found, chosen=card.key)
    return redirect(address, 303)
