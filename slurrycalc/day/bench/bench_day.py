"""A bench day computed: entered into a step, and asked of the record as it will be with that step."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from operator import itemgetter
from typing import TypeVar

from slurrycalc.data.cautions import cautions
from slurrycalc.day.bench.enter import NOWHERE, Entered, enter
from slurrycalc.day.bench.places import Places
from slurrycalc.day.bench.probe import indicated, probe_seen, worth_of
from slurrycalc.day.bench.result import (
    CheckResult,
    DayResult,
    EnclosureResult,
    FreshResult,
    Indication,
    JarResult,
    ProbeResult,
    SteadyResult,
)
from slurrycalc.day.bench.standing import NOTHING_ASKED, JudgedBy, Standing, standing_on
from slurrycalc.day.bench.table import HeldBack
from slurrycalc.day.bench.worksheet import Day
from slurrycalc.day.record.keeper import After, Keeper
from slurrycalc.day.record.limits import chosen_limits
from slurrycalc.day.record.nameless import nameless
from slurrycalc.day.record.shown import keep_fresh, keep_meter, keep_offset, keep_ph, keep_steady
from slurrycalc.day.record.slurries import Slurries
from slurrycalc.logbook.checked import deciding
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import Ref
from slurrycalc.measuring.electrode import BufferCheck, Calibration
from slurrycalc.measuring.electrode.checks import checked_among
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.metrology.watch import Watch, unwatched

One = TypeVar("One", EnclosureResult, SteadyResult, FreshResult)


def bench_day(
    day: Day,
    places: Places = NOWHERE,
    *,
    keeper: Keeper | None = None,
    asked: JudgedBy = NOTHING_ASKED,
    holds_back: Sequence[HeldBack] | None = None,
    inputs: Inputs | None = None,
    watch: Watch = unwatched,
) -> DayResult:
    """Compute a declared bench day.

    Parameters
    ----------
    day : Day
        What was declared.
    places : Places
        Where its parts stand in their file, for sentences about them.
    keeper : Keeper, optional
        Of the step that records it: it brings what the record knows, and gathers what the day adds. Without
        one, the record is in memory and gone afterwards.
    asked : JudgedBy
        How its slurries are to be judged.
    holds_back : sequence of HeldBack, optional
        Rows of a table that could not be read; its jars that cannot stand are then held back like them.
    inputs : Inputs, optional
        The map of shared errors, where there is no keeper; by default the session's.
    watch : Watch
        What jars and then enclosures are handed to on their way.

    Returns
    -------
    DayResult
        Calibration, enclosures worst first, probe, and what must be said with them.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with its place.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM); JCGM 106:2012 for the decisions.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.day.bench.worksheet import read_worksheet
    >>> day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> [enclosure.name for enclosure in bench_day(day, places).enclosures]
    ['window', 'stairs', 'atlas']
    """
    keeper = nameless("run", new=False, inputs=inputs) if keeper is None else keeper
    entered = enter(day, keeper, places, holds_back=holds_back is not None, watch=watch)
    entered.held_back.extend(holds_back or ())
    if not entered.jars:
        held = min(entered.held_back, key=lambda each: each.row, default=None)
        first = f" (row {held.row}: {held.text.rstrip('.')})" if held else ""
        why = f"no jar has a reading that stands{first}; write what the meter showed, such as 5.41."
        raise Refusal(why, places.file)
    return day_result(entered, asked, date=day.date, watch=watch)


def day_result(
    entered: Entered,
    asked: JudgedBy = NOTHING_ASKED,
    *,
    date: datetime.date | None = None,
    watch: Watch = unwatched,
) -> DayResult:
    """Compute what a day in a step comes to, and keep what of it is shown.

    Parameters
    ----------
    entered : Entered
        What the step holds.
    asked : JudgedBy
        How its slurries are to be judged.
    date : date, optional
        What the day says of its date, where nobody keeps the record.
    watch : Watch
        What the enclosures are handed to on their way.

    Returns
    -------
    DayResult
        By the record as it will be with the step.

    Raises
    ------
    Refusal
        If it cannot stand beside what is on record.
    """
    keeper = entered.keeper
    after = keeper.after()
    calibrations, check = _calibrations(entered, after)
    calibrations = _checked_among(calibrations, entered, after)
    standing = _standing(entered, after, asked, watch)
    jars = _jars(entered, after)
    _say_doubted(entered, standing)
    on = keeper.day if keeper.kept else date
    whole = DayResult(
        date=None if on is None else on.isoformat(),
        by=entered.by,
        note=entered.note,
        calibration=calibrations[-1],
        check=check,
        before=calibrations[:-1],
        steady=standing.steady,
        fresh=standing.fresh,
        enclosures=standing.enclosures,
        jars=jars,
        probe=_probe(entered, after, jars, standing, asked.p),
        held_back=tuple(sorted(entered.held_back, key=lambda held: held.row)),
        cautions=cautions("run"),
        remarks=(*entered.remarks, *keeper.remarks),
        checks=_checks(entered, after),
    )
    _keep_shown(entered, whole, asked.p)
    return whole


def calibration_of(entered: Entered) -> tuple[Calibration, BufferCheck | None]:
    """Give the calibration of a step that reads no jar, and its check bottle; keep what is shown of it."""
    calibrations, check = _calibrations(entered, entered.keeper.after())
    keep_meter(entered.keeper, calibrations[-1])
    return calibrations[-1], check


def _calibrations(entered: Entered, after: After) -> tuple[tuple[Calibration, ...], BufferCheck | None]:
    recall = after.recall
    found = [recall.calibration(ref) for _, ref in sorted(entered.calibrations.items())]
    place = recall.place(entered.calibrations[max(entered.calibrations)])
    checks = recall.kept([place])[place].checks(recall.inputs)
    return tuple(found), checks[-1] if checks else None


def _checked_among(
    calibrations: tuple[Calibration, ...], entered: Entered, after: After
) -> tuple[Calibration, ...]:
    """Have two buffers that nothing else checks say which bottles among the jars do."""
    recall, entry = after
    refs = [ref for _, ref in sorted(entered.calibrations.items())]
    return tuple(
        checked_among(calibration, [one.check for one in recall.checked(ref, entry)])
        for calibration, ref in zip(calibrations, refs, strict=True)
    )


def _standing(entered: Entered, after: After, asked: JudgedBy, watch: Watch) -> Standing:
    """Judge each enclosure by its jars of the day, and the bench by its steady jars."""
    recall, entry = after
    keeper = entered.keeper
    uids = [None if one is None else one.uid for one in entered.enclosures]
    enclosures = [None if uid is None else recall.things.by_uid[uid] for uid in uids]
    places = {
        0 if one is None else one.id: (entered.places, entered.paths[uid])
        for one, uid in zip(enclosures, uids, strict=True)
    }
    found = standing_on(
        recall,
        keeper.day,
        enclosures,
        entry=entry,
        asked=asked,
        kept=keeper.kept,
        saves=not keeper.tries,
        places=places,
        watch=watch,
    )
    labels: dict[str | None, list[str]] = {}
    for row in recall.readings(entries=[entry]).rows:
        if row.label is not None:
            labels.setdefault(_name(recall, row.enclosure), []).append(row.label)
    notes = {
        None if one is None else one.name: entered.notes.get(uid, "")
        for one, uid in zip(enclosures, uids, strict=True)
    }

    def told(one: One) -> One:
        mine = tuple(dict.fromkeys(labels.get(one.name, ())))
        return replace(one, jars=mine, note=notes.get(one.name, ""))

    return replace(
        found,
        enclosures=tuple(map(told, found.enclosures)),
        steady=tuple(map(told, found.steady)),
        fresh=tuple(map(told, found.fresh)),
    )


def _jars(entered: Entered, after: After) -> tuple[JarResult, ...]:
    """Give each jar of the step, with the pH that the record gives it."""
    recall, entry = after
    readings = recall.readings(entries=[entry])
    places = {Ref(entered.keeper.step.uid, row.n): i for i, row in enumerate(readings.rows)}
    slurries, found = Slurries(recall), []
    for jar in entered.jars:
        i = places[jar.reading]
        row, meter = readings.rows[i], readings.meters[i]
        found.append(
            JarResult(
                label=row.label,
                enclosure=_name(recall, row.enclosure),
                shows=Indication(row.shows, "pH" if meter is None else meter.unit),
                ph=readings.number(i),
                temperature=row.temperature,
                spot=row.spot,
                probe=jar.probe,
                note=jar.note,
                remarks=slurries.remarks_on(readings, i),
                calibration=jar.calibration,
            )
        )
    return tuple(found)


def _checks(entered: Entered, after: After) -> tuple[CheckResult, ...]:
    """Give the check bottles among the jars, each with the jars that stand or fall with it."""
    recall, entry = after
    readings = recall.readings(entries=[entry]).rows
    found: list[tuple[int, CheckResult]] = []
    for ref in entered.calibrations.values():
        checks, place = recall.checked(ref, entry), recall.place(ref)
        jars: dict[int, list[str]] = {}
        for row in readings if checks else ():
            if row.calibration == place and (decided := deciding(checks, row.n)) is not None:
                jars.setdefault(decided.place[1], []).append(row.label or "")
        for one in checks:
            found.append((one.place[1], CheckResult(one.check, tuple(jars.get(one.place[1], ())))))
    return tuple(check for _, check in sorted(found, key=itemgetter(0)))


def _name(recall: Recall, enclosure: int | None) -> str | None:
    return None if enclosure is None else recall.things.by_id[enclosure].name


def _say_doubted(entered: Entered, standing: Standing) -> None:
    """Name the enclosures that were read before their bench was found to be off."""
    if not any(jar.said.state == "alarm" for jar in standing.steady):
        return
    keeper = entered.keeper
    rows = keeper.readings.rows
    things = (keeper.recall.things.by_id.get(row.enclosure or 0) for row in rows)
    now = {one.uid for one in entered.enclosures if one is not None}
    before = dict.fromkeys(
        one.name for one in things if one is not None and not one.get("steady") and one.uid not in now
    )
    if before:
        named = ", ".join(before)
        keeper.say("read-before-the-alarm", f"Read earlier that day, and in doubt as well: {named}.")


def _probe(
    entered: Entered, after: After, jars: Sequence[JarResult], standing: Standing, p: float
) -> ProbeResult | None:
    """Hold the probe against the slurries of the same spots, of this day and of those on record."""
    mine = [jar for jar in jars if jar.probe is not None]
    if not mine:
        return None
    doubted = [remark for jar in mine for remark in jar.remarks]
    declared = entered.next_indication
    # The enclosure whose floor lies closest to its range asks the most of a probe.
    limits = [(one.judgement.target, one.judgement.floor) for one in standing.enclosures]
    target, floor = min(limits or [chosen_limits()], key=lambda one: one[0][0] - one[1])
    day, asked = entered.keeper.day, JudgedBy((target, floor), p=p)
    with entered.places.around("probe"):
        known = probe_seen(after, entered.probe)
        if known is None:
            return None
        next_, judgement, do = None, None, None
        if declared is not None:
            next_, judgement, do = indicated(
                after, known, [declared], None, day=day, asked=asked, doubted=doubted
            )
        from slurrycalc.day.months.probed import bed_of_pairs  # noqa: PLC0415  only with a probe

        bed = bed_of_pairs(known.pairs)
        found = worth_of(after, known, bed, day, JudgedBy(p=p))
        return ProbeResult(
            name=None if entered.probe is None else entered.probe.name,
            jars=tuple(jar.label for jar in mine if jar.label is not None),
            comparison=known.comparison,
            response=known.response,
            worth=found,
            bed=bed.name if bed is not None and found.recorded else None,
            next=next_,
            judgement=judgement,
            do=do,
            earlier=known.comparison.n - len(mine),
        )


def _keep_shown(entered: Entered, day: DayResult, p: float) -> None:
    """Keep the day as it is shown."""
    keeper = entered.keeper
    made_before = any(ref.uid != keeper.step.uid for ref in entered.calibrations.values())
    for calibration in () if made_before else (*day.before, day.calibration):
        keep_meter(keeper, calibration)
    for one in day.enclosures:
        keep_ph(keeper, one.name, one.slurry.ph, one.judgement, slurries=one.slurry.n, first=one.first)
    for jar in day.steady:
        keep_steady(keeper, jar.name, jar.slurry.ph, jar.said, slurries=jar.slurry.n, p=p)
    for tub in day.fresh:
        keep_fresh(keeper, tub.name, tub.slurry.ph, slurries=tub.slurry.n, p=p)
    if day.probe is not None:
        keep_offset(keeper, day.probe.name, day.probe.comparison, p)
