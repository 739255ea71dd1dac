"""Things read from a table become entries: many at a time, inside one transaction."""

from dataclasses import replace
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import update
from sqlalchemy.orm import Session

from app.domain.drafts import NewLoggerImport, NewLook, NewMeal
from app.domain.guard import NewReading
from app.domain.records import EntryKind
from app.domain.sheet_rows import Draft, Item
from app.services.details import KINDS, columns_of
from app.storage.models.entry import Entry
from app.storage.models.exchange import ImportBatch
from app.storage.models.water import Logger, Reading
from app.storage.queries import entries, imports, logger_days

_AT_ONCE: Final = 500


class SheetWriter:
    """Writes items down as they come; `finish` writes the rest.

    `written` counts the things; `first_day` is the earliest local day, None while there is none.
    With `by_device` all readings become one entry, whose moment is that of the last of them.
    """

    def __init__(self, session: Session, batch: ImportBatch, *, by_device: bool) -> None:
        self.written = 0
        self.first_day: date | None = None
        self._session = session
        self._batch = batch
        self._by_device = by_device
        self._waiting: list[Item] = []
        self._headers: list[dict[str, Any]] = []
        self._readings: list[dict[str, Any]] = []
        self._logger: int | None = None
        self._logged = 0
        self._last: Item | None = None
        self._columns: dict[Draft, dict[str, Any]] = {}

    def put(self, item: Item, digest: str) -> None:
        """Write one thing down, now or with others."""
        self.written += 1
        if self.first_day is None or item.day < self.first_day:
            self.first_day = item.day
        if self._by_device and item.readings:
            self._log(item)
        else:
            self._waiting.append(item)
            self._headers.append(self._header(item, KINDS[type(item.draft)], digest))
        if len(self._waiting) + len(self._readings) >= _AT_ONCE:
            self._write()

    def finish(self) -> None:
        """Write what still waits."""
        self._write()
        if self._logger is not None and self._last is not None:
            last = {"happened_at": self._last.at, "local_day": self._last.day}
            self._session.execute(update(Entry).where(Entry.id == self._logger).values(last))
            rows = update(Logger).where(Logger.entry_id == self._logger)
            self._session.execute(rows.values(rows=self._logged))
            logger_days.summarize(self._session, self._logger)

    def _log(self, item: Item) -> None:
        if self._logger is None:
            header = self._header(item, EntryKind.LOGGER, "")
            draft = NewLoggerImport(file_name=self._batch.file_name, rows=0)
            detail = columns_of(self._session, self._batch.tank_id, draft)
            self._logger = entries.add(self._session, header, detail)
            imports.keep_apart(self._session, self._batch, [self._logger])
        if self._last is None or item.at > self._last.at:
            self._last = item
        self._logged += len(item.readings)
        for reading in item.readings:
            self._readings.append(self._row(reading, item.at, self._logger))

    def _header(self, item: Item, kind: EntryKind, digest: str) -> dict[str, Any]:
        batch = self._batch
        return {
            "tank_id": batch.tank_id,
            "kind": kind.value,
            "happened_at": item.at,
            "local_day": item.day,
            "recorded_at": batch.made_at,
            "author_id": batch.author_id,
            "token": f"sheet-{batch.id}-{self.written}",
            "digest": digest,
            "status": "ok",
            "reason": "",
        }

    def _write(self) -> None:
        waiting, self._waiting = self._waiting, []
        headers, self._headers = self._headers, []
        readings, self._readings = self._readings, []
        ids = imports.put_entries(self._session, headers)
        details: dict[type[Draft], list[dict[str, Any]]] = {}
        for entry_id, item in zip(ids, waiting, strict=True):
            details.setdefault(type(item.draft), []).append(self._detail(item, entry_id))
            readings += [self._row(reading, item.at, entry_id) for reading in item.readings]
        for draft, rows in details.items():
            imports.put(self._session, entries.DETAIL_TABLES[KINDS[draft]], rows)
        imports.put(self._session, Reading, readings)
        imports.keep_apart(self._session, self._batch, ids)

    def _detail(self, item: Item, entry_id: int) -> dict[str, Any]:
        """The row of an item's own table; equal drafts are looked up once, whatever their note."""
        draft, note = item.draft, {}
        if not isinstance(draft, NewMeal) and draft.note:
            draft, note = replace(draft, note=""), {"note": draft.note}
        known = self._columns.get(draft)
        if known is None:
            known = columns_of(self._session, self._batch.tank_id, draft)
            if isinstance(draft, NewLook):
                # how many there were at that time is not known
                known["expected"] = None
            known["kind"] = KINDS[type(draft)].value
            self._columns[draft] = known
        row = {**known, **note, "entry_id": entry_id}
        if known["kind"] == EntryKind.JOB:
            row |= {"tank_id": self._batch.tank_id, "happened_at": item.at}
        return row

    def _row(self, reading: NewReading, at: datetime, entry_id: int) -> dict[str, Any]:
        return {
            "entry_id": entry_id,
            "tank_id": self._batch.tank_id,
            "quantity": reading.quantity.value,
            "at": at,
            "value": reading.value,
            "typed": reading.typed,
            "unit": reading.unit,
            "basis": reading.basis,
            "in_force": True,
        }
