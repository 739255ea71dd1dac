"""`demo` and `serve`: put the record before a browser."""

import secrets
import tempfile
from collections.abc import Callable
from pathlib import Path

import click

from app.cli import frame, serving
from app.clock import Clock
from app.domain.errors import Refused
from app.services import demo as demo_service
from app.services import keeping, people
from app.settings import Settings, user_data_folder
from app.storage.engine import Database

port_option = click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=serving.DEFAULT_PORT,
    show_default=True,
    help="Where to listen; 0 takes a free port.",
)
browser_option = click.option(
    "--no-browser", is_flag=True, help="Print the link, but open no browser."
)


@click.command()
@port_option
@browser_option
def demo(port: int, no_browser: bool) -> None:
    """Serve invented tanks from a throw-away folder, to try things out."""
    clock = frame.clock()
    with tempfile.TemporaryDirectory(prefix="sillpond-demo-", ignore_cleanup_errors=True) as name:
        settings = Settings(
            data_folder=Path(name),
            secret_key=secrets.token_hex(32),
            trusted_hosts=serving.names_of_this_computer("127.0.0.1"),
            demo=True,
        )
        now = clock.now()
        database = keeping.open_record(settings, now=now, zone=frame.machine_zone())
        try:
            with frame.progress_bar("Filling two tanks with 18 months of life") as show:
                demo_service.load(database, now=now, zone=frame.machine_zone(), progress=show)
            _serve(settings, clock, database, "127.0.0.1", port, open_browser=not no_browser)
        finally:
            database.close()


@click.command()
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="The address to listen on; any but this computer's own needs a passphrase first.",
)
@port_option
@browser_option
@click.option(
    "--name",
    "names",
    multiple=True,
    help="A further name under which other devices reach this computer.",
)
@click.option("--behind-tls", is_flag=True, help="A proxy of yours in front of this ends TLS.")
def serve(host: str, port: int, no_browser: bool, names: tuple[str, ...], behind_tls: bool) -> None:
    """Serve your own record; an older one is copied, then upgraded."""
    clock, folder = frame.clock(), user_data_folder()
    settings = Settings(
        data_folder=folder,
        secret_key=keeping.secret_key(folder),
        behind_tls=behind_tls,
        trusted_hosts=(*serving.names_of_this_computer(host), *names),
    )
    with frame.held(settings) as hold:
        database = keeping.open_record(settings, now=clock.now(), zone=frame.machine_zone())
        try:
            _refuse_open_door(database, host)
            _serve(
                settings, clock, database, host, port,
                open_browser=not no_browser, say=hold.say,
            )  # fmt: skip
        finally:
            database.close()


def _refuse_open_door(database: Database, host: str) -> None:
    if serving.is_loopback(host):
        return
    with database.reading() as session:
        if not people.has_passphrase(session):
            raise Refused(
                "Before other devices can open this record, choose a passphrase: "
                "sillpond passphrase"
            )


def _serve(
    settings: Settings,
    clock: Clock,
    database: Database,
    host: str,
    port: int,
    *,
    open_browser: bool,
    say: Callable[[str], None] | None = None,
) -> None:
    # all the pages: only the two commands that serve them wait for their import
    from app.factory import create_app  # noqa: PLC0415

    def on_start(url: str) -> str:
        if say is not None:
            say(url)
        with database.writing() as session:
            token = people.make_link(session, now=clock.now())
        page = f"{url}sign-in/{token}"
        click.echo(f"Sillpond is served at {url}")
        if not settings.demo:
            click.echo(f"The record is {settings.database_file}")
        for name in _elsewhere(settings, host):
            click.echo(f"From other devices: http://{name}:{url.rsplit(':', 1)[1]}")
        click.echo(f"Sign in once with this link:\n  {page}\nStop with Ctrl-C.")
        return page

    serving.serve(
        create_app(settings, clock, database),
        host=host,
        port=port,
        on_start=on_start,
        open_browser=open_browser,
        behind_tls=settings.behind_tls,
    )


def _elsewhere(settings: Settings, host: str) -> list[str]:
    own = serving.names_of_this_computer("127.0.0.1")
    return [] if serving.is_loopback(host) else [n for n in settings.trusted_hosts if n not in own]
