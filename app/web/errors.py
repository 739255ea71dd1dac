"""From what went wrong to a page: one table of domain errors, one of statuses."""

from dataclasses import dataclass

from flask import Flask, Response, current_app, g, render_template, request
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError

from app.domain.errors import (
    CannotRead,
    CannotSave,
    ChangedMeanwhile,
    Conflict,
    NotFound,
    Refused,
    SillpondError,
)
from app.services.access.people import Visitor
from app.web import problem
from app.web.request import maybe_visitor, now
from app.web.request_log import number

_FOREIGN_NAME = "This computer does not answer to that name. Open the address that it printed.\n"
# never offered again: what is secret, and the old token of the form
_NOT_KEPT = {"csrf_token", "passphrase", "present_passphrase"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorPage:
    """A page that says what happened and what helps."""

    title: str
    sentences: tuple[str, ...]
    number: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSavedPage:
    """What was typed, to be sent again: pairs of name and value for hidden fields.

    `reason` is why it could not be saved, or "" where only the session had ended.
    """

    action: str
    reason: str
    fields: tuple[tuple[str, str], ...]
    signed_in: bool
    had_file: bool


STATUS_OF: dict[type[SillpondError], int] = {
    NotFound: 404,
    Refused: 403,
    Conflict: 409,
    ChangedMeanwhile: 409,
    CannotSave: 503,
    CannotRead: 503,
}

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

# whoever scanned the label of a tank stands before it: they are told whom to ask, and no more
_NOT_THERE: dict[str, ErrorPage] = {
    "share.arrived": ErrorPage(
        title="This tank is not among yours", sentences=("Ask whoever gave you the code.",)
    )
}


def _page_of(status: int) -> ErrorPage:
    return _PAGES.get(status, _PAGES[500 if status >= 500 else 400])


def _not_for(found: Visitor | None) -> ErrorPage:
    """The page of what somebody may not open, or may only read."""
    if found is None or not found.is_adult:
        return _PAGES[403]
    return ErrorPage(
        title="That is not part of your role",
        sentences=(
            f"Nothing was saved. You are here as {found.role.value}.",
            "A keeper can do it, or can change your role in Settings, under People.",
        ),
    )


def _answer(page: ErrorPage, status: int) -> ResponseReturnValue:
    return render_template("errors/error.html", page=page), status


def _on_status(error: HTTPException) -> ResponseReturnValue:
    status = error.code or 500
    if 300 <= status < 400:
        return error.get_response()
    if problem.is_wanted():
        foreign = _FOREIGN_NAME.strip() if isinstance(error, SecurityError) else ""
        return problem.of_status(error, foreign)
    if status == 403:
        return _answer(_not_for(maybe_visitor()), status)
    if isinstance(error, SecurityError):
        # called by a name that is not its own: nothing of what is kept here is shown
        return Response(_FOREIGN_NAME, status, mimetype="text/plain")
    return _answer(_page_of(status), status)


def _on_refusal(error: SillpondError) -> ResponseReturnValue:
    status = STATUS_OF.get(type(error), 400)
    if status == 404 and request.endpoint in _NOT_THERE:
        return _answer(_NOT_THERE[request.endpoint], status)
    standard = _page_of(status)
    sentence = str(error)
    title = {403: "That is not possible now"}.get(status, standard.title)
    return _answer(ErrorPage(title=title, sentences=(sentence,)), status)


def _on_crash(error: Exception) -> ResponseReturnValue:
    # the page, not the address: a sign-in address holds a key
    current_app.logger.error("error %s at %s", number(), request.endpoint, exc_info=error)
    if problem.is_wanted():
        return problem.of_crash(number())
    g.bare_shell = True
    page = _PAGES[500]
    return _answer(ErrorPage(title=page.title, sentences=page.sentences, number=number()), 500)


def _on_full_disk(error: CannotSave) -> ResponseReturnValue:
    # the log is for whoever runs the computer: they have to make room
    current_app.logger.error("not saved %s at %s: %s", number(), request.endpoint, error.__cause__)
    # behind a link there is no session whose token a second form could carry
    if request.method != "POST" or g.get("bare_shell"):
        return _answer(ErrorPage(title="Nothing can be saved now", sentences=(str(error),)), 503)
    return not_saved_yet(str(error), status=503)


def _on_no_record(error: CannotRead) -> ResponseReturnValue:
    current_app.logger.error("not read %s at %s: %s", number(), request.endpoint, error.__cause__)
    is_form = request.method == "POST" and not g.get("bare_shell")
    # who is there stands in the record: from here on nobody asks
    g.visitor, g.bare_shell = None, True
    if is_form:
        helps = "Save again in a minute: what was saved already is not saved twice."
        return not_saved_yet(f"{error} {helps}", status=503)
    helps = "Nothing was changed. Open this page again in a minute."
    return _answer(ErrorPage(title="Nothing can be read now", sentences=(str(error), helps)), 503)


def _on_lost_token(_error: CSRFError) -> ResponseReturnValue:
    return not_saved_yet()


def not_saved_yet(reason: str = "", status: int = 400) -> ResponseReturnValue:
    """The answer to a form that was not saved: what was typed is kept and offered again.

    Without a reason its session has ended.
    """
    # a form that asks when Save was pressed is told: it may be sent again much later
    moment = now().isoformat(timespec="seconds")
    fields = tuple(
        (name, moment if name == "pressed" and not value else value)
        for name, value in request.form.items(multi=True)
        if name not in _NOT_KEPT
    )
    page = NotSavedPage(
        action=request.full_path.rstrip("?"),
        reason=reason,
        fields=fields,
        signed_in=maybe_visitor() is not None,
        had_file=bool(request.files),
    )
    return render_template("errors/not_saved.html", page=page), status


def register(app: Flask) -> None:
    """Give every error its page."""
    app.register_error_handler(CSRFError, _on_lost_token)
    app.register_error_handler(HTTPException, _on_status)
    app.register_error_handler(SillpondError, _on_refusal)
    app.register_error_handler(CannotSave, _on_full_disk)
    app.register_error_handler(CannotRead, _on_no_record)
    app.register_error_handler(Exception, _on_crash)
