"""Buffer bottles: their pH at a temperature, and what is uncertain about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import overload

from uncertainties import UFloat

from slurrycalc.data.assumed import BOTTLE_TOLERANCE, LABEL_TEMPERATURE, Known
from slurrycalc.measuring.electrode.buffer_kinds import known_label, label_at, tables
from slurrycalc.measuring.electrode.meter import Given, number_of
from slurrycalc.metrology.annotate import PHValue
from slurrycalc.metrology.listed import Floats, Many, over
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import SESSION, Inputs, Source, Uncertain, fresh_key, linear, rectangular
from slurrycalc.metrology.units import magnitude

WIDEST_TOLERANCE = 0.5
"""A tolerance beyond this is a slip, not a buffer (our own figure). [pH]"""
FARTHEST_LABEL = 0.2
"""A measured value farther than this from the nominal one belongs to another bottle (our own figure). [pH]"""


@dataclass(frozen=True)
class Bottle:
    """One bottle of buffer.

    Parameters
    ----------
    label : str
        Which buffer it is, one of `labels`; or what a label says that speaks of another temperature than 25
        degC, such as ``9.22@20C``.
    name : str, optional
        What the keeper calls it. A named bottle is the same error wherever it is used.
    tolerance : float, str or pint.Quantity, optional
        Half-width of what its pH may be off by at 25 degC; by default 0.02 (from memory). [pH]
    measured : float, str or pint.Quantity, optional
        PH at 25 degC that the label states as a measured value; it then wins over the table's. [pH]
    key : str, optional
        Under which its error is found again, whatever it is called by then; by default made of its name.
    opened, expires : date, optional
        The day on which it was opened, and the last on which it may be used.

    Raises
    ------
    Refusal
        If the label is not known, or a figure cannot be meant.

    Examples
    --------
    >>> Bottle("4.01", name="acid 2", measured=4.00).known
    'memory'
    >>> round(Bottle("7.00@20C").at(20.0)[0], 3)
    7.0
    """

    label: str
    name: str | None = None
    tolerance: PHValue | None = None
    measured: PHValue | None = None
    key: str | None = None
    opened: date | None = None
    expires: date | None = None

    def __post_init__(self) -> None:
        if isinstance(self.label, str) and "@" in self.label:
            self._read_label(self.label)
        object.__setattr__(self, "label", known_label(self.label))
        for figure in ("tolerance", "measured"):
            object.__setattr__(self, figure, number_of(getattr(self, figure), "ph"))
        if self.name is not None and not str(self.name).strip():
            raise Refusal(f"{quoted(self.name)} cannot name a bottle; write one such as `acid 2`, or none.")
        if self.tolerance is not None and not 0.0 <= self.tolerance <= WIDEST_TOLERANCE:
            raise Refusal(
                f"`{self.tolerance:g}` pH cannot be the tolerance of a buffer (0 to {WIDEST_TOLERANCE:g}); "
                f"write what its label says, such as {BOTTLE_TOLERANCE.value:g}."
            )
        nominal = tables()[self.label].at(LABEL_TEMPERATURE.value)[0]
        if self.measured is not None and not abs(self.measured - nominal) <= FARTHEST_LABEL:
            raise Refusal(
                f"`{self.measured:g}` cannot be the measured pH of a {self.label} bottle at "
                f"{LABEL_TEMPERATURE.value:g} degC, which lies within {FARTHEST_LABEL:g} of {nominal:.3f}; "
                f"look at its label once more, it says something like {nominal + 0.01:.2f}."
            )

    def _read_label(self, text: str) -> None:
        """Take a label that speaks of another temperature for a measured one."""
        if self.measured is not None:
            raise Refusal(
                f"{quoted(text)} says the bottle's pH already: leave `{self.measured}` away, or write the "
                "label without a temperature."
            )
        label, measured = label_at(text)
        object.__setattr__(self, "label", label)
        object.__setattr__(self, "measured", measured)

    @property
    def own_key(self) -> str | None:
        """Key of its error; None for a nameless bottle."""
        return self.key if self.key is not None or self.name is None else f"bottle:{self.name}"

    @property
    def half_width(self) -> float:
        """Tolerance, given or assumed [pH]."""
        return BOTTLE_TOLERANCE.value if self.tolerance is None else self.tolerance

    @property
    def known(self) -> Known:
        """How the tolerance is known."""
        return BOTTLE_TOLERANCE.known if self.tolerance is None else "given"

    @property
    def called(self) -> str:
        """What to call it in a sentence."""
        return self.label if self.name is None else f"{self.label} ({self.name})"

    def at(self, temperature: float) -> tuple[float, float]:
        """PH and its slope against temperature, the bottle's own label before the table.

        Parameters
        ----------
        temperature : float
            Of the buffer. [degC]

        Returns
        -------
        ph : float
            Stated pH of this bottle. [pH]
        slope : float
            Its change with temperature. [pH/degC]

        Raises
        ------
        Refusal
            If the temperature lies off the table.

        Examples
        --------
        >>> round(Bottle("7.00", measured=7.02).at(20.0)[0], 3)
        7.036
        """
        kind = tables()[self.label]
        ph, slope = kind.at(temperature)
        if self.measured is not None:
            ph += self.measured - kind.at(LABEL_TEMPERATURE.value)[0]
        return ph, slope

    def error(self, inputs: Inputs | None = None, key: str | None = None) -> Uncertain:
        """Give the error of its stated pH, the same object for the same name; 0 without tolerance [pH].

        `inputs` is where a named one's is kept, by default the session's; `key` finds a nameless one's again.

        Examples
        --------
        >>> acid = Bottle("4.01", name="acid 2")
        >>> (acid.error() - acid.error()).s
        0.0
        """
        if self.half_width == 0.0:
            return 0.0
        key = key if self.own_key is None else self.own_key
        source = Source(
            fresh_key("bottle") if key is None else key,
            f"buffer {self.called}",
            known=self.known,
            ground=BOTTLE_TOLERANCE.ground if self.tolerance is None else "tolerance given for this bottle",
        )
        shelf = Inputs() if key is None else SESSION if inputs is None else inputs
        return shelf.variable(rectangular(self.half_width), source)


@overload
def buffer_ph(label: str, temperature: Given = LABEL_TEMPERATURE.value) -> float: ...
@overload
def buffer_ph(label: str, temperature: Many) -> Floats: ...
def buffer_ph(label: str, temperature: Given | Many = LABEL_TEMPERATURE.value) -> float | Floats:
    """PH of a nominal buffer at a temperature, linear between the rows of its table.

    Parameters
    ----------
    label : str
        One of `labels`.
    temperature : float, str or pint.Quantity, or a sequence, array or Series of them
        Of the buffer. [degC]

    Returns
    -------
    float, or array, shape (n,)
        Its pH; an array of one for each where several temperatures are given. [pH]

    Raises
    ------
    Refusal
        If the buffer is not known, or the temperature lies off its table.

    References
    ----------
    .. [1] R. P. Buck et al., "Measurement of pH. Definition, standards, and procedures (IUPAC Recommendations
       2002)", Pure Appl. Chem. 74 (2002) 2169: all but 7.00, whose values are common practice.

    Examples
    --------
    >>> buffer_ph("4.01", 30.0)
    4.011
    >>> buffer_ph("4.01", [25.0, 30.0]).tolist()
    [4.005, 4.011]
    """
    kind = tables()[known_label(label)]
    return over(lambda one: kind.at(magnitude(one, "temperature"))[0], temperature)  # type: ignore[no-any-return]


def buffer(
    bottle: str | Bottle,
    temperature: Given = LABEL_TEMPERATURE.value,
    label: Given | None = None,
    tolerance: Given | None = None,
    inputs: Inputs | None = None,
) -> UFloat:
    """PH of a bottle of buffer with its uncertainty.

    Parameters
    ----------
    bottle : str or Bottle
        A bottle, or the label of a nameless one, which is then an error of its own at every call.
    temperature : float, str or pint.Quantity
        Of the buffer, taken as exact. [degC]
    label : float, str or pint.Quantity, optional
        PH at 25 degC that the label states as a measured value. [pH]
    tolerance : float, str or pint.Quantity, optional
        Half-width of what its pH may be off by; by default 0.02 (from memory). [pH]
    inputs : Inputs, optional
        Where a named bottle's error is kept; by default the session's.

    Returns
    -------
    UFloat
        PH with the bottle's error as its input. [pH]

    Raises
    ------
    Refusal
        If the buffer is not known, the temperature lies off its table, or `label` or `tolerance` is given
        beside a `Bottle`, which has its own.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.3.7, for the tolerance; the table's source as for `buffer_ph`.

    Examples
    --------
    >>> buffer("4.01", 25.0)
    4.005+/-0.011547005383792516
    """
    if isinstance(bottle, Bottle):
        if label is not None or tolerance is not None:
            raise Refusal(
                f"the bottle {bottle.called} has its own measured value and tolerance; "
                'write them there, as in Bottle("4.01", measured=4.00, tolerance=0.01).'
            )
    else:
        bottle = Bottle(bottle, tolerance=number_of(tolerance, "ph"), measured=number_of(label, "ph"))
    ph, _ = bottle.at(magnitude(temperature, "temperature"))
    return linear(ph, {}) + bottle.error(inputs)
