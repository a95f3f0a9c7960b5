"""The law among the roads: one day, whichever way it is entered, gives what the frozen product gives.

Four tables hold what the law leaves open: which road can carry which day, what a road does not say, what the
frozen product is known to get wrong (it is then asked about a day that it gets right), and what a later
method changed on purpose (then the tree's own worksheet says what all other roads must say).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase
from typing import Any, NamedTuple

from tests.roads.days import STEADY, BenchDay, Jar, Point, features
from tests.roads.entering import ROADS, Stopped, recalled, sheet_acts
from tests.roads.frozen import Frozen
from tests.roads.plain import Record, differences, of_day
from tests.roads.program import Program
from tests.roads.writing import room

When = Callable[[BenchDay], bool]

# Which road carries what. W: worksheet, T: table, C: commands, G: guide, P: from Python.

BY: dict[str, str] = {
    # feature: roads
    "shows pH": "W T C G P",
    "shows mV": "W T C G P",
    "third buffer and more": "W T C G P",
    "read twice in a bottle": "W T C P",  # the guide asks once
    "bracket": "W T C P",  # the guide joins them by a line
    "check": "W T C P",  # the guide has no check bottle
    "close": "W T C G P",
    "late close": "W C G P",  # a table is read in one go
    "close in another than the neutral bottle": "W T C P",  # the guide closes in its first bottle
    "several calibrations, named": "W T C G P",
    "several calibrations, tried": "W P",  # what was only tried is not there for the next line
    "several calibrations, nameless": "W T P",
    "an enclosure under several calibrations, named": "W T C G P",
    "an enclosure under several calibrations, tried": "W P",
    "an enclosure under several calibrations, nameless": "W P",
    "spots": "W T C P",  # the guide numbers spots by itself: each jar has its own
    "several enclosures": "W T C G P",
    "a reading under two calibrations, named": "W G P",  # a second line takes it for the same jar
    "a reading under two calibrations, tried": "W P",
    "a reading under two calibrations, nameless": "W P",
    "steady jar": "W T C G P",
    "fresh mix": "W T C G P",
    "given scatter": "W T C P",
    "own scatter": "W T C P",
    "recorded scatter": "W T C G P",
    "limits": "W T C G P",
    "different limits, named": "W T C G P",
    "different limits, tried": "W T C P",
    "different limits, nameless": "W C P",  # a table's options hold for all of it
    "temperatures": "W T C G P",
    "figures of the meter": "W T C P",  # the guide takes those on record
    "named bottles": "W T C G P",
    "bottles that are new": "W T C P",  # the guide takes the two on record, and asks for no other
    "probe pairs, named": "W T C G P",
    "probe pairs, tried": "W T P",  # a pair by the number of its reading needs the reading on record
    "probe pairs, nameless": "W T P",
    "probe pairs under several calibrations, named": "W T C G P",
    "probe pairs under several calibrations, tried": "W P",
    "probe pairs under several calibrations, nameless": "W P",  # a table's next line has not its pairs
    "next indication": "W C P",
    "bad row": "W T C G P",
    "named": "W T C G P",
    "tried": "W T C P",
    "nameless": "W T C P",
}
LETTERS = {"W": "worksheet", "T": "table", "C": "commands", "G": "guide", "P": "python"}


def carries(road: str, day: BenchDay) -> bool:
    """Tell whether a road can carry all that a day asks for."""
    letter = next(letter for letter, name in LETTERS.items() if name == road)
    return all(letter in BY[feature].split() for feature in features(day))


# What a road does not say.


def always(day: BenchDay) -> bool:
    return True


def steady_is_read_late(day: BenchDay) -> bool:
    """Whether the steady jar was read after others, which were told nothing of it."""
    return len(day.calibrations) > 1 and any(jar.case == STEADY and jar.calibration > 1 for jar in day.jars)


def steady_is_read_again(day: BenchDay) -> bool:
    """Whether the steady jar was read under two calibrations."""
    return len({jar.calibration for jar in day.of(STEADY)}) > 1


class Unsaid(NamedTuple):
    road: str
    path: str
    when: When
    why: str


UNSAID = [
    Unsaid("commands", "order", always, "each line tells of one enclosure"),
    Unsaid("commands", "case/*", lambda day: day.late, "read before the close, which changes what they mean"),
    Unsaid("commands", "case/*/remarks", steady_is_read_late, "what the steady jar said came after them"),
    Unsaid("table", "case/*/remarks", steady_is_read_late, "what the steady jar said came after them"),
    Unsaid("table", "order", lambda day: len(day.calibrations) > 1, "each table orders its own"),
    *(
        Unsaid(road, f"case/*/{path}", lambda day: not day.named, "what is not on record is not read again")
        for road in ("commands", "table")
        for path in ("again", "shares/*")
    ),
    *(
        Unsaid(road, f"case/*/{path}", lambda day: not day.named, "what is not on record helps no later day")
        for road in ("commands", "table")
        for path in ("settles *", "task")
    ),
    Unsaid("commands", "probe/next*", lambda day: not day.on_record, "no pairs on record"),
    Unsaid("recalled", "case/jar/jars*", steady_is_read_again, "history tells of all its jars"),
    Unsaid("recalled", "case/*/again", always, "due says when to read again"),
    Unsaid("recalled", "probe/next*", always, "a pair's meaning is asked by the next indication"),
    Unsaid("recalled", "meter/*", lambda day: not day.named, "a nameless meter has no calibration to recall"),
    Unsaid("recalled", "meter/1/*", lambda day: len(day.calibrations) > 1, "the last one is asked for"),
    Unsaid("recalled", "probe/*", lambda day: not day.named, "a nameless probe has no pairs to recall"),
    *(
        Unsaid("recalled", f"case/{name}/{path}", always, "history gives the jars, and no mean of them")
        for name in ("leaf mix", "jar")
        for path in ("value", "u", "low", "high", "dof", "n", "scatter*", "own*", "shares/*", "remarks")
    ),
]


# Days that show a fault.


def point(label: str, shows: str, calibration: int = 1) -> Point:
    return Point(label, (shows,), "21", calibration)


BUFFERS = (point("4.01", "4.06"), point("7.00", "7.04"))
TWICE = (*BUFFERS, point("4.01", "4.16", 2), point("7.00", "7.13", 2))
STEADY_TWICE = BenchDay(
    "pH",
    TWICE,
    (
        Jar("A1", STEADY, "6.61", "21"),
        Jar("A2", STEADY, "5.72", "21", calibration=2),
        Jar("B1", "atlas", "5.52", "21", calibration=2),
    ),
    earlier=2,
)


# What the frozen product gets wrong: it is asked about a day that it gets right.


class Excepted(NamedTuple):
    name: str
    when: When
    instead: Callable[[BenchDay], BenchDay]
    why: str
    witness: BenchDay
    """A day that it gets wrong."""
    says: Mapping[str, str]
    """Kinds of remarks that are said besides, by where."""


def under_the_last(day: BenchDay) -> BenchDay:
    last = max(jar.calibration for jar in day.of(STEADY))
    jars = tuple(jar for jar in day.jars if jar.case != STEADY or jar.calibration == last)
    return replace(day, jars=jars)


EXCEPTED = [
    Excepted(
        "a steady jar under a second calibration",
        steady_is_read_again,
        under_the_last,
        "`run` counts its jars of both; read again under fresh buffers it must be seen to agree or not",
        STEADY_TWICE,
        {f"case/{STEADY}/remarks": "under-another-calibration"},
    ),
]


# What a later method changed on purpose: path, and why.

CHANGED = {
    "case/*/again": "days to read again come from the model of a bed, and six months on at most",
    "case/leaf mix/remarks": "lime or ash that is not spent is said of a mix that no trial has tried",
    "case/*/shares/older_days": "an own past counts in full only since an event that renews the scatter",
    "probe/remarks": "whether a probe follows is said by its response, no more by a span of pH",
    **dict.fromkeys(
        ("probe/follows", "probe/gain/*", "probe/use*", "probe/bed", "probe/next*"),
        "the indication is regressed on the slurry, and the record is asked what it adds",
    ),
}


def with_odd_jars(said: Record) -> list[str]:
    """Give the paths of cases with a jar that lies by itself: all of them changed, and who comes first."""
    cases = [
        path.removesuffix("/remarks")
        for path, kinds in said.items()
        if path.startswith("case/") and path.endswith("/remarks") and "odd-jar" in kinds
    ]
    return [*(f"{case}/*" for case in cases), *(["order"] if cases else [])]


@dataclass
class Court:
    """The tree, the frozen product, and what they said."""

    frozen: Frozen
    program: Program = field(default_factory=Program)
    roads: dict[str, Any] = field(default_factory=lambda: dict(ROADS))
    entered: dict[str, int] = field(default_factory=dict)
    stopped: dict[str, int] = field(default_factory=dict)
    heard: dict[BenchDay, dict[tuple[str, str], tuple[Any, Any]]] = field(default_factory=dict)

    def expected(self, day: BenchDay) -> Record:
        """Ask the frozen product, with names whether the day has them or not."""
        said = {path: kind for each in EXCEPTED if each.when(day) for path, kind in each.says.items()}
        for each in EXCEPTED:
            if each.when(day):
                day = each.instead(day)
        found = self.asked(day)
        return found | {path: sorted([*found[path], kind]) for path, kind in said.items()}

    def asked(self, day: BenchDay) -> Record:
        """Give what the frozen product says of a day, right or wrong."""
        named = replace(day, tries=False)
        act = sheet_acts(named, meter="desk")
        (ran,) = self.frozen.ask(room(named), [act])
        book = self.program.book(room(named))
        now = of_day(book.do(act).json["result"]["day"])
        book.gone()
        before = of_day(ran.json["result"]["day"])
        new = (*CHANGED, *with_odd_jars(now))
        changed = {path for path in {*now, *before} if any(fnmatchcase(path, each) for each in new)}
        kept = {path: value for path, value in before.items() if path not in changed}
        return kept | {path: now[path] for path in changed if path in now}

    def hear(self, day: BenchDay) -> dict[tuple[str, str], tuple[Any, Any]]:
        """Enter a day by every road that carries it, recall it, and find what differs, by road and path."""
        if day not in self.heard:
            self.heard[day] = self._hear(day)
        return self.heard[day]

    def _hear(self, day: BenchDay) -> dict[tuple[str, str], tuple[Any, Any]]:
        expected = self.expected(day)
        later = expected if day.scatter is None else self.expected(replace(day, scatter=None))
        found: dict[tuple[str, str], tuple[Any, Any]] = {}
        for name, road in self.roads.items():
            if not carries(name, day):
                continue
            book = self.program.book(room(day))
            try:
                got = road(day, book)
            except Stopped as why:
                self.stopped[str(why)] = self.stopped.get(str(why), 0) + 1
                book.gone()
                continue
            self.entered[name] = self.entered.get(name, 0) + 1
            found |= {(name, at): both for at, both in differences(expected, got, unsaid(name, day)).items()}
            if day.on_record or (name == "worksheet" and not day.tries):
                self.entered["recalled"] = self.entered.get("recalled", 0) + 1
                whose = f"recalled after {name}"
                got = recalled(day, book, page=name == "worksheet")
                found |= {
                    (whose, at): both for at, both in differences(later, got, unsaid("recalled", day)).items()
                }
            book.gone()
        return found


def unsaid(road: str, day: BenchDay) -> list[str]:
    return [each.path for each in UNSAID if each.road == road and each.when(day)]


def shown(found: dict[tuple[str, str], tuple[Any, Any]]) -> str:
    """Write differences down, a line each."""
    return "\n".join(
        f"{road}: {path}: expected {one!r}, got {other!r}" for (road, path), (one, other) in found.items()
    )
