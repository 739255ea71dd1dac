"""Sign in with a link or the passphrase; hand the device to the class; sign out."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import Refused
from app.services import board, people, tanks
from app.web.access import bp
from app.web.access.forms import PassphraseForm
from app.web.access.pages import SignInPage, device_page, tanks_page
from app.web.request import database, forget, maybe_visitor, now, sign_in, visitor


@bp.get("/")
def home() -> ResponseReturnValue:
    """How to sign in; for who is signed in, the one tank, or the list of tanks."""
    if maybe_visitor() is None:
        return _sign_in_page(PassphraseForm())
    with database().reading() as session:
        lines = tanks.tank_lines(session)
    if len(lines) == 1:
        return redirect(url_for("today.today", tank_id=lines[0].id), code=303)
    return redirect(url_for("access.tanks"), code=303)


@bp.get("/tanks", endpoint="tanks")
def list_tanks() -> ResponseReturnValue:
    """All tanks with state and first task; with none yet, the way to set one up."""
    is_adult = visitor().is_adult
    with database().reading() as session:
        seen = board.board(session, now=now(), pupils=not is_adult)
        closed = tanks.closed_lines(session)
    board.keep(database(), seen.fresh)
    page = tanks_page(seen, closed, is_adult=is_adult)
    return render_template("access/tanks.html", page=page)


@bp.get("/sign-in/<token>")
def use_link(token: str) -> ResponseReturnValue:
    """Sign this browser in with a one-time link; again in the same browser it shows Today."""
    if request.method == "HEAD":  # a look at the address must not use it up
        return "", 204
    try:
        with database().writing() as session:
            sign_in(people.use_link(session, token, now=now()))
    except Refused as refused:
        if maybe_visitor() is None:
            return _sign_in_page(PassphraseForm(), refused=str(refused), status=404)
    return redirect(url_for("access.home"), code=303)


@bp.post("/sign-in")
def use_passphrase() -> ResponseReturnValue:
    """Sign this browser in with the passphrase."""
    form = PassphraseForm()
    if not form.validate_on_submit():
        return _sign_in_page(form, status=422)
    try:
        with database().writing() as session:
            token = people.sign_in_with_passphrase(session, form.typed(), now=now())
    except Refused as refused:
        return _sign_in_page(PassphraseForm(formdata=None), refused=str(refused), status=422)
    sign_in(token)
    return redirect(url_for("access.home"), code=303)


@bp.get("/device")
def device() -> ResponseReturnValue:
    """What this device is used for: hand it to the class, take it back, sign out."""
    with database().reading() as session:
        tiles = sum(hand.kind == "helper" for hand in people.hands(session))
        has_passphrase = people.has_passphrase(session)
    page = device_page(visitor(), tiles=tiles, has_passphrase=has_passphrase)
    return render_template("access/device.html", page=page, form=PassphraseForm())


@bp.post("/device/hand-over")
def hand_over() -> ResponseReturnValue:
    """Give this device to the class: four pages, helpers' rights."""
    with database().writing() as session:
        token = people.hand_over(session, visitor(), now=now())
    sign_in(token)
    return redirect(url_for("access.home"), code=303)


@bp.post("/device/sign-out")
def sign_out() -> ResponseReturnValue:
    """End the session of this browser, here and on the server."""
    with database().writing() as session:
        people.sign_out(session, visitor(), now=now())
    forget()
    return redirect(url_for("access.home"), code=303)


def _sign_in_page(
    form: PassphraseForm, *, refused: str = "", status: int = 200
) -> ResponseReturnValue:
    with database().reading() as session:
        page = SignInPage(people.has_passphrase(session), refused)
    return render_template("access/sign_in.html", page=page, form=form), status
