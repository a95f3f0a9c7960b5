"""The steps from the bed to the reading, in the order in which the hands do them."""

from __future__ import annotations

from typing import Final

from slurrycalc.data.assumed import SETTLING, STANDING, TIP_DEPTH

BREATHES: Final = (
    "Live substrate breathes carbon dioxide into the water: in a closed jar the pH falls, an open jar that "
    "is stirred loses it and the pH rises (from memory). Leave every jar open, and read each as long after "
    "its last stir"
)
"""What makes an indication creep that is no fault of the electrode."""



def slurry_steps(
    substrate: str, water: str, slurries: int, container: str, *, weighed: bool = False
) -> tuple[str, ...]:
    """Write the steps of one batch of slurries.

    What is from memory rather than from a published procedure says so.

    Parameters
    ----------
    substrate, water : str
        What goes into each slurry, in words.
    slurries : int
        How many are made.
    container : str
        What each stands in, in words.
    weighed : bool
        Whether the substrate is measured on a scale rather than in a cup.

    Returns
    -------
    tuple of str
        One step each, without its number.

    References
    ----------
    .. [1] University of California, Davis, Analytical Laboratory, soil method 207: pH in a 1:2 slurry with
       deionised water.

    Examples
    --------
    >>> slurry_steps("60 g", "480 g", 2, "a jar", weighed=True)[3]
    'Weigh 60 g of substrate into a jar. Label the container.'
    """
    each = "the slurry" if slurries == 1 else f"each of the {slurries} slurries"
    measure = (
        f"Weigh {substrate} of substrate into {container}."
        if weighed
        else f"Put {substrate} of substrate into {container}. Fill the measure the same way each time: "
        "loose, tapped once, struck off level, not pressed."
    )
    return (
        "Probe before spoon: push the soil probe in at each spot first, and write down what it shows and "
        "where.",
        f"For {each} take small spoonfuls from three to five spots at root depth, mix them, and pick out "
        "leaves, stones and animals. Give each slurry spots of its own: two scoops of one pot show only how "
        "well the bench repeats itself.",
        "Dry peat, bark or coir sheds water: wet it with distilled water some hours before it is measured "
        "(from memory).",
        f"{measure} Label the container.",
        f"Add {water} of distilled or deionised water. Tap water holds alkalinity that biases the pH; "
        "distilled water alone wanders about pH 5.6 in air and is no check of the meter.",
        f"Stir until all of it is wet, and let it settle for {SETTLING.value:.0f} min. Procedures differ: "
        "keep yours the same. Hold floating pieces under with a strainer (from memory).",
        "Meanwhile set the meter: freshly poured buffers at the slurries' temperature, 7.00 first, never "
        "poured back into their bottles.",
        f"Stir once more, and let it stand for about {STANDING.value:.0f} min (from memory). {BREATHES}.",
        f"Hold the electrode's tip in the clear part, about {TIP_DEPTH.value:.0f} cm under (from memory), "
        "without stirring; wait until the reading holds; write down the reading and the temperature.",
        "Rinse the electrode with distilled water and blot it, never wipe, between jars. Afterwards it lives "
        "in its storage solution, never in distilled water.",
    )
