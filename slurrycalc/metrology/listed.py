"""Lists, arrays and columns of a table, all taken in alike; no library of tables is imported for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Floats: TypeAlias = "NDArray[np.float64]"
Many: TypeAlias = "Sequence[Any] | NDArray[Any]"
"""Values one after the other, for what takes one or many; a column of a table (a Series) as well."""


def listed(given: object) -> tuple[Any, ...] | None:
    """Give what a list, an array or a column of a table holds.

    Parameters
    ----------
    given : object
        A column (a Series) gives its values in their order, whatever its index; an array of rows its rows.

    Returns
    -------
    tuple or None
        None for one thing by itself, a text among them, for what has no order, and for a whole table.

    Examples
    --------
    >>> import numpy as np
    >>> listed([84.3, "85.1 mV"]), listed(np.array(["2024-05-04"], "datetime64[D]"))
    ((84.3, '85.1 mV'), (np.datetime64('2024-05-04'),))
    >>> listed("84.3 mV"), listed(84.3), listed({84.3})
    (None, None, None)
    """
    if isinstance(given, Sequence) and not isinstance(given, str | bytes):
        return tuple(given)
    # Arrays, columns and quantities of many all say how many axes they have; only a table names its columns.
    if not getattr(given, "ndim", 0) or hasattr(given, "columns"):
        return None
    return tuple(given)  # type: ignore[arg-type]


def over(one: Callable[..., Any], *given: object) -> Any:
    """Call a function of single values, or once for each of many.

    Parameters
    ----------
    one : callable
        Of as many values.
    *given : object
        Each one for all, or a sequence; sequences are equally long.

    Returns
    -------
    object or array, shape (n,)
        What it gave; an array where a sequence was given.

    Raises
    ------
    Refusal
        If two sequences differ in length, or a value cannot stand.

    Examples
    --------
    >>> over(max, 2.0, 3.0), over(max, [1.0, 5.0], 3.0).tolist()
    (3.0, [3.0, 5.0])
    """
    many = [listed(each) for each in given]
    counts = {len(each) for each in many if each is not None}
    if not counts:
        return one(*given)
    if len(counts) > 1:
        few, more = sorted(counts)[:2]
        raise Refusal(f"{few} and {more} values do not go together: give as many of both, or one for all.")
    import numpy as np  # noqa: PLC0415  (who asks for one value does not pay for arrays)

    (n,) = counts
    columns = [[alone] * n if each is None else each for alone, each in zip(given, many, strict=True)]
    return np.array([one(*row) for row in zip(*columns, strict=True)])


def absent(mark: object) -> bool:
    """Say whether a cell of a table was left empty: None, or the mark that stands for it, unlike itself.

    Parameters
    ----------
    mark : object
        What stands in it.

    Returns
    -------
    bool

    Examples
    --------
    >>> absent(None), absent(float("nan")), absent("a")
    (True, True, False)
    """
    try:
        return mark is None or bool(mark != mark)  # noqa: PLR0124
    except TypeError:  # some marks do not even answer that
        return True
