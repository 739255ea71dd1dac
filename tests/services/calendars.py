"""Calendar files for tests, as calendar programs write them; the events are invented."""

from typing import Final

# RFC 5545, 3.6.5: the rules of New York since 2007 in the form of its example
ZONE: Final = """BEGIN:VTIMEZONE
TZID:School clock
BEGIN:DAYLIGHT
DTSTART:20070311T020000
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:20071104T020000
RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
END:STANDARD
END:VTIMEZONE
"""


def event(uid: str, *lines: str) -> str:
    """One event."""
    return "\n".join(["BEGIN:VEVENT", f"UID:{uid}", "DTSTAMP:20270101T000000Z", *lines]) + (
        "\nEND:VEVENT\n"
    )


def whole_day(uid: str, name: str, first: str, end: str, *lines: str) -> str:
    """Days in a row; `end` is the day after the last one."""
    ends = (f"DTEND;VALUE=DATE:{end}",) if end else ()
    return event(uid, f"SUMMARY:{name}", f"DTSTART;VALUE=DATE:{first}", *ends, *lines)


def calendar(*parts: str) -> bytes:
    """A file with these parts."""
    head = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//A test//EN\n"
    return (head + "".join(parts) + "END:VCALENDAR\n").replace("\n", "\r\n").encode()
