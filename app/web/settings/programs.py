"""Programs that read or write the record: making a token, which is shown once, and ending it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length

from app.domain.errors import Refused
from app.domain.wording import dated
from app.services import tanks
from app.services.access import api_tokens
from app.services.access.api_tokens import LONGEST_LABEL, PREFIX, Scope, TokenLine
from app.web.fields import ChoiceField, PageForm
from app.web.form_secret import secret_of_form
from app.web.request import database, now, visitor
from app.web.settings import bp

SCOPE_WORDS: Final = {
    Scope.READ: "Read",
    Scope.READINGS: "Read, and write what a device measures",
    Scope.ENTRIES: "Read, and write all: device readings, meals, tests, looks, jobs",
}
_ALL: Final = "all"


class ProgramForm(PageForm):
    """What a program is called, what it may do, and on which tank."""

    label = StringField(
        "What it is called",
        [
            InputRequired("Enter what the program is called."),
            Length(max=LONGEST_LABEL, message=f"Use {LONGEST_LABEL} letters at most."),
        ],
        description="Such as: thermometer in the hall. Use no child’s name.",
    )
    scope = ChoiceField(
        "What it may do", noun="what it may do", default=Scope.READINGS.value,
        choices={scope.value: words for scope, words in SCOPE_WORDS.items()},
    )  # fmt: skip
    tank = SelectField("On which tank")

    @classmethod
    def of(cls, names: Mapping[int, str]) -> Self:
        """The form with the tanks there are."""
        form = cls()
        form.tank.choices = {_ALL: "All that I have", **{str(i): name for i, name in names.items()}}
        return form

    @property
    def tank_id(self) -> int | None:
        """The number of the chosen tank, None for all."""
        return None if self.tank.data == _ALL else int(self.tank.data)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramRow:
    """A program in the list; `end_url` is empty for one that has ended."""

    label: str
    may: str
    tank: str
    made: str
    used: str
    end_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramsPage:
    """Programs that may come in, those that ended, and the form for one more."""

    form: ProgramForm
    open: tuple[ProgramRow, ...]
    ended: tuple[ProgramRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramMadePage:
    """A new token, shown this once, and an address to try it with."""

    label: str
    token: str
    try_url: str
    document_url: str


@bp.route("/settings/programs", methods=["GET", "POST"])
def programs() -> ResponseReturnValue:
    """Show the programs; let one more come in."""
    with database().reading() as session:
        lines = tanks.tank_lines(session, visitor().tank_ids)
        known = api_tokens.tokens(session, visitor())
    form = ProgramForm.of({line.id: line.name for line in lines})
    if form.validate_on_submit():
        token = f"{PREFIX}{secret_of_form('program', form.once)}"
        try:
            _make(form, token)
        except Refused as refused:
            form.complain("label", str(refused))
        else:
            return _made(form.text("label"), token)
    page = ProgramsPage(
        form=form,
        open=tuple(_row(line) for line in known if line.ended_at is None),
        ended=tuple(_row(line) for line in known if line.ended_at is not None),
    )
    status = 422 if form.is_submitted() else 200
    return render_template("settings/programs.html", page=page), status


@bp.post("/settings/programs/<int:token_id>/end")
def end_program(token_id: int) -> ResponseReturnValue:
    """End a program's token at once."""
    with database().writing() as session:
        api_tokens.end(session, visitor(), token_id, now=now())
    flash("Its token works no more. What it wrote stays.", "saved")
    return redirect(url_for("settings.programs"), 303)


def _make(form: ProgramForm, token: str) -> None:
    with database().writing() as session:
        api_tokens.make(
            session,
            visitor(),
            label=form.text("label"),
            scope=Scope(form.scope.data),
            tank_id=form.tank_id,
            token=token,
            now=now(),
        )


def _made(label: str, token: str) -> ResponseReturnValue:
    root = request.url_root.rstrip("/")
    page = ProgramMadePage(
        label=label,
        token=token,
        try_url=root + url_for("api.list_tanks"),
        document_url=url_for("api.openapi"),
    )
    return render_template("settings/program_made.html", page=page)


def _row(line: TokenLine) -> ProgramRow:
    is_open = line.ended_at is None
    return ProgramRow(
        label=line.label,
        may=SCOPE_WORDS[line.scope],
        tank=line.tank or f"All that {line.made_by} has",
        made=f"{dated(line.made_at.date())}, by {line.made_by}",
        used=dated(line.last_used_on) if line.last_used_on else "never",
        end_url=url_for("settings.end_program", token_id=line.id) if is_open else "",
    )
