"""An enclosure's slurries of one day: which of them count, how they are expected to scatter, and their pH."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slurrycalc.data.assumed import SLURRY_RATIO
from slurrycalc.deciding.doubt import doubts
from slurrycalc.logbook.past import Expectation, Expectations, Jar, jars
from slurrycalc.logbook.readings import Readings
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.replicates import Replicates
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.things import Thing
from slurrycalc.logbook.windows import Mixed
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.measuring.slurry.counted import left_out as left_out_remark
from slurrycalc.measuring.slurry.odd import ODD, lonely, odd_remark
from slurrycalc.metrology.annotate import NumberValue
from slurrycalc.metrology.remark import Remark

RATIO = SLURRY_RATIO.value
"""Water on substrate, by volume, of every jar that a step stirs."""
ALIKE: Mixed = (RATIO, "volume", DISTILLED)
"""Slurries of other mixtures give other quantities, and no mean and no trend with these."""


@dataclass(frozen=True)
class Shares:
    """How much of an enclosure's expected scatter rests on what."""

    today: NumberValue
    """On the slurries of this day, 0 to 1."""
    own_past: NumberValue
    """On earlier days of the same enclosure, since something was done that renews the scatter."""
    others: NumberValue
    """On older days, other enclosures and on what is usually expected."""
    own_days: int
    """Earlier days of its own since then with more than one slurry."""
    other_days: int
    """Such days of other enclosures."""
    older_days: int = 0
    """Such days of its own from before."""

    @property
    def text(self) -> str:
        """Say it in a few words.

        Examples
        --------
        >>> Shares(0.2, 0.4, 0.4, 2, 0).text
        "of the scatter, today's slurries count 20 %, 2 earlier days of its own 40 %, what is usual 40 %"
        """
        parts = [f"today's slurries count {self.today:.0%}"] if self.today else []
        if self.own_days:
            parts.append(f"{_days(self.own_days, 'earlier ')} of its own {self.own_past:.0%}")
        older = [f"{_days(self.older_days)} of its own before it was changed"] if self.older_days else []
        others = [f"other enclosures ({_days(self.other_days)})"] if self.other_days else []
        *most, last = [*older, *others, "what is usual"]
        rest = f"{', '.join(most)} and {last}" if most else last
        parts.append(f"{rest} {self.others:.0%}")
        return f"of the scatter, {', '.join(parts)}".replace("%", " %")


def _days(n: int, kind: str = "") -> str:
    return f"{n} {kind}day" + ("" if n == 1 else "s")


@dataclass(frozen=True, eq=False)
class DaySlurries:
    """What one enclosure's slurries of one day come to."""

    enclosure: Thing | None
    """None for a nameless one."""
    day: datetime.date
    slurry: SlurryResult
    shares: Shares | None
    """None where a scatter was given, or nothing names the enclosure."""
    jars: tuple[Jar, ...]
    """Those that count, in the order of time."""
    calibration: Calibration | None
    """The last one that they were read under; None where only pH values were handed down."""


