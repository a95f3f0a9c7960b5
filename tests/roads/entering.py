"""The roads by which a day is entered, and how it is recalled: all that touches the product is here.

Each takes a day and a logbook in which its room was set up, and gives the day's plain record.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from typing import Any

import pytest

from tests.roads.days import DATE, FRESH, METER, PROBE, STEADY, BenchDay, Jar
from tests.roads.plain import (
    Record,
    of_apart,
    of_bed,
    of_calibrations,
    of_comparison,
    of_day,
    of_indicated,
    of_read,
    put,
    put_order,
)
from tests.roads.program import Act, Book, Ran
from tests.roads.writing import (
    ON,
    again_words,
    answers,
    calibrate_words,
    read_words,
    reading,
    run_words,
    scatter_words,
    strictest,
    table,
    worksheet,
)

BEGUN = datetime.datetime.fromisoformat(f"{DATE}T10:00+02:00")


def refused(book: Book, act: Act) -> None:
    """See that a line is refused in one sentence, and leaves the record as it is."""
    before = book.bytes()
    ran = book.do(act)
    assert (ran.status, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1, ran.err
    assert book.bytes() == before


def tried(day: BenchDay, book: Book, act: Act) -> Ran:
    """Do something; what is only tried leaves the record as it is."""
    before = book.bytes()
    ran = book.do(act)
    assert ran.status == 0, ran.err
    if day.tries:
        assert book.bytes() == before
    return ran


def sheet_acts(day: BenchDay, *, meter: str | None = None) -> Act:
    words = ["run", "day.toml", *scatter_words(day), *["--try"] * day.tries, "--json"]
    return Act(words, "day.toml", worksheet(day, meter=meter))


def by_worksheet(day: BenchDay, book: Book) -> Record:
    """One file that declares it all; with a bad row in it, it is refused whole."""
    act = sheet_acts(day)
    if day.bad is not None:
        refused(book, act._replace(words=act.words[:-1], text=worksheet(day, bad=True)))
    return of_day(tried(day, book, act).json["result"]["day"])


def by_table(day: BenchDay, book: Book) -> Record:
    """One table for each calibration, its buffers on the line; a bad row is held back and named."""
    found: Record = {}
    calibrations, check = [], None
    for number in day.calibrations:
        bad = day.bad is not None and number == day.bad.calibration
        words = ["run", "day.csv", *run_words(day, number), "--json"]
        run = tried(day, book, Act(words, "day.csv", table(day, number, bad=bad))).json["result"]["day"]
        rows = 2 + sum(jar.calibration == number for jar in day.jars)
        assert [held["row"] for held in run["held_back"]] == ([rows] if bad else [])
        calibrations.append(run["calibration"])
        check = run["check"]
        merge(found, of_day(run))
    for path in [path for path in found if path.startswith("meter/")]:
        del found[path]
    put(found, "meter", of_calibrations(calibrations, check))
    if len(calibrations) > 1:
        del found["order"]
    return found


def merge(found: Record, later: Record) -> None:
    """Let what was said later of an enclosure, or of the probe, take the place of what was said before."""
    said = {
        "/".join(path.split("/")[:2]) if path.startswith("case/") else path.split("/")[0] for path in later
    }
    for path in [each for each in found if any(each == one or each.startswith(f"{one}/") for one in said)]:
        del found[path]
    found |= later


def by_commands(day: BenchDay, book: Book) -> Record:
    """A line for each step."""
    found: Record = {}
    calibrations: list[Any] = []
    check = None
    places: dict[str, str] = {}
    once = day.inline or not day.on_record
    for number in day.calibrations:
        if not once:
            metered = book.type(*calibrate_words(day, number), "--json").json["result"]
            calibrations.append(metered["calibration"])
            check = metered["check"]
        # The steady jar first: what it says of the bench belongs to everything that is read after it.
        for case in sorted(day.cases, key=lambda each: each != STEADY):
            jars = day.of(case, number)
            if not jars:
                continue
            if day.bad is not None and (case, number) == (day.bad.case, day.bad.calibration):
                refused(book, Act(read_words(day, case, (*jars, day.bad))))
            read = tried(day, book, Act([*read_words(day, case, jars), "--json"])).json["result"]
            merge(found, {f"case/{case}/{key}": value for key, value in of_read(read).items()})
            if once:
                calibrations, check = [read["calibration"]], read["check"]
            if read["saved"] is not None:
                places |= readings_of(day, jars, read["saved"]["values"])
    if day.late and not once:
        words = ["calibrate", "--meter", METER, *again_words(day, day.calibrations[-1]), *ON, "--json"]
        if day.check is not None:
            at = words.index("--check")
            del words[at : at + 2]
        calibrations[-1] = book.type(*words).json["result"]["calibration"]
        for path in [path for path in found if path.startswith("case/")]:
            del found[path]
    put(found, "meter", of_calibrations(calibrations, check))
    pairs = [f"{jar.probe}=#{places[jar.label]}" for jar in day.jars if jar.probe]
    if pairs:
        words = ["compare", *pairs, "--probe", PROBE, *strictest(day), *ON, "--json"]
        put(found, "probe", of_comparison(book.type(*words).json["result"]))
        if day.next is not None:
            probed = book.type("probe", day.next, "--probe", PROBE, *ON, "--json").json["result"]
            put(found, "probe/next", of_indicated(probed["update"]))
    return found


def readings_of(day: BenchDay, jars: tuple[Jar, ...], values: list[str]) -> dict[str, str]:
    """Give each jar the number that its reading has on record: a line's buffers come before its readings."""
    return dict(zip((jar.label for jar in jars), values[-len(jars) :], strict=True))


