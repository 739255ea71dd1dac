"""Tables that grow in a revision: columns and CHECKs on either database."""

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op


def grow(
    table: str,
    columns: Sequence[sa.Column[Any]],
    *,
    kept: dict[str, str],
    fresh: dict[str, str],
    widened: str = "",
    filled: dict[str, Any] | None = None,
    longer: dict[str, int] | None = None,
) -> None:
    """Add columns and CHECKs to a filled table.

    SQLite cannot add a CHECK: the table is made anew, with the CHECKs that are named here and no
    others. Elsewhere those that are `kept` stay; only `widened` is dropped and made again.
    Columns that were `filled` since (name to type) are needed from now on; texts that grow
    `longer` are named with their new length.
    """
    is_sqlite = op.get_context().dialect.name == "sqlite"
    checks = [sa.CheckConstraint(sql, name=op.f(name)) for name, sql in {**kept, **fresh}.items()]
    with op.batch_alter_table(
        table,
        recreate="always" if is_sqlite else "never",
        copy_from=_as_it_is(table, checks) if is_sqlite else None,
    ) as batch:
        for column in columns:
            batch.add_column(column)
        for name, kind in (filled or {}).items():
            batch.alter_column(name, existing_type=kind, nullable=False)
        for name, length in (longer or {}).items():
            batch.alter_column(name, existing_type=sa.String(), type_=sa.String(length=length))
        if not is_sqlite:
            if widened:
                batch.drop_constraint(op.f(widened), type_="check")
            for name, sql in fresh.items():
                batch.create_check_constraint(op.f(name), sql)


def _as_it_is(table: str, checks: Sequence[sa.CheckConstraint]) -> sa.Table:
    """A table as the database has it, with these CHECKs.

    Whether CHECKs are read from SQLite depends on the version of the library, so all are named.
    """
    found = sa.Table(table, sa.MetaData(), autoload_with=op.get_bind())
    found.constraints -= {c for c in found.constraints if isinstance(c, sa.CheckConstraint)}
    for check in checks:
        found.append_constraint(check)
    return found


def text(name: str, length: int, value: str = "") -> sa.Column[Any]:
    """A text column; the rows that are there get `value`."""
    return sa.Column(name, sa.String(length=length), nullable=False, server_default=value)


def key(name: str, table: str, target: str) -> sa.Column[Any]:
    """A column of `table` that names a row of another, or none."""
    constraint = op.f(f"fk_{table}_{name}_{target}")
    return sa.Column(
        name, sa.Integer(), sa.ForeignKey(f"{target}.id", name=constraint), nullable=True
    )