class Slurries:
    """The slurries of a record, day by day; what many of them rest on is looked for once.

    Parameters
    ----------
    recall : Recall
        The record.
    own : mapping of int to list of Replicates, optional
        Number of an enclosure to its earlier days, where they are known already.
    saves : bool
        Whether its readings are on record, so that there is something to strike out.
    """

    def __init__(
        self, recall: Recall, own: Mapping[int, Sequence[Replicates]] | None = None, *, saves: bool = True
    ) -> None:
        self.recall = recall
        self._saves = saves
        self._past = Expectations(recall, own)

    def of(
        self,
        enclosure: Thing | None,
        readings: Readings,
        mine: Sequence[int],
        expected: Expected = DEFAULT,
    ) -> DaySlurries:
        """Gather one enclosure's readings of one day.

        Parameters
        ----------
        enclosure : Thing or None
            Which one; None for a nameless one.
        readings : Readings
            Among which they are.
        mine : sequence of int
            Their places there, in the order of time; at least one, all of slurries that were mixed alike.
        expected : Scatter, DEFAULT or None
            What is known of their scatter; by default what the record teaches, and else what is usual. [pH]

        Returns
        -------
        DaySlurries
            What was read under a calibration in doubt does not count where others do; the remarks say so. Of
            a steady jar those alone that were read under its last calibration of the day: read again
            after an alarm, under fresh buffers, it must be seen to agree or not.

        Raises
        ------
        Refusal
            If a calibration's points cannot stand, or a single slurry shall show its own scatter.
        """
        rows = readings.rows
        day = datetime.date.fromisoformat(rows[mine[0]].day)
        last = rows[mine[-1]].calibration
        left_out = 0
        if enclosure is not None and enclosure.get("steady"):
            under = [i for i in mine if rows[i].calibration == last]
            left_out, mine = len(mine) - len(under), under
        known = self._past.of(enclosure, day)
        found = jars(readings, mine)
        calibration = None if last is None else self.recall.calibration(last)
        slurry = slurry_ph(
            calibration,
            [jar.ph for jar in found],
            spots=[jar.spot.casefold() if jar.spot else None for jar in found],
            expected=known.scatter if expected is DEFAULT else expected,
        )
        said = dict.fromkeys(remark for i in mine for remark in self.remarks_on(readings, i))
        if left_out and enclosure is not None:
            said[_not_counted(enclosure)] = None
        told = [left_out_remark(doubted)] if (doubted := readings.left_out(mine[0])) else []
        doubt = doubts(said)
        rest = (remark for remark in said if remark not in doubt)
        own = slurry.remarks
        if slurry.odd is not None:
            named = self._named(slurry, found)
            own = tuple(named if remark.kind == ODD else remark for remark in own)
        slurry = replace(slurry, remarks=(*told, *doubt, *own, *rest))
        rests = shares(slurry, known) if expected is DEFAULT else None
        return DaySlurries(enclosure, day, slurry, rests, found, calibration)

    def _named(self, slurry: SlurryResult, found: Sequence[Jar]) -> Remark:
        """Name the jar that lies by itself, and what strikes it out."""
        values = [each.n for each in slurry.slurries]
        far = lonely(values)
        assert far is not None
        spots = [jar.spot.casefold() if jar.spot else jar.place for jar in found]
        it = list(dict.fromkeys(spots))[far.place]
        mine = [jar for jar, spot in zip(found, spots, strict=True) if spot == it]
        labels = [jar.label for jar in mine if jar.label]
        called = "One jar" if not labels else f"Jar{'s' if labels[1:] else ''} {' and '.join(labels)}"
        if not self._saves:
            return odd_remark(far, called)
        ids = [str(each) for jar in mine for each in jar.ids]
        lines = ", ".join(f"slurrycalc undo {each}" for each in ids)
        return odd_remark(far, called, f"strike it out: {lines}")

    def remarks_on(self, readings: Readings, i: int) -> tuple[Remark, ...]:
        """Give what must be said of one reading, by its place."""
        row = readings.rows[i]
        if row.calibration is None:
            return ()
        disputed = readings.disputed.get(row.place)
        said = self.recall.calibration(row.calibration).remarks_on(readings.number(i), row.temperature)
        return said if disputed is None else (disputed, *said)


def shares(result: SlurryResult, known: Expectation) -> Shares:
    """Say how much of a result's scatter rests on what it was expected by; the shares sum up to 1."""
    left = 1.0 - result.own_share
    own = 0.0 if known.own is None else known.own.dof
    past = left * own / (own + known.rest.dof)
    return Shares(result.own_share, past, left - past, known.own_days, known.other_days, known.older_days)


def _not_counted(jar: Thing) -> Remark:
    return Remark(
        "under-another-calibration",
        f"What {jar.name} read earlier that day, under another calibration, does not count here. If that "
        "calibration was off, strike it out with slurrycalc undo and its number in slurrycalc history: "
        "what was read under it falls with it, and its doubt.",
    )


def slurries(recall: Recall, enclosure: Thing, day: datetime.date) -> DaySlurries | None:
    """Gather an enclosure's slurries of a day; None where it was not read on it."""
    readings = recall.readings(enclosure, since=day, until=day)
    mine = [i for i, row in enumerate(readings.rows) if row.mixed == ALIKE]
    return Slurries(recall).of(enclosure, readings, mine) if mine else None
