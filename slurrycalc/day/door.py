"""The record from Python: what the command line does with a logbook, for notebooks and scripts."""

from __future__ import annotations

import datetime
import os
import warnings
from pathlib import Path
from typing import Any

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.card import Card, card
from slurrycalc.day.bench.places import Places
from slurrycalc.day.bench.result import DayResult
from slurrycalc.day.bench.standing import JudgedBy, Standing, standing
from slurrycalc.day.bench.worksheet import Day, read_worksheet
from slurrycalc.day.months.changing import BedGiven
from slurrycalc.day.months.drifting import DriftAsked, Drifting
from slurrycalc.day.months.drifts import by_record
from slurrycalc.day.months.duties import Duties, duties
from slurrycalc.day.months.exchanging import ExchangePlanned, StageSpread, plan_exchange
from slurrycalc.day.months.holding import Holding, UpkeepPlanned, plan_upkeep
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.record_file import RecordFile, present
from slurrycalc.day.record.telling import EntryTold, find_any, tell
from slurrycalc.deciding.days import as_day
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook


class Logbook(RecordFile):
    """A record of bench days in a file.

    Nothing is kept open: each call reads the file as it is then, or records one step. Two numbers from two
    calls on the same object know what they share. A file that cannot be used raises `LogbookFault`.

    Parameters
    ----------
    path : str or path-like
        Of its file; it need not exist yet.
    by : str, optional
        Who records.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> from slurrycalc.data.shipped import shipped
    >>> book = Logbook(Path(mkdtemp()) / "bench.sqlite")
    >>> day = book.run(shipped("examples", "reading-room.toml"))
    >>> [(one.name, one.judgement.in_range.state) for one in day.enclosures]
    [('window', 'no'), ('stairs', 'yes'), ('atlas', 'yes')]
    >>> [one.name for one in book.standing().enclosures]
    ['window', 'stairs', 'atlas']
    >>> book.readings()[0]["enclosure"]
    'window'
    """

    def run(
        self,
        day: Day | str | os.PathLike[str],
        *,
        asked: JudgedBy | None = None,
        new: bool = False,
        try_: bool = False,
    ) -> DayResult:
        """Compute a bench day, and put it on record.

        Parameters
        ----------
        day : Day, str or path-like
            The day, or the path of a worksheet.
        asked : JudgedBy, optional
            How its slurries are to be judged.
        new : bool
            Whether names close to others on record are other things.
        try_ : bool
            Whether it is only computed, and nothing recorded.

        Returns
        -------
        DayResult
            As `slurrycalc run` shows it.

        Raises
        ------
        Refusal
            If something in it cannot stand; nothing is recorded then.
        LogbookFault
            If the file cannot be used.
        """
        now, places = present(), Places()
        if not isinstance(day, Day):
            sheet = Path(day)
            day, places = read_worksheet(sheet.read_bytes(), sheet.name, today=now.date())
        when = When(now) if day.date is None else When.on(day.date, now.tzinfo or datetime.UTC)
        with self._reading() as recall:
            step = Step("run", when, keeper=self.by)
            keeper = Keeper(recall.book, step, now=now, new=new, tries=try_, inputs=self._inputs)
            result = bench_day(day, places, keeper=keeper, asked=asked or JudgedBy())
        if not try_:
            with open_logbook(self.path) as book:
                keeper.record(book)
            if book.no_copy:
                warnings.warn(book.no_copy, stacklevel=2)
        return result

    def standing(self, p: float = 0.95) -> Standing:
        """Say where every enclosure in use stands, by its last bench day.

        Parameters
        ----------
        p : float
            Coverage probability of the decisions. [1]

        Returns
        -------
        Standing
            The worst first.

        Raises
        ------
        Refusal
            If the points of a calibration cannot stand.
        LogbookFault
            If the file cannot be read.
        """
        with self._reading() as recall:
            return standing(recall, p)

    def show(self, name: str, *, on: datetime.date | str | None = None, p: float = 0.95) -> Card:
        """Look at one thing on record.

        Parameters
        ----------
        name : str
            Of an enclosure, a meter, a probe or a bottle; capitals make no difference.
        on : date, optional
            The day on which it is asked; today by default.
        p : float
            Coverage probability. [1]

        Returns
        -------
        Card
            Where it stands, what is due, its settings, its newest entries.

        Raises
        ------
        Refusal
            If nothing is called so.
        """
        with self._reading() as recall:
            return card(recall, find_any(recall.things, name), _day(on), p)

    def trend(self, name: str, *, on: datetime.date | str | None = None, p: float = 0.95) -> Drifting:
        """Say how fast an enclosure drifts, when it meets a limit, and by when to read it again.

        Parameters
        ----------
        name : str
            Of the enclosure.
        on : date, datetime64 or str, optional
            The day on which it is asked; today by default.
        p : float
            Coverage probability. [1]

        Returns
        -------
        Drifting
            With why there is no trend, where there is none.

        Raises
        ------
        Refusal
            If no enclosure is called so, or it was never read.
        LogbookFault
            If the file cannot be read.
        """
        with self._reading() as recall:
            return by_record(recall, name, DriftAsked(_day(on), p=p))

    def exchange(
        self,
        name: str,
        want: float | str | None = None,
        *,
        fresh: str | None = None,
        on: datetime.date | str | None = None,
        p: float = 0.95,
    ) -> ExchangePlanned:
        """Plan how much of a bed to exchange; nothing of it is recorded.

        Parameters
        ----------
        name : str
            Of the enclosure.
        want : float or str, optional
            The pH that is wanted; by default what is set for it. [pH]
        fresh : str, optional
            The fresh mix: a name on record or a pH; by default the only tub on record. [pH]
        on : date, datetime64 or str, optional
            The day on which it is asked; today by default.
        p : float
            Coverage probability. [1]

        Returns
        -------
        ExchangePlanned
            In stages; or that the bed is to be read first.

        Raises
        ------
        Refusal
            If the bed or the mix is not known, or the exchange cannot do it.
        """
        wanted = None if want is None else str(want)
        today = _day(on)
        with self._reading() as recall:
            keeper = Keeper(
                recall.book, Step("exchange", When(present())), now=present(), tries=True, inputs=self._inputs
            )
            line, spread = BedGiven(fresh=fresh), StageSpread(p=p)
            return plan_exchange(line, wanted, spread, today, keeper=keeper, enclosure=name)

    def upkeep(self, name: str, *, on: datetime.date | str | None = None, p: float = 0.95) -> UpkeepPlanned:
        """Say how much to exchange, and how often, so that a bed holds its pH.

        Parameters
        ----------
        name : str
            Of the enclosure.
        on : date, datetime64 or str, optional
            The day on which it is asked; today by default.
        p : float
            Coverage probability. [1]

        Returns
        -------
        UpkeepPlanned
            Or that the bed is to be read first.

        Raises
        ------
        Refusal
            If the bed or the mix is not known.
        """
        with self._reading() as recall:
            return plan_upkeep(BedGiven(), Holding(p=p), _day(on), recall=recall, enclosure=name)

    def due(self, *, on: datetime.date | str | None = None, ahead: int | None = None) -> Duties:
        """Say what is due, earliest first.

        Parameters
        ----------
        on : date, datetime64 or str, optional
            The day on which it is asked; today by default.
        ahead : int, optional
            How far to look; to the last unless given. [d]

        Returns
        -------
        Duties
            Readings, tending, exchanges, bottles, probes.

        Raises
        ------
        LogbookFault
            As for all of these.
        """
        with self._reading() as recall:
            return duties(recall, _day(on), ahead=ahead)

    def history(self, name: str | None = None) -> tuple[EntryTold, ...]:
        """Tell what is on record, what was struck out included.

        Parameters
        ----------
        name : str, optional
            Of a thing; everything unless given.

        Returns
        -------
        tuple of EntryTold
            In the order of time.

        Raises
        ------
        Refusal
            If nothing is called so.
        """
        with self._reading() as recall:
            thing = None if name is None else find_any(recall.things, name)
            return tuple(tell(recall, thing) if thing is not None else tell(recall, entries=None))

    def readings(self, enclosure: str | None = None) -> list[dict[str, Any]]:
        """Give every reading that stands, a row each, as a DataFrame takes them.

        Parameters
        ----------
        enclosure : str, optional
            Of this one only.

        Returns
        -------
        list of dict
            In the order of time: ``day``, ``enclosure``, ``jar``, ``spot``, ``shows`` (as the meter shows, pH
            or mV: ``unit``), ``temperature`` [degC], ``ph`` and its standard uncertainty ``u`` [pH],
            ``counts``: False where it was read under a calibration in doubt beside one that is not.

        Raises
        ------
        Refusal
            If no enclosure is called so, or the points of a calibration cannot stand.
        LogbookFault
            If the file cannot be read.
        """
        with self._reading() as recall:
            things = recall.things
            thing = None if enclosure is None else things.find("enclosure", enclosure)
            found, counts = recall.readings(thing, every=True), recall.readings(thing)
            out = set(counts.out)
            return [
                {
                    "day": datetime.date.fromisoformat(row.day),
                    "enclosure": None if row.enclosure is None else things.by_id[row.enclosure].name,
                    "jar": row.label,
                    "spot": row.spot,
                    "shows": row.shows,
                    "unit": "pH" if (meter := found.meters[i]) is None else meter.unit,
                    "temperature": row.temperature,
                    "ph": (ph := found.number(i)).n,
                    "u": ph.s,
                    "counts": row not in out,
                }
                for i, row in enumerate(found.rows)
            ]


def _day(on: datetime.date | str | None) -> datetime.date:
    return present().date() if on is None else as_day(on)
