"""What an exchange or an upkeep is computed from: what the line says, and what the record knows."""

from __future__ import annotations

import datetime
import shlex
from dataclasses import dataclass, field, replace
from math import log
from typing import TYPE_CHECKING, Final

from uncertainties import UFloat

from slurrycalc.data.assumed import BUFFERING_SPREAD
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.given import Given, nominal, taken
from slurrycalc.measuring.wording import count
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.names import line_about, plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.uncertain import linear, nameless
from slurrycalc.metrology.units import stated
from slurrycalc.metrology.units.sizes import bed_volume, footprint

if TYPE_CHECKING:
    from slurrycalc.day.months.series import Series
    from slurrycalc.deciding.bed.ahead import Ahead
    from slurrycalc.deciding.due import DueItem
    from slurrycalc.deciding.trend import ReadFirst
    from slurrycalc.logbook.recall import Recall
    from slurrycalc.logbook.things import Thing


@dataclass(frozen=True)
class BedGiven:
    """What a command line says of a bed and its fresh mix, as typed; what it says wins over the record."""

    now: str | None = None
    fresh: str | None = None
    buffering: str | None = None
    size: str | None = None
    bed_depth: str | None = None
    volume: str | None = None

    @property
    def bed_words(self) -> str:
        """How large the bed is, as typed."""
        if self.volume is not None:
            return self.volume.strip()
        return f"{self.size}, {self.bed_depth} deep" if self.bed_depth else str(self.size)

    @property
    def bed(self) -> float | None:
        """Volume of the bed, None where nothing is said of it. [mL]."""
        if self.volume is not None and (self.size is not None or self.bed_depth is not None):
            raise Refusal(
                f"--volume {quoted(self.volume)} is the bed's volume already: leave --size and --bed-depth "
                "away."
            )
        if self.volume is not None:
            return bed_volume(self.volume)
        if self.size is None and self.bed_depth is None:
            return None
        if self.size is None:
            raise Refusal(f"--bed-depth {quoted(self.bed_depth)} needs the footprint too: --size '60x45 cm'.")
        return bed_volume(footprint(self.size), self.bed_depth) if self.bed_depth else bed_volume(self.size)


def asks_the_record(line: BedGiven) -> bool:
    """Tell whether the record must be asked for the fresh mix, since the line does not give its pH.

    Examples
    --------
    >>> [asks_the_record(BedGiven(fresh=fresh)) for fresh in ("6.6", "leaf mix", None)]
    [False, True, True]
    """
    if line.fresh is None:
        return True
    try:
        stated(line.fresh, "ph")
    except Refusal:
        return True
    return False


@dataclass
class BedGathered:
    """What a plan is computed from, with where each came from."""

    bed: Thing | None = None
    series: Series | None = None
    tub: Thing | None = None
    """Of the fresh mix."""
    fresh: Given | None = None
    now: Given | None = None
    buffering: Given | None = None
    said_buffering: Given | None = None
    """As the line says it."""
    volume: float | None = None
    """[mL]"""
    basis: list[str] = field(default_factory=list)
    """A sentence for each thing that was taken from the record."""
    remarks: list[Remark] = field(default_factory=list)

    def note(self, what: str, text: str, *remarks: Remark) -> None:
        """Say where something came from."""
        self.basis.append(f"{what}: {text}.")
        self.remarks.extend(remarks)


FIND_OUT: Final = ("meter", "bench", "mix-again")
"""Tasks that come before any plan for a bed."""
EXACTLY: Final = 1e-3
"""Standard uncertainty of the logarithm of a ratio that is given without one: next to none."""
NAMELESS: Final = "add {option}, or --enclosure NAME for what the record knows."


def gather(
    line: BedGiven,
    recall: Recall | None,
    enclosure: str | None,
    today: datetime.date,
    *,
    wants_fresh: bool = True,
) -> BedGathered:
    """Gather what every plan for a bed needs, but for its own pH.

    Parameters
    ----------
    line : BedGiven
        What the line says.
    recall : Recall or None
        The record; None where everything is on the line.
    enclosure : str or None
        Name of the bed.
    today : date
        The present day.
    wants_fresh : bool
        Whether the pH of the fresh mix is needed.

    Returns
    -------
    BedGathered

    Raises
    ------
    Refusal
        If no bed is called so, the fresh mix was not measured, or a size cannot be.
    """
    found = BedGathered(
        now=line.now,
        fresh=line.fresh,
        buffering=line.buffering,
        said_buffering=line.buffering,
        volume=line.bed,
    )
    if recall is None:
        return found
    from slurrycalc.day.months.beds import bed_of  # noqa: PLC0415  only with the record
    from slurrycalc.day.months.fresh_mix import fresh_mix  # noqa: PLC0415
    from slurrycalc.day.months.series import series_of  # noqa: PLC0415
    from slurrycalc.day.record.tubs import untried  # noqa: PLC0415
    from slurrycalc.logbook.volumes import volume_of  # noqa: PLC0415

    if enclosure is not None:
        found.bed = bed_of(recall, plain_name(enclosure, "enclosure", "atlas"), today)
        found.series = series_of(recall, found.bed, until=today)
        known = volume_of(found.bed) if found.volume is None else None
        if known is not None:
            found.volume = known[0]
            found.note("Bed", f"{known[0] / 1000.0:.3g} L, {known[1]}")
        elif line.bed is not None:
            found.note("Bed", f"{line.bed_words}, as given")
        elif found.volume is None:
            name = shlex.quote(found.bed.name)
            said = f"For amounts say how large the bed is: slurrycalc enclosure {name} --size '60x45 cm' "
            found.remarks.append(Remark("no-size", f"{said}--bed-depth '10 cm'."))
    if wants_fresh:
        mix = fresh_mix(recall, line.fresh, today)
        found.tub, found.fresh = mix.tub, mix.ph
        found.note("Fresh mix", mix.text, *mix.remarks)
    if line.buffering is None and found.bed is not None:
        _buffering(found, recall, today)
    if wants_fresh and line.buffering is None:
        found.remarks.extend(untried(recall, found.tub, found.bed, until=today))
    return found


