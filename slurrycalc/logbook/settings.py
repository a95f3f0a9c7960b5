"""What can be said of each kind of thing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

ThingKind = Literal["enclosure", "meter", "probe", "bottle", "cup"]

SETTINGS: Mapping[str, tuple[str, ...]] = {
    "enclosure": (
        *("name", "size", "bed_depth", "target", "floor", "steady", "fresh", "stages", "wanted"),
        *("read_every", "upkeep_every", "litter_every", "charcoal_every", "note", "retired"),
    ),
    "meter": (
        *("name", "shows", "resolution_mV", "resolution_pH", "repeatability_mV", "repeatability_pH"),
        *("junction", "compensates", "thermometer", "electrode", "mine", "reader", "note", "retired"),
    ),
    "probe": ("name", "resolution", "check_every", "mine", "reader", "note", "retired"),
    "bottle": ("name", "label", "tolerance", "measured", "lot", "opened", "expires", "note", "retired"),
    "cup": ("name", "volume", "note", "retired"),
}
"""Lengths are in cm, volumes in mL, temperatures in degC, intervals in days, dates written 2024-05-04."""

DAYS: Mapping[str, Literal["behind", "ahead"]] = {
    "retired": "behind",
    "opened": "behind",
    "electrode": "behind",
    "expires": "ahead",
    "stages": "ahead",
}
"""Settings that are days, or hold them, and whether those may lie ahead."""

NEVER = "never"
"""Said of an interval: it does not come due at all."""

LIKE: Mapping[str, str] = {
    "enclosure": "atlas",
    "meter": "desk",
    "probe": "stick",
    "bottle": "acid 2",
    "cup": "cup",
}
"""A right name for each, to show beside a wrong one."""

ADD: Mapping[str, str] = {
    "enclosure": "slurrycalc enclosure {} --new",
    "meter": "slurrycalc kit meter {}",
    "probe": "slurrycalc kit probe {}",
    "bottle": "slurrycalc kit bottle {} --label 4.01",
    "cup": "slurrycalc kit cup '240 mL'",
}
"""How each is added."""
