"""Uncertain numbers whose inputs say what they are.

A number is an ``uncertainties`` value; each of its inputs is a ``Variable`` whose tag is a `Source`. Ordinary
arithmetic carries the inputs along, so that two results under one calibration stay correlated by themselves.
One physical thing is one ``Variable``: `Inputs` keeps the map from key to ``Variable``.

What is read back from such a number is next door: its budget in `slurrycalc.metrology.budget`, its coverage
intervals and probabilities in `slurrycalc.metrology.coverage`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count
from math import fsum, hypot, inf, isfinite, sqrt
from typing import Literal, NamedTuple, TypeAlias

from uncertainties import UFloat
from uncertainties.core import LinearCombination, Variable

from slurrycalc.data.assumed import Known
from slurrycalc.metrology.remark import Refusal

Uncertain: TypeAlias = float | UFloat
"""A plain float (exact) or an uncertain number."""
NORMAL_95 = 1.959963984540054
"""Half the width of a 95 % interval, in standard uncertainties, where only normal parts make it."""

_serial = count(1)


@dataclass(frozen=True, slots=True)
class Source:
    """What an input variable is, and how its standard uncertainty is known.

    Parameters
    ----------
    key : str
        Stable name of the physical thing, for instance ``"bottle:3"``. The same key is the same error.
    name : str
        What a person calls it in a budget.
    type : {"A", "B"}
        Evaluated from a series of observations (A) or by other means (B).
    dof : float
        Degrees of freedom of the standard uncertainty, infinite where it is taken as known. [1]
    group : str or None
        Shared by the variables whose standard uncertainties came from one estimate of scatter.
    known : Known
        How the standard uncertainty is known.
    ground : str
        What that rests on, in words.

    Raises
    ------
    Refusal
        If the degrees of freedom are below 1 or not a number.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2, 4.3 and G.3.

    Examples
    --------
    >>> Source("bottle:3", "buffer 4.01", known="given", ground="label").dof
    inf
    """

    key: str
    name: str
    type: Literal["A", "B"] = "B"
    dof: float = inf
    group: str | None = None
    known: Known = "given"
    ground: str = ""

    def __post_init__(self) -> None:
        if not self.dof >= 1.0:
            raise Refusal(
                f"{self.dof:g} degrees of freedom for {self.name} are too few; give 1 or more."
            )


def fresh_key(prefix: str) -> str:
    """Make a key for a thing without a name, which is shared with nothing else.

    Parameters
    ----------
    prefix : str
        What kind of thing it is.

    Returns
    -------
    str
        The prefix with a serial number, for instance ``"reading#12"``.

    Examples
    --------
    >>> fresh_key("reading") == fresh_key("reading")
    False
    """
    return f"{prefix}#{next(_serial)}"


class Inputs:
    """The one map from key to ``Variable``, so that the same thing is the same error wherever it is met.

    It keeps what it has handed out for as long as it lives: take a new one for each piece of work that has
    nothing in common with the last.

    Examples
    --------
    >>> inputs = Inputs()
    >>> bottle = Source("bottle:3", "buffer 4.01")
    >>> march, april = (inputs.variable(0.012, bottle) for month in range(2))
    >>> (april - march).s
    0.0
    """

    def __init__(self) -> None:
        self._known: dict[tuple[str, float], Variable] = {}

    def __len__(self) -> int:
        return len(self._known)

    def variable(self, u: float, source: Source, value: float = 0.0) -> Variable:
        """Give the input of a source, making it at the first asking.

        Parameters
        ----------
        u : float
            Standard uncertainty, in the unit of the input.
        source : Source
            What it is. The first one given for a key and a ``u`` stays.
        value : float
            Nominal value; 0 for an error that is added in.

        Returns
        -------
        Variable
            The same object for the same key and the same ``u``.

        Raises
        ------
        Refusal
            If ``u`` is negative or not finite, or if the key was given before with another value, other
            degrees of freedom or another group.

        Examples
        --------
        >>> Inputs().variable(0.02, Source("junction:desk", "junction potential")).s
        0.02
        """
        _check_u(u, source.name)
        known = self._known.get((source.key, u))
        if known is None:
            known = self._known[source.key, u] = Variable(value, u, tag=source)
        elif (known.n, known.tag.dof, known.tag.group) != (value, source.dof, source.group):
            raise Refusal(
                f"`{source.key}` was given before with another value, group or degrees of freedom; "
                "one key stands for one thing, so give the second thing a key of its own."
            )
        return known


SESSION = Inputs()
"""The inputs of named things, where a function is given no others."""


def nameless(u: float, name: str, known: Known = "given", ground: str = "") -> Variable:
    """Make an error of nominal value 0 that nothing else shares.

    Parameters
    ----------
    u : float
        Standard uncertainty, in the unit of the error.
    name, known, ground : str
        As in `Source`.

    Returns
    -------
    Variable
        A new input.

    Raises
    ------
    Refusal
        If ``u`` is negative or not finite.

    Examples
    --------
    >>> round(nameless(from_resolution(0.01), "resolution").s, 5)
    0.00289
    """
    _check_u(u, name)
    return Variable(0.0, u, tag=Source(fresh_key(name), name, known=known, ground=ground))


def _check_u(u: float, name: str) -> None:
    if not (isfinite(u) and u >= 0.0):
        raise Refusal(f"`{u:g}` cannot be the standard uncertainty of {name}; give 0 or a positive number.")


def rectangular(a: float) -> float:
    """Give the standard uncertainty of a tolerance ±a.

    Parameters
    ----------
    a : float
        Half the width of the tolerance, in any unit.

    Returns
    -------
    float
        Standard uncertainty, in the same unit.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.3.7.

    Examples
    --------
    >>> round(rectangular(0.02), 5)
    0.01155
    """
    return a / sqrt(3.0)


def from_resolution(r: float) -> float:
    """Give the standard uncertainty of one indication of a display.

    Parameters
    ----------
    r : float
        Resolution, the smallest step that the display shows, in any unit.

    Returns
    -------
    float
        Standard uncertainty, in the same unit.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), F.2.2.1.

    Examples
    --------
    >>> round(from_resolution(0.01), 5)
    0.00289
    """
    return r / sqrt(12.0)


def linear(value: float, sensitivities: dict[Variable, float]) -> UFloat:
    """Make an uncertain number from its value and its sensitivity to each input.

    Parameters
    ----------
    value : float
        Nominal value.
    sensitivities : dict
        Input to partial derivative.

    Returns
    -------
    UFloat
        Correlated with everything else that depends on those inputs.

    Examples
    --------
    >>> error = Variable(0.0, 0.1)
    >>> linear(5.0, {error: 2.0}) - 2.0 * error - 5.0
    0.0+/-0
    """
    return UFloat(value, LinearCombination(sensitivities))


def contributions(x: Uncertain) -> dict[Variable, float]:
    """Give what each input contributes to a number, with its sign.

    Parameters
    ----------
    x : float or UFloat
        Any number.

    Returns
    -------
    dict
        Input to sensitivity times standard uncertainty, in the unit of ``x``; inputs without effect left out.

    Raises
    ------
    Refusal
        If the number or its uncertainty is not finite.

    Examples
    --------
    >>> error = Variable(0.0, 0.1)
    >>> contributions(5.0 - 2.0 * error)[error]
    -0.2
    """
    _check_value(x.n if isinstance(x, UFloat) else x)
    if not isinstance(x, UFloat):
        return {}
    found = {}
    for variable, sensitivity in x.derivatives.items():
        part = sensitivity * variable.std_dev
        if part:
            if not isfinite(part):
                raise Refusal(f"the uncertainty of `{x.n:g}` is not finite; look for an input near a limit.")
            found[variable] = part
    return found


def _check_value(value: float) -> None:
    if not isfinite(value):
        raise Refusal(f"`{value:g}` is no number that an interval could be given for; give a finite one.")


def source_of(variable: Variable) -> Source:
    """Read what an input is.

    Parameters
    ----------
    variable : Variable

    Returns
    -------
    Source
        Its tag; for an input without one, type B with infinite degrees of freedom.

    Examples
    --------
    >>> source_of(Variable(5.6, 0.1, tag="their result")).name
    'their result'
    """
    if isinstance(variable.tag, Source):
        return variable.tag
    return Source("untagged", "input without a name" if variable.tag is None else str(variable.tag))


def covariance(a: Uncertain, b: Uncertain) -> float:
    """Give the covariance of two numbers.

    Parameters
    ----------
    a, b : float or UFloat

    Returns
    -------
    float
        In the product of their units.

    Examples
    --------
    >>> junction = Variable(0.0, 0.02)
    >>> round(covariance(5.4 + junction, 6.1 + junction), 6)
    0.0004
    """
    of_a, of_b = contributions(a), contributions(b)
    return fsum(part * of_b[variable] for variable, part in of_a.items() if variable in of_b)


class Parts(NamedTuple):
    """The independent parts of a number's error, from which its distribution follows."""

    sigma: float
    """Standard deviation of the normal part, in the unit of the number."""
    groups: tuple[tuple[float, float], ...]
    """Scale (in the unit of the number) and degrees of freedom of each part that is distributed as t."""


def parts(x: Uncertain) -> Parts:
    """Gather a number's inputs into one normal part and one t-distributed part for each group.

    Parameters
    ----------
    x : float or UFloat
        Any number.

    Returns
    -------
    Parts
        In a fixed order, so that the order in which things were read changes no digit.

    Examples
    --------
    >>> scatter = Variable(0.0, 0.05, tag=Source("s", "scatter", "A", dof=2))
    >>> parts(5.6 + scatter + Variable(0.0, 0.02))
    Parts(sigma=0.02, groups=((0.05, 2),))
    """
    found: dict[object, tuple[float, list[float]]] = {}
    for variable, part in contributions(x).items():
        source = source_of(variable)
        if source.dof == inf:
            one: object = None
        else:
            one = variable if source.group is None else (source.group, source.dof)
        found.setdefault(one, (source.dof, []))[1].append(abs(part))
    sigma = hypot(*sorted(found.pop(None, (inf, []))[1]))  # the square of a part below 1e-162 is nothing
    return Parts(sigma, tuple(sorted((hypot(*sorted(group)), dof) for dof, group in found.values())))
