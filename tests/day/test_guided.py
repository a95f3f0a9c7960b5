"""A guided bench day: whatever is typed on the way, the day comes out as on the straight road."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurrycalc.day.bench.guided import Ask, End, Finish, Reply, Room, Save, Typed, guided
from slurrycalc.day.bench.guided.room import KnownBottle, KnownCase, KnownMeter
from slurrycalc.day.bench.worksheet import Day
from slurrycalc.metrology.remark import Refusal

BEGUN = datetime.datetime(2024, 5, 13, 10, 0, tzinfo=datetime.timezone(datetime.timedelta(hours=2)))
SETUP = {
    "cases": "window, stairs, atlas",
    "each": "2",
    "meter": "desk pH",
    "bottles": "7.00, 4.01",
    "cup": "us",
}
"""What the first bench day ever is asked before its first jar."""
RIGHT = {
    "probe": "stick",
    "probe A1": "5.7",
    "probe A2": "5,8",
    "probe B1": "6.0",
    "probe B2": "6.2",
    "probe C1": "6.6",
    "probe C2": "6.5",
    **{f"stirred {label}": "40 min ago" for label in ("A1", "A2", "B1", "B2", "C1", "C2")},
    "buffers at": "21",
    "point 1 0": "7.04",
    "point 1 1": "4.06 22C",
    "read A1": "5.14",
    "read A2": "5.19 21.5C",
    "read B1": "5.58",
    "read B2": "5.66",
    "read C1": "6.02",
    "read C2": "5.97",
    "close": "7.05",
    "done": "",
}
WRONG = {
    "probe": "wand",
    "buffers at": "25",
    "point 1 0": "7.12",
    "point 1 1": "4.14",
    "close": "6.91",
} | {key: "5.31" for key in RIGHT if key.startswith(("probe ", "read "))}
"""Answers that can stand, but are not meant."""
ROOM = Room(
    cases=tuple(KnownCase(name) for name in ("window", "stairs", "atlas")),
    meters=(KnownMeter("desk", "pH"),),
    bottles=(KnownBottle("acid 2", "4.01"), KnownBottle("neutral 2", "7.00")),
    probes=("stick",),
    cup="240 mL",
)


@dataclass
class Table:
    """A person at the table, with a record of what was kept."""

    room: Room = field(default_factory=Room)
    now: datetime.datetime = BEGUN
    kept: list[bytes] = field(default_factory=list)
    """As a file would have it."""
    finished: Finish | None = None
    end: End | None = None
    refuse: Refusal | None = None
    """What stands against the day's end, once."""

    def __post_init__(self) -> None:
        self.sit_down()

    def answers(self) -> list[Reply]:
        """Read back what was kept; the newest under a key counts."""
        return [
            Reply(key, value, datetime.datetime.fromisoformat(at))
            for key, value, at in (msgspec.json.decode(line) for line in self.kept)
        ]

    def sit_down(self) -> None:
        """Begin, or go on from what was kept, as after a stop of the machine."""
        begun = self.answers()[0].at if self.kept else self.now
        self.guide = guided(self.room, self.answers(), now=self.now, begun=begun)
        self.end, self._heard = None, None
        self._go(None)

    def type(self, line: str, minutes: float = 0.5) -> Ask:
        """Type a line some time later."""
        self.now += datetime.timedelta(minutes=minutes)
        self._go(Typed(line, self.now))
        return self.ask

    def _go(self, heard: Typed | Refusal | None) -> None:
        try:
            event = self.guide.send(heard)
            while not isinstance(event, Ask):
                if isinstance(event, Save):
                    answer = event.answer
                    self.kept.append(
                        msgspec.json.encode((answer.key, answer.value, answer.at.isoformat()))
                    )
                    heard = None
                else:
                    heard, self.refuse = self.refuse, None
                    self.finished = event if heard is None else None
                event = self.guide.send(heard)
            self.ask = event
        except StopIteration as stop:
            self.end = stop.value

    def says(self) -> str:
        """Give what stands before the question."""
        return " ".join(said.text for said in self.ask.says)

    def through(self, right: dict[str, str], until: str | None = None) -> None:
        """Answer everything, up to a question."""
        while self.end is None and self.ask.key != until:
            self.type("y" if self.ask.key == "sure" else right[self.ask.key])

    @property
    def day(self) -> Day:
        """The day that it came to."""
        assert self.finished is not None
        return self.finished.day


def straight(right: dict[str, str] | None = None, room: Room | None = None) -> Table:
    """Walk a day without a detour."""
    table = Table(room or Room())
    table.through(SETUP | (right or RIGHT))
    return table


def test_the_first_day_ever_asks_five_questions_before_the_first_jar() -> None:
    table = Table()
    asked = []
    while not table.ask.key.startswith("probe "):
        asked.append(table.ask.key)
        table.type(SETUP[table.ask.key])
    assert asked == list(SETUP)


def test_a_room_that_is_known_is_asked_only_which_cases_and_how_many_slurries() -> None:
    table = Table(ROOM)
    assert (table.ask.key, table.ask.default) == ("cases", "all 3")
    assert (table.type("").key, table.ask.default) == ("each", "2")
    assert table.type("").key == "probe A1"


