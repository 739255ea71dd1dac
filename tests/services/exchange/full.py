"""A record with something in every table, and packages of it."""

import io
import zipfile
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import select

from app.domain.drafts import NewJob, NewLook, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind, Treated, Treatment
from app.services import entries, photos
from app.services.exchange import package, taking_in
from app.services.photos import PhotoFacts
from app.storage.engine import Database
from app.storage.models import (
    access,
    api,
    classes,
    entry,
    exchange,
    feeding,
    forecast,
    kit,
    links,
    livestock,
    marks,
    notebook,
    oversight,
    reminder,
    site,
    tank,
    water,
)
from tests.pictures import jpeg
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, empty_database, new_record, reading

SECRET = "never to be told"  # in each place that stays in the record
LATER = MONDAY + timedelta(days=40)


def full_record(folder: Path) -> Record:
    """Entries of all kinds with their history, and every register."""
    record = new_record(folder)
    _write_entries(record)
    with record.database.writing() as session:
        session.add_all(_registers(record))
        session.flush()
        session.add_all(_belongings(record))
        session.commit()
    _take_photos(record)
    return record


def _write_entries(record: Record) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), by=record.otter)
    record.write(ALL_FINE, by=record.finch)
    wrong = record.write(NewTest(note="Otter read it"), reading(Quantity.PH, 8.8))
    with record.database.writing() as session:
        fixed = entries.correct(
            session, record.stamp(), wrong.entry_id, NewTest(note="again"),
            [reading(Quantity.PH, 6.8), reading(Quantity.NITRATE, 10, low=5.0, high=None)],
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
        assert fixed.fresh
    back = record.write(NewLook(seen=15, note="=1+1"))
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, back.entry_id, visitor=record.adult, now=record.now
        )
    record.write(
        NewJob(job=JobKind.WATER_CHANGE, liters_out=20.0, liters_in=20.0, treated=Treated.YES)
    )
    record.write(
        NewJob(job=JobKind.TREATMENT, treatment=Treatment(product="Salt bath")), at=record.now
    )
    record.write(NewStockEvent(what=StockEventKind.MEASURED, group_id=1, count=0, length_cm=4.0))


def _registers(record: Record) -> list[object]:
    now, day, adult = record.now, record.now.date(), record.adult.author_id
    return [
        tank.Tank(id=2, site_id=1, name="Pool", folded="pool", length_cm=60, width_cm=30),
        oversight.TargetTemplate(id=1, name="Soft water"),
        site.Break(site_id=1, first_day=day, last_day=day, name="Finch is away"),
        site.Setback(site_id=1, weekdays="56", starts="18:00", ends="06:00", room_c=16.5),
        site.PaperText(site_id=1, name="policy", text="Wash hands,\r\n\"always\"."),
        site.PaperText(site_id=1, tank_id=1, name="packets", text="top drawer"),
        site.TapReading(site_id=1, quantity="kh", value=4.25, tested_on=day),
        livestock.OwnSpecies(
            site_id=1, scientific_name="Rasbora aqua", common_name="rasbora", folded="rasbora aqua"
        ),
        livestock.Plant(tank_id=1, name="fern", folded="fern"),
        livestock.StockBatch(group_id=1, label="October"),
        kit.Kit(id=1, site_id=1, quantity="ph", name="Drops", unit=""),
        kit.Equipment(tank_id=1, kind="heater", name="Heater", watts=50.5),
        tank.TankRange(tank_id=1, quantity="ph", low=6.5, high=None, set_by="keeper"),
        tank.CarePlan(tank_id=1),
        tank.CareJob(tank_id=1, name="glass", every_days=7),
        feeding.Scoop(tank_id=1, grams=0.1 + 0.2, weighed_at=now),
        access.Person(id=9, name="Technician", role="technician", passphrase_hash=SECRET),
        marks.TaskMark(
            tank_id=1, task_key="feed", kind="assigned", at=now, author_id=adult, to_name="Otter"
        ),
        links.Link(
            id=1, kind="sitter", token_hash=SECRET, tank_id=1, label="for Finch", first_day=day,
            last_day=day, made_at=now, made_by_id=adult,
        ),
        forecast.Forecast(
            tank_id=1, quantity="nitrate", entry_id=1, revision=3, made_at=now,
            about_at=now + timedelta(days=3), low=1 / 3, best=2 / 3, high=1.0, last=0.5,
            model="pace", version="1",
        ),
        exchange.ImportBatch(id=1, tank_id=1, token="t", made_at=now, author_id=adult),
        notebook.PrivateNote(tank_id=1, author_id=adult, written_at=now, text=SECRET),
    ]  # fmt: skip