def by_guide(day: BenchDay, book: Book) -> Record:
    """Every question of the guided day answered; a bad reading is typed first, and asked for again."""
    from slurrycalc.cli import as_json
    from slurrycalc.day.bench.guided import Ask, Save, Typed, guided
    from slurrycalc.day.bench.guided.journal import Journal
    from slurrycalc.day.bench.result import DayResult
    from slurrycalc.logbook.store import open_logbook

    with open_logbook(book.path) as record:
        journal = Journal(record, None)
        guide = guided(journal.room(BEGUN.date()), now=BEGUN, begun=BEGUN)
        keeper = Keeper(day)
        done = None
        heard = None
        while True:
            try:
                event = guide.send(heard)
            except StopIteration:
                break
            heard = None
            if isinstance(event, Ask):
                heard = Typed(keeper.answer(event.key, event.text, [said.text for said in event.says]), BEGUN)
            elif isinstance(event, Save):
                assert journal.save(event.answer)
            else:
                done = journal.finish(event)
    assert done is not None
    assert keeper.typed_bad == (day.bad is not None)
    return of_day(as_json.form(DayResult).write(done.day, 0.95))


class Stopped(Exception):
    """The road does not go on from here, for a reason that is its own."""


class Keeper:
    """Who answers at the table."""

    def __init__(self, day: BenchDay) -> None:
        self.day = day
        self.answers = dict(answers(day))
        self.to_read = sorted(day.jars, key=lambda jar: jar.calibration)
        self.under = 1
        self.typed_bad = False
        self.insists = True
        self.asked = 0

    def answer(self, key: str, text: str, says: list[str]) -> str:
        self.asked += 1
        assert self.asked < 500, (key, text, says)
        if key == "sure":
            return "y" if self.insists else "n"
        self.insists = True
        if key.startswith("point "):
            _, number, which = key.split()
            labels = [point.label for point in self.day.points if point.calibration == 1]
            # The guide asks for the bottle nearest to neutral first.
            names = {self.day.buffer(p): p for p in self.day.points if p.calibration == int(number)}
            named = [name for name in names if re.search(rf"(^|[ (]){re.escape(name)}([ )]|$)", text)]
            point = names[max(named, key=len)]
            assert len(labels) > int(which)
            return reading(self.day, point.shows[0], point.temperature)
        if key.startswith("read ") or (key == "close" and self.to_read):
            return self.read()
        return self.answers[key]

    def read(self) -> str:
        """Read the next jar, whichever was asked for; calibrate anew before those that come after it."""
        if self.day.bad is not None and not self.typed_bad and self.under == self.day.bad.calibration:
            self.typed_bad, self.insists = True, False
            like = next(jar for jar in self.to_read if jar.calibration == self.under)
            return f"{like.label} {self.day.bad.shows}"
        if not self.to_read:
            raise Stopped("what was read under a calibration in doubt is to be read once more")
        jar = self.to_read[0]
        if jar.calibration > self.under:
            self.under = jar.calibration
            return "c"
        self.to_read.pop(0)
        return f"{jar.label} {reading(self.day, jar.shows, jar.temperature)}"


