"""Write any result as JSON, and its JSON Schema, from the annotations of its frozen dataclass.

One walk along the annotations gives both: for each type a *shape* (a type that msgspec can describe) and a
function that writes a value in that shape.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from math import isfinite
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Meta
from uncertainties import UFloat

from slurrycalc.cli.outcome import Outcome
from slurrycalc.data.method import METHOD
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import interval

VERSION = "slurrycalc/2"


class Measured(msgspec.Struct, forbid_unknown_fields=True):
    """A measured number."""

    value: float
    unit: str
    standard_uncertainty: float
    interval: tuple[float, float]
    confidence: float
    dof: float | None


class Plain(msgspec.Struct, forbid_unknown_fields=True):
    """A number with a unit."""

    value: float | None
    unit: str


class Warning(msgspec.Struct, forbid_unknown_fields=True):
    """What a result must say about itself."""

    kind: str
    text: str


Writer = Callable[[Any, float], Any]


class Form(NamedTuple):
    """How one annotated type is written."""

    shape: Any
    """A type that msgspec can describe."""
    write: Writer
    """Turns a value into what JSON can hold, given the coverage probability of intervals."""


def envelope(command: str, outcome: Outcome[Any], cautions: Sequence[str] = ()) -> str:
    """Write the one JSON object of a command.

    Parameters
    ----------
    command : str
        Name of the command.
    outcome : Outcome
        What the command handed back.
    cautions : sequence of str
        What to mind at this step.

    Returns
    -------
    str
        One line of JSON, line break included.
    """
    said = dict.fromkeys((*outcome.remarks, *outcome.clock))
    whole = {
        "schema": VERSION,
        "method": METHOD,
        "command": command,
        "result": form(type(outcome.result)).write(outcome.result, outcome.p),
        "warnings": [{"kind": remark.kind, "text": remark.text} for remark in said],
        "cautions": list(cautions),
    }
    return written(whole) + "\n"


def refusal(command: str | None, sentence: str) -> str:
    """Write a refusal as the one JSON object on standard error."""
    return written({"schema": VERSION, "command": command, "error": sentence})


def written(whole: Any) -> str:
    r"""Write JSON whose text cannot steer a terminal: what cannot be printed is escaped, as JSON allows.

    Examples
    --------
    >>> print(written({"a": "x\u202ey"}))
    {"a":"x\u202ey"}
    """
    text = msgspec.json.encode(whole).decode()
    return text if text.isprintable() else "".join(map(_printable, text))


def _printable(letter: str) -> str:
    if letter.isprintable():
        return letter
    units = letter.encode("utf-16-be")
    return "".join(f"\\u{units[i] << 8 | units[i + 1]:04x}" for i in range(0, len(units), 2))


def schema(command: str, result: Any) -> str:
    """Write the JSON Schema of a command's object.

    Parameters
    ----------
    command : str
        Name of the command.
    result : type
        The frozen dataclass of its result.

    Returns
    -------
    str
        The schema (draft 2020-12), line break included.
    """
    shape = msgspec.defstruct(
        f"{command.capitalize()}Object",
        [
            ("schema", Literal[VERSION]),
            ("method", Literal[METHOD]),
            ("command", Literal[command]),
            ("result", form(result).shape),
            ("warnings", list[Warning]),
            ("cautions", list[str]),
        ],
        forbid_unknown_fields=True,
    )
    described = {"$schema": "https://json-schema.org/draft/2020-12/schema", **msgspec.json.schema(shape)}
    return msgspec.json.format(msgspec.json.encode(described), indent=2).decode() + "\n"


def form(annotation: Any) -> Form:  # noqa: PLR0911  (one line for each kind of type)
    """Find how a type is written.

    Parameters
    ----------
    annotation : type
        An annotation of a result's field.

    Returns
    -------
    Form
        Shape and writer.

    Raises
    ------
    TypeError
        If the type has no JSON form: an uncertain number without a unit in its annotation, for instance.
    """
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _annotated(inner[0], inner[1:])
    if annotation is float:
        return Form(float | None, lambda value, _: _finite(value))
    if annotation is date:
        return Form(date, lambda value, _: value.isoformat())
    if annotation in (str, int, bool, type(None)):
        return Form(annotation, lambda value, _: value)
    if origin is Literal:
        return Form(annotation, lambda value, _: value)
    if origin in (Union, types.UnionType):
        return _union(inner)
    if origin is tuple and inner and inner[-1] is not Ellipsis:
        forms = [form(one) for one in inner]
        return Form(
            tuple[tuple(one.shape for one in forms)],  # type: ignore[misc]
            lambda value, p: [one.write(part, p) for one, part in zip(forms, value, strict=True)],
        )
    if origin in (tuple, list, Sequence, Iterable, frozenset):
        each = form(inner[0])
        row = list[each.shape]  # type: ignore[name-defined]
        return Form(row, lambda value, p: [each.write(one, p) for one in value])
    if origin in (dict, Mapping):
        each = form(inner[1])
        shape = dict[str, each.shape]  # type: ignore[name-defined]
        return Form(shape, lambda value, p: {str(key): each.write(one, p) for key, one in value.items()})
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        return Form(annotation, lambda value, _: value.value)
    if is_dataclass(annotation) or _is_named_tuple(annotation):
        return _record(annotation)
    raise TypeError(f"no JSON form for {annotation!r}")


_records: dict[Any, Form] = {}


def _record(kind: Any) -> Form:
    if kind in _records:
        return _records[kind]
    hints = get_type_hints(kind, include_extras=True)
    names = _fields(kind)
    for name in getattr(kind, "_later", ()):
        hints[name] = get_type_hints(getattr(kind, name).func, include_extras=True)["return"]
    forms = {written: form(hints[name]) for written, name in names.items()}
    shape = msgspec.defstruct(
        kind.__name__,
        [(name, one.shape) for name, one in forms.items()],
        module=kind.__module__,
        forbid_unknown_fields=True,
    )
    shape.__doc__ = (kind.__doc__ or "").strip().split("\n")[0]

    def write(value: Any, p: float) -> dict[str, Any]:
        return {written: one.write(getattr(value, names[written]), p) for written, one in forms.items()}

    return _records.setdefault(kind, Form(shape, write))


def _fields(kind: Any) -> dict[str, str]:
    """Give the fields to write, what each is called there and here: all but the private ones.

    ``metadata={"json": False}`` leaves one out, ``{"json": NAME}`` calls it so. What a result computes when
    it is asked comes after them.
    """
    if not is_dataclass(kind):
        return {name: name for name in kind._fields}
    called = {field.name: field.metadata.get("json", True) for field in fields(kind)}
    called |= dict.fromkeys(getattr(kind, "_later", ()), True)
    return {
        name if word is True else str(word): name
        for name, word in called.items()
        if word and not name.startswith("_")
    }


def _annotated(kind: Any, notes: Sequence[Any]) -> Form:
    unit = next((note.extra["unit"] for note in notes if isinstance(note, Meta) and note.extra), None)
    if unit is None:
        return form(kind)
    with_unit = Meta(extra_json_schema={"properties": {"unit": {"const": unit}}})
    if kind is UFloat:
        return Form(Annotated[Measured, with_unit], lambda value, p: measured(value, unit, p))
    return Form(Annotated[Plain, with_unit], lambda value, _: {"value": _finite(value), "unit": unit})


def measured(value: Any, unit: str, p: float) -> dict[str, Any]:
    """Write an uncertain number.

    Parameters
    ----------
    value : UFloat or float
        The number; a float has no uncertainty.
    unit : str
        Its unit.
    p : float
        Coverage probability of the interval. [1]

    Returns
    -------
    dict
        ``value``, ``unit``, ``standard_uncertainty``, ``interval``, ``confidence``, ``dof``.
    """
    low, high = interval(value, p)
    number = float(getattr(value, "nominal_value", value))
    return {
        "value": number,
        "unit": unit,
        "standard_uncertainty": float(getattr(value, "std_dev", 0.0)),
        "interval": [float(low), float(high)],
        "confidence": p,
        "dof": _finite(budget(value).dof),
    }


def _union(members: Sequence[Any]) -> Form:
    rest = [member for member in members if member is not type(None)]
    if len(rest) == 1:
        one = form(rest[0])
        return Form(one.shape | None, lambda value, p: None if value is None else one.write(value, p))
    raise TypeError(f"no JSON form for a choice between {rest!r}")


def _is_named_tuple(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, tuple) and hasattr(kind, "_fields")


def _finite(value: float) -> float | None:
    return float(value) if isfinite(value) else None
