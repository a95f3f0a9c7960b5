"""How far a guided bench day has come: its answers, and what follows from them.

Every answer has a key of its own (``"probe A1"``, ``"point 1 0"``, ``"read B2"``), and the newest under a key
counts. So a day that was stopped is nothing but its answers, and what to ask next follows from them.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from slurrycalc.data.assumed import SETTLING

SETTLES = datetime.timedelta(minutes=SETTLING.value)
"""From the stirring of a jar to its reading."""
FIRST = 1
"""Number of a day's first calibration."""
PAPER = "paper"
"""Key under which a day from paper has its date: no clock is asked of the machine for it."""


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer, as it is kept."""

    key: str
    """What was asked."""
    value: Any
    """What JSON can hold; None where the question was skipped."""
    at: datetime.datetime
    """When, with its offset from UTC."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where one slurry comes from."""

    label: str
    """Of the cup that was meant for it."""
    case: str
    """Name of the enclosure."""
    spot: int


@dataclass(frozen=True, slots=True)
class Cup:
    """One slurry, as far as it has come."""

    label: str
    """What stands on the cup."""
    place: Place
    """Where its substrate is from, mix-ups mended."""
    probe: float | None
    """What the probe showed there. [pH]"""
    stirred: datetime.datetime | None
    shows: float | None
    """What the meter showed. [mV or pH, as the meter shows]"""
    temperature: float | None
    """[degC]"""
    calibration: int
    """Which of the day's calibrations it was read under."""
    skipped: bool
    """Not mixed, or left unread on purpose."""
    again: bool
    """Whether it was read under a calibration in doubt, and is to be read once more under a good one."""
    notes: tuple[str, ...]

    def ready(self) -> datetime.datetime:
        """Tell when it will have settled."""
        assert self.stirred is not None
        return self.stirred + SETTLES


