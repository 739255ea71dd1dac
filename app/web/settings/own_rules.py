"""The own rules of a household or school, as the risk sheet prints them."""

from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import TextAreaField
from wtforms.validators import Length

from app.services.names import NOTE
from app.services.papers import texts
from app.services.papers.risk import OWN_RULES
from app.web.fields import PageForm, with_fields
from app.web.request import database
from app.web.settings import bp
from app.web.settings.site import SettingsPage
from app.web.where import place_of_page


class _RulesForm(PageForm):
    """One field a rule; an empty one is shown as a gap on paper."""

    rules = tuple(rule.key for rule in OWN_RULES)


_longest = Length(max=NOTE, message=f"Use {NOTE} letters at most.")
_RULE_FIELDS = {
    rule.key: TextAreaField(rule.label, [_longest], description=rule.hint) for rule in OWN_RULES
}


def _form(known: dict[str, str]) -> Any:
    return with_fields(_RulesForm, "RulesForm", _RULE_FIELDS)(data=known)


@bp.route("/settings/own-rules", methods=["GET", "POST"])
def own_rules() -> ResponseReturnValue:
    """Show or change the own rules of a place."""
    with database().reading() as session:
        place = place_of_page(session)
        form = _form(texts.of_site(session, place.id))
    if form.validate_on_submit():
        with database().writing() as session:
            texts.keep_of_site(session, place.id, {key: form.text(key) for key in form.rules})
        flash("Our own rules are saved.", "saved")
        return redirect(url_for("settings.own_rules"), 303)
    page = SettingsPage(form=form)
    status = 422 if form.is_submitted() else 200
    return render_template("settings/own_rules.html", page=page), status
