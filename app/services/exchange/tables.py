"""What of the record goes into a data package: which tables and columns, and which of their rows.

What is not listed stays here. Each table and column of the record is either named in this module
or goes along as it is, and a test holds that against the schema.
"""

from dataclasses import dataclass, field
from typing import Any, Final

from sqlalchemy import Column, ColumnElement, Select, Table, or_, select

from app.services.school.free_texts import SEARCHED
from app.storage import models  # noqa: F401  # fills the metadata
from app.storage.base import Base

LEFT_OUT: Final = {
    "api_token": "a program gets a new token where the record comes to",
    "duty": "who was on duty is nobody else's business",
    "evaluation": "it is worked out again from the entries",
    "helper_away": "who was away is nobody else's business",
    "incoming_file": "nobody has saved it yet",
    "logger_day": "it is worked out again from the readings",
    "prediction": "a guess is between a child and the page",
    "prediction_round": "without its guesses a round says nothing",
    "private_note": "it is for the adults with this record only",
    "reminder": "an address for letters is for this record only",
    "request_count": "it says nothing of a tank",
    "sign_in": "nobody is signed in by a file",
    "sign_in_try": "it says nothing of a tank",
}
"""Tables that stay here, and why."""

COLUMNS_LEFT_OUT: Final = {
    ("person", "passphrase_hash"): "everybody chooses a new passphrase",
    ("link", "token_hash"): "the address of a link ends with the record it was made in",
    ("photo", "picture"): "the picture is a file beside the tables",
    ("photo", "small"): "it is made again from the picture",
}
"""Columns that stay here, and why."""

_PHOTO_STATES: Final = ("shown", "withdrawn")
"""Photos that nobody has looked at yet, or that were kept back, stay here."""


@dataclass(frozen=True)
class Portable:
    """A table of the package.

    `owner` is the column that names the tank or place a row belongs to, or a row that does; ""
    where a row goes along because others refer to it. `hints` explain columns.
    """

    about: str
    owner: str = ""
    hints: dict[str, str] = field(default_factory=dict)


PORTABLE: Final = {
    "site": Portable("Households and schools"),
    "site_break": Portable("Days on which nobody or only staff comes", "site_id"),
    "site_setback": Portable("Hours in which a building is heated less", "site_id"),
    "tap_reading": Portable("What the tap water holds", "site_id"),
    "target_template": Portable("Ranges that several tanks share"),
    "template_range": Portable("The ranges of a template", "template_id"),
    "tank": Portable("Tanks with their measures in cm and liters", "id"),
    "paper_text": Portable("Texts for the papers", "site_id"),
    "tank_range": Portable("A tank's own ranges", "tank_id"),
    "care_plan": Portable("What is planned for a tank", "tank_id"),
    "care_job": Portable("What is planned of one job", "tank_id"),
    "scoop": Portable("Weighings of a scoop", "tank_id"),
    "equipment": Portable("Heaters, filters, lamps and the like", "tank_id"),
    "plant": Portable("Plants by kind", "tank_id"),
    "stock_group": Portable("Groups of animals of one kind", "tank_id"),
    "stock_batch": Portable("Animals of a group that came together", "group_id"),
    "own_species": Portable("Animals that were written into the catalogue here", "site_id"),
    "kit": Portable("Test kits, cards and meters", "site_id"),
    "kit_comparison": Portable("Kits held against something known", "kit_id"),
    "supply": Portable("Food, conditioner and reagents", "site_id"),
    "person": Portable("Adults, without their passphrases"),
    "tank_access": Portable("Which adult looks after which tank", "tank_id"),
    "class": Portable("Classes"),
    "class_tank": Portable("Which class looks after which tank", "tank_id"),
    "helper": Portable(
        "Helpers, without nicknames", "class_id", {"nickname": "a code in place of the nickname"}
    ),
    "author": Portable(
        "Whoever wrote something", hints={"name": "of an adult or a program; a code for a helper"}
    ),
    "entry": Portable(
        "The header of each entry: corrected and withdrawn ones stand beside what counts",
        "tank_id",
        {"replaces_id": "the entry that this one corrects", "local_day": "the day on the tank's "
         "own clock", "token": "told two posts of one form from two entries"},
    ),
    "withdrawal": Portable("Entries that take another one back", "entry_id"),
    "water_test": Portable("Water tests", "entry_id"),
    "logger": Portable("Files and days of loggers", "entry_id"),
    "feeding": Portable("Meals", "entry_id"),
    "job": Portable("Jobs done", "entry_id"),
    "treatment": Portable("What was written of a treatment", "entry_id"),
    "stock_event": Portable("What happened to groups of animals", "entry_id"),
    "observation": Portable("Looks at a tank, and notes", "entry_id"),
    "reading": Portable(
        "Each measured value in the kept unit of its quantity, with what was typed",
        "tank_id",
        {"in_force": "whether it counts", "reader_id": "who read it, where several did"},
    ),
    "contact": Portable("What an entry shared with another tank", "entry_id"),
    "note_approval": Portable("What an adult decided about a helper's note", "entry_id"),
    "photo": Portable(
        "Photos that everybody may see; the pictures lie in the folder photos", "tank_id",
        {"sha256": "of the file photos/<id>.jpg"},
    ),
    "photo_measure": Portable("Where a length was read in a photo", "entry_id"),
    "task_mark": Portable("Tasks put off, skipped or given to somebody", "tank_id"),
    "link": Portable(
        "Links that were given away, without their addresses", "tank_id",
        {"ended_at": "for one that was open, the moment of the package"},
    ),
    "sitter_packet": Portable("A sitter's food packets", "link_id"),
    "forecast": Portable("What was expected before it was measured", "tank_id"),
    "import_batch": Portable("Files that were brought in", "tank_id"),
    "import_entry": Portable("Entries that came with a file", "batch_id"),
}  # fmt: skip
"""The tables of a package."""

