"""What people type, taken apart into a number and the words of its unit.

Nothing typed ever reaches a general parser of expressions: those read ``1 1/2 cups`` as half a cup and
``5,41`` as 541. Whatever this grammar cannot read in exactly one way is refused.

    sum      = amount { " + " amount }
    amount   = number [unit words]
    number   = [sign] ( whole ["and"] fraction | fraction | decimal )
    fraction = digits "/" digits, or one of the characters ¼ ½ ¾ ...
    decimal  = digits [("." | ",") digits], or ("." | ",") digits
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import NamedTuple

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

LONGEST_AMOUNT = 80
"""An amount longer than this is no amount but a slip of the clipboard. [characters]"""

_MINUS = "\u2212\u2012\u2013\ufe63\uff0d"
_SLASHES = "\u2044\u2215"
_MICRO = "\u00b5\u03bc"
_DEGREE = "\u00ba\u02da"
_ALIKE = str.maketrans(
    dict.fromkeys(_MINUS, "-")
    | dict.fromkeys(_SLASHES, "/")
    | dict.fromkeys(_MICRO, "u")
    | dict.fromkeys(_DEGREE, "\u00b0")
    | {"\u2103": "\u00b0C", "\u2109": "\u00b0F", "\u00b2": "2", "\u00b3": "3", "\u2032": "'", "\u2033": '"'}
)
_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?: (?P<whole>[0-9]+) (?:\s+(?:and\s+|&\s*)?|-) (?P<over>[0-9]+)\s*/\s*(?P<under>[0-9]+)
      | (?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)
      | (?P<decimal>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+) )
    (?P<rest>.*)""",
    re.VERBOSE | re.DOTALL | re.IGNORECASE,
)
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:[.,' ][0-9]{3})*[.,' ][0-9]{3}(?:[.,][0-9]+)?(?![0-9.,'])")
_COMMA_OR_THOUSAND = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9.,'])")
_STARTS = re.compile(r"[+-]?[.,]?[0-9]")
_UNIT_LETTER = re.compile(r"[^\W0-9_]|[°%\"]")
_WORDS = {"a": "1", "one": "1", "two": "2", "three": "3", "half": "1/2", "third": "1/3", "quarter": "1/4"}
"""Numbers said as words: refused, with how to write them."""


class Spoken(NamedTuple):
    """An amount as it was said."""

    number: float
    unit: str
    """The words after the number, spaces made single; empty where there were none."""
    fraction: bool
    """Whether the number was written as a fraction."""


def tidy(text: str) -> str:
    """Make characters that mean the same the same: minus signs, fraction bars, ½, micro and degree signs.

    Parameters
    ----------
    text : str
        What was typed.

    Returns
    -------
    str
        The text with plain signs and single spaces.

    Examples
    --------
    >>> tidy("1½  cups"), tidy("−84.3 mV"), tidy("1413 µS/cm")
    ('1 1/2 cups', '-84.3 mV', '1413 uS/cm')
    """
    plain = "".join(_plain_fraction(c) for c in text.translate(_ALIKE))
    return " ".join(plain.split())


def _plain_fraction(character: str) -> str:
    if "\u00bc" <= character <= "\u00be" or "\u2150" <= character <= "\u215e":
        return " " + unicodedata.normalize("NFKC", character).replace("\u2044", "/") + " "
    return character


def spoken(text: str, example: str) -> Spoken:
    """Take an amount apart into its number and the words of its unit.

    Parameters
    ----------
    text : str
        What was typed.
    example : str
        A right one of the kind that is wanted, for the sentence of a refusal.

    Returns
    -------
    Spoken
        The number and the words of its unit.

    Raises
    ------
    Refusal
        If the text holds no number, or one that can be read in two ways.

    Examples
    --------
    >>> spoken("1 1/2 cups", "1/2 cup")
    Spoken(number=1.5, unit='cups', fraction=True)
    >>> spoken("5,41", "5.41")
    Spoken(number=5.41, unit='', fraction=False)
    """
    shown, right = quoted(text), quoted(example)
    if not text.strip():
        raise Refusal(f"{shown} is empty where an amount is wanted: write for instance {right}.")
    if len(text) > LONGEST_AMOUNT:
        raise Refusal(f"{shown} is too long for an amount: write for instance {right}.")
    if any(unicodedata.category(c) in ("Cc", "Cs", "Co", "Cn", "Cf") and c != "\t" for c in text):
        raise Refusal(f"{shown} holds characters that cannot be seen: type it anew, for instance {right}.")
    plain = tidy(text)
    _refuse_two_readings(plain, shown, right)
    match = _NUMBER.fullmatch(plain)
    if match is None:
        raise Refusal(f"{shown} does not begin with a number{_word_hint(plain)}: write for instance {right}.")
    rest = match["rest"].strip()
    if re.match(r"e[+-]?[0-9]", rest, re.IGNORECASE):
        raise Refusal(f"{shown} has an exponent: write the number out, for instance {right}.")
    if re.search(r"\s[0-9]", rest):
        added = quoted(plain.removesuffix(rest) + re.sub(r"\s+(?=[0-9])", " + ", rest))
        raise Refusal(f"{shown} is more than one amount: write one, like {right}, or a sum, like {added}.")
    if rest[:1] and (rest[0] in ".,/'+-_" or rest[0].isdigit()):
        raise Refusal(f"{shown} is not one number that can be read: write for instance {right}.")
    number, fraction = _value(match, shown, right)
    return Spoken(-number if match["sign"] == "-" else number, rest, fraction)


def _value(match: re.Match[str], shown: str, right: str) -> tuple[float, bool]:
    if match["decimal"] is not None:
        return float(match["decimal"].replace(",", ".")), False
    whole = match["whole"]
    top, bottom = (match["top"], match["bottom"]) if whole is None else (match["over"], match["under"])
    over, under = int(top), int(bottom)
    if under == 0:
        raise Refusal(f"{shown} divides by zero: write for instance {right}.")
    if whole is None:
        # "11/2" is what becomes of 1½ where the clipboard loses the space.
        if over > under and len(top) > 1 and 0 < int(top[-1]) < under:
            mixed, decimal, rest = f"{top[:-1]} {top[-1]}/{bottom}", f"{over / under:g}", match["rest"]
            raise Refusal(
                f"{shown} could be {mixed} or {decimal}: "
                f"write {quoted(f'{mixed}{rest}')} or {quoted(f'{decimal}{rest}')}."
            )
        return over / under, True
    if over >= under:
        raise Refusal(f"{shown} has no proper fraction after its whole number: write for instance {right}.")
    return int(whole) + over / under, True


def _refuse_two_readings(plain: str, shown: str, right: str) -> None:
    """Refuse numbers with marks that could group thousands."""
    comma = _COMMA_OR_THOUSAND.match(plain)
    if comma:
        digits = comma[0].lstrip("+")
        raise Refusal(
            f"{shown} could be {digits.replace(',', '')} or {digits.replace(',', '.')}: write "
            f"{quoted(plain.replace(comma[0], digits.replace(',', ''), 1))} or "
            f"{quoted(plain.replace(comma[0], digits.replace(',', '.'), 1))}."
        )
    grouped = _GROUPED.match(plain)
    if grouped and not re.fullmatch(r"[+-]?[0-9]+[.,][0-9]+", grouped[0]):
        raise Refusal(
            f"{shown} has a mark between thousands: write it with none and a point before decimals, "
            f"like {right}."
        )


def _word_hint(plain: str) -> str:
    words = [w for w in plain.casefold().split() if w in _WORDS]
    word = max(words, key=len, default="")
    return f" (for {quoted(word)} write `{_WORDS[word]}`)" if word else ""


def summands(text: str) -> list[str]:
    """Take a sum of amounts apart, as in ``1/4 cup + 2 tbsp``.

    Parameters
    ----------
    text : str
        What was typed.

    Returns
    -------
    list of str
        The amounts; a text that is no sum comes back alone.

    Examples
    --------
    >>> summands("1/4 cup + 2 tbsp"), summands("+84.3 mV")
    (['1/4 cup', '2 tbsp'], ['+84.3 mV'])
    """
    parts = re.split(r"(?<=\S)\s+\+\s+(?=\S)", text)
    return parts if len(parts) > 1 else [text]


def split_amounts(words: Sequence[str], count: int) -> list[str]:
    """Find where one amount ends and the next begins, in words that a shell took apart.

    Parameters
    ----------
    words : sequence of str
        The words, whole amounts or parts of them.
    count : int
        How many amounts are wanted.

    Returns
    -------
    list of str
        That many amounts, in order.

    Raises
    ------
    Refusal
        If there are more or fewer.

    Examples
    --------
    >>> split_amounts(["1/2", "cup", "1", "1/2", "cups"], 2)
    ['1/2 cup', '1 1/2 cups']
    >>> split_amounts(["118mL", "237mL"], 2)
    ['118mL', '237mL']
    """
    found: list[list[str]] = []
    for word in tidy(" ".join(words)).split():
        if not found or (_STARTS.match(word) and _complete(found[-1])):
            found.append([])
        found[-1].append(word)
    amounts = [" ".join(part).rstrip(",;") for part in found]
    if len(amounts) != count:
        raise Refusal(
            f"{quoted(' '.join(words))} holds {_amounts(len(amounts))} where {_amounts(count)} "
            f"{'is' if count == 1 else 'are'} wanted: write for instance "
            f"{quoted(' '.join(['1/2 cup', '1 cup', '1 1/2 cups', '2 cups'][:count]))}."
        )
    return amounts


def _complete(words: list[str]) -> bool:
    """Tell whether a number after these words begins a new amount."""
    return words[-1] != "+" and any(_UNIT_LETTER.search(word) for word in words if word != "and")


def _amounts(count: int) -> str:
    return "1 amount" if count == 1 else f"{count} amounts"