def _buffering(found: BedGathered, recall: Recall, today: datetime.date) -> None:
    """Say what exchanges and a trial in jars have taught of how the bed buffers."""
    from slurrycalc.deciding.bed import Replaced, ratio_known  # noqa: PLC0415  only with the record
    from slurrycalc.deciding.trial.doses import PERCENT  # noqa: PLC0415
    from slurrycalc.logbook.blends import newest_trial  # noqa: PLC0415

    assert found.bed is not None
    kept = newest_trial(recall, found.bed, until=today, unit=PERCENT)
    of = []
    if kept is not None and kept.amendment and _is_other(found.tub, kept.amendment):
        assert found.tub is not None
        said = (
            f"The trial of {spoken(kept.when.day)} was made with {kept.amendment} and not with "
            f"{found.tub.name}, so its buffering was not taken. If the two are one mix, give it by "
            f"--buffering; {line_about('trial', found.bed.name)} shows it."
        )
        found.remarks.append(Remark("buffering-of-another-mix", said))
        found.series = None if found.series is None else replace(found.series, tried=None)
    elif kept is not None:
        trial = f"its trial of {spoken(kept.when.day)}{f' with {kept.amendment}' if kept.amendment else ''}"
        if found.series is not None and found.series.tried is not None:
            of.append(trial)
        else:
            said = f"The jars of {trial} do not show how well the fresh mix holds its pH."
            found.remarks.append(Remark("buffering-not-shown", said))
    if found.series is None:
        return
    last = found.series.last
    done = [each for each in found.series.happened if isinstance(each, Replaced) and each.day < last]
    known = sum(each.fraction is not None and each.mix is not None for each in done)
    if known:
        of.append(f"{count(known)} exchange{'' if known == 1 else 's'} on record")
    ratio = ratio_known(found.series.taught.bed) if of else None
    if ratio is None or ratio.u_log >= BUFFERING_SPREAD.value:
        return  # what was done taught nothing that was not expected before
    doubt = nameless(ratio.u_log, "buffering capacity of fresh over old", "computed")
    found.buffering = linear(ratio.ratio, {doubt: ratio.ratio})
    shown = plus_minus(ratio.ratio, half_width(found.buffering))
    found.note("Buffering", f"{shown} times the old substrate's, by {' and '.join(of)}")


def _is_other(tub: Thing | None, amendment: str) -> bool:
    return tub is not None and amendment.casefold() != tub.name.casefold()


def ahead_of(found: BedGathered, today: datetime.date) -> Ahead | None:
    """Give the model of a bed on record with the mix that would go in; None where the line says its pH."""
    from slurrycalc.deciding.bed import RatioTried  # noqa: PLC0415  only with the record
    from slurrycalc.deciding.bed.ahead import Ahead, mix_beside  # noqa: PLC0415

    if found.series is None or found.fresh is None:
        return None
    taught = found.series.taught
    bed = taught.bed
    if found.said_buffering is not None:
        ratio = taken(found.said_buffering, "number", "buffering")
        u = ratio.s / ratio.n if isinstance(ratio, UFloat) else EXACTLY
        bed = bed.after(RatioTried(today, log(nominal(ratio)), u))
    mix = mix_beside(taken(found.fresh, "ph", "pH of the fresh mix"), taught.shared)
    return Ahead(bed, today, mix, taught.shared)


def bed_ph(found: BedGathered, recall: Recall | None, today: datetime.date) -> ReadFirst | None:
    """Add the pH that the bed has now, which an exchange cannot do without.

    Parameters
    ----------
    found : BedGathered
        What was gathered.
    recall : Recall or None
        The record.
    today : date
        The present day.

    Returns
    -------
    ReadFirst or None
        Where that is not known, since something shifted it or it was read long ago; nothing is added then.

    Raises
    ------
    Refusal
        If it is neither on the line nor on record.
    """
    if found.now is not None:
        return None
    if recall is None or found.bed is None:
        raise Refusal(f"the pH of the bed now is missing: {NAMELESS.format(option='--now 5.10+-0.15')}")
    from slurrycalc.day.months.beds import first_of, level_now, unread  # noqa: PLC0415  only with the record

    if found.series is None:
        raise unread(found.bed)
    first = first_of(found.series, today)
    if first is None:
        level = level_now(found.series, today)
        found.now = level.ph
        found.note("Now", level.text, *level.remarks)
    return first


def task_of(
    found: BedGathered, line: BedGiven, recall: Recall | None, today: datetime.date
) -> DueItem | None:
    """Give the first thing to do of a bed by the agenda; None where the line says where it stands."""
    if recall is None or found.bed is None or found.series is None or line.now is not None:
        return None
    from slurrycalc.day.months.duties import first_task  # noqa: PLC0415  only with the record

    return first_task(recall, found.bed, today)


def found_out_first(found: BedGathered, task: DueItem | None) -> ReadFirst | None:
    """Say that nothing is planned for a bed whose last reading is in doubt, or a surprise."""
    if task is None or task.task not in FIND_OUT or found.series is None:
        return None
    from slurrycalc.deciding.trend import ReadFirst  # noqa: PLC0415  only with the record

    text = f"Where {task.subject} stands on {spoken(task.on)} is in doubt: {task.why}."
    do = f"{task.what}. Nothing can be promised before."
    return ReadFirst(found.series.last, task.on, False, (text, do))
