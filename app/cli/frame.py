"""What all commands share: the record they open, one-line refusals, the progress bar."""

import os
import sys
import zoneinfo
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import click
from sqlalchemy.exc import DatabaseError

from app.clock import Clock, SystemClock
from app.domain.errors import Conflict, SillpondError
from app.services.installation import keeping
from app.settings import Settings, named_database, user_data_folder
from app.storage import hold
from app.storage.engine import Database
from app.storage.hold import Hold


class PlainGroup(click.Group):
    """A group whose commands end with one line a person can act on, never with a traceback.

    Exit codes: 0 done, 1 refused, 2 not called rightly.
    """

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command and turn what went wrong into its line."""
        for stream in (sys.stdout, sys.stderr):
            if hasattr(stream, "reconfigure"):
                # a console of a narrow alphabet shows a stand-in instead of ending the command
                stream.reconfigure(errors="replace")
        try:
            return super().invoke(ctx)
        except SillpondError as error:
            raise click.ClickException(str(error)) from None
        except DatabaseError as error:
            raise click.ClickException(f"The record cannot be used: {error.orig}.") from None
        except BrokenPipeError:
            # whoever read our lines has seen enough
            sys.stdout = open(os.devnull, "w")  # noqa: SIM115, PTH123
            return None
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            raise click.ClickException(f"{where}{error.strerror or error}.") from None


@dataclass(frozen=True, slots=True)
class Desk:
    """An open record with the moment of the command."""

    database: Database
    settings: Settings
    now: datetime


def clock() -> Clock:
    """The clock of this command: the computer's own, unless a test handed one over."""
    given = click.get_current_context().obj
    return given if given is not None else SystemClock()


def plain_settings() -> Settings:
    """Settings of a command that signs nothing."""
    return Settings(data_folder=user_data_folder(), secret_key="", database_url=named_database())


@contextmanager
def record(*, begin: bool = False) -> Iterator[Desk]:
    """The open record of this computer; `begin` makes one where there is none."""
    settings, now = plain_settings(), clock().now()
    if not begin:
        keeping.look_for(settings)
    if not settings.database_url and keeping.needs_upgrade(settings):
        keeping.prepare_folder(settings.data_folder)
        with held(settings):
            database = keeping.open_record(settings, now=now, zone=machine_zone())
    else:
        database = keeping.open_record(settings, now=now, zone=machine_zone())
    try:
        yield Desk(database, settings, now)
    finally:
        database.close()


def lock_file(settings: Settings) -> Path:
    """The file whose lock says that a server has the record open."""
    return settings.data_folder / "sillpond.lock"


@contextmanager
def held(settings: Settings) -> Iterator[Hold | None]:
    """Have the record for this process alone; None where a PostgreSQL server serves many.

    Raises:
        Conflict: If a server has it open.
    """
    if settings.database_url:
        yield None
        return
    try:
        with hold.held(lock_file(settings)) as found:
            yield found
    except Conflict as taken:
        where = f" at {taken}" if str(taken) else ""
        raise Conflict(f"A server has this record open{where}. Stop it first (Ctrl-C).") from None


def machine_zone() -> str:
    """The name of this computer's time zone, or UTC where it does not tell."""
    link = Path("/etc/localtime")
    told = link.resolve().as_posix().partition("zoneinfo/")[2] if link.exists() else ""
    for name in (os.environ.get("TZ", "").lstrip(":"), told):
        # abbreviations as EST5EDT are rules of the system, and no place
        if "/" in name and name in zoneinfo.available_timezones():
            return name
    return "UTC"


@contextmanager
def progress_bar(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on the error stream, shown to people only; call what is given with (done, whole)."""
    with click.progressbar(length=100, label=label, file=sys.stderr) as bar:

        def show(done: int, whole: int) -> None:
            percent = 100 if whole <= 0 else int(100 * done / whole)
            if percent > bar.pos:
                bar.update(percent - bar.pos)

        yield show
        show(1, 1)
