"""What a data package says of itself: each table with its columns, values and references."""

import re
from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import CheckConstraint, Column, ForeignKeyConstraint, Table

from app.services.exchange import tables
from app.services.exchange.tables import PORTABLE
from app.services.exchange.values import TIME_FORMAT, kind_of
from app.storage.base import TEXTS

_ONE_OF: Final = re.compile(r"(?:(\w+) IS NULL OR )?(\w+) IN \(((?:'[^']*',?\s*)+)\)")
_HIDDEN: Final = (
    "Helpers have codes in place of nicknames, also where a nickname stands in a text.",
    "An apostrophe stands before a text that a spreadsheet would take for a formula.",
    "Times are UTC. Numbers are in the kept unit of their quantity.",
)


def package(name: str, revision: str, resources: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """The description of a whole package."""
    return {
        "profile": "tabular-data-package",
        "name": "sillpond-record",
        "title": name,
        "description": " ".join(_HIDDEN),
        "sillpond": {"revision": revision},
        "resources": list(resources),
    }


def resource(table: Table, path: str, size: int, digest: str, rows: int) -> dict[str, Any]:
    """The description of one table."""
    return {
        "profile": "tabular-data-resource",
        "name": table.name.replace("_", "-"),
        "title": PORTABLE[table.name].about,
        "path": path,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": size,
        "hash": f"sha256:{digest}",
        "rows": rows,
        "dialect": {"delimiter": ",", "lineTerminator": "\r\n", "doubleQuote": True},
        "schema": _schema(table),
    }


def _schema(table: Table) -> dict[str, Any]:
    allowed = _allowed(table)
    found: dict[str, Any] = {
        "fields": [_field(column, allowed) for column in tables.columns(table)],
        "missingValues": [""],
        "primaryKey": [column.name for column in table.primary_key.columns],
    }
    keys = [_key(each) for each in _keys(table)]
    return {**found, "foreignKeys": keys} if keys else found


def _keys(table: Table) -> list[ForeignKeyConstraint]:
    return sorted(table.foreign_key_constraints, key=lambda key: list(key.column_keys))


def _key(key: ForeignKeyConstraint) -> dict[str, Any]:
    other = key.referred_table.name
    return {
        "fields": list(key.column_keys),
        "reference": {
            # the empty name is the table itself
            "resource": "" if other == key.table.name else other.replace("_", "-"),
            "fields": [element.column.name for element in key.elements],
        },
    }


def _field(column: Column[Any], allowed: dict[str, list[str]]) -> dict[str, Any]:
    kind = kind_of(column)
    about: dict[str, Any] = {"name": column.name, "type": kind}
    if kind == "datetime":
        about["format"] = TIME_FORMAT
    hint = PORTABLE[column.table.name].hints.get(column.name)
    if hint:
        about["description"] = hint
    rules: dict[str, Any] = {}
    if kind != "string" and not column.nullable:
        rules["required"] = True
    if isinstance(column.type, TEXTS) and column.type.length:
        # an apostrophe in front may make it longer
        rules["maxLength"] = column.type.length + 1
    if column.name in allowed:
        rules["enum"] = allowed[column.name]
    return {**about, "constraints": rules} if rules else about


def _allowed(table: Table) -> dict[str, list[str]]:
    """The values that a column may have, where the schema lists them."""
    found = {}
    for check in table.constraints:
        if isinstance(check, CheckConstraint):
            said = _ONE_OF.fullmatch(str(check.sqltext))
            if said:
                found[said[2]] = re.findall(r"'([^']*)'", said[3])
    return found
