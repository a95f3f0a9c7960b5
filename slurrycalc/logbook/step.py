"""One step of a keeper, gathered before it is recorded.

A step knows its own uid from the start, so that what is computed from its readings bears the keys under which
the record will find them again. Nothing is written until `slurrycalc.logbook.record.record`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Literal

import msgspec

from slurrycalc.data.method import METHOD
from slurrycalc.logbook import cells
from slurrycalc.logbook.gathered import Gathered
from slurrycalc.logbook.refs import Ref, When, new_uid
from slurrycalc.logbook.settings import LIKE, SETTINGS, ThingKind
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

Role = Literal["point", "check", "close"]
Basis = Literal["volume", "mass", "paste"]

DISTILLED = "distilled water"
NOTHING: Mapping[str, Any] = MappingProxyType({})


class Step(Gathered):
    """What one act of a keeper puts on record.

    Parameters
    ----------
    kind : str
        What was done: ``"calibrate"``, ``"read"``, ``"probe"``, ``"run"``, ``"bench"``, ``"event"``, ...
    when : When
        When it happened.
    keeper : str, optional
        Who did it.
    note : str, optional
        In the keeper's own words.
    part_of : str, optional
        Uid of the entry that it belongs to and falls with.
    uid : str, optional
        Its own; a new one by default.

    Examples
    --------
    >>> import datetime
    >>> step = Step("probe", When.on(datetime.date(2024, 5, 11), datetime.UTC))
    >>> stick = step.thing("probe", "stick")
    >>> step.probing(5.9, probe=stick).n
    1
    """

    def __init__(
        self,
        kind: str,
        when: When,
        *,
        keeper: str | None = None,
        note: str | None = None,
        part_of: str | None = None,
        uid: str | None = None,
    ) -> None:
        super().__init__(uid)
        self.kind = kind
        self.when = when
        self.keeper = None if keeper is None else plain_name(keeper, "keeper", "desk team")
        self.note = cells.note(note)
        self.part_of = part_of

    def thing(
        self, kind: ThingKind, name: str, settings: Mapping[str, Any] = NOTHING, uid: str | None = None
    ) -> str:
        """Add a thing.

        Parameters
        ----------
        kind : str
            What it is.
        name : str
            What it is called.
        settings : mapping
            What is said of it, as `setting` takes it; None says nothing.
        uid : str, optional
            Its own; a new one by default.

        Returns
        -------
        str
            Its uid.

        Raises
        ------
        Refusal
            If the name cannot be shown on a line.
        """
        uid = new_uid() if uid is None else uid
        unknown = settings.keys() - set(SETTINGS[kind])
        if unknown:
            raise Refusal(
                f"nothing is called {quoted(min(unknown))} of a {kind}: {', '.join(SETTINGS[kind])}."
            )
        self.rows["thing"].append((None, uid, kind, self.uid))
        self.setting(uid, "name", plain_name(name, kind, LIKE[kind]))
        for key, value in settings.items():
            if value is not None:
                self.setting(uid, key, value)
        return uid

    def setting(self, thing: str, key: str, value: Any) -> None:
        """Say something of a thing.

        Parameters
        ----------
        thing : str
            Its uid.
        key : str
            ``"target"``, ``"tolerance"``, ...; see `slurrycalc.logbook.settings.SETTINGS`.
        value : str, float, bool, list or None
            None takes it back.
        """
        self.add("setting", (thing, key, msgspec.json.encode(value).decode()))

    def calibration(
        self,
        shows: Literal["mV", "pH"],
        *,
        meter: str | None = None,
        fit: Literal["line", "bracket"] = "line",
        thermometer: float | None = None,
        resolution: float | None = None,
        repeatability: float | None = None,
        junction: float | None = None,
        compensates: bool | None = None,
    ) -> Ref:
        """Begin a calibration.

        Parameters
        ----------
        shows : {"mV", "pH"}
            What the display shows.
        meter : str, optional
            Uid of the meter; None for a nameless one.
        fit : {"line", "bracket"}
            How the buffers are joined.
        thermometer, resolution, repeatability, junction : float, optional
            As declared for this day; None where the meter's settings, or the defaults, count.
        compensates : bool, optional
            The same.

        Returns
        -------
        Ref
            For its points and readings.
        """
        figures = [cells.number(each) for each in (thermometer, resolution, repeatability, junction)]
        allows = None if compensates is None else int(compensates)
        return self.add("calibration", (meter, shows, fit, *figures, allows))

    def point(
        self,
        calibration: Ref,
        bottle: str,
        shows: cells.Shows,
        temperature: float | None = None,
        role: Role = "point",
    ) -> Ref:
        """Read the meter in a bottle of buffer.

        Parameters
        ----------
        calibration : Ref
            Which one.
        bottle : str
            Uid of the bottle.
        shows : float or sequence of float
            In what the display shows.
        temperature : float, optional
            As read. [degC]
        role : {"point", "check", "close"}
            Fitted, held against, or read at the close.

        Returns
        -------
        Ref
            Its key is ``ref.key("point")``.
        """
        return self.value(
            "point", (*calibration, role, bottle, *cells.first_and_again(shows), cells.number(temperature))
        )

    def slurry(
        self,
        enclosure: str | None = None,
        *,
        label: str | None = None,
        spot: str | None = None,
        ratio: float | None = 2.0,
        basis: Basis = "volume",
        solution: str = DISTILLED,
        note: str | None = None,
    ) -> Ref:
        """Stir a jar.

        Parameters
        ----------
        enclosure : str, optional
            Uid of where the substrate came from.
        label : str, optional
            Written on the cup.
        spot : str, optional
            Jars with the same mark on one day come from the same spots.
        ratio : float, optional
            Water over substrate. [1]
        basis : {"volume", "mass", "paste"}
            What the ratio compares.
        solution : str
            What it was stirred into.
        note : str, optional

        Returns
        -------
        Ref
            For its readings.
        """
        named = None if label is None else plain_name(label, "jar", "A1")
        return self.add(
            "slurry",
            (
                enclosure,
                named,
                cells.note(spot),
                cells.number(ratio),
                basis,
                cells.note(solution),
                cells.note(note),
            ),
        )

    def reading(
        self,
        slurry: Ref,
        calibration: Ref | None,
        shows: cells.Shows,
        temperature: float | None = None,
        *,
        u: float | None = None,
        note: str | None = None,
    ) -> Ref:
        """Read the meter in a jar.

        Parameters
        ----------
        slurry : Ref
            Which jar.
        calibration : Ref or None
            Read under; None where only a pH was handed down.
        shows : float or sequence of float
            In what the display shows.
        temperature : float, optional
            As read. [degC]
        u : float, optional
            Stated standard uncertainty, without a calibration. [pH]
        note : str, optional

        Returns
        -------
        Ref
            Its key is ``ref.key("reading")``.
        """
        under = (None, None) if calibration is None else calibration
        return self.value(
            "reading",
            (
                *slurry,
                *under,
                *cells.first_and_again(shows),
                cells.number(temperature),
                cells.number(u),
                cells.note(note),
            ),
        )

    def probing(
        self,
        shows: float,
        *,
        probe: str | None = None,
        enclosure: str | None = None,
        slurry: Ref | None = None,
        spot: str | None = None,
        note: str | None = None,
    ) -> Ref:
        """Read a soil probe.

        Parameters
        ----------
        shows : float
            What it shows. [pH]
        probe, enclosure : str, optional
            Uids of the probe, and of where it was pushed in.
        slurry : Ref, optional
            The jar that was filled there afterwards: together they make a pair.
        spot, note : str, optional

        Returns
        -------
        Ref
            Of the indication.
        """
        jar = (None, None) if slurry is None else slurry
        return self.value(
            "probing", (probe, enclosure, *jar, cells.number(shows), cells.note(spot), cells.note(note))
        )

    def event(
        self,
        enclosure: str,
        kind: str,
        *,
        amount: float | None = None,
        unit: str | None = None,
        note: str | None = None,
    ) -> Ref:
        """Note what was done to an enclosure, or befell it.

        Parameters
        ----------
        enclosure : str
            Its uid.
        kind : str
            ``"exchange"``, ``"leaf-litter"``, ...
        amount : float, optional
            How much, in `unit`.
        unit : str, optional
            ``"mL"``, ``"g"``, ...
        note : str, optional

        Returns
        -------
        Ref
            Of the event.
        """
        return self.value("event", (enclosure, kind, cells.number(amount), unit, cells.note(note)))

    def mix(self, event: Ref, tub: str | None, ph: float | None, half_width: float | None) -> None:
        """Note which fresh mix an exchange put in: by its tub's uid, or by its pH and half-width [pH]."""
        self.add("mix", (*event, tub, cells.number(ph), cells.number(half_width)))

    def mark(self, key: str, value: Any) -> None:
        """Note where a guided bench day stands.

        Parameters
        ----------
        key : str
            What it is about.
        value
            Anything that JSON can hold.
        """
        self.add("mark", (key, msgspec.json.encode(value).decode()))

    def shown(self, command: str, result: str) -> None:
        """Keep a result as it was shown.

        Parameters
        ----------
        command : str
            What showed it.
        result : str
            As JSON. Keep it to what a person saw: it stays for good.
        """
        self.add("shown", (command, result, METHOD))

    def void(self, entry: str, n: int | None = None, reason: str | None = None) -> None:
        """Strike something out.

        Parameters
        ----------
        entry : str
            Uid of the entry.
        n : int, optional
            The one value of it.
        reason : str, optional
            Why.
        """
        self.add("void", (entry, n, cells.note(reason)))
