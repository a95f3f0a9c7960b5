"""Enclosures, meters, probes, bottles and the cup: what is said of them, and what was said before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slurrycalc.day.record.keeper import Keeper
from slurrycalc.day.record.limits import chosen_limits
from slurrycalc.day.record.setting import UNITS, in_words
from slurrycalc.deciding.judgement import checked_limits
from slurrycalc.logbook.settings import LIKE, ThingKind
from slurrycalc.logbook.things import Thing, close_name, free_name
from slurrycalc.measuring.electrode import Meter
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.temperatures import thermometer_error
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs


@dataclass(frozen=True)
class SettingShown:
    """One thing that is said of a thing."""

    key: str
    text: str
    """In words, with its unit."""
    numbers: tuple[float, ...]
    """The same in `unit`; empty where it is no number."""
    unit: str | None
    since: str | None
    """The entry that said it; None for one that says it now."""
    before: tuple[str, ...]
    """What was said before, the newest first."""


@dataclass(frozen=True)
class ThingShown:
    """One enclosure, meter, probe, bottle or cup."""

    kind: str
    name: str
    settings: tuple[SettingShown, ...]
    former_names: tuple[str, ...]
    retired: str | None
    """Its last day, if it has one: year, month, day."""


@dataclass(frozen=True)
class Stated:
    """What became of a thing."""

    shown: ThingShown
    added: bool
    changed: tuple[str, ...]
    """What is said anew of it."""


def show_thing(thing: Thing, now: Mapping[str, Any] | None = None) -> ThingShown:
    """Show a thing with what is said of it.

    Parameters
    ----------
    thing : Thing
        As it is on record.
    now : mapping, optional
        What this step says of it.

    Returns
    -------
    ThingShown
        In words and numbers.
    """
    now = now or {}
    settings = {**thing.settings, **now}
    shown = []
    for key, value in settings.items():
        if key in ("name", "retired") or value is None:
            continue
        said = [each for each in thing.said if each.key == key and each.stands]
        last = None if key in now or not said else said[-1]
        before = [each.value for each in (said if key in now else said[:-1])]
        words = [in_words(key, each) for each in reversed(before) if each is not None]
        numbers = value if isinstance(value, list) else [value]
        unit = None if isinstance(value, str) else UNITS.get(key)
        shown.append(
            SettingShown(
                key,
                in_words(key, value),
                tuple(float(each) for each in numbers if not isinstance(each, str)) if unit else (),
                unit,
                None if last is None else str(last.entry),
                tuple(one for one in dict.fromkeys(words) if one != in_words(key, value)),
            )
        )
    name = settings.get("name", thing.name)
    former = tuple(one for one in (*thing.former_names, thing.name) if one != name)
    return ThingShown(thing.kind, name, tuple(shown), tuple(dict.fromkeys(former)), settings.get("retired"))


def state(
    keeper: Keeper, kind: ThingKind, name: str, settings: Mapping[str, Any], rename: str | None = None
) -> Stated:
    """Say something of a thing, or add it; the step is empty where there is nothing to say.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    kind : str
        What it is.
    name : str
        As typed.
    settings : mapping
        What is said; a key with None takes it back.
    rename : str, optional
        What it is called from now on.

    Returns
    -------
    Stated
        What it is now.

    Raises
    ------
    Refusal
        If a new name is close to another one, or taken.
    """
    things = keeper.recall.things
    name = plain_name(name, kind, LIKE[kind])
    known = things.seek(kind, name)
    if known is None and rename is None and settings.get("retired") is None:
        if not keeper.new and any(name.casefold() in _former(one) for one in things.of(kind, retired=True)):
            things.find(kind, name)
        free_name(things, kind, name, new=keeper.new)
        see_that_it_can_be(kind, name, settings)
        thing = keeper.thing(kind, name, declared=settings, adds=True)
        _only_mine(keeper, thing, settings)
        return Stated(show_thing(thing), added=True, changed=())
    thing = known or things.find(kind, name)
    said = {key: value for key, value in settings.items() if value != thing.get(key)}
    if rename is not None:
        new = plain_name(rename, kind, LIKE[kind])
        free_name(things, kind, new, new=keeper.new, but=thing.uid)
        if new != thing.name:
            said["name"] = new
    see_that_it_can_be(kind, thing.name, {**thing.settings, **said})
    for key, value in said.items():
        keeper.step.setting(thing.uid, key, value)
    _only_mine(keeper, thing, said)
    return Stated(show_thing(thing, said), added=False, changed=tuple(said))


def _only_mine(keeper: Keeper, thing: Thing, said: Mapping[str, Any]) -> None:
    """Take back what was the keeper's own of a kind before, where another one is from now on."""
    if not said.get("mine"):
        return
    for other in keeper.recall.things.of(thing.kind, retired=True):
        if other.get("mine") and other.uid != thing.uid:
            keeper.step.setting(other.uid, "mine", None)
            keeper.say("no-longer-mine", f"{other.name} is no longer your own {other.kind}.")


