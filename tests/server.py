"""A throw-away PostgreSQL server, and databases on it that are copies of prepared ones.

The server listens on a socket in a folder of its own and goes when the process ends. With
SILLPOND_TEST_DATABASE=postgresql all records of the tests lie on it; one server then serves all
processes of the run. SILLPOND_REQUIRE_POSTGRESQL=1 makes a machine without one a failure.
"""

import atexit
import functools
import os
import shutil
import subprocess
import tempfile
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_engine

from tests import memory

WHOLE_RUN = os.environ.get("SILLPOND_TEST_DATABASE") == "postgresql"
_SOCKET = "SILLPOND_TEST_SOCKET"
_OWNER = "sillpond"
# what a crash would need costs time, and a throw-away server needs none of it
_QUICK = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c max_wal_size=256MB"
_numbers = count(1)


def _programs() -> Path | None:
    """The folder of the newest installed server, or None."""
    found = [p.parent for p in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    if found:
        return max(found, key=lambda folder: int(folder.parent.name))
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


def _place(*, durable: bool) -> Path:
    """Where the server lies. The path of its socket may have about a hundred letters."""
    return (None if durable else memory.roomy()) or Path("/tmp")


def start(*, durable: bool = False) -> Path:
    """Start a server; returns the folder of its socket. A `durable` one writes to the disk."""
    programs = _programs()
    if programs is None:
        required = os.environ.get("SILLPOND_REQUIRE_POSTGRESQL") == "1"
        (pytest.fail if required else pytest.skip)("no PostgreSQL server is installed")
    home = Path(tempfile.mkdtemp(prefix="pg-", dir=_place(durable=durable)))
    as_owner: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        as_owner = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups", "--"]
        shutil.chown(home, "postgres")

    def run(program: str, *arguments: str) -> None:
        command = [*as_owner, str(programs / program), "-D", f"{home}/data", *arguments]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd="/")

    # texts in order of code points, as the record asks for
    run("initdb", "-U", _OWNER, "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
    options = f"-c listen_addresses='' -c max_connections=200 -k {home} {'' if durable else _QUICK}"
    run("pg_ctl", "-l", f"{home}/log", "-w", "-o", options, "start")

    def stop() -> None:
        run("pg_ctl", "-m", "immediate", "stop")
        shutil.rmtree(home, ignore_errors=True)

    atexit.register(stop)
    os.environ[_SOCKET] = str(home)
    return home


@functools.cache
def socket() -> Path:
    """The folder of the socket of the server of this run, started on first use."""
    named = os.environ.get(_SOCKET)
    return Path(named) if named else start()


def url(name: str) -> str:
    """The address of a database of this server."""
    return f"postgresql+psycopg://{_OWNER}@/{name}?host={socket()}"


@functools.cache
def _office() -> Engine:
    """Where databases are made and dropped."""
    return create_engine(url("postgres"), isolation_level="AUTOCOMMIT")


def new_name() -> str:
    """A name that no other database of this run has."""
    return f"t{os.getpid()}_{next(_numbers)}"


def make(name: str, copied: str = "template0") -> None:
    """Make a database as a copy of another one, to which nobody may be connected."""
    with _office().connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name} TEMPLATE {copied}")


def drop(name: str) -> None:
    """Drop a database, whoever is still connected."""
    with _office().connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