_BIG: Final = frozenset({"entry", "job"})
"""Tables whose rows are not counted one by one: what refers to them is of the same tank."""

# the order in which rows can come in: what is referred to comes first
TABLES: Final = tuple(t for t in Base.metadata.sorted_tables if t.name in PORTABLE)


def columns(table: Table) -> tuple[Column[Any], ...]:
    """The columns of a table that go along."""
    return tuple(c for c in table.columns if (table.name, c.name) not in COLUMNS_LEFT_OUT)


def is_free_text(column: Column[Any]) -> bool:
    """Whether people typed it about anything, so that a nickname may stand in it."""
    return (column.table.name, column.name) in SEARCHED


def references(table: Table) -> tuple[tuple[Column[Any], str], ...]:
    """Columns that refer to a row of another table whose rows may stay here, with its name."""
    found = [
        (key.parent, key.column.table.name)
        for key in table.foreign_keys
        if key.column.name != "kind" and key.column.table.name not in _BIG
    ]
    return tuple(sorted(found, key=lambda pair: pair[0].name))


def is_referred_to(table: Table) -> bool:
    """Whether a row of another table may refer to one of this, so that its rows are counted."""
    return any(other == table.name for each in TABLES for _, other in references(each))


def rows(table: Table, tank_id: int | None) -> Select[Any]:
    """The rows of a table that go along, in the order of their keys."""
    query = select(*columns(table)).order_by(*table.primary_key.columns)
    if table.name == "photo":
        query = query.where(table.c.state.in_(_PHOTO_STATES))
    return query if tank_id is None else query.where(_of_tank(table, tank_id))


def _of_tank(table: Table, tank_id: int) -> ColumnElement[bool]:
    """Which rows belong to a tank, or are needed by those that do."""
    owner = PORTABLE[table.name].owner
    if table.name == "paper_text":
        whose = table.c.tank_id
        return (whose == tank_id) | (whose.is_(None) & _owned(table, owner, tank_id))
    if table.name == "tank" or owner == "tank_id":
        return table.c[owner] == tank_id
    if owner:
        return _owned(table, owner, tank_id)
    return _needed(table, tank_id)


def _owned(table: Table, owner: str, tank_id: int) -> ColumnElement[bool]:
    (key,) = table.c[owner].foreign_keys
    above = key.column.table
    return table.c[owner].in_(select(key.column).where(_of_tank(above, tank_id)))


def _needed(table: Table, tank_id: int) -> ColumnElement[bool]:
    """Rows of a table without an owner: those that rows of the tank refer to."""
    (key,) = table.primary_key.columns
    needed: list[ColumnElement[bool]] = [
        key.in_(select(column).where(_of_tank(other, tank_id)))
        for other in TABLES
        for column in other.columns
        if PORTABLE[other.name].owner != column.name and column.references(key)
    ]
    if table.name == "author":
        # a tile without its author is none, even if the helper wrote nothing
        needed.append(_owned(table, "helper_id", tank_id))
    return or_(*needed)
