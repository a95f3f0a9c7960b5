"""What is due as a calendar file, for the program in which people look at their days.

Each thing is an event of one whole day that leaves the day free: every calendar program shows those, and
many of them show no tasks (``VTODO``). What is overdue stands on the day on which the file was written, since
nobody looks back.

References
----------
.. [1] RFC 5545, Internet Calendaring and Scheduling Core Object Specification (iCalendar).
"""

from __future__ import annotations

from datetime import UTC, date, datetime

from slurrycalc.day.months.duties import Duties
from slurrycalc.deciding.days import spoken
from slurrycalc.report.pages.due import command_of

OURS = "-//slurrycalc//what is due//EN"
"""By this a calendar is known as written here."""


def calendar(found: Duties, now: datetime) -> bytes:
    """Write a calendar.

    An event keeps its uid from one file to the next, and a later file has a greater sequence number: a
    program that has read the one before moves the event, and has none twice.

    Parameters
    ----------
    found : Duties
        What is due, at least one: a calendar without any is none.
    now : datetime
        The moment of writing, with its offset from UTC.

    Returns
    -------
    bytes
        Of the file.
    """
    from icalendar import Calendar, Event, vText

    class Text(vText):
        r"""A text escaped by RFC 5545, 3.3.11: the library takes a ``\N`` in a name for a line break."""

        def to_ical(self) -> bytes:
            escaped = self.replace("\\", "\\\\").replace(";", r"\;").replace(",", r"\,")
            return escaped.replace("\n", r"\n").encode()

    made = Calendar()
    made.add("prodid", OURS)
    made.add("version", "2.0")

    def add(uid: str, on: date, summary: str, description: str, **more: str) -> None:
        event = Event()
        event.add("uid", uid)
        event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
        # Nothing remembers the file before, so what counts up is the time. [min]
        event.add("sequence", int(now.timestamp() // 60))
        event.add("dtstart", on)
        for name, value in more.items():
            event.add(name, value)
        event.add("summary", Text(summary))
        event.add("description", Text(description))
        event.add("transp", "TRANSPARENT")
        made.add_component(event)

    for duty in found.every:
        item = duty.due
        late = f" (overdue since {spoken(item.on)})" if item.days < 0 else ""
        what = f"{item.what[0].upper()}{item.what[1:]}{late}"
        # No count of days, which would be another one on the day on which it is read.
        why = f"Because: {item.why}.\nWhen it is done: {command_of(duty.due)}"
        add(duty.uid, max(item.on, found.today), what, why)
    for each in found.withdrawn:
        # A program that has read the stages before strikes them: it was told their uids.
        what = f"Withdrawn: exchange the next part of {each.thing.name}"
        for uid, stage in zip(each.uids, each.plan.stages, strict=True):
            add(uid, stage.on, what, each.text, status="CANCELLED")
    written: bytes = made.to_ical()
    return written


def is_ours(data: bytes) -> bool:
    """Tell whether a file is a calendar that was written here.

    Examples
    --------
    >>> is_ours(b"BEGIN:VCALENDAR PRODID:-//slurrycalc//what is due//EN"), is_ours(b"BEGIN:VCALENDAR")
    (True, False)
    """
    head = data[:200]
    return head.startswith(b"BEGIN:VCALENDAR") and OURS.encode() in head
