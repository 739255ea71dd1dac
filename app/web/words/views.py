"""What the words mean, from the very file that the app itself works with."""

from flask import render_template, url_for
from flask.typing import ResponseReturnValue

from app.services import words as knowledge
from app.web.request import maybe_visitor
from app.web.words import bp
from app.web.words.pages import words_page


@bp.get("/words")
def words() -> ResponseReturnValue:
    """What the words mean, for grown-ups and for a child of eight."""
    visitor = maybe_visitor()
    is_helper = visitor is not None and not visitor.is_adult
    device_url = url_for("access.device") if is_helper else ""
    return render_template("words/words.html", page=words_page(knowledge.words(), device_url))
