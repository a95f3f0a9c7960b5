"""What a line is about: names on record that stand where numbers may."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Sequence

from slurrycalc.cli.recording import Recording, reading
from slurrycalc.metrology.names import NUMBER
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

Named = dict[str, str | None]


def subject(words: Iterable[str], logbook: str | None, **named: str | None) -> tuple[list[str], Named]:
    """Part the words of a line into numbers, and names on record.

    Parameters
    ----------
    words : iterable of str
        As typed, where numbers may stand.
    logbook : str or None
        The value of ``--logbook``; it is not looked at where every word reads as a number.
    **named : str or None
        The kinds of things that the command is about (enclosure, meter, probe), each with the name that its
        option gives.

    Returns
    -------
    list of str
        The words that name nothing, in their order.
    dict
        Each kind with its name.

    Raises
    ------
    Refusal
        If a word is close to a name on record, names a thing of another kind or of two of them, or names
        another thing than the option or the word before.
    """
    numbers: list[str] = []
    found: Named = {}
    on_record: Sequence[tuple[str, str]] | None = None
    for word in words:
        if "=" in word or word.startswith("#") or NUMBER.match(word.strip()):
            numbers.append(word)
            continue
        if on_record is None:
            on_record = _on_record(logbook)
        kinds = [kind for kind, name in on_record if name.casefold() == word.strip().casefold()]
        kind = _kind(word, kinds, on_record, tuple(named))
        if kind is None and not numbers and _is_name(word):
            raise Refusal(_unknown(word.strip(), tuple(named)))
        if kind is None:
            numbers.append(word)
            continue
        other = found.get(kind) or named[kind]
        if other is not None and other.strip().casefold() != word.strip().casefold():
            raise Refusal(f"{quoted(word)} and {quoted(other)} are two names of {kind}s; give one of them.")
        found[kind] = word.strip()
    return numbers, {**named, **found}


def _on_record(logbook: str | None) -> Sequence[tuple[str, str]]:
    """Give the kind and the name of all that is on record."""
    from slurrycalc.logbook.things import things_of

    with reading(Recording(logbook=logbook).path) as book:
        return [(thing.kind, thing.name) for thing in things_of(book).every]


def _kind(
    word: str, kinds: Sequence[str], on_record: Sequence[tuple[str, str]], asked: Sequence[str]
) -> str | None:
    """Tell what a word names; None where it names nothing."""
    from slurrycalc.logbook.things import close_name, with_article

    meant = [kind for kind in kinds if kind in asked]
    if len(meant) > 1:
        both = " and of ".join(map(with_article, meant))
        option = " or ".join(f"--{kind}" for kind in meant)
        raise Refusal(f"{quoted(word)} is the name of {both}; say by {option} which is meant.")
    if meant:
        return meant[0]
    if kinds:
        wanted = " or ".join(map(with_article, asked))
        raise Refusal(f"{quoted(word)} is {with_article(kinds[0])}; name {wanted} here.")
    close = close_name(word, [name for kind, name in on_record if kind in asked])
    if close is not None:
        raise Refusal(f"nothing on record is called {quoted(word)}; did you mean {quoted(close)}?")
    return None


def _is_name(word: str) -> bool:
    """Tell a word that names something from a slip of a number, and from a unit or a value."""
    text = word.strip()
    other = re.search(r"\d[.,]\d|[@=]", text) or text.casefold() in ("mv", "ph", "nan", "inf", "infinity")
    return len(text) > 1 and text[:1].isalpha() and not other


def _unknown(word: str, asked: Sequence[str]) -> str:
    """Say that nothing is called so, and how to add it."""
    from slurrycalc.logbook.settings import ADD

    kinds = sorted(set(asked) & {"enclosure", "probe"}) or list(asked)
    lines = " or ".join(ADD[kind].format(shlex.quote(word)) for kind in kinds)
    return f"Nothing on record is called {quoted(word)}. Add it with {lines}."


def bed(name: str | None, option: str | None, right: str, logbook: str | None) -> str | None:
    """Give the bed that a line is about, by its name alone or by ``--enclosure``.

    Parameters
    ----------
    name : str or None
        The word that stands alone.
    option : str or None
        The value of ``--enclosure``.
    right : str
        How numbers are written there, for the sentence.
    logbook : str or None
        The value of ``--logbook``.

    Returns
    -------
    str or None
        None where numbers shall do.

    Raises
    ------
    Refusal
        If the word reads as a number, or means another bed than the option; as for `subject`.
    """
    if name is None:
        return option
    numbers, named = subject([name], logbook, enclosure=option)
    if numbers and (NUMBER.match(name.strip()) or "=" in name):
        raise Refusal(f"{quoted(name)} reads as a number, and numbers have options: slurrycalc {right}")
    return named["enclosure"] if not numbers else name
