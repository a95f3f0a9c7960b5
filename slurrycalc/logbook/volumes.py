"""How large the bed of an enclosure is."""

from __future__ import annotations

from slurrycalc.logbook.things import Thing, sides_of
from slurrycalc.metrology.units.amounts import lengths
from slurrycalc.metrology.units.sizes import Footprint, bed_volume


def volume_of(bed: Thing) -> tuple[float, str] | None:
    """Give the volume of a bed whose size is on record.

    Parameters
    ----------
    bed : Thing
        An enclosure.

    Returns
    -------
    tuple of (float, str) or None
        The volume [mL], and what it is computed from.

    Raises
    ------
    Refusal
        If its depth is 0.
    """
    sides = bed.sides
    if sides is None:
        return None
    said = f"{lengths(*sides_of(bed.get('size')))}, {lengths(*sides_of(bed.get('bed_depth')))} deep"
    return bed_volume(Footprint(*sides[:2]), sides[2]), said
