"""Coming in for the first time, with the code of an invitation."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import NotFound, Refused
from app.services.access import invitations
from app.web.access import bp
from app.web.access.forms import JoinForm
from app.web.access.people_pages import JoinPage
from app.web.access.views import end_earlier
from app.web.request import database, now, sign_in


@bp.get("/join")
def join() -> ResponseReturnValue:
    """Where a printed code is typed in."""
    return _page(JoinForm(formdata=None))


@bp.get("/join/<code>")
def join_with(code: str) -> ResponseReturnValue:
    """The same with the code filled in, and whom it is for; nothing is used up by looking."""
    form = JoinForm(formdata=None, data={"code": code})
    try:
        with database().reading() as session:
            found = invitations.opened(session, code, now=now())
    except NotFound as closed:
        return _page(JoinForm(formdata=None), refused=str(closed), status=404)
    return _page(form, name=found.name)


@bp.post("/join")
def accept() -> ResponseReturnValue:
    """Set the passphrase and come in; the code is used up."""
    form = JoinForm()
    if not form.validate_on_submit():
        return _page(form, status=422)
    try:
        with database().writing() as session:
            token = invitations.accept(
                session, form.text("code"), form.passphrase.data or "", now=now()
            )
            end_earlier(session)
    except NotFound as closed:
        return _page(form, refused=str(closed), status=404)
    except Refused as refused:
        form.complain("passphrase", str(refused))
        return _page(form, status=422)
    sign_in(token)
    return redirect(url_for("access.home"), code=303)


def _page(
    form: JoinForm, *, name: str = "", refused: str = "", status: int = 200
) -> ResponseReturnValue:
    if request.method == "HEAD":
        return "", 204
    page = JoinPage(form=form, name=name, refused=refused)
    return render_template("access/join.html", page=page), status
