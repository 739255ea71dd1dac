"""The schema's revisions: which one a file has, and bringing it to the newest."""

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Engine, inspect, text

from app import resources
from app.domain.errors import Refused
from app.storage import (
    models,  # noqa: F401  # fills the metadata
    postgresql,
)

if TYPE_CHECKING:
    from alembic.config import Config


def _config() -> "Config":
    # alembic takes a tenth of a second to import: only where it is used
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    folder = str(resources.resource_root() / "migrations")
    config.set_main_option("script_location", folder.replace("%", "%%"))
    return config


def newest_revision() -> str:
    """The revision this program needs."""
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    return ScriptDirectory.from_config(_config()).get_current_head() or ""


def revision_of(engine: Engine) -> str | None:
    """The revision a database has; None for an empty one."""
    with _looking(engine).connect() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def _looking(engine: Engine) -> Engine:
    """The engine for a look that need not wait for whoever writes."""
    return engine if engine.dialect.name == "sqlite" else postgresql.for_reading(engine)


def known_revisions() -> frozenset[str]:
    """All revisions this program can start from."""
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    return frozenset(r.revision for r in ScriptDirectory.from_config(_config()).walk_revisions())


def upgrade(engine: Engine, to: str = "head") -> None:
    """Bring a database to a revision, the newest one by default; `engine` has foreign keys off.

    Raises:
        Refused: If the database was written by a newer program, or keys do not match after.
    """
    from alembic import command  # noqa: PLC0415

    found = revision_of(engine)
    if found is not None and found not in known_revisions():
        raise Refused(
            f"This record was written by a newer Sillpond (revision {found}; this one knows "
            f"{newest_revision()}). Install the newer version. Nothing was changed."
        )
    config = _config()
    if engine.dialect.name != "sqlite":
        # several processes may start at once: one upgrades, the others wait and find it done
        engine = postgresql.waiting_long(engine)
    with engine.begin() as connection:
        if engine.dialect.name != "sqlite":
            postgresql.refuse_unfit(connection)
        config.attributes["connection"] = connection
        command.upgrade(config, to)
        if (
            connection.dialect.name == "sqlite"
            and connection.exec_driver_sql("PRAGMA foreign_key_check").fetchone()
        ):
            raise Refused("The record does not fit together after the upgrade. Use the copy.")


def refuse_foreign(engine: Engine) -> None:
    """Look whether a database is empty or ours.

    Raises:
        Refused: If it holds tables of another program.
    """
    if revision_of(engine) is None:
        with _looking(engine).connect() as connection:
            if inspect(connection).get_table_names():
                raise Refused("This database was not written by Sillpond. Nothing was changed.")


def is_current(engine: Engine) -> bool:
    """Whether a database already has the newest revision."""
    return revision_of(engine) == newest_revision()


def database_exists(file: Path) -> bool:
    """Whether a file already holds something."""
    return file.exists() and file.stat().st_size > 0
