"""From what went wrong to a page: one table of domain errors, one of statuses."""

import secrets
from dataclasses import dataclass

from flask import Flask, Response, current_app, g, render_template, request
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError

from app.domain.errors import Conflict, NotFound, Refused, SillpondError
from app.web.request import maybe_visitor

_FOREIGN_NAME = "This computer does not answer to that name. Open the address that it printed.\n"
# never offered again: what is secret, and the old token of the form
_NOT_KEPT = {"csrf_token", "passphrase"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorPage:
    """A page that says what happened and what helps."""

    title: str
    sentences: tuple[str, ...]
    number: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSavedPage:
    """What was typed, to be sent again: pairs of name and value for hidden fields."""

    action: str
    fields: tuple[tuple[str, str], ...]
    signed_in: bool
    had_file: bool


STATUS_OF: dict[type[SillpondError], int] = {NotFound: 404, Refused: 403, Conflict: 409}

_PAGES: dict[int, ErrorPage] = {
    400: ErrorPage(
        title="That did not arrive as it should",
        sentences=("Nothing was saved.", "Go back to Today and begin again."),
    ),
    403: ErrorPage(
        title="This page is for the grown-up in charge",
        sentences=("Helpers have four pages: Today, Write down, Charts and Words.",),
    ),
    404: ErrorPage(
        title="There is no such page",
        sentences=("The address may have a slip in it.", "Today is always there."),
    ),
    405: ErrorPage(
        title="That does not work from here",
        sentences=("Nothing was saved.", "Open the page again and use its buttons."),
    ),
    409: ErrorPage(
        title="Somebody was faster",
        sentences=("Nothing was saved.", "Look at what stands there now, then decide."),
    ),
    413: ErrorPage(
        title="That is too large",
        sentences=("Nothing was saved.", "A file may have up to 16 MB."),
    ),
    500: ErrorPage(
        title="Something went wrong in this program",
        sentences=(
            "What you wrote may not be saved. Look at Today before you write it again.",
            "The person who runs this computer finds the reason in its log by this number.",
        ),
    ),
}


def _page_of(status: int) -> ErrorPage:
    return _PAGES.get(status, _PAGES[500 if status >= 500 else 400])


def _answer(page: ErrorPage, status: int) -> ResponseReturnValue:
    return render_template("errors/error.html", page=page), status


def _on_status(error: HTTPException) -> ResponseReturnValue:
    status = error.code or 500
    if 300 <= status < 400:
        return error.get_response()
    if isinstance(error, SecurityError):
        # called by a name that is not its own: nothing of what is kept here is shown
        return Response(_FOREIGN_NAME, status, mimetype="text/plain")
    return _answer(_page_of(status), status)


def _on_refusal(error: SillpondError) -> ResponseReturnValue:
    status = STATUS_OF.get(type(error), 400)
    standard = _page_of(status)
    sentence = str(error)
    title = {403: "That is not possible now"}.get(status, standard.title)
    return _answer(ErrorPage(title=title, sentences=(sentence,)), status)


def _on_crash(error: Exception) -> ResponseReturnValue:
    number = secrets.token_hex(4)
    # the page, not the address: a sign-in address holds a key
    current_app.logger.error("error %s at %s", number, request.endpoint, exc_info=error)
    g.bare_shell = True
    page = _PAGES[500]
    return _answer(ErrorPage(title=page.title, sentences=page.sentences, number=number), 500)


def _on_lost_token(_error: CSRFError) -> ResponseReturnValue:
    return not_saved_yet()


def not_saved_yet() -> ResponseReturnValue:
    """The answer to a form whose session has ended: what was typed is kept and offered again."""
    fields = tuple(
        (name, value) for name, value in request.form.items(multi=True) if name not in _NOT_KEPT
    )
    page = NotSavedPage(
        action=request.full_path.rstrip("?"),
        fields=fields,
        signed_in=maybe_visitor() is not None,
        had_file=bool(request.files),
    )
    return render_template("errors/not_saved.html", page=page), 400


def register(app: Flask) -> None:
    """Give every error its page."""
    app.register_error_handler(CSRFError, _on_lost_token)
    app.register_error_handler(HTTPException, _on_status)
    app.register_error_handler(SillpondError, _on_refusal)
    app.register_error_handler(Exception, _on_crash)
