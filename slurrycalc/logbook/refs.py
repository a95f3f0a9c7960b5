"""What identifies a record, and when it happened."""

from __future__ import annotations

import datetime
import os
import re
from dataclasses import dataclass
from typing import NamedTuple

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

UTC = datetime.UTC
STAMP = "%Y-%m-%dT%H:%M:%SZ"
STAMP_LENGTH = 20
NOON = datetime.time(12)
MINUTE = datetime.timedelta(minutes=1)


def new_uid() -> str:
    """Make a name that no other logbook has.

    Returns
    -------
    str
        Eighty random bits in twenty hexadecimal digits.

    Examples
    --------
    >>> len(new_uid())
    20
    """
    return os.urandom(10).hex()


class Ref(NamedTuple):
    """One row of the record, by names that every logbook shares."""

    uid: str
    """Of its entry."""
    n: int

    def key(self, kind: str) -> str:
        """Give the key under which its error is found again.

        Parameters
        ----------
        kind : str
            What it is: ``"reading"``, ``"point"``, ``"calibration"``.

        Returns
        -------
        str
            As `slurrycalc.metrology.uncertain.Source` takes it.

        Examples
        --------
        >>> Ref("00112233445566778899", 2).key("reading")
        'reading:00112233445566778899.2'
        """
        return f"{kind}:{self.uid}.{self.n}"


class Id(NamedTuple):
    """What a person types for an entry or one value of it: ``41`` or ``41.2``."""

    entry: int
    n: int | None = None

    def __str__(self) -> str:
        return str(self.entry) if self.n is None else f"{self.entry}.{self.n}"

    @classmethod
    def of(cls, text: str | int) -> Id:
        """Read an id.

        Parameters
        ----------
        text : str or int
            As typed.

        Returns
        -------
        Id
            In numbers.

        Raises
        ------
        Refusal
            If it is none.

        Examples
        --------
        >>> Id.of("41.2")
        Id(entry=41, n=2)
        """
        found = re.fullmatch(r"\s*#?(\d{1,15})(?:\.(\d{1,9}))?\s*", str(text), re.ASCII)
        if not found or int(found[1]) == 0 or found[2] == "0":
            raise Refusal(
                f"{quoted(str(text))} is no number of an entry; write one that history shows, such as 41 "
                "or 41.2."
            )
        return cls(int(found[1]), int(found[2]) if found[2] else None)


@dataclass(frozen=True, slots=True)
class When:
    """When something happened: an instant, or only a day.

    Parameters
    ----------
    at : datetime
        The instant, with its offset from UTC; noon where only the day is known.
    day_only : bool
        Whether only the day is known.

    Raises
    ------
    Refusal
        If the instant has no offset from UTC, or one that no place on earth has.

    Examples
    --------
    >>> east = datetime.timezone(datetime.timedelta(hours=2))
    >>> When(datetime.datetime(2024, 5, 4, 0, 30, tzinfo=east)).day
    datetime.date(2024, 5, 4)
    """

    at: datetime.datetime
    day_only: bool = False

    def __post_init__(self) -> None:
        offset = self.at.utcoffset()
        if offset is None or abs(offset) > datetime.timedelta(hours=18):
            raise Refusal(
                f"`{self.at.isoformat()}` needs its offset from UTC, such as 2024-05-04T10:30+02:00."
            )
        if offset % MINUTE:
            # Some places kept odd seconds until 1972; the record keeps minutes, and the local time as it was.
            zone = datetime.timezone(offset // MINUTE * MINUTE)
            object.__setattr__(self, "at", self.at.replace(tzinfo=zone))

    @classmethod
    def on(cls, day: datetime.date, zone: datetime.tzinfo) -> When:
        """Give a day of which no time is known.

        Parameters
        ----------
        day : date
            The local day.
        zone : tzinfo
            Where.

        Returns
        -------
        When
            At noon.

        Examples
        --------
        >>> When.on(datetime.date(2024, 5, 4), UTC).stamp
        '2024-05-04T12:00:00Z'
        """
        return cls(datetime.datetime.combine(day, NOON, zone), day_only=True)

    @property
    def day(self) -> datetime.date:
        """The local calendar day."""
        return self.at.date()

    @property
    def stamp(self) -> str:
        """The instant in UTC, to the second."""
        # Not by strftime, which writes an early year with fewer digits.
        return self.at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="seconds") + "Z"

    @property
    def offset(self) -> int:
        """Local time less UTC [min]."""
        offset = self.at.utcoffset()
        assert offset is not None
        return int(offset.total_seconds() // 60)

    @classmethod
    def read(cls, stamp: str, offset: int, day_only: bool) -> When:
        """Take it from the record.

        Parameters
        ----------
        stamp : str
            UTC, as `stamp` writes it.
        offset : int
            Local time less UTC. [min]
        day_only : bool
            Whether only the day is known.

        Returns
        -------
        When
            In local time.

        Examples
        --------
        >>> When.read("2024-05-03T22:30:00Z", 120, False).day
        datetime.date(2024, 5, 4)
        """
        zone = datetime.timezone(datetime.timedelta(minutes=offset))
        # An early year was once written with fewer digits.
        at = datetime.datetime.fromisoformat(stamp.zfill(STAMP_LENGTH))
        return cls(at.astimezone(zone), day_only)