class Progress:
    """The answers of a guided day, and what follows from them.

    Parameters
    ----------
    answers : iterable of Answer
        In the order in which they were given.

    Examples
    --------
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> day = Progress([Reply("labels", [["atlas", ["A1", "A2"]]], noon)])
    >>> [cup.label for cup in day.cups()]
    ['A1', 'A2']
    """

    def __init__(self, answers: Iterable[Reply] = ()) -> None:
        self._by_key: dict[str, Reply] = {}
        for answer in answers:
            self.take(answer)

    def take(self, answer: Reply) -> None:
        """Take in an answer; it takes the place of an earlier one under its key."""
        self._by_key.pop(answer.key, None)
        self._by_key[answer.key] = answer

    def __contains__(self, key: str) -> bool:
        return key in self._by_key

    def __iter__(self) -> Iterator[Reply]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)

    def get(self, key: str, default: Any = None) -> Any:
        """Give the value under a key."""
        answer = self._by_key.get(key)
        return default if answer is None else answer.value

    def numbered(self, what: str) -> list[tuple[int, Reply]]:
        """Give the answers under ``"what 1"``, ``"what 2"``, ..., by their numbers."""
        start = f"{what} "
        found = [(key.removeprefix(start), answer) for key, answer in self._by_key.items()]
        return sorted(((int(rest), answer) for rest, answer in found if rest.isdecimal()), key=_number)

    def next_number(self, what: str, first: int = 1) -> int:
        """Give the number after the last of ``"what 1"``, ``"what 2"``, ..."""
        return max((number for number, _ in self.numbered(what)), default=first - 1) + 1

    @property
    def cases(self) -> tuple[str, ...]:
        """The enclosures of the day."""
        return tuple(self.get("cases", ()))

    @property
    def paper(self) -> datetime.date | None:
        """The date of a day that is typed in from paper; None at the table."""
        said = self.get(PAPER)
        return None if said is None else datetime.date.fromisoformat(said)

    @property
    def under_way(self) -> bool:
        """Whether anything was asked of a jar or the meter, so that labels and kit stay as they are."""
        return any(key.startswith(("probe ", "stirred ", "buffers ", "point ")) for key in self._by_key)

    @property
    def meter(self) -> Mapping[str, Any]:
        """Name of the meter and what it shows."""
        return dict(self.get("meter", {"name": None, "shows": "pH"}))

    @property
    def bottles(self) -> tuple[str, ...]:
        """Names or labels of the bottles, in the order in which they are read."""
        return tuple(self.get("bottles", ()))

    def places(self) -> tuple[Place, ...]:
        """Give where the day's slurries come from, in the order of the labels."""
        return tuple(
            Place(label, case, spot)
            for case, labels in self.get("labels", ())
            for spot, label in enumerate(labels, 1)
        )

    def calibrations(self) -> tuple[int, ...]:
        """Give the numbers of the day's calibrations that were begun and not taken back."""
        return (FIRST, *(number for number, answer in self.numbered("again") if answer.value))

    def points(self, calibration: int) -> list[tuple[str, Reply]]:
        """Give the bottles that were read for a calibration, with the answers."""
        found = []
        for number, bottle in enumerate(self.bottles):
            answer = self._by_key.get(f"point {calibration} {number}")
            if answer is not None and answer.value is not None:
                found.append((bottle, answer))
        return found

    def in_doubt(self, calibration: int) -> bool:
        """Tell whether a calibration cannot be trusted, as its bottle that was read last showed it."""
        start = f"point {calibration} "
        read = [answer for key, answer in self._by_key.items() if key.startswith(start)]
        return bool(read and read[-1].value and read[-1].value.get("doubt"))

    def mended(self) -> bool:
        """Tell whether the day's last calibration was read to its end, and can be trusted."""
        current = self.calibrations()[-1]
        read = all(f"point {current} {n}" in self._by_key for n in range(len(self.bottles)))
        return read and not self.in_doubt(current)

    def swapped(self) -> dict[str, str]:
        """Give for each cup the label of the place that its substrate is from."""
        holds = {place.label: place.label for place in self.places()}
        for _, answer in self.numbered("swap"):
            first, second = answer.value
            if first in holds and second in holds:
                holds[first], holds[second] = holds[second], holds[first]
        return holds

    def cups(self) -> tuple[Cup, ...]:
        """Give the day's slurries, in the order of the labels."""
        places = {place.label: place for place in self.places()}
        return tuple(self._cup(label, places[held]) for label, held in self.swapped().items())

    def cup(self, label: str) -> Cup | None:
        """Give the cup of a label, capitals making no difference."""
        key = label.strip().casefold()
        return next((cup for cup in self.cups() if cup.label.casefold() == key), None)

    def _cup(self, label: str, place: Place) -> Cup:
        stirred, read = self._by_key.get(f"stirred {label}"), self._by_key.get(f"read {label}")
        value = (read.value if read else None) or {}
        skipped = (stirred is not None and stirred.value is None) or (read is not None and read.value is None)
        return Cup(
            label,
            place,
            self.get(f"probe {place.label}"),
            _moment(stirred),
            value.get("shows"),
            value.get("temperature", self.get("jars at")),
            calibration := value.get("calibration", self.calibrations()[-1]),
            skipped,
            bool(value) and not value.get("stands") and self.in_doubt(calibration) and self.mended(),
            self._notes(label, value),
        )

    def _notes(self, label: str, read: Mapping[str, Any]) -> tuple[str, ...]:
        said = [note["text"] for note in self.notes() if note["about"] == label]
        moved = [f"{answer.at:%H:%M}" for _, answer in self.numbered(f"moving {label}")]
        said += [f"still moving at {' and '.join(moved)}"] if moved else []
        said += [f"read {read['settled']} min after it was stirred"] if "settled" in read else []
        return tuple(said)

    def notes(self) -> list[Mapping[str, Any]]:
        """Give the notes: what each is about, a cup or None, and its text."""
        return [answer.value for _, answer in self.numbered("note")]


def _moment(stirred: Reply | None) -> datetime.datetime | None:
    if stirred is None or stirred.value is None:
        return None
    return datetime.datetime.fromisoformat(stirred.value)


def _number(found: tuple[int, Reply]) -> int:
    return found[0]


UNSAID = ("labels", "again ", "moving ", PAPER)
"""Keys under which nobody answered anything."""


def counted(answers: Iterable[Reply]) -> int:
    """Count what people said.

    Examples
    --------
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> counted([Reply("each", 2, noon), Reply("labels", [], noon)])
    1
    """
    return sum(not answer.key.startswith(UNSAID) for answer in answers)


def answers_in_words(count: int) -> str:
    """Say how many answers there are.

    Examples
    --------
    >>> answers_in_words(1), answers_in_words(22)
    ('1 answer is', '22 answers are')
    """
    return "1 answer is" if count == 1 else f"{count} answers are"