def _belongings(record: Record) -> list[object]:
    now, day, adult = record.now, record.now.date(), record.adult.author_id
    return [
        oversight.TemplateRange(template_id=1, quantity="gh", low=3.0, high=8.0),
        oversight.Contact(entry_id=1, other_tank_id=2, what="net", way="also"),
        kit.KitComparison(kit_id=1, at=now, known=7.0, read=7.2, against="solution"),
        kit.Supply(
            site_id=1, kind="reagent", name="Drops", unit="tests", amount_left=12.0,
            counted_on=day, kit_id=1,
        ),
        access.TankAccess(person_id=9, tank_id=1),
        access.Author(kind="adult", name="Technician", person_id=9),
        access.Author(kind="token", name="Thermometer"),
        classes.HelperAway(helper_id=1, day=day),
        classes.Duty(class_id=1, day=day, helper_id=1),
        links.SitterPacket(link_id=1, number=1, day=day, grams=0.3, entry_id=1),
        exchange.ImportEntry(batch_id=1, entry_id=1),
        notebook.NoteApproval(entry_id=1, shown=True, by_id=adult, at=now),
        entry.Entry(
            id=500, tank_id=1, kind="logger", happened_at=now, local_day=day, recorded_at=now,
            author_id=adult, token="file", digest="d",
        ),
        reminder.Reminder(person_id=9, email=SECRET, weekdays="0"),
        api.ApiToken(
            label=SECRET, token_hash=SECRET, author_id=adult, made_by_id=1, made_at=now
        ),
    ]  # fmt: skip


def _take_photos(record: Record) -> None:
    with record.database.writing() as session:
        for shown, caption in ((True, "Otter took it"), (False, SECRET)):
            picture = photos.read(jpeg("green" if shown else "red"))
            photos.add(
                session, 1, picture, PhotoFacts(taken_at=record.now, caption=caption),
                author_id=record.otter, shown=shown, token=caption[:8] * 2, now=record.now,
            )  # fmt: skip
        first = session.scalars(select(notebook.Photo.id).order_by(notebook.Photo.id)).first()
        measured = session.scalars(
            select(livestock.StockEvent.entry_id).where(livestock.StockEvent.what == "measured")
        ).first()
        session.add(
            notebook.PhotoMeasure(entry_id=measured, photo_id=first, ruler_cm=5.0, points="0 0")
        )
        session.add(water.Logger(entry_id=500, file_name="pond.csv", rows=0))
        session.commit()


def packed(database: Database, tank_id: int | None = None, *, now: datetime = MONDAY) -> bytes:
    """The package of a tank, or of all."""
    target = io.BytesIO()
    with database.reading() as session:
        package.write(session, target, tank_id=tank_id, now=now)
    return target.getvalue()


def unpacked(content: bytes, folder: Path) -> Database:
    """A new record with what is in a package."""
    folder.mkdir(exist_ok=True)
    file = folder / "package.zip"
    file.write_bytes(content)
    database = empty_database(folder)
    with database.writing() as session:
        taking_in.take_in(session, file)
    return database


def changed(content: bytes, files: dict[str, bytes | None]) -> bytes:
    """A package with other files; None leaves one out."""
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            if name not in files:
                new.writestr(name, old.read(name))
        for name, data in files.items():
            if data is not None:
                new.writestr(name, data)
    return target.getvalue()