def by_python(day: BenchDay, book: Book) -> Record:
    """The same from a script; a bad jar is refused with the whole day."""
    import slurrycalc
    from slurrycalc.cli import as_json
    from slurrycalc.cli.bench_words import scatter_words as expected
    from slurrycalc.day.bench.result import DayResult
    from slurrycalc.day.bench.standing import JudgedBy
    from slurrycalc.day.bench.worksheet import read_worksheet
    from slurrycalc.metrology.remark import Refusal

    record = slurrycalc.Logbook(book.path)
    if day.bad is not None:
        before = book.bytes()
        with pytest.raises(Refusal):
            record.run(read_worksheet(worksheet(day, bad=True).encode())[0])
        assert book.bytes() == before
    declared, _ = read_worksheet(worksheet(day).encode())
    asked = JudgedBy(expected=expected(day.scatter, 2, "slurry"))
    return of_day(as_json.form(DayResult).write(record.run(declared, asked=asked, try_=day.tries), 0.95))


Road = Callable[[BenchDay, Book], Record]
ROADS: dict[str, Road] = {
    "commands": by_commands,
    "worksheet": by_worksheet,
    "table": by_table,
    "guide": by_guide,
    "python": by_python,
}


def recalled(day: BenchDay, book: Book, *, page: bool = False) -> Record:
    """What the record says of the day later on, and, where asked, whether the page says the same."""
    from slurrycalc.cli import as_json
    from slurrycalc.day.bench.standing import Standing, standing
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.store import open_logbook
    from slurrycalc.metrology.uncertain import Inputs

    with open_logbook(book.path, writes=False) as record:
        whole = as_json.form(Standing).write(standing(Recall(record, Inputs())), 0.95)
    found: Record = {}
    beds = [one for one in whole["enclosures"] if one["day"] == DATE]
    for one in beds:
        put(found, f"case/{one['name']}", of_bed(one, one["judgement"], one["remarks"]))
    put_order(found, (one["name"] for one in beds))
    for one in whole["steady"]:
        if one["day"] == DATE:
            put(found, f"case/{one['name']}", of_apart(one, one["said"], one["remarks"]))
    for case, read in jars_told(book).items():
        put(found, f"case/{case}/jars", {str(k): ph for k, (ph, _) in enumerate(read, 1)})
        put(found, f"case/{case}/jars u", {str(k): u for k, (_, u) in enumerate(read, 1)})
    if day.named:
        # One more jar, only tried, shows the calibration that it would be read under. No display shows it.
        shows = "103.377mV" if day.shows == "mV" else "5.3377"
        words = ["read", shows, "--meter", METER, "--enclosure", FRESH, *ON, "--try", "--json"]
        read = book.type(*words).json["result"]
        put(found, "meter", of_calibrations([read["calibration"]], read["check"]))
        if len(day.calibrations) > 1:
            found = {re.sub(r"^meter/1/", "meter/2/", path): value for path, value in found.items()}
        if any(jar.probe for jar in day.jars):
            words = ["compare", "--probe", PROBE, *strictest(day), *ON, "--json"]
            put(found, "probe", of_comparison(book.type(*words).json["result"]))
    if page:
        page_agrees(found, book)
    return found


def jars_told(book: Book) -> dict[str, list[tuple[float, float]]]:
    """What history tells of the jars of the day, by enclosure."""
    found: dict[str, list[tuple[float, float]]] = {}
    entries = book.type("history", "--json").json["result"]["entries"]
    for entry in entries:
        for item in entry["items"]:
            if entry["at"][:10] == DATE and item["what"] == "reading":
                found.setdefault(item["of"], []).append((item["ph"]["value"], item["u"]["value"]))
    return found


def page_agrees(found: Record, book: Book) -> None:
    """See that `slurrycalc` alone shows the pH, rounded, that is recalled."""
    page = book.type().out
    for path, value in found.items():
        if path.endswith("/value") and path.startswith("case/") and not path.startswith(f"case/{STEADY}/"):
            name = path.split("/")[1]
            row = re.search(rf"^ .* {re.escape(name)} +(\d+\.(\d+)) ± (\d+\.\d+) ", page, re.MULTILINE)
            assert row is not None, page
            half = (found[f"case/{name}/high"] - found[f"case/{name}/low"]) / 2
            unit = 10.0 ** -len(row[2])
            assert abs(float(row[1]) - value) <= 0.51 * unit, (row[0], value)
            assert abs(float(row[3]) - half) <= 0.51 * unit, (row[0], half)
