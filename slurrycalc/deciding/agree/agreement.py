"""Whether an outside result and ours agree about one substrate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import hypot
from typing import Final, TypeAlias

from scipy.special import ndtri
from uncertainties import UFloat

from slurrycalc.data.assumed import LAB_REPRODUCIBLE
from slurrycalc.deciding.agree.preparation import OURS, Preparation, preparation, why_not_comparable
from slurrycalc.deciding.given import Given, nominal, taken
from slurrycalc.measuring.wording import in_hundred
from slurrycalc.metrology.annotate import PH, NumberValue
from slurrycalc.metrology.coverage import Interval, half_width, interval
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import covariance, nameless

Outside: TypeAlias = Given | tuple[float, float]
"""An uncertain number, a value with its 95 % half-width (as a pair, or ``5.60+-0.20``), or a value alone."""

STATED: Final = 0.95
"""Coverage of a laboratory's stated half-width, and of the U in E_n."""
NORMAL: Final = float(ndtri(0.5 + STATED / 2.0))
"""Standard uncertainties in such a half-width."""

NOTHING_TO_DO: Final = "nothing now; compare again when meter, electrode or bottles are new."
LOOK_INTO_IT: Final = (
    "ask how their sample was prepared, dried and read; take fresh buffers, read the steady jar and a new "
    "slurry of the same substrate."
)


@dataclass(frozen=True)
class Agreement(Valued, value="difference", says=("text",)):
    """Two results of one substrate."""

    ours: PH
    theirs: PH
    difference: PH
    """Ours less theirs."""
    coverage_interval: Interval = field(metadata={"json": "interval"})
    """Of the difference, at `p`."""
    p: NumberValue
    agrees: bool
    """Whether 0 lies inside it."""
    e_n: NumberValue | None
    """The difference over both 95 % half-widths in quadrature; None for results that share a source, for
    which it is not defined."""
    preparation: Preparation
    text: str
    """What it means."""
    to_do: str
    """What to do."""
    remarks: tuple[Remark, ...]


def agree(
    ours: Given,
    theirs: Outside,
    method: str | Preparation = OURS,
    *,
    ours_method: str | Preparation = OURS,
    p: float = 0.95,
) -> Agreement:
    """Compare an outside result with ours.

    Parameters
    ----------
    ours : SlurryResult, UFloat or str
        A text with its 95 % half-width, as in ``5.60+-0.20``. [pH]
    theirs : UFloat, str, (float, float) or float
        With a 95 % half-width as ``5.60+-0.20`` or ``(5.60, 0.20)``. One without any is given ±0.10,
        and said so. [pH]
    method, ours_method : str or Preparation
        How their sample was prepared, and ours; for instance ``1:2 water``, ``1:5 CaCl2``, ``paste``.
    p : float
        Coverage probability of the interval by which they are judged.

    Returns
    -------
    Agreement
        They agree where 0 lies inside the interval of the difference; abs(E_n) <= 1 says the same of
        independent normal results, at 95 %.

    Raises
    ------
    Refusal
        If the two were prepared differently, a value is no pH, or ours has no uncertainty.

    References
    ----------
    .. [1] ISO 13528:2015, 9.7 (E_n scores; number from memory).
    .. [2] JCGM 100:2008 (GUM), 5.2.2, for a difference of results that share sources.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> found = agree(ufloat(5.60, 0.10), (5.42, 0.10))
    >>> found.agrees, round(found.e_n, 2)
    (True, 0.82)
    """
    said, own = preparation(method), preparation(ours_method)
    why = why_not_comparable(own, said)
    if why is not None:
        raise Refusal(
            f"`{said}` and `{own}` do not give one pH of one substrate: {why}; ask for {own}, or prepare "
            "one of yours as theirs."
        )
    ph = taken(ours, "ph", "our result")
    if not isinstance(ph, UFloat) or half_width(ph) == 0.0:
        said_ours = ours if isinstance(ours, str) else f"{nominal(ph):g}"
        raise Refusal(
            f"our {quoted(said_ours)} has no uncertainty, and without one nothing agrees or differs; give "
            "such as 5.60+-0.20."
        )
    other, remarks = _theirs(theirs)
    if said.basis_assumed:
        remarks.append(
            Remark(
                "basis-assumed",
                f"Their 1:{said.ratio:g} was taken to be by volume; laboratories that weigh mean mass, and "
                "then the two cannot be compared: ask.",
            )
        )
    difference = ph - other
    bounds = interval(difference, p)
    agrees = bounds.low <= 0.0 <= bounds.high
    shared = covariance(ph, other) != 0.0
    e_n = None if shared else difference.n / hypot(half_width(ph, STATED), half_width(other, STATED))
    if shared:
        remarks.append(
            Remark(
                "not-independent",
                "The two share a source of error, so that E_n is not defined for them; the interval of their "
                "difference takes it into account.",
            )
        )
    text = " ".join(_sentences(difference.n, bounds, agrees, e_n, p))
    to_do = NOTHING_TO_DO if agrees else LOOK_INTO_IT
    return Agreement(ph, other, difference, bounds, p, agrees, e_n, said, text, to_do, tuple(remarks))


def _theirs(given: Outside) -> tuple[UFloat, list[Remark]]:
    """Take in an outside result, with what must be said of it."""
    what = "their result"
    if isinstance(given, tuple):
        value, half = given
        if not 0.0 < half <= 7.0:
            raise Refusal(f"`{half:g}` is no half-width of a pH; give a positive one, such as 5.60+-0.20.")
        return taken(value, "ph", what) + nameless(half / NORMAL, what), []
    ph = taken(given, "ph", what)
    if isinstance(ph, UFloat) and half_width(ph) > 0.0:
        return ph, []
    default = LAB_REPRODUCIBLE
    remark = Remark(
        "outside-uncertainty-assumed",
        f"Their result came without an uncertainty: ±{default.value:.2f} was taken, {default.ground}.",
    )
    return ph + nameless(default.value / NORMAL, what, default.known, default.ground), [remark]


def _sentences(
    value: float, bounds: Interval, agrees: bool, e_n: float | None, p: float
) -> Iterator[str]:
    score = "" if e_n is None else f" (E_n {e_n:+.2f})"
    usual = f"±{two_figures(bounds.half_width)} that their uncertainties explain"
    if agrees:
        yield f"Ours lies {value:+.2f} pH from theirs, within the {usual}: they agree{score}."
        yield "A smaller difference than that could not be seen."
    else:
        yield f"Ours lies {value:+.2f} pH from theirs, more than the {usual}: they do not agree{score}."
        yield f"Of pairs that are both right, {in_hundred(1.0 - p)} lie beyond that."
