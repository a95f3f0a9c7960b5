"""Results that say themselves: a line of value, interval and sentence; in a notebook their parts as well."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import fields
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, get_args, get_origin, get_type_hints

from slurrycalc.metrology.figures import in_a_line, plus_minus
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Refusal, Remark

if TYPE_CHECKING:
    from slurrycalc.metrology.coverage import Interval

MOST = 12
"""So many rows a part that holds many takes in the table of parts (our own figure)."""


page_of: Callable[[Any], str | None] | None = None
"""Gives a result's page as HTML, if it has one: what knows of pages puts itself here."""


class Result:
    """A result whose `repr` is one line, the words that it has already.

    A subclass says in its head which of its attributes hold them: ``class Due(Result, says=("text",))``. What
    takes long and is seldom asked for is a `cached_property`, a part as fields are: ``later=("advice",)``.
    """

    __slots__ = ()
    _says: ClassVar[tuple[str, ...]] = ()
    _of: ClassVar[str] = ""
    _later: ClassVar[tuple[str, ...]] = ()

    def __init_subclass__(
        cls, says: tuple[str, ...] = (), of: str = "", later: tuple[str, ...] = (), **rest: Any
    ) -> None:
        """Keep the names of its words and of what it is of, and a dataclass from writing out its fields."""
        super().__init_subclass__(**rest)
        cls._says, cls._of, cls._later = says or cls._says, of or cls._of, later or cls._later
        if "__repr__" not in cls.__dict__:
            cls.__repr__ = Result.__repr__  # type: ignore[method-assign]

    def _said(self) -> str:
        """Say it in a line, without its type."""
        of = _part(self, self._of) if self._of else None
        return self._body() if of is None else f"{of}: {self._body()}"

    def _body(self) -> str:
        """Say it without what it is of."""
        return " ".join(_texts(self, self._says))

    def __repr__(self) -> str:
        """Say in one line what it is."""
        return f"{type(self).__name__}: {_plain(self._said())}"

    def _repr_html_(self) -> str:
        """Show a notebook its page; else its line and parts, every text escaped, for people may write it."""
        from html import escape  # noqa: PLC0415  (only a notebook asks for it)

        if page_of is not None and (page := page_of(self)) is not None:
            return page
        rows = "".join(
            f"<tr><th>{escape(name)}</th><td>{'<br>'.join(map(escape, texts))}</td></tr>"
            for name, texts in _parts(self)
        )
        return f"<p>{escape(repr(self))}</p><table>{rows}</table>"


class Valued(Result):
    """A result that has one number with uncertainty.

    ``value`` names its attribute, ``words`` what stands about it in the line, as in ``pH {}``; left out where
    the sentences have the number already.
    """

    __slots__ = ()
    _value: ClassVar[str] = ""
    _words: ClassVar[str] = ""

    def __init_subclass__(cls, value: str = "", words: str = "", **rest: Any) -> None:
        """Keep the name of its value, and the words about it."""
        super().__init_subclass__(**rest)
        cls._value, cls._words = value or cls._value, words or cls._words

    def interval(self, p: float = 0.95) -> Interval:
        """Give the interval that covers the result's value.

        Parameters
        ----------
        p : float
            Coverage probability. [1]

        Returns
        -------
        Interval
            Its limits, in the unit of the value.

        Raises
        ------
        Refusal
            If this result has no value, or p is no probability.
        """
        from slurrycalc.metrology.coverage import interval  # noqa: PLC0415  (a recipe asks for none)

        value = _part(self, self._value)
        if value is None:
            what = self._value.replace("_", " ").strip()
            raise Refusal(f"this {type(self).__name__} has no {what}; it says: {_plain(self._said())}")
        return interval(value, p)

    def _body(self) -> str:
        words = super()._body()
        value = _part(self, self._value)
        if not self._words or value is None:
            return words
        first = in_a_line(float(getattr(value, "n", value)), self.interval(), 0.95, self._words)
        return f"{first}{'. ' if words[0].isupper() else '; '}{words}" if words else first


def _texts(result: object, names: tuple[str, ...]) -> Iterator[str]:
    for name in names:
        found = _part(result, name)
        for each in found if isinstance(found, tuple) else (found,):
            if each is not None and each != "":
                yield each._said() if isinstance(each, Result) else str(each)


def _part(result: Any, name: str) -> Any:
    """Find a part, or a part of a part; None where one on the way is missing."""
    for step in name.split("."):
        result = None if result is None else getattr(result, step)
    return result


def _plain(text: str) -> str:
    return clean(" ".join(text.split()))


def _parts(result: Any) -> Iterator[tuple[str, list[str]]]:
    """Give each part that has words: its name, and a line for each of what it holds."""
    units = _units(type(result))  # type: ignore[arg-type]
    for name in (*(field.name for field in fields(result)), *result._later):
        if name.startswith("_"):
            continue
        value = getattr(result, name)
        if isinstance(value, Mapping):
            value = tuple(f"{key}: {each}" for key, each in value.items() if each is not None)
        many = value if isinstance(value, tuple) else (value,)
        texts = [text for each in many[:MOST] if (text := _text(each, units.get(name, "")))]
        if len(many) > MOST:
            texts.append(f"and {len(many) - MOST} more")
        if texts:
            yield name.replace("_", " "), texts


def _text(value: object, unit: str) -> str:
    """Write one part; nothing for what has no words."""
    if isinstance(value, Result):
        return _plain(value._said())
    if isinstance(value, Remark):
        return _plain(value.text)
    if hasattr(value, "std_dev") and hasattr(value, "n"):
        from slurrycalc.metrology.coverage import half_width  # noqa: PLC0415

        return f"{plus_minus(value.n, half_width(value))}{unit}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.4g}{unit}"
    return _plain(str(value)) if isinstance(value, str | date) else ""


@cache
def _units(result: Hashable) -> dict[str, str]:
    """Find the unit of each field in its annotation, with a space before it."""
    found: dict[str, str] = {}
    try:
        hints = get_type_hints(result, include_extras=True)
    except NameError:  # some type is imported for the type checker alone; such a result holds other results
        return found
    for name, hint in hints.items():
        unit = next(_units_in(hint), "1")
        found[name] = "" if unit == "1" else f" {unit}"
    return found


def _units_in(hint: Any) -> Iterator[str]:
    if get_origin(hint) is Annotated:
        yield from (note.extra["unit"] for note in hint.__metadata__ if getattr(note, "extra", None))
    else:
        for part in get_args(hint):
            yield from _units_in(part)