def see_that_it_is_meant(keeper: Keeper, kind: ThingKind, name: str) -> None:
    """Ask before a thing is added of which nothing is said: the name may be a slip.

    Parameters
    ----------
    keeper : Keeper
        Of the step; it takes a name that is close to another one from now on where somebody means it.
    kind : str
        What it is.
    name : str
        As typed.

    Raises
    ------
    Refusal
        If nothing is called so, and nobody says that it is to be added.
    """
    things = keeper.recall.things
    name = plain_name(name, kind, LIKE[kind])
    if keeper.new or things.seek(kind, name) is not None:
        return
    close = close_name(name, [one.name for one in things.of(kind, retired=True)])
    but = f", but {quoted(close)} is" if close is not None else ""
    if any(name.casefold() in _former(one) for one in things.of(kind, retired=True)) or not keeper.sure(
        f"No {kind} {quoted(name)} is on record{but}. Add {quoted(name)}?"
    ):
        if close is not None:
            free_name(things, kind, name)
        things.find(kind, name)
    keeper.new = True


def see_that_it_can_be(kind: ThingKind, name: str, settings: Mapping[str, Any]) -> None:
    """See that what is said of a thing can be meant, all of it together.

    Parameters
    ----------
    kind : str
        What it is.
    name : str
        What it is called.
    settings : mapping
        Everything that is said of it.

    Raises
    ------
    Refusal
        If nothing could be computed with it.

    Examples
    --------
    >>> see_that_it_can_be("bottle", "acid 2", {})
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: which buffer is in bottle `acid 2`? Say its label: --label 4.01.
    """
    get = settings.get
    if kind == "enclosure":
        if get("steady") and get("fresh"):
            raise Refusal(
                f"{quoted(name)} cannot be the steady jar and a tub of fresh mix in one: take one of them "
                "back, with --steady no or --fresh no."
            )
        target = get("target")
        checked_limits(*chosen_limits((None if target is None else (target[0], target[1]), get("floor"))))
    elif kind == "bottle":
        label = get("label")
        if label is None:
            raise Refusal(f"which buffer is in bottle {quoted(name)}? Say its label: --label 4.01.")
        Bottle(label, None, get("tolerance"), get("measured"))
    elif kind == "meter":
        Meter("mV", get("resolution_mV"), get("repeatability_mV"), get("junction"))
        Meter("pH", get("resolution_pH"), get("repeatability_pH"), get("junction"))
        thermometer_error(get("thermometer"), name, Inputs())
    elif kind == "probe" and not 0.0 <= (get("resolution") or 0.0) <= 1.0:
        raise Refusal(f"`{get('resolution'):g}` is no step of a probe's display, 0 to 1 pH: write like 0.1.")


def _former(thing: Thing) -> tuple[str, ...]:
    return tuple(one.casefold() for one in thing.former_names)


def deep(depth: float, text: str, unit: str = "cm") -> float | list[float | str]:
    """Hold the depth of a bed to one that substrate can have [cm]; with the unit in which it is said.

    Examples
    --------
    >>> deep(10.0, "10 cm"), deep(10.16, "4 in", "in")
    (10.0, [10.16, 'in'])
    """
    if not 0 < depth <= 1000:
        raise Refusal(f"{quoted(text)} is no depth of substrate: write like 10 cm")
    return depth if unit == "cm" else [depth, unit]


def sized(numbers: tuple[float, ...], text: str, unit: str = "cm") -> list[float | str]:
    """Hold the size of an enclosure to a length and a width [cm]; with the unit in which they are said.

    Examples
    --------
    >>> sized((60.0, 45.0), "60x45 cm"), sized((60.96, 45.72), "24x18 in", "in")
    ([60.0, 45.0], [60.96, 45.72, 'in'])
    """
    if len(numbers) != 2 or not all(0 < each <= 1000 for each in numbers):
        raise Refusal(f"{quoted(text)} is no length and width: write like 60x45 cm")
    return [*numbers, *(() if unit == "cm" else (unit,))]
