"""What an enclosure's salts are, what that means and what to do; typed now, or on record."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurrycalc.day.record.conductivity import SaltsDay, SaltsGiven, salts_of
from slurrycalc.deciding.bands import Banding, Dilution, NoNeed, banding, dilution, to_do
from slurrycalc.deciding.given import Given
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.salts import Salts, seen_to
from slurrycalc.metrology.annotate import MicroSiemensPerCmPerMonth
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.day.months.salts import SaltsSeries
    from slurrycalc.day.record.keeper import Keeper


@dataclass(frozen=True)
class Wish:
    """Where salts are to come to."""

    to: str
    """A band, or a conductivity."""
    fresh: str | None = None
    """Conductivity of the fresh mix, or the name of its tub; None for the one tub on record."""


@dataclass(frozen=True)
class SaltsFound:
    """What an enclosure's salts are, and what to do."""

    salts: Salts
    standing: Banding
    dilution: Dilution | None
    """How much of the bed to exchange, where that was asked."""
    enclosure: str | None
    on: str | None
    """Year, month and day of the reading, where the record was asked."""
    on_record: int
    """Slurries of that day that were on record already."""
    days: tuple[SaltsDay, ...]
    """All days on record up to that one, which is the last of them."""
    per_month: MicroSiemensPerCmPerMonth | None
    """How fast the salts rise; None where too few days tell."""
    over_time: str
    """The same as a sentence, or why there is none; empty where there is but one day."""
    to_do: str
    remarks: tuple[Remark, ...]


def salts_found(
    given: SaltsGiven | None,
    *,
    wish: Wish | None = None,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    keeper: Keeper,
    enclosure: str | None = None,
    meter: str | None = None,
) -> SaltsFound:
    """Say what an enclosure's salts are, and put what was read into the keeper's step.

    Parameters
    ----------
    given : SaltsGiven or None
        What was read; None to ask the record.
    wish : Wish, optional
        Where the salts are to come to.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of slurries beforehand. [uS/cm]
    p : float
        Probability from which something is settled. [1]
    keeper : Keeper
        Of the step.
    enclosure, meter : str, optional
        Their names.

    Returns
    -------
    SaltsFound
        The number, what it means, what to do.

    Raises
    ------
    Refusal
        If a reading or the wish cannot stand, or nothing is on record.

    Examples
    --------
    >>> from slurrycalc.day.record.conductivity import Shown
    >>> from slurrycalc.day.record.nameless import nameless
    >>> given = SaltsGiven((Shown(880.0, 21.0), Shown(930.0, 21.0)))
    >>> found = salts_found(given, keeper=nameless("salts"))
    >>> found.standing.band
    'normal'
    """
    series, on_record = _of_record(keeper, given, enclosure, meter, expected)
    if series is not None:
        salts = series.newest
    else:
        assert given is not None  # Where the record is asked, it answers or refuses.
        salts = salts_of(given, expected)
    standing = banding(salts, p)
    plan, said = None, []
    if wish is not None:
        try:
            plan = dilution(salts, _fresh(keeper, wish.fresh), wish.to, p=p)
        except NoNeed as none:
            said.append(Remark("no-dilution", f"Nothing is to be exchanged for it: {none.sentence}"))
    line = series.line if series else None
    remarks = [*said, *salts.remarks, *standing.remarks]
    return SaltsFound(
        salts=salts,
        standing=standing,
        dilution=plan,
        enclosure=series.enclosure.name if series else None,
        on=series.last.isoformat() if series else None,
        on_record=on_record,
        days=series.days if series else (),
        per_month=line.per_month if line else None,
        over_time=_over_time(series),
        to_do=plan.text[1] if plan else to_do(standing),
        remarks=tuple(dict.fromkeys(remarks)),
    )


def _of_record(
    keeper: Keeper,
    given: SaltsGiven | None,
    enclosure: str | None,
    meter: str | None,
    expected: Expected,
) -> tuple[SaltsSeries | None, int]:
    """Give an enclosure's salts with what is recorded now, and how much of the day was there before."""
    from slurrycalc.day.months.salts import keep_salts, salts_series  # noqa: PLC0415  only the record needs them

    if given is None:
        assert enclosure is not None
        thing = keeper.recall.things.find("enclosure", enclosure)
        series = salts_series(keeper.recall, thing, until=keeper.day, expected=expected)
        if series is None:
            raise Refusal(
                f"no salts of `{thing.name}` are on record up to {keeper.day}; read them: slurrycalc salts "
                f"0.85mS/cm@21C --enclosure {shlex.quote(thing.name)}"
            )
        return series, 0
    act, thing_ = keep_salts(keeper, given, enclosure, meter)
    if thing_ is None:
        return None, 0
    series = salts_series(keeper.recall, thing_, until=keeper.day, adding=act, expected=expected)
    assert series is not None
    return series, series.newest.n - len(given.slurries)


def _fresh(keeper: Keeper, text: str | None) -> Given | Salts:
    """Give the salts of the fresh mix: as typed, or as its tub was read."""
    if text is not None and (not keeper.kept or text.strip()[:1].isdigit()):
        seen_to(text, "a fresh mix")
        return text
    if not keeper.kept:
        raise Refusal("the salts of the fresh mix are measured and not assumed: add --fresh 0.4mS/cm.")
    from slurrycalc.day.months.salts import fresh_salts  # noqa: PLC0415

    return fresh_salts(keeper, text)


def _over_time(series: SaltsSeries | None) -> str:
    if series is None or len(series.days) == 1:
        return ""
    if series.line is None:
        return f"Their change with time: {series.why}"
    said = series.line.sentence("the conductivity", "uS/cm")
    return said[0].upper() + said[1:]
