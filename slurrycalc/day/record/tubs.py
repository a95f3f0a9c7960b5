"""Tubs of fresh mix among the enclosures of a record."""

from __future__ import annotations

import shlex

from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


def refuse_no_tub(thing: Thing) -> None:
    """Refuse what is no tub where a fresh mix is meant."""
    if not thing.get("fresh"):
        raise Refusal(
            f"{quoted(thing.name)} is no tub of fresh mix; if it is one, say so: slurrycalc enclosure "
            f"{shlex.quote(thing.name)} --fresh yes."
        )
