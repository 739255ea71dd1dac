"""`package`, `archive` and `unpack`: the record taken along, and made a record again."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from app.cli import frame
from app.cli.due import tank_named
from app.domain.errors import Refused
from app.domain.wording import count
from app.services.exchange import archive as archives
from app.services.exchange import package as packages
from app.services.exchange import taking_in

_A_FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.argument("file", type=_A_FILE)
@click.option("--tank", "name", help="Only this tank, by its name.")
def package(file: Path, name: str | None) -> None:
    """Write a data package: every table as a CSV, with its description, in one ZIP file.

    Helpers have codes in place of nicknames. Passphrases, sessions, private notes, guesses and
    the addresses of links stay here. `sillpond unpack` makes a record of the file.
    """
    _write(packages.write, file, name)


@click.command()
@click.argument("file", type=_A_FILE)
@click.option("--tank", "name", help="Only this tank, by its name.")
def archive(file: Path, name: str | None) -> None:
    """Write an archive: pages, charts and tables that open without this program."""
    _write(archives.write, file, name)


def _write(write: Callable[..., Any], file: Path, name: str | None) -> None:
    if file.exists():
        raise Refused(f"{file} is there already. Choose another name.")
    unfinished = file.with_name(file.name + ".part")
    with frame.record() as desk, desk.database.without_tile_names.reading() as session:
        tank_id = None if name is None else tank_named(session, name)
        try:
            with unfinished.open("wb") as target, frame.progress_bar("Writing") as show:
                # a package is of one moment: nothing may be read before it
                session.rollback()
                write(session, target, tank_id=tank_id, now=desk.now, progress=show)
            unfinished.replace(file)
        finally:
            unfinished.unlink(missing_ok=True)
    click.echo(f"{file}: {file.stat().st_size / 1e6:.1f} MB")


@click.command()
@click.argument("file", type=_A_FILE)
def unpack(file: Path) -> None:
    """Bring the rows of a data package into an empty record.

    An archive holds one as data-package.zip. The record must have no tank; another folder can
    be named in SILLPOND_DATA.
    """
    if not file.is_file():
        raise Refused(f"There is no file {file}.")
    with (
        frame.record(begin=True) as desk,
        frame.held(desk.settings),
        desk.database.writing() as session,
        frame.progress_bar("Unpacking") as show,
    ):
        counts = taking_in.take_in(session, file, progress=show)
    said = (
        count(counts["tank"], "tank", "tanks"),
        count(counts["entry"], "entry", "entries"),
        count(counts["reading"], "reading", "readings"),
    )
    click.echo(", ".join(said))
    click.echo("Sign in with the link of: sillpond serve")
