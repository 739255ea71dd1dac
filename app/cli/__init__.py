"""The command `sillpond`: serve the record, keep it, move it in and out, ask what is due."""

import click

import app
from app.cli import access, due, files, logger, running
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
    due.due,
    logger.import_file,
    files.export,
    files.backup,
    files.restore,
    files.check,
):
    main.add_command(command)
