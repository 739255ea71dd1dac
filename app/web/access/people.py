"""The adults: who comes, in which role, on which tanks; inviting one, letting one go."""

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import Refused
from app.domain.people import Role
from app.services import tanks
from app.services.access import invitations, people, sign_ins
from app.web.access import bp
from app.web.access.forms import InviteForm, RightsForm
from app.web.access.people_pages import (
    InvitationPage,
    PeoplePage,
    PersonPage,
    adult_row,
    invitation_page,
)
from app.web.request import database, forget, now, visitor


@bp.get("/people", endpoint="people")
def list_people() -> ResponseReturnValue:
    """The adults with role, tanks and last day; a form to invite one more."""
    return _people_page(InviteForm.of(_tank_names()))


@bp.post("/people")
def invite() -> ResponseReturnValue:
    """Invite somebody; the page that answers shows the code, this once."""
    people.refuse_limited(visitor())
    form = InviteForm.of(_tank_names())
    if not form.validate_on_submit():
        return _people_page(form)
    name = form.text("name")
    try:
        with database().writing() as session:
            code = invitations.invite(
                session, visitor(), name, Role(form.role.data), form.tank_ids, now=now()
            )
    except Refused as refused:
        form.complain("name", str(refused))
        return _people_page(form)
    return _invitation(invitation_page(name, code, now=now()))


@bp.route("/people/<int:person_id>", methods=["GET", "POST"])
def person(person_id: int) -> ResponseReturnValue:
    """One adult: change role and tanks, which counts from the next request."""
    people.refuse_limited(visitor())
    with database().reading() as session:
        known = people.adult(session, person_id, now=now())
    form = RightsForm.of(_tank_names(), known)
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                people.set_role(
                    session, visitor(), person_id, Role(form.role.data), form.tank_ids, now=now()
                )
        except Refused as refused:
            form.complain("role", str(refused))
        else:
            flash(f"Saved. It counts for {known.name} from now on.", "saved")
            return redirect(url_for("access.people"), code=303)
    page = PersonPage(
        row=adult_row(known, _tank_names()), form=form, is_me=person_id == visitor().person_id
    )
    status = 422 if form.is_submitted() else 200
    return render_template("access/person.html", page=page), status


@bp.post("/people/<int:person_id>/code")
def new_code(person_id: int) -> ResponseReturnValue:
    """A new code for who lost the old one, or the passphrase."""
    with database().writing() as session:
        known = people.adult(session, person_id, now=now())
        code = invitations.invite_again(session, visitor(), person_id, now=now())
    return _invitation(invitation_page(known.name, code, now=now()))


@bp.post("/people/<int:person_id>/take-back")
def take_back(person_id: int) -> ResponseReturnValue:
    """Take an open invitation back."""
    with database().writing() as session:
        invitations.take_back(session, visitor(), person_id, now=now())
    flash("The invitation is taken back.", "saved")
    return redirect(url_for("access.people"), code=303)


@bp.post("/people/<int:person_id>/sign-out")
def sign_out_person(person_id: int) -> ResponseReturnValue:
    """End all sessions of an adult; they can come back with their passphrase."""
    with database().writing() as session:
        people.refuse_limited(visitor())
        sign_ins.sign_out_everywhere(session, person_id, now=now())
    flash("Signed out everywhere.", "saved")
    return _back_from(person_id)


@bp.post("/people/<int:person_id>/end")
def end_person(person_id: int) -> ResponseReturnValue:
    """Let an adult come no more; what they wrote stays, with their name."""
    with database().writing() as session:
        people.end(session, visitor(), person_id, now=now())
    flash("That person comes no more. What they wrote stays.", "saved")
    return _back_from(person_id)


def _back_from(person_id: int) -> ResponseReturnValue:
    if person_id == visitor().person_id:
        forget()
        return redirect(url_for("access.home"), code=303)
    return redirect(url_for("access.people"), code=303)


def _tank_names() -> dict[int, str]:
    with database().reading() as session:
        lines = tanks.tank_lines(session, visitor().tank_ids)
    return {line.id: line.name for line in lines}


def _people_page(form: InviteForm) -> ResponseReturnValue:
    names = _tank_names()
    with database().reading() as session:
        found = people.adults(session, now=now())
    page = PeoplePage(
        adults=tuple(adult_row(each, names) for each in found),
        form=form,
        may_change=visitor().tank_ids is None,
        me=visitor().person_id,
    )
    status = 422 if form.is_submitted() else 200
    return render_template("access/people.html", page=page), status


def _invitation(page: InvitationPage) -> ResponseReturnValue:
    return render_template("access/invitation.html", page=page)
