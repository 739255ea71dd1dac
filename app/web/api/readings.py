"""Readings for programs: the measured history, and what devices send."""

from zoneinfo import ZoneInfo

from app.services import tanks
from app.services.access.api_tokens import Program, Scope
from app.services.api import device, history
from app.services.api.history import Asked
from app.web.api import asked, said
from app.web.api.cursor import cursor_of, key_of
from app.web.api.operation import Operation, Said, etag_of, is_known, operation, unchanged
from app.web.api.row import reading_said
from app.web.request import database, now


@operation(
    Operation(
        name="list_readings",
        method="GET",
        path="/tanks/<int:tank>/readings",
        summary="A page of the readings that count, the newest first",
        answers={200: said.Readings},
        query=asked.ReadingsAsked,
        tagged=True,
    )
)
def list_readings(program: Program, tank: int, query: asked.ReadingsAsked) -> Said:  # noqa: ARG001
    """A page of readings; it changes only when the tank's record does."""
    part = Asked(
        since=query.since, until=query.until, before=key_of(query.cursor), limit=query.limit
    )
    with database().reading() as session:
        etag = etag_of(tank, tanks.revision(session, tank), query)
        if is_known(etag):
            return unchanged(etag)
        quantities = () if query.quantity is None else (query.quantity,)
        page = history.readings(session, tank, quantities, part)
    zone = ZoneInfo(page.zone)
    shown = said.Readings(
        readings=tuple(
            reading_said(row.reading, row.entry_kind, row.by, zone) for row in page.rows
        ),
        next_cursor=cursor_of(page.older),
    )
    return Said(shown, etag=etag)


@operation(
    Operation(
        name="send_readings",
        method="POST",
        path="/tanks/<int:tank>/readings",
        summary="What a device measured: one reading or many, saved whole or not at all",
        answers={200: said.Taken, 201: said.Taken},
        scope=Scope.READINGS,
        body=asked.ReadingsSent,
    )
)
def send_readings(program: Program, tank: int, body: asked.ReadingsSent) -> Said:
    """Take a device's readings; what was there already is the same reading."""
    sent = [each.of_device() for each in body.readings]
    with database().writing() as session:
        taken = device.take(session, program, tank, sent, now=now())
    shown = said.Taken(
        added=taken.added,
        known=taken.known,
        different=taken.different,
        entry_ids=taken.entry_ids,
    )
    return Said(shown, 201 if taken.added else 200)
