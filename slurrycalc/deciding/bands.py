"""In which band of salts an enclosure lies, and how much of its bed to exchange to bring it to another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from uncertainties import UFloat

from slurrycalc.data.assumed import MOST_AT_ONCE, Known
from slurrycalc.data.bands import Band, band_at, bands
from slurrycalc.data.cautions import cautions
from slurrycalc.deciding.exchange.stages import part_at_once, stages_needed
from slurrycalc.deciding.exchange.words import in_cases, percent
from slurrycalc.deciding.given import Given, nominal, taken, uncertain
from slurrycalc.deciding.mixing import BY_VOLUME, assured, buffering
from slurrycalc.measuring.salts import Salts, conductivity, spoken_ec
from slurrycalc.measuring.wording import in_hundred
from slurrycalc.metrology.along import Along
from slurrycalc.metrology.annotate import MicroSiemensPerCm, MicroSiemensPerCmValue, NumberValue
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result, Valued


@dataclass(frozen=True)
class BandChance(Result, of="name"):
    """One band, and how likely the salts lie in it."""

    name: str
    low: MicroSiemensPerCmValue
    high: MicroSiemensPerCmValue
    """Not finite for the last."""
    probability: NumberValue

    def _body(self) -> str:
        return in_hundred(self.probability)



@dataclass(frozen=True)
class Banding(Valued, value="ec", words="{} uS/cm", says=("text",)):
    """In which band the salts of an enclosure lie."""

    ec: MicroSiemensPerCm
    band: str
    """Of the value itself."""
    chances: tuple[BandChance, ...]
    """From the lowest band on."""
    settled: bool
    """Whether they lie in that band with probability `p`."""
    p: NumberValue
    known: Known
    """How the bands are known."""
    text: str
    """The sentence that a person reads."""
    remarks: tuple[Remark, ...]


@dataclass(frozen=True)
class Dilution(Valued, value="predicted", says=("text",)):
    """How much of a bed to exchange to bring its salts down."""

    now: MicroSiemensPerCm
    fresh: MicroSiemensPerCm
    limit: MicroSiemensPerCmValue
    """To which they are to come."""
    fraction: NumberValue | None
    """Part that brings them there in one case of two; None where the whole bed does not."""
    assured_fraction: NumberValue | None
    """Part that brings them there with probability `p`; None where none does."""
    p: NumberValue
    stages: int | None
    """Stages of at most a third; None for no part, and for a whole bed."""
    predicted: MicroSiemensPerCm | None
    """After the assured part, or else after that of an even chance."""
    text: tuple[str, str]
    """What it means, and what to do."""
    cautions: tuple[str, ...]
    remarks: tuple[Remark, ...]


class NoNeed(Refusal):
    """The salts are where they are to come to already."""


ANIMALS = Remark(
    "bands-for-plants",
    "The bands are for potted plants in a 1:2 extract by volume, from memory: what the small animals of a "
    "bed bear is not known.",
)


def banding(result: Salts | UFloat | float, p: float = 0.95) -> Banding:
    """Say in which band salts lie, and how sure that is.

    Parameters
    ----------
    result : Salts, UFloat or float
        Of 1:2 slurries by volume at 25 degC, without the water's own. [uS/cm]
    p : float
        Probability from which it is settled.

    Returns
    -------
    Banding

    Raises
    ------
    Refusal
        If it is no conductivity.

    References
    ----------
    .. [1] Greenhouse extension practice for a 1:2 extract, from memory (``data/bands.toml``).

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> found = banding(ufloat(1150, 120))
    >>> found.band, found.settled
    ('normal', False)
    """
    ec = result.ec if isinstance(result, Salts) else taken(result, "conductivity", "salts")
    chances = tuple(BandChance(row.name, row.low, row.high, _inside(ec, row)) for row in bands())
    row = band_at(nominal(ec))
    here = next(each for each in chances if each.name == row.name)
    settled = here.probability >= p
    text = f"{spoken_ec(nominal(ec))} is {row.name}: {row.means}."
    if not settled:
        other = max((each for each in chances if each is not here), key=lambda each: each.probability)
        text += (
            f" Not settled: {in_hundred(here.probability)} for it, {in_hundred(other.probability)} for "
            f"{other.name}."
        )
    return Banding(uncertain(ec), row.name, chances, settled, p, row.known, text, (ANIMALS,))


TOO_SALT = ("high", "very high", "extreme")
"""Bands that ask for something to be done."""


def to_do(standing: Banding) -> str:
    """Say what to do about salts where no dilution was asked for.

    Parameters
    ----------
    standing : Banding
        In which band they lie.

    Returns
    -------
    str
        A sentence or two.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> to_do(banding(ufloat(950, 60)))
    'nothing now; read the salts again when food, water or a season has changed.'
    """
    high = sum(each.probability for each in standing.chances if each.name in TOO_SALT)
    if high >= standing.p:
        return (
            "feed less, and water with rain or distilled water; read two slurries of the fresh mix, then ask "
            "with `--to normal --fresh 0.4mS/cm` how much of the bed to exchange."
        )
    if high > 1.0 - standing.p:
        return "read two more slurries, each from its own spots, before anything is done."
    return "nothing now; read the salts again when food, water or a season has changed."


def _inside(ec: Any, row: Band) -> float:
    if row.low == 0.0:
        return probability(ec, below=row.high)
    if row.high == float("inf"):
        return probability(ec, above=row.low)
    return probability(ec, above=row.low, below=row.high)


def dilution(
    now: Salts | Given,
    fresh: Salts | Given,
    to: str | float = "normal",
    *,
    at_once: float | str = MOST_AT_ONCE.value,
    p: float = 0.95,
) -> Dilution:
    """Say how much of a bed to exchange, so that its salts come down to a band.

    Parameters
    ----------
    now, fresh : Salts, float, str or UFloat
        Of the bed and of the fresh mix. [uS/cm]
    to : str or float
        Name of a band, to whose upper edge they are to come at most, or a conductivity. [uS/cm]
    at_once : float or str
        Largest part exchanged at a time, by default a third (from memory). [1]
    p : float
        Probability of the assured part.

    Returns
    -------
    Dilution

    Raises
    ------
    NoNeed
        If the bed is there already.
    Refusal
        If something given cannot stand, or the fresh mix holds no less than wanted.

    Notes
    -----
    Salts mix by volume: after = now + f (fresh - now).

    Examples
    --------
    >>> plan = dilution("1.9 mS/cm", "0.4 mS/cm", "normal")
    >>> print(f"{plan.fraction:.2f}, {plan.stages} stages")
    0.43, 2 stages
    """
    bed, mix = (
        each.ec if isinstance(each, Salts) else taken(each, "conductivity", what)
        for each, what in ((now, "salts of the bed"), (fresh, "salts of the fresh mix"))
    )
    most = part_at_once(at_once)
    limit = _limit(to)
    at, of = nominal(bed), nominal(mix)
    if at <= limit and probability(bed, below=limit) >= p:
        raise NoNeed(f"`{spoken_ec(at)}` lies below {spoken_ec(limit)} already: it needs no dilution.")
    if of >= limit:
        raise Refusal(
            f"a fresh mix of `{spoken_ec(of)}` holds no less salt than wanted, {spoken_ec(limit)}: give one "
            "with less."
        )
    line = Along(limit - bed, bed - mix)
    even = max(0.0, (at - limit) / (at - of)) if at > of else None
    sure = assured(line, BY_VOLUME, buffering(1.0), p)
    part = sure if sure is not None else even
    needed = None if not part else stages_needed(part, most)
    many = None if needed is None or needed == float("inf") else int(needed)
    return Dilution(
        now=uncertain(bed),
        fresh=uncertain(mix),
        limit=limit,
        fraction=even,
        assured_fraction=sure,
        p=p,
        stages=many,
        predicted=None if part is None else uncertain(bed + part * (mix - bed)),
        text=_words(limit, even, sure, many, p),
        cautions=cautions("exchange"),
        remarks=(ANIMALS,),
    )


def _limit(to: str | float) -> float:
    if isinstance(to, str):
        row = next((each for each in bands() if each.name == " ".join(to.casefold().split())), None)
        if row is not None and row.high == float("inf"):
            raise Refusal(f"{quoted(to)} has no upper edge to come to: name a lower band, such as `normal`.")
        if row is not None:
            return row.high
        if not any(character.isdigit() for character in to):
            names = ", ".join(each.name for each in bands()[:-1])
            raise Refusal(f"{quoted(to)} is no band of salts: name one of {names}, or write `1.25 mS/cm`.")
    return conductivity(to, what="a slurry that anything grows in")


def _words(
    limit: float, even: float | None, sure: float | None, many: int | None, p: float
) -> tuple[str, str]:
    goal = f"{spoken_ec(limit)} or below"
    if sure is None:
        half = "" if even is None else f"; {percent(even)} of the bed does in one case of two"
        return (
            f"No exchange is sure to bring the salts to {goal}{half}.",
            "Read more slurries of the bed and of the fresh mix, or take one that holds less.",
        )
    half = "" if even is None else f"; {percent(even)} does in one case of two"
    whole = percent(sure, up=True)
    means = f"Exchanging {whole} of the bed brings the salts to {goal} in {in_cases(p)}{half}."
    if many is None:
        return means, "That is a new bed: begin it anew, with a part of the old for its small fauna."
    if many == 1:
        return means, f"Exchange {whole} of the bed, and read it a week later."
    part = 1.0 - (1.0 - sure) ** (1.0 / many)
    return means, f"Exchange in {many} stages of {percent(part, up=True)} each, and read it before each."
