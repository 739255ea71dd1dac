"""The command `sillpond`: serve the record, keep it, move it in and out, ask what is due."""

import click

import app
from app.cli import access, checking, due, files, logger, moving, remind, running, taking
from app.cli.frame import PlainGroup


@click.group(cls=PlainGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(app.__version__, prog_name="sillpond")
def main() -> None:
    """The record of a freshwater community tank: what is due, and why.

    Try it with invented tanks: sillpond demo. Keep your own record: sillpond serve.
    The record lies in the platform's folder for your data, or where SILLPOND_DATA says.
    """


for command in (
    running.demo,
    running.serve,
    access.passphrase,
    access.link,
    access.list_people,
    due.due,
    remind.remind,
    logger.import_file,
    files.export,
    taking.package,
    taking.archive,
    taking.unpack,
    files.backup,
    files.restore,
    checking.check,
    moving.copy_to,
):
    main.add_command(command)
