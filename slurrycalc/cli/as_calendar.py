"""What is due as a calendar file, for the program in which people look at their days.

Each thing is an event of one whole day that leaves the day free: every calendar program shows those, and
many of them show no tasks (``VTODO``). What is overdue stands on the day on which the file was written, since
nobody looks back.

References
----------
.. [1] RFC 5545, Internet Calendaring and Scheduling Core Object Specification (iCalendar).
"""

from __future__ import annotations

from datetime import UTC, datetime

from slurrycalc.cli.show_due import command_of
from slurrycalc.day.planning.duties import Duties
from slurrycalc.deciding.days import spoken

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
    for duty in found.every:
        item, event = duty.due, Event()
        late = f" (overdue since {spoken(item.on)})" if item.days < 0 else ""
        event.add("uid", duty.uid)
        event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
        # Nothing remembers the file before, so what counts up is the time. [min]
        event.add("sequence", int(now.timestamp() // 60))
        event.add("dtstart", max(item.on, found.today))
        event.add("summary", Text(f"{item.what[0].upper()}{item.what[1:]}{late}"))
        # No count of days, which would be another one on the day on which it is read.
        event.add("description", Text(f"Because: {item.why}.\nWhen it is done: {command_of(duty)}"))
        event.add("transp", "TRANSPARENT")
        made.add_component(event)
    for each in found.withdrawn:
        # A program that has read the stages before strikes them: it was told their uids.
        for uid, stage in zip(each.uids, each.plan.stages, strict=True):
            event = Event()
            event.add("uid", uid)
            event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
            event.add("sequence", int(now.timestamp() // 60))
            event.add("dtstart", stage.on)
            event.add("status", "CANCELLED")
            event.add("summary", Text(f"Withdrawn: exchange the next part of {each.thing.name}"))
            event.add("description", Text(each.text))
            event.add("transp", "TRANSPARENT")
            made.add_component(event)
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
