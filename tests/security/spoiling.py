"""Hostile text put into every field of every form, until the form is saved with it.

Each field that takes text gets a hostile one first. Where the page complains about a field, the
next value is tried that such a field may want; so the text stays wherever people may type freely.
"""

import io
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from itertools import cycle
from typing import Any, Final

from werkzeug.test import TestResponse

from app.services.school import free_texts
from app.storage.base import Base
from tests.pictures import jpeg
from tests.security import planted
from tests.security.house import House
from tests.security.walking import Found, endpoint
from tests.web.stories.browsing import Control, Form, Page

ROUNDS: Final = 7
_TEXTS: Final = {"text", "textarea", "search", "tel", "email", "url"}
_CHOICES: Final = {"radio", "checkbox", "option"}
_WANTED: Final = ("1", "America/New_York", "08:30", "2027-02-06", "24", "0.5", "2027-02-12")
_COMPLAINT: Final = re.compile(r'id="([\w-]+)-error"')
_LOGGER: Final = b"Time,Temperature C\n2027-02-08 08:00,24.5\n2027-02-08 08:15,24.6\n"
# what would end the session of whoever fills the form, or the tank it is about
_LEFT_ALONE: Final = {
    "access.hand_over", "access.change_passphrase", "access.sign_out_everywhere", "course.close",
    "access.accept", "access.use_passphrase", "classes.end", "classes.replace_all",
    "classes.all_classes", "classes.copies",
}  # fmt: skip
# names that people choose; longer texts are known to `free_texts`
NAMES: Final = frozenset(
    {
        ("author", "name"), ("class", "name"), ("equipment", "lot"), ("helper", "nickname"),
        ("kit", "lot"), ("kit", "name"), ("own_species", "common_name"),
        ("own_species", "scientific_name"), ("own_species", "source"), ("person", "name"),
        ("plant", "name"), ("reading", "typed"), ("site", "name"),
        ("stock_batch", "label"), ("stock_batch", "source"), ("stock_group", "name"),
        ("tank", "adult"), ("tank", "adult_phone"), ("tank", "deputy"), ("tank", "deputy_phone"),
        ("tank", "name"), ("tank", "room"), ("tank", "round"), ("target_template", "name"),
        ("treatment", "product"),
    }
)  # fmt: skip
# tables in which no form and no fixture writes a row yet
NO_ROW: Final = frozenset({("import_batch", "file_name"), ("logger", "file_name")})


@dataclass
class Spoiler:
    """Fills forms with hostile text; `faults` are answers in which a text became more."""

    house: House
    faults: list[str] = field(default_factory=list)
    saved: set[str] = field(default_factory=set)
    left: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._texts = cycle(planted.TEXTS)

    def spoil(self, found: Found) -> None:
        """Send a form until it is saved, or nothing more is known to try."""
        name = endpoint(self.house, found)
        if found.asks or name in _LEFT_ALONE or not takes_text(found.form):
            return
        saved = any(self._is_saved(found, answer) for answer in self._answers(found))
        (self.saved if saved else self.left).add(name)

    def _is_saved(self, found: Found, answer: TestResponse) -> bool:
        where = f"{found.caller.name} sent {found.form.action}"
        if answer.status_code >= 500:
            self.faults.append(f"{where}: {answer.status_code}")
        self.faults += [f"{where}: {fault}" for fault in planted.faults_of(answer)]
        return answer.status_code in {200, 303}

    def _answers(self, found: Found) -> Iterator[TestResponse]:
        """What comes back, round by round; the form is the one of the last answer."""
        form, client = found.form, found.caller.client
        tries = {c.name: _values(c, next(self._texts)) for c in form.controls}
        for control in form.controls:
            if control.kind in _TEXTS or not control.value:
                control.value = next(tries[control.name], control.value)
        for _ in range(ROUNDS):
            answer = client.post(form.action, data=_sent(form))
            yield answer
            wrong = set(_COMPLAINT.findall(answer.text))
            form = _again(form, answer)
            # a form may want something, and not mind what
            empty = {c.name for c in form.controls if c.kind in _TEXTS and not c.value}
            for name in sorted(form.names & (wrong or empty)):
                self._change(form, name, tries.get(name, iter(())))

    def _change(self, form: Form, name: str, values: Iterator[str]) -> None:
        controls = [c for c in form.controls if c.name == name]
        if controls[0].kind in _CHOICES:
            value = next((v for v in values if any(c.value == v for c in controls)), "")
            for control in controls:
                control.chosen = control.value == (value or controls[-1].value)
        else:
            controls[0].value = next(values, "")


def takes_text(form: Form) -> bool:
    """Whether somebody can type into a form, or hand a file in."""
    return any(c.kind in _TEXTS | {"file"} for c in form.controls)


def _values(control: Control, hostile: str) -> Iterator[str]:
    """What to try in a field: hostile text where text can be typed, then what it may want."""
    if control.kind in _TEXTS:
        if control.kind != "textarea":
            hostile = re.sub(r"[\r\n]+", " ", hostile)
        return iter((hostile, control.value, *_WANTED))
    if control.kind == "date":
        return iter(("2027-02-08", "2027-02-12"))
    if control.kind in {"time", "datetime-local"}:
        return iter(("08:30",) if control.kind == "time" else ("2027-02-08T08:30",))
    return iter((control.value,))


def _again(form: Form, answer: TestResponse) -> Form:
    """The form as it came back, or as it was where the answer is another page."""
    if answer.mimetype != "text/html":
        return form
    forms = Page(None, answer).forms  # type: ignore[arg-type]  # nobody goes on from there
    path = form.action.partition("?")[0]
    return next((f for f in forms if f.action.partition("?")[0] == path), form)


def _sent(form: Form) -> dict[str, Any]:
    sent: dict[str, Any] = dict(form.pairs().lists())
    for control in form.controls:
        if control.kind == "file":
            photo = "photo" in form.action or "picture" in control.name
            content = jpeg() if photo else _LOGGER
            sent[control.name] = (io.BytesIO(content), f"{planted.TEXTS[2]}.txt")
    return sent


def spoil_the_rest(house: House) -> None:
    """Put hostile text straight into the columns of people's texts that no form filled so."""
    texts = cycle(planted.TEXTS)
    with closing(sqlite3.connect(house.file)) as connection, connection:
        for table, column in sorted(unspoiled(house) - NO_ROW):
            length = Base.metadata.tables[table].columns[column].type.length  # type: ignore[attr-defined]
            for (row,) in connection.execute(f"SELECT rowid FROM {table}").fetchall():
                text = f"{row}{next(texts)}"[:length]
                connection.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (text, row))


def unspoiled(house: House) -> set[tuple[str, str]]:
    """The columns in which people's texts stand, without those that hold a hostile one."""
    with closing(sqlite3.connect(house.file)) as connection:
        return {
            (table, column)
            for table, column in free_texts.SEARCHED | NAMES
            if not connection.execute(
                f"SELECT 1 FROM {table} WHERE {column} LIKE ?", (f"%{planted.WORD}%",)
            ).fetchone()
        }
