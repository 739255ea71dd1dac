"""Opening, upgrading and putting back, killed at each step that touches the disk.

A step is a call of SQLite or of the system: statements, commits, files made, renamed or removed.
"""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from app.services.installation import keeping, restoring
from app.settings import Settings
from tests.durability.children import Start, steps_of
from tests.record import ONE_SCOOP
from tests.services.record_files import backup_of, contents, filled, settings_in
from tests.storage.older_records import write_record

NOW = datetime(2027, 2, 9, 12, tzinfo=UTC)
Rows = dict[str, list[tuple[object, ...]]]


@dataclass
class Case:
    """A command that changes a record: how to set it up, run it again, and what it may leave."""

    template: Path
    words: tuple[str, ...]
    again: Callable[[Settings], None]
    old: Rows
    new: Rows

    def steps(self, folder: Path, start: Start) -> int:
        """How many steps the command has when nobody kills it."""
        shutil.copytree(self.template, folder)
        number = steps_of(start(folder, *self.words, steps=0))
        assert contents(settings_in(folder).database_file) == self.new
        return number

    def kill_at(self, step: int, folder: Path, start: Start) -> bool:
        """Kill the command at a step, look, run it again; whether the new record stood there."""
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(self.template, folder)
        start(folder, *self.words, steps=step).wait()
        settings = settings_in(folder)
        found = contents(settings.database_file)
        done = found == self.new
        assert done or found == self.old, f"killed at step {step}: neither old nor new"
        copies = [contents(Path(settings.copies_folder / c.name)) for c in keeping.copies(settings)]
        assert all(copy == self.old for copy in copies), f"killed at step {step}: half a copy"
        assert copies or not done, f"killed at step {step}: changed before it was copied"
        self.again(settings)
        report = keeping.check(settings)
        assert report.is_whole, f"killed at step {step}: {report.fault or report.revision}"
        assert contents(settings.database_file) == self.new
        return done


def upgrading(folder: Path, revision: str) -> Case:
    """A record of an older schema that is opened by this program."""
    template = folder / f"record-{revision}"
    template.mkdir()
    settings = settings_in(template)
    write_record(settings.database_file, revision)
    old = contents(settings.database_file)
    whole = folder / f"upgraded-{revision}"
    shutil.copytree(template, whole)
    _open(settings_in(whole))
    return Case(template, ("open",), _open, old, contents(settings_in(whole).database_file))


def _open(settings: Settings) -> None:
    keeping.open_record(settings, now=NOW).close()


def putting_back(folder: Path) -> Case:
    """A backup that is put in place of a record with newer entries."""
    record, settings = filled(folder / "record")
    backup = backup_of(record, settings, folder / "backup.sqlite")
    new = contents(backup)
    record.write(ONE_SCOOP)
    record.database.close()
    old = contents(settings.database_file)

    def again(found: Settings) -> None:
        restoring.restore(found, backup, now=NOW)

    return Case(settings.data_folder, ("restore", str(backup)), again, old, new)
