"""The calendar behind a link, for the calendar programs of grown-ups."""

from flask import Response

from app.services.sharing import calendar_feed, links
from app.web.guest import bp
from app.web.request import database, now


@bp.get("/calendar/<token>.ics")
def calendar(token: str) -> Response:
    """What is due and planned at the tank of a link."""
    with database().reading() as session:
        found = calendar_feed.feed(session, token, now=now())
    if found.last_used_on != found.today:
        with database().writing() as session:
            links.mark_used(session, found.link_id, found.today)
    return Response(found.content, content_type="text/calendar; charset=utf-8")
