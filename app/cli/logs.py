"""What a server writes about itself: JSON, one object a line, on the error stream."""

import json
import logging
import os
import sys
from datetime import UTC, datetime

import click

LEVELS = ("debug", "info", "warning", "error")
VARIABLE = "SILLPOND_LOG"


class JsonLines(logging.Formatter):
    """A record as one JSON object: time, level, logger, what happened, and its facts."""

    def format(self, record: logging.LogRecord) -> str:
        """The object as one line; line breaks of a traceback are escaped."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "what": record.getMessage(),
            **getattr(record, "facts", {}),
        }
        if record.exc_info:
            line["traceback"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=True)


def set_up() -> None:
    """Write from the level that SILLPOND_LOG names on; warnings by default.

    At "info" each request is one line.

    Raises:
        click.ClickException: If there is no such level.
    """
    level = os.environ.get(VARIABLE, "warning").lower()
    if level not in LEVELS:
        raise click.ClickException(f"{VARIABLE} is one of {', '.join(LEVELS)}.")
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    logging.basicConfig(level=level.upper(), handlers=[handler])
    # its own lines say no more than ours, or at "info" which address it listens on
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    logging.getLogger("alembic.runtime.plugins").setLevel(logging.ERROR)
