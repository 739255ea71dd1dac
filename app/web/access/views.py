"""Sign in with a link or the passphrase; sign out; where the way in leads."""

from flask import redirect, render_template, request, url_for
from flask import session as cookie
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.services import tanks
from app.services.access import passphrases, sign_ins
from app.web.access import bp
from app.web.access.forms import PassphraseForm
from app.web.access.pages import SignInPage
from app.web.request import (
    SCANNED,
    database,
    forget,
    maybe_visitor,
    now,
    origin,
    sign_in,
    visitor,
)
from app.web.rights import may_open


@bp.get("/")
def home() -> ResponseReturnValue:
    """How to sign in; for who is signed in, the one tank, or the list of tanks."""
    found = maybe_visitor()
    if found is None:
        return _sign_in_page(PassphraseForm())
    scanned = cookie.pop(SCANNED, None)
    if scanned is not None and may_open("share.arrived"):
        return redirect(url_for("share.arrived", tank_id=scanned), code=303)
    with database().reading() as session:
        lines = tanks.tank_lines(session, found.tank_ids)
    if len(lines) == 1:
        return redirect(url_for("today.today", tank_id=lines[0].id), code=303)
    return redirect(url_for("many.tanks"), code=303)


@bp.get("/sign-in/<token>")
def use_link(token: str) -> ResponseReturnValue:
    """Sign this browser in with a one-time link; again in the same browser it shows Today."""
    if request.method == "HEAD":  # a look at the address must not use it up
        return "", 204
    try:
        with database().writing() as session:
            fresh = sign_ins.use_link(session, token, now=now())
            end_earlier(session)
    except Refused as refused:
        if maybe_visitor() is None:
            return _sign_in_page(PassphraseForm(), refused=str(refused), status=404)
    else:
        sign_in(fresh)
    return redirect(url_for("access.home"), code=303)


@bp.post("/sign-in")
def use_passphrase() -> ResponseReturnValue:
    """Sign this browser in with the passphrase; a helper's device is an adult's from then on."""
    form = PassphraseForm()
    if not form.validate_on_submit():
        return _sign_in_page(form, status=422)
    try:
        with database().writing() as session:
            token = sign_ins.sign_in_with_passphrase(
                session, form.secret(), now=now(), name=form.text("name"), origin=origin()
            )
            end_earlier(session)
    except Refused as refused:
        return _sign_in_page(form, refused=str(refused), status=422)
    sign_in(token)
    return redirect(url_for("access.home"), code=303)


@bp.post("/device/sign-out")
def sign_out() -> ResponseReturnValue:
    """End the session of this browser, here and on the server."""
    with database().writing() as session:
        sign_ins.end_session(session, visitor(), now=now())
    forget()
    return redirect(url_for("access.home"), code=303)


def end_earlier(session: Session) -> None:
    """End the session that this browser held until now: a browser has one at a time."""
    found = maybe_visitor()
    if found is not None:
        sign_ins.end_session(session, found, now=now())


def _sign_in_page(
    form: PassphraseForm, *, refused: str = "", status: int = 200
) -> ResponseReturnValue:
    with database().reading() as session:
        page = SignInPage(with_passphrase=passphrases.with_passphrase(session), refused=refused)
    return render_template("access/sign_in.html", page=page, form=form), status
