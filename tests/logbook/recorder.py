"""A program that records whole bench days, one after the other, and says so after each.

``python recorder.py WHAT LOGBOOK ...``; what it finds out goes to standard output as JSON.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import sys
import time
from pathlib import Path

from slurrycalc.logbook.faults import LogbookFault
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, open_logbook

# It runs as a program of its own, where `tests` may be anybody's.
sys.path.insert(0, str(Path(__file__).parent))
from killing import traced
from room import at, furnish, kit_of

ROWS = {"calibration": 1, "point": 2, "slurry": 4, "reading": 4, "setting": 1, "shown": 1}
"""What each step records; a step that is half there has less."""


def bench_day(book: Store, name: str) -> str:
    """Record one step with rows in many tables, and give its uid."""
    kit = kit_of(book)
    step = Step("run", When(at(0)), keeper=name)
    calibration = step.calibration("pH", meter=kit.desk)
    for bottle, shows in ((kit.acid, 4.06), (kit.neutral, 7.04)):
        step.point(calibration, bottle, shows, 21.0)
    for i in range(4):
        step.reading(step.slurry(kit.atlas, label=f"A{i}"), calibration, 5.4 + i / 10, 21.0)
    step.setting(kit.atlas, "floor", 5.0)
    step.shown("run", json.dumps({"kept": "x" * 2000}))
    record(book, step, at(0))
    return step.uid


def say(channel: int, uid: str) -> None:
    """Report a step as saved, at once."""
    os.write(channel, f"{uid}\n".encode())


def days(path: Path, channel: int, steps: int, name: str = "one") -> None:
    """Record steps, opening the logbook anew for each as commands do."""
    for _ in range(steps):
        with open_logbook(path) as book:
            if not book.rows("SELECT 1 FROM entry"):
                furnish(book)
            uid = bench_day(book, name)
        say(channel, uid)


def check(path: Path, saved: list[str]) -> list[str]:
    """Give everything that is wrong with a logbook after a kill."""
    wrong = []
    if not path.exists():
        return ["no logbook, though something was saved"] if saved else []
    # First as somebody who only reads it.
    with open_logbook(path, writes=False) as book:
        there = {uid: id_ for id_, uid in book.rows("SELECT id, uid FROM entry WHERE kind = 'run'")}
    with open_logbook(path) as book:
        wrong += [text for (text,) in book.rows("PRAGMA integrity_check") if text != "ok"]
        wrong += [f"dangling: {row}" for row in book.rows("PRAGMA foreign_key_check")]
        wrong += [f"lost: {uid}" for uid in saved if uid not in there]
        for table, rows in ROWS.items():
            for uid, id_ in there.items():
                ((found,),) = book.rows(f"SELECT count(*) FROM {table} WHERE entry = ?", (id_,))
                if found != rows:
                    wrong.append(f"half there: {uid} has {found} of {rows} rows in {table}")
        if not book.rows("SELECT 1 FROM entry"):
            furnish(book)
        bench_day(book, "after")
    if path.with_name(f"{path.name}-journal").exists():
        wrong.append("its journal was left behind")
    return wrong


def reported(channel: int) -> list[str]:
    """Read what a child reported before it ended."""
    with os.fdopen(channel) as lines:
        return lines.read().split()


def aimed(folder: Path, steps: int, kills: int) -> dict[str, object]:
    """Kill a recorder before a change of a file: before every sync, and before writes all along."""
    changes = traced(lambda: days(folder / "whole.sqlite", os.open(os.devnull, os.O_WRONLY), steps))
    aims = {n for n, change in enumerate(changes, 1) if change != "pwrite"}
    writes = [n for n in range(1, len(changes) + 1) if n not in aims]
    aims.update(writes[:: max(1, round(len(writes) / max(1, kills - len(aims))))])
    wrong, between = {}, 0
    for n in sorted(aims):
        path = folder / f"{n}.sqlite"
        receiver, sender = os.pipe()
        done = traced(lambda p=path, s=sender: days(p, s, steps), kill_at=n)  # type: ignore[misc]
        os.close(sender)
        saved = reported(receiver)
        between += 0 < len(saved) < steps
        found = check(path, saved) + ([] if len(done) == n else [f"not killed at {n}"])
        if found:
            wrong[f"{n}: {changes[n - 1]}"] = found
    return {"kills": len(aims), "changes": len(changes), "between": between, "wrong": wrong}


def at_random(folder: Path, kills: int, seed: int) -> dict[str, object]:
    """Kill a recorder again and again at random moments, in one logbook that grows."""
    draw = random.Random(seed)
    path = folder / "random.sqlite"
    saved: list[str] = []
    wrong: dict[str, list[str]] = {}
    start = time.perf_counter()
    days(path, os.open(os.devnull, os.O_WRONLY), 3)
    three = time.perf_counter() - start
    for n in range(kills):
        receiver, sender = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(receiver)
            days(path, sender, 1000)
            os._exit(0)
        os.close(sender)
        time.sleep(draw.uniform(0.0, 2.0 * three))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        saved += reported(receiver)
        found = check(path, saved)
        if found:
            wrong[str(n)] = found
    return {"kills": kills, "saved": len(saved), "wrong": wrong}


def writers(path: Path, count: int, steps: int) -> dict[str, object]:
    """Let several processes record at once."""
    with open_logbook(path) as book:
        furnish(book)
    start = time.perf_counter()
    children = []
    for number in range(count):
        receiver, sender = os.pipe()
        child = os.fork()
        if child == 0:
            status = 70
            try:
                days(path, sender, steps, f"writer {number}")
                status = 0
            finally:
                os._exit(status)
        os.close(sender)
        children.append((child, receiver))
    saved = [reported(receiver) for _, receiver in children]
    statuses = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child, _ in children]
    return {"saved": saved, "statuses": statuses, "seconds": time.perf_counter() - start}


def full(folder: Path, every: int) -> dict[str, object]:
    """Let files grow no further than a limit, which lies a little further each time."""
    refused, wrong, past = {}, {}, 0
    for n, room in enumerate(range(0, 40_000, every)):
        path = folder / f"full-{n}.sqlite"
        receiver, sender = os.pipe()
        child = os.fork()
        if child == 0:
            with open_logbook(path) as book:
                furnish(book)
                say(sender, bench_day(book, "before"))
                limit = path.stat().st_size + room
                resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
                try:
                    while True:
                        say(sender, bench_day(book, "meanwhile"))
                except LogbookFault as fault:
                    say(sender, f"!{fault.sentence}".replace(" ", "_"))
            os._exit(0)
        os.close(sender)
        said = reported(receiver)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        saved = [each for each in said if not each.startswith("!")]
        past += len(saved) - 1
        refused[room] = [each[1:].replace("_", " ") for each in said if each.startswith("!")]
        found = check(path, saved) + ([] if status == 0 else [f"status {status}"])
        if found:
            wrong[str(room)] = found
    return {"refused": refused, "past": past, "wrong": wrong}


def main() -> None:
    """Do what the command line says."""
    what, where, *numbers = sys.argv[1:]
    first, second = (*map(int, numbers), 0)[:2]
    doing = {
        "aimed": lambda: aimed(Path(where), first, second),
        "random": lambda: at_random(Path(where), first, second),
        "writers": lambda: writers(Path(where), first, second),
        "full": lambda: full(Path(where), first),
    }
    json.dump(doing[what](), sys.stdout)


if __name__ == "__main__":
    main()
