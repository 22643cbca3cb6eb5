"""Reads calendars of `brief` and `starts` with three parsers and holds them to RFC 5545.

Usage: python3 read_calendars.py FILE.ics...

Needs icalendar 6.3.1, vobject 0.9.9 and ics 0.7.2 (pip). Prints a line a file and parser;
leaves with 1 at the first difference. The project's own tests read the same files with the
crates `ical` and `icalendar`.
"""

import sys

import ics
import icalendar
import vobject


def by_icalendar(text):
    calendar = icalendar.Calendar.from_ical(text)
    return [
        (str(e["UID"]), e.decoded("DTSTART"), e.decoded("DTEND"), int(e["SEQUENCE"]))
        for e in calendar.walk("VEVENT")
    ]


def by_vobject(text):
    calendar = vobject.readOne(text)
    calendar.validate()
    return [
        (e.uid.value, e.dtstart.value, e.dtend.value, int(e.sequence.value))
        for e in calendar.vevent_list
    ]


def by_ics(text):
    # by its own order; it keeps no SEQUENCE of its own
    events = {e.uid: e for e in ics.Calendar(text).events}
    sequences = {uid: s for uid, _, _, s in by_icalendar(text)}
    return [(uid, e.begin.datetime, e.end.datetime, sequences[uid]) for uid, e in events.items()]


def held(name, text, raw):
    lines = raw.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines), f"{name}: a line over 75 octets"
    assert all(b"\n" not in line for line in lines), f"{name}: a bare line feed"
    first = sorted(by_icalendar(text))
    assert first, f"{name}: no event"
    for uid, start, end, _ in first:
        assert start < end, f"{name}: {uid} does not end after its start"
    assert len({uid for uid, *_ in first}) == len(first), f"{name}: a UID comes twice"
    for parser in (by_vobject, by_ics):
        assert sorted(parser(text)) == first, f"{name}: {parser.__name__} reads otherwise"
    print(f"{name}: {len(first)} events, SEQUENCE {first[0][3]}, the same by three parsers")


for name in sys.argv[1:]:
    with open(name, "rb") as file:
        raw = file.read()
    held(name, raw.decode("utf-8"), raw)
