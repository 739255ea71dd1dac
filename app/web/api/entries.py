"""Entries for programs: the history of what was done, and what a program writes down."""

from typing import Any
from zoneinfo import ZoneInfo

from flask import url_for
from sqlalchemy.orm import Session

from app.services import tanks
from app.services.access.api_tokens import Program, Scope
from app.services.ahead import ledger
from app.services.api import history, writing
from app.services.api.history import Asked
from app.services.api.writing import Sent
from app.web.api import asked, said
from app.web.api.cursor import cursor_of, key_of
from app.web.api.operation import Operation, Said, etag_of, is_known, operation, unchanged
from app.web.api.row import entry_said
from app.web.request import database, now


@operation(
    Operation(
        name="list_entries",
        method="GET",
        path="/tanks/<int:tank>/entries",
        summary="A page of entries, the newest first",
        answers={200: said.Entries},
        query=asked.EntriesAsked,
        tagged=True,
    )
)
def list_entries(program: Program, tank: int, query: asked.EntriesAsked) -> Said:  # noqa: ARG001
    """A page of entries; it changes only when the tank's record does."""
    part = Asked(
        since=query.since, until=query.until, before=key_of(query.cursor), limit=query.limit
    )
    with database().reading() as session:
        etag = etag_of(tank, tanks.revision(session, tank), query)
        if is_known(etag):
            return unchanged(etag)
        page = history.entries(session, tank, query.kinds, part, all_of=query.all)
    zone = ZoneInfo(page.zone)
    shown = said.Entries(
        entries=tuple(entry_said(row, page.groups, zone) for row in page.rows),
        next_cursor=cursor_of(page.older),
    )
    return Said(shown, etag=etag)


@operation(
    Operation(
        name="get_entry",
        method="GET",
        path="/tanks/<int:tank>/entries/<int:entry>",
        summary="One entry, also one that was corrected or taken back",
        answers={200: said.Entry},
        tagged=True,
    )
)
def get_entry(program: Program, tank: int, entry: int) -> Said:  # noqa: ARG001
    """One entry."""
    with database().reading() as session:
        return Said(_entry(session, tank, entry))


@operation(
    Operation(
        name="send_entry",
        method="POST",
        path="/tanks/<int:tank>/entries",
        summary="Write down a meal, a water test, a look or a job",
        answers={201: said.Entry},
        scope=Scope.ENTRIES,
        body=asked.EntrySent,
        keyed=True,
    )
)
def send_entry(program: Program, tank: int, body: Any, key: str) -> Said:
    """Write an entry down once; the same key with the same content gives the same answer."""
    sent = Sent(
        key=key,
        at=body.at,
        draft=body.draft(),
        measured=tuple(each.measured() for each in body.readings),
        again=getattr(body, "again", False),
        confirmed=getattr(body, "confirmed", False),
    )
    with database().writing() as session:
        saved = writing.record(session, program, tank, sent, now=now())
    if saved.fresh and any(each.quantity in ledger.KEPT for each in body.readings):
        ledger.keep(database(), tank, now=now())
    with database().reading() as session:
        shown = _entry(session, tank, saved.entry_id)
    where = url_for("api.get_entry", tank=tank, entry=saved.entry_id)
    return Said(shown, 201, {"Location": where})


def _entry(session: Session, tank: int, entry: int) -> said.Entry:
    page = history.entry(session, tank, entry)
    return entry_said(page.rows[0], page.groups, ZoneInfo(page.zone))
