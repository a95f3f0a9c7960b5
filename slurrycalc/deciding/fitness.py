"""Whether a probe is good enough to be acted on alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from scipy.special import ndtri

from slurrycalc.data.assumed import FLOOR, PROBE_SPAN
from slurrycalc.deciding.judgement import TARGET, checked_limits
from slurrycalc.measuring.probe import Comparison
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.results import Result

State = Literal["fit", "not fit", "not shown"]


@dataclass(frozen=True)
class Fitness(Result, says=("text",)):
    """What a probe can tell by itself."""

    state: State
    """Fit to be acted on alone, not fit, or not shown because it has not been seen to follow the slurries."""
    tells_floor_from_edge: bool
    """Whether an indication that means the target's edge has an interval clear of the floor."""
    half_width: PHValue
    """Half-width of the interval of the indication that means the target's lower edge."""
    gap: PHValue
    """Distance from the floor to the target's lower edge."""
    smallest_difference: PHValue
    """Between two indications, here and there or now and then, before it is more than scatter."""
    at_best: PHValue
    """The half-width that very many pairs would leave, if they scatter as these do."""
    p: NumberValue
    text: str
    """What it means, and what to do."""
    remarks: tuple[Remark, ...]


def fitness(
    comparison: Comparison,
    target: tuple[float, float] = TARGET,
    floor: float = FLOOR.value,
    p: float = 0.95,
) -> Fitness:
    """Say whether a probe alone can tell the floor from the target's edge, and what it can tell.

    Parameters
    ----------
    comparison : Comparison
        The probe against slurries, from `compare`.
    target : (float, float)
        Wanted range. [pH]
    floor : float
        Limit that must not be passed downward. [pH]
    p : float
        Coverage probability.

    Returns
    -------
    Fitness
        Half-width of one indication's meaning beside the gap that it must tell, and the smallest difference
        that two indications can show.

    Raises
    ------
    Refusal
        If the limits are not in order.

    Examples
    --------
    >>> from slurrycalc.measuring.probe import compare
    >>> result = fitness(compare([5.9, 6.1], [5.4, 5.7]))
    >>> result.state, result.tells_floor_from_edge
    ('not shown', False)
    """
    (edge, _), floor = checked_limits(target, floor)
    half = comparison.correct(comparison.indication_of(edge), p).interval(p).half_width
    gap = edge - floor
    smallest = comparison.step(p)
    at_best = float(ndtri((1 + p) / 2)) * comparison.lasting_scatter
    tells = half < gap
    state: State = "not shown" if not comparison.responds else "fit" if tells else "not fit"
    found = Fitness(
        state=state,
        tells_floor_from_edge=tells,
        half_width=half,
        gap=gap,
        smallest_difference=smallest,
        at_best=at_best,
        p=p,
        text="",
        remarks=comparison.remarks,
    )
    return replace(found, text=_text(found, edge, floor))


def _text(found: Fitness, edge: float, floor: float) -> str:
    limits = f"the floor, {typed(floor)}, from the target's edge, {typed(edge)}"
    half, best, gap = two_figures(found.half_width), two_figures(found.at_best), two_figures(found.gap)
    differs = (
        "The smallest difference that two of its indications can show is "
        f"{two_figures(found.smallest_difference)} pH."
    )
    if found.state == "not shown":
        return (
            "This probe cannot be trusted alone: its pairs do not show that it follows the slurries. "
            f"{differs} Do: take pairs from substrates that lie {PROBE_SPAN.value:g} pH apart or more."
        )
    if found.state == "fit":
        return (
            f"Alone it can tell {limits}: what an indication means is known within ±{half}, and the two lie "
            f"{gap} apart. {differs} Do: read it weekly, and mix a slurry where its interval meets a limit."
        )
    more = (
        f"With many more pairs it might come to ±{best}. Do: take a pair at each spot of the next bench day."
        if found.at_best < found.gap
        else f"More pairs will hardly help: its scatter alone makes ±{best}. Do: decide by slurries."
    )
    return (
        f"Alone it cannot tell {limits}: what an indication means is known within ±{half}, and the two lie "
        f"{gap} apart. {differs} {more}"
    )
