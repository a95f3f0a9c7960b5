"""What rows say together, held to what the program writes, once all that came in is there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec

from slurrycalc.logbook.calibrations import indications, kept_calibrations
from slurrycalc.logbook.forms import VALUES
from slurrycalc.logbook.packages import BadOnes
from slurrycalc.logbook.standing import standing
from slurrycalc.logbook.store import Row, Store
from slurrycalc.logbook.things import things_of
from slurrycalc.measuring.electrode.indication import FARTHEST_MV
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs

AT_ONCE = 200
"""Calibrations that are held in memory at a time (our own figure)."""
_VALUES = " UNION ALL ".join(f"SELECT entry, n FROM {name}" for name in VALUES)
_SINCE = " UNION ALL ".join(f"SELECT entry, n FROM {name} WHERE entry >= ?1" for name in VALUES)
_SAID_AT_FIRST = (
    "SELECT e.uid, t.kind FROM thing t JOIN entry e ON e.id = t.entry WHERE t.id >= ?1 AND NOT EXISTS "
    "(SELECT 1 FROM setting s WHERE s.thing = t.id AND s.entry = t.entry AND s.key = '{}' "
    "AND s.value <> 'null')"
)
RULES = (
    (
        f"SELECT e.uid, v.n FROM ({_SINCE}) v JOIN entry e ON e.id = v.entry GROUP BY v.entry, v.n "
        "HAVING count(*) > 1",
        "reading.csv and the other values",
        "the entry has two values {}",
    ),
    (
        "SELECT e.uid, w.target_n FROM void w JOIN entry e ON e.id = w.entry WHERE w.entry >= ?1 AND "
        f"w.target_n IS NOT NULL AND NOT EXISTS (SELECT 1 FROM ({_VALUES}) v WHERE v.entry = w.target_entry "
        "AND v.n = w.target_n)",
        "void.csv",
        "what it strikes out has no value {}",
    ),
)
"""Statements that find entries which cannot stand, with the file to look in and why."""
SHOWN = {
    name: f"SELECT e.uid, coalesce(c.shows, 'pH'), t.shows, t.again FROM {name} t "
    "JOIN entry e ON e.id = t.entry "
    "LEFT JOIN calibration c ON c.entry = t.calibration_entry AND c.n = t.calibration_n "
    "WHERE t.entry >= ?1 AND (t.again IS NOT NULL OR t.shows NOT BETWEEN 0 AND 14)"
    for name in ("point", "reading")
}
"""Indications that want a closer look, with the unit of the display."""


def see_that_all_can_be_told(book: Store, entry: int, thing: int, bad: BadOnes) -> None:
    """Hold what came in to what only the whole of it tells.

    Parameters
    ----------
    book : Store
        Within a transaction.
    entry, thing : int
        The first of each that is new.
    bad : BadOnes
        Where what cannot stand is noted.
    """
    for sql, file, why in RULES:
        for uid, what in book.rows(sql, (entry,)):
            bad.add(file, 0, f"entry {uid}: {why.format(what)}")
    for key, kinds in (("name", None), ("label", "bottle")):
        for uid, kind in book.rows(_SAID_AT_FIRST.format(key), (thing,)):
            if kinds is None or kind == kinds:
                bad.add("setting.csv", 0, f"entry {uid}: the {kind} that it adds has no {key}")
    for name, sql in SHOWN.items():
        for uid, unit, shows, again in book.connection.execute(sql, (entry,)):
            for each in indications(shows, again):
                if not (0.0 <= each <= 14.0 if unit == "pH" else abs(each) <= FARTHEST_MV):
                    why = f"`{each:g}` is nothing that a display of {unit} shows"
                    bad.add(f"{name}.csv", 0, f"entry {uid}: {why}")
    for uid, why in _in_another_unit(book, entry):
        bad.add("calibration.csv", 0, f"entry {uid}: {why}")
    if not bad:
        for uid, why in _not_calibrations(book, entry):
            bad.add("calibration.csv", 0, f"entry {uid}: {why}")


def _in_another_unit(book: Store, entry: int) -> Iterator[tuple[str, str]]:
    """Give calibrations in what their meter did not show by what was said of it until then."""
    stands, said = standing(book), _displays(book)
    for uid, at, meter, shows in book.connection.execute(
        "SELECT e.uid, c.entry, c.meter, c.shows FROM calibration c JOIN entry e ON e.id = c.entry "
        "WHERE c.entry >= ? AND c.meter IS NOT NULL",
        (entry,),
    ):
        before = [one for one in said.get(meter, ()) if one[0] <= at]
        # What was struck out may have been struck out since: then it counted, and so may what it followed.
        last = next((i for i, (when, _) in enumerate(before) if stands.has(when)), len(before))
        counted = {value for _, value in before[: last + 1]}
        if counted and not counted & {None, shows}:
            yield uid, f"it is in {shows}, and its meter shows {counted.pop()}"


def _displays(book: Store) -> dict[int, list[tuple[int, str | None]]]:
    """Give what was said of each meter's display, the last first, and in which entry."""
    said: dict[int, list[tuple[int, str | None]]] = {}
    for meter, at, value in book.rows(
        "SELECT thing, entry, value FROM setting WHERE key = 'shows' ORDER BY entry DESC, n DESC"
    ):
        said.setdefault(meter, []).append((at, msgspec.json.decode(value)))
    return said


def _not_calibrations(book: Store, entry: int) -> Iterator[tuple[str, str]]:
    """Compute each calibration, and give those that cannot be."""
    places = book.rows(
        "SELECT c.entry, c.n, e.uid FROM calibration c JOIN entry e ON e.id = c.entry WHERE c.entry >= ?",
        (entry,),
    )
    stands = standing(book)
    things = things_of(book, stands)

    def wrong(some: Sequence[Row]) -> Iterator[tuple[str, str]]:
        try:
            found = kept_calibrations(book, things, stands, ((entry, n) for entry, n, _ in some))
        except Refusal as refusal:
            # What was declared of one of their meters cannot be.
            if len(some) == 1:
                yield some[0][2], refusal.sentence.rstrip(".")
            else:
                for one in some:
                    yield from wrong([one])
            return
        for kept in found.values():
            try:
                kept.whole(Inputs())
            except Refusal as refusal:
                yield kept.ref.uid, refusal.sentence.rstrip(".")

    for start in range(0, len(places), AT_ONCE):
        yield from wrong(places[start : start + AT_ONCE])
