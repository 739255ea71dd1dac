"""What an adult sets about themselves: name, passphrase, where they are signed in."""

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import Refused
from app.services.access import people, sign_ins
from app.web.access import bp
from app.web.access.forms import NameForm, NewPassphraseForm
from app.web.access.people_pages import MePage, adult_row
from app.web.request import database, forget, now, origin, visitor


@bp.get("/me")
def me() -> ResponseReturnValue:
    """One's own name, passphrase and sign-ins."""
    return _page()


@bp.post("/me/name")
def change_name() -> ResponseReturnValue:
    """Change one's own name, also in what was written."""
    form = NameForm()
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                people.rename(session, visitor().person_id, form.text("name"))
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash("Your name is changed, also beside what you wrote.", "saved")
            return redirect(url_for("access.me"), code=303)
    return _page(name=form)


@bp.post("/me/passphrase")
def change_passphrase() -> ResponseReturnValue:
    """Set or change one's own passphrase; one's other sessions end."""
    form = NewPassphraseForm()
    if form.validate_on_submit():
        present, wanted = form.present_passphrase.data or "", form.passphrase.data or ""
        try:
            with database().writing() as session:
                sign_ins.change_passphrase(
                    session, visitor(), present, wanted, now=now(), origin=origin()
                )
        except sign_ins.NotTheirs as refused:
            form.complain("present_passphrase", str(refused))
        except Refused as refused:
            form.complain("passphrase", str(refused))
        else:
            flash("Your passphrase is set. Elsewhere you are signed out.", "saved")
            return redirect(url_for("access.me"), code=303)
    return _page(passphrase=form)


@bp.post("/me/sign-out-everywhere")
def sign_out_everywhere() -> ResponseReturnValue:
    """End all of one's sessions, this one too; devices of a class stay unlocked."""
    with database().writing() as session:
        sign_ins.sign_out_everywhere(session, visitor().person_id, now=now())
    forget()
    return redirect(url_for("access.home"), code=303)


def _page(
    name: NameForm | None = None, passphrase: NewPassphraseForm | None = None
) -> ResponseReturnValue:
    with database().reading() as session:
        known = people.adult(session, visitor().person_id, now=now())
    page = MePage(
        row=adult_row(known, {}),
        idle_days=people.IDLE_LIFE.days,
        name=name or NameForm(formdata=None, data={"name": known.name}),
        passphrase=passphrase or NewPassphraseForm(formdata=None),
    )
    return render_template("access/me.html", page=page), 422 if name or passphrase else 200