def test_the_straight_road_gives_the_day_as_a_worksheet_would_declare_it() -> None:
    table = straight()
    assert table.end is not None
    assert table.end.how == "done"
    day = table.day
    assert (day.meter.name, day.meter.shows, day.date) == ("desk", "pH", BEGUN.date())
    assert [(point.buffer, point.shows, point.temperature) for point in day.points] == [
        ("7.00", 7.04, 21.0),
        ("4.01", 4.06, 22.0),
    ]
    assert [(jar.label, jar.enclosure, jar.probe, jar.shows, jar.temperature) for jar in day.jars] == [
        ("A1", "window", 5.7, 5.14, None),
        ("A2", "window", 5.8, 5.19, 21.5),
        ("B1", "stairs", 6.0, 5.58, None),
        ("B2", "stairs", 6.2, 5.66, None),
        ("C1", "atlas", 6.6, 6.02, None),
        ("C2", "atlas", 6.5, 5.97, None),
    ]
    assert [entry.name for entry in day.enclosures] == ["window", "stairs", "atlas"]
    assert day.close is not None
    assert (day.close.buffer, day.close.shows, day.close.temperature) == ("7.00", 7.05, 21.0)
    assert day.probe is not None
    assert day.probe.name == "stick"
    assert not any(jar.note for jar in day.jars)


def test_every_answer_is_kept_before_the_next_question() -> None:
    table = Table()
    asked = 0
    while table.end is None and table.ask.key != "done":
        asked += 1
        table.type((SETUP | RIGHT)[table.ask.key])
        assert sum(b'"labels"' not in line for line in table.kept) == asked


LABELS = ("A1", "A2", "B1", "B2", "C1", "C2")
OTHER_MOVES = ("wrong", "back", "skip", "note", "moving", "help", "nonsense", "stop", "kill", "swap", "stir")
MOVES = st.sampled_from(["right"] * 3 + list(OTHER_MOVES))


@pytest.mark.slow
@settings(max_examples=60)
@given(
    st.sampled_from(
        ["probe A1", "probe C2", "stirred B1", "point 1 0", "read A1", "read C1", "close", "done"]
    ),
    st.lists(st.tuples(MOVES, st.integers(0, 5), st.integers(1, 4)), max_size=40),
)
def test_whatever_is_typed_on_the_way_the_day_comes_out_as_on_the_straight_road(
    first: str, moves: list[tuple[str, int, int]]
) -> None:
    table = Table()
    table.through(SETUP | RIGHT, until=first)
    holds = {label: label for label in LABELS}
    notes: dict[str | None, list[str]] = {}
    moving: dict[str, list[str]] = {}
    wrong: set[str] = set()
    for move, which, step in moves:
        key = table.ask.key
        about = next((label for label in LABELS if f" {label}" in key), None)
        if about is not None and key.startswith("probe "):
            about = next(cup for cup, held in holds.items() if held == about)
        if key == "sure":
            table.type("y")
        elif (key == "done" and move in ("right", "wrong")) or (key == "probe" and move == "nonsense"):
            continue
        elif move == "right" or (move == "wrong" and key not in WRONG):
            table.type((SETUP | RIGHT)[key])
            wrong.discard(key)
        elif move == "wrong":
            table.type(WRONG[key])
            if key == "point 1 0" or not table.says().startswith("`"):
                wrong.add(key)
        elif move == "skip":
            table.type("s")
            if not table.says().startswith(("the meter needs", "this one")):
                wrong.add(key)
        elif move == "note":
            table.type(f"n remark {step}")
            notes.setdefault(about, []).append(f"remark {step}")
        elif move == "moving":
            table.type("w", step)
            if key.startswith("read "):
                moving.setdefault(str(about), []).append(f"{table.now:%H:%M}")
        elif move == "swap":
            one, other = LABELS[which], LABELS[(which + step) % 6]
            table.type(f"swap {one} {other}")
            table.type("y")
            holds[one], holds[other] = holds[other], holds[one]
        elif move == "stir":
            table.type(f"stir {LABELS[which]} 40 min ago")
            wrong.discard(f"stirred {LABELS[which]}")
        elif move == "stop":
            table.type("q")
            assert table.end is not None
            assert table.end.how == "stopped"
            table.sit_down()
        elif move == "kill":
            table.sit_down()
        else:
            table.type({"back": "b", "help": "?", "nonsense": "no such thing"}[move])
    mend(table, wrong)
    table.type("")
    assert table.end is not None
    assert table.end.how == "done"
    plain_day = straight().day
    plain = {jar.label: jar for jar in plain_day.jars}
    for jar in table.day.jars:
        place = plain[holds[jar.label]]
        said = [*notes.get(jar.label, [])]
        said += [f"still moving at {' and '.join(moving[jar.label])}"] if jar.label in moving else []
        assert (jar.enclosure, jar.probe) == (place.enclosure, place.probe)
        assert (jar.shows, jar.temperature) == (plain[jar.label].shows, plain[jar.label].temperature)
        assert jar.note == "; ".join(said)
    assert len(table.day.jars) == 6
    assert table.day.points == plain_day.points
    assert table.day.close == plain_day.close
    assert table.day.probe == plain_day.probe
    assert table.day.note == "; ".join(notes.get(None, []))


def mend(table: Table, wrong: set[str]) -> None:
    """Answer what is open, and go back to each answer that is not meant."""
    for _ in range(500):
        key = table.ask.key
        if key == "sure":
            table.type("y")
        elif key == "done":
            open_ = wrong - {"done"}
            if not open_:
                return
            table.type("b")
            while table.ask.key not in open_:
                before = table.ask.key
                table.type("b")
                assert table.ask.key != before, f"b does not reach {open_}"
        else:
            table.type((SETUP | RIGHT)[key])
            wrong.discard(key)
    raise AssertionError(f"the day does not come to its end: {table.ask}")
