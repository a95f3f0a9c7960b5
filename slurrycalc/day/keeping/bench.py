"""A whole bench day that is recorded: its enclosures, its jars, its probe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from slurrycalc.day.again import ReadAgain
from slurrycalc.day.keeping.doubted import say_doubted
from slurrycalc.day.keeping.keeper import Keeper
from slurrycalc.day.keeping.pairing import pairs_of
from slurrycalc.day.keeping.shown import keep_fresh, keep_meter, keep_offset, keep_ph, keep_steady
from slurrycalc.day.keeping.slurries import (
    jars_of_day,
    labels_of_day,
    limits_of,
    on_record,
    read_jar,
    shares,
)
from slurrycalc.day.limits import Limits
from slurrycalc.day.planning.bench_state import BenchState, is_steady
from slurrycalc.day.planning.reading_again import read_again
from slurrycalc.day.result import DayResult
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.logbook.past import Expectation, Expectations, Jar, Pair
from slurrycalc.logbook.refs import Id, Ref
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.calibration import PHReading
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter


@dataclass
class KeptDay:
    """A bench day on its way into the record.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    under : Ref
        The calibration that its jars are read under.
    """

    keeper: Keeper
    under: Ref
    probe: Thing | None = None
    """None for a nameless one."""
    things: dict[str, Thing] = field(default_factory=dict)
    """Enclosures by name."""
    _expectations: dict[str, Expectation] = field(default_factory=dict)

    @cached_property
    def _past(self) -> Expectations:
        return Expectations(self.keeper.recall)

    @cached_property
    def bench(self) -> BenchState:
        """What the steady jars say of the bench."""
        return BenchState(self.keeper.recall)

    def is_steady(self, name: str) -> bool:
        """Tell whether an enclosure is a steady jar."""
        return is_steady(self.things[name])

    def is_fresh(self, name: str) -> bool:
        """Tell whether an enclosure is a tub of fresh mix."""
        return bool(self.things[name].get("fresh"))

    def steady_days(self, read: Mapping[str, SlurryResult]) -> dict[str, SteadyDay]:
        """Judge the steady jars of the day.

        Parameters
        ----------
        read : mapping of str to SlurryResult
            Name of a steady jar to what it reads in this step.

        Returns
        -------
        dict
            Uid to what it says of the bench, of each that was read on that day, in this step or before.

        Raises
        ------
        Refusal
            If the points of a calibration cannot stand.
        """
        by_uid = {self.things[name].uid: slurry for name, slurry in read.items()}
        found = self.bench.on(self.keeper.day, by_uid)
        if read:
            say_doubted(self.keeper, found.values(), self.things)
        return found

    def read_again(self, read: Mapping[str, tuple[SlurryResult, Limits]]) -> dict[str, ReadAgain]:
        """Say by when enclosures of the day are to be read again.

        Parameters
        ----------
        read : mapping of str to (SlurryResult, Limits)
            Name to what it reads, and its range and floor.

        Returns
        -------
        dict
            Name to the answer; without those that are never to be read.

        Raises
        ------
        Refusal
            If the points of a calibration cannot stand.
        """
        return read_again(
            self.keeper.recall,
            self.keeper.day,
            {name: (self.things[name], slurry) for name, (slurry, _) in read.items()},
            {name: limits for name, (_, limits) in read.items()},
        )

    @cached_property
    def labels(self) -> dict[tuple[int, str], Id]:
        """Jars of that day that are on record already."""
        return labels_of_day(self.keeper)

    def enclosure(
        self,
        name: str,
        target: tuple[float, float] | None = None,
        floor: float | None = None,
        *,
        adds: bool = False,
    ) -> Thing:
        """Find an enclosure, or add it.

        Parameters
        ----------
        name : str
            As typed.
        target : pair of float, optional
            The range wanted in it, if it is declared. [pH]
        floor : float, optional
            Its floor, if it is declared. [pH]
        adds : bool
            Whether it is declared, and so added where it is not on record.

        Returns
        -------
        Thing
            The enclosure.

        Raises
        ------
        Refusal
            If nothing is called so, or it is close to another name.
        """
        declared = {"target": None if target is None else list(target), "floor": floor}
        thing = self.keeper.thing("enclosure", name, declared=declared, adds=adds)
        self.things[thing.name] = thing
        return thing

    def knows(self, name: str) -> bool:
        """Tell whether an enclosure of that name is on record."""
        return self.keeper.recall.things.seek("enclosure", name) is not None

    def name_probe(self, name: str, *, adds: bool = False) -> str:
        """Say which probe was pushed in.

        Parameters
        ----------
        name : str
            As typed.
        adds : bool
            Whether it is declared, and so added where it is not on record.

        Returns
        -------
        str
            What it is called.
        """
        self.probe = self.keeper.thing("probe", name, adds=adds)
        return self.probe.name

    def limits(self, name: str) -> Limits:
        """Give an enclosure's own target and floor, None where common practice counts. [pH]."""
        return limits_of(self.things[name])

    def expected(self, name: str) -> Scatter:
        """Say what to expect of an enclosure's slurries. [pH]."""
        if name not in self._expectations:
            self._expectations[name] = self._past.of(on_record(self.things[name]), self.keeper.day)
        return self._expectations[name].scatter

    def shares(self, name: str, slurry: SlurryResult) -> Shares:
        """Say how much of an enclosure's scatter rests on what, after `expected` was asked."""
        return shares(slurry, self._expectations[name])

    def earlier(self, name: str) -> tuple[Jar, ...]:
        """Give an enclosure's jars of that day that are on record already."""
        return jars_of_day(self.keeper, self.things[name])

    def pairs(self) -> tuple[Pair, ...]:
        """Give the probe's pairs that are on record already."""
        return pairs_of(self.keeper, self.probe)

    def refuse_twice(self, name: str, label: str) -> None:
        """See that a jar is not on record already.

        Parameters
        ----------
        name : str
            Its enclosure.
        label : str
            What is written on it.

        Raises
        ------
        Refusal
            If one of that label was read in that enclosure on that day.
        """
        there = self.labels.get((self.things[name].id, label.casefold()))
        if there is not None:
            raise Refusal(
                f"jar {label} of {name} is on record for {self.keeper.day} already, as {there}; take that "
                f"back first with slurrycalc undo {there.entry}, or give the jar another label."
            )

    def jar(
        self,
        calibration: Calibration,
        shows: Sequence[float],
        temperature: float | None,
        *,
        name: str,
        label: str,
        spot: str | None,
        note: str | None,
        probe: float | None,
        under: Ref | None = None,
    ) -> PHReading:
        """Read a jar.

        Parameters
        ----------
        calibration : Calibration
            Read under.
        shows : sequence of float
            Indications. [mV or pH, as the meter shows]
        temperature : float or None
            Of the slurry, if it was read. [degC]
        name : str
            Its enclosure.
        label : str
            What is written on it.
        spot, note : str or None
            Where it came from, and what was noted of it.
        probe : float or None
            What the probe showed there before. [pH]
        under : Ref, optional
            What the record calls the calibration, where the day has several.

        Returns
        -------
        PHReading
            Its pH, with the keys of the record.

        Raises
        ------
        Refusal
            If it cannot stand.
        """
        self.refuse_twice(name, label)
        thing = self.things[name]
        kept = read_jar(
            self.keeper,
            calibration,
            self.under if under is None else under,
            shows,
            temperature,
            enclosure=thing,
            label=label,
            spot=spot,
            note=note,
        )
        if probe is not None:
            uid = None if self.probe is None else self.probe.uid
            self.keeper.step.probing(probe, probe=uid, enclosure=thing.uid, slurry=kept.slurry, spot=spot)
        return kept.read

    def note(self, name: str, text: str) -> None:
        """Note something of an enclosure."""
        self.keeper.step.event(self.things[name].uid, "other", note=text)

    def shown(self, result: DayResult, p: float) -> None:
        """Keep the day as it was shown.

        Parameters
        ----------
        result : DayResult
            The whole day.
        p : float
            Coverage probability. [1]
        """
        for calibration in (*result.before, result.calibration):
            keep_meter(self.keeper, calibration)
        for one in result.enclosures:
            keep_ph(self.keeper, one.name, one.slurry.ph, one.judgement, slurries=one.slurry.n)
        for jar in result.steady:
            keep_steady(self.keeper, jar.name, jar.slurry.ph, jar.said, slurries=jar.slurry.n, p=p)
        for tub in result.fresh:
            keep_fresh(self.keeper, tub.name, tub.slurry.ph, slurries=tub.slurry.n, p=p)
        if result.probe is not None:
            keep_offset(self.keeper, result.probe.name, result.probe.comparison, p)
