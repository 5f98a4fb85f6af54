"""Reads a calendar on standard input as another program would, and says in JSON what it holds."""

import datetime
import json
import sys

import icalendar
import recurring_ical_events

raw = sys.stdin.buffer.read()
# RFC 5545, 3.1: lines end in CRLF and are at most 75 octets long, each whole UTF-8 by itself.
assert raw.endswith(b"\r\n"), "the last line ends"
for line in raw.split(b"\r\n"):
    assert b"\n" not in line and b"\r" not in line, line
    assert len(line) <= 75, (len(line), line)
    line.decode("utf-8")

calendar = icalendar.Calendar.from_ical(raw)
events = []
for event in calendar.walk("VEVENT"):
    assert not event.errors, event.errors
    events.append(
        {
            "uid": str(event["UID"]),
            "start": event.decoded("DTSTART").isoformat(),
            "end": event.decoded("DTEND").isoformat(),
            "stamp": event.decoded("DTSTAMP").isoformat(),
            "modified": event.decoded("LAST-MODIFIED").isoformat(),
            "sequence": int(event["SEQUENCE"]),
            "summary": str(event["SUMMARY"]),
            "location": str(event.get("LOCATION", "")),
            "status": str(event["STATUS"]),
            "class": str(event["CLASS"]),
            "url": str(event["URL"]),
        }
    )
today = datetime.date.today()
span = datetime.timedelta(days=400)
found = recurring_ical_events.of(calendar).between(today - span, today + span)
json.dump(
    {
        "name": str(calendar["NAME"]),
        "shown_name": str(calendar["X-WR-CALNAME"]),
        "refresh": calendar["REFRESH-INTERVAL"].dt.total_seconds(),
        "errors": [str(error) for error in calendar.errors],
        "events": events,
        "days": len(found),
    },
    sys.stdout,
)
