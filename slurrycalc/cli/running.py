"""Run one command: words in, a page or a JSON object out, an exit status back."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import TYPE_CHECKING

import typer

from slurrycalc.cli import writing
from slurrycalc.cli.drawing import files_of, given
from slurrycalc.cli.group import group, load, result_type
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.usage import sentence_of
from slurrycalc.data.cautions import cautions, line
from slurrycalc.metrology.names import on_logbook
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    from slurrycalc.report.page import Block

BAD_INPUT = 2
NO_LOGBOOK = 3
INTERRUPTED = 130
OUR_FAULT = 70
"""Exit status of a fault of slurrycalc itself (the customary one), never of a person's input."""


def run_command(words: Sequence[str]) -> int:  # noqa: PLR0911  (one for each way to end)
    """Call the command that a command line names.

    Parameters
    ----------
    words : sequence of str
        The words after the program's name.

    Returns
    -------
    int
        Exit status.
    """
    name = words[0] if words else None
    flags = words[: words.index("--")] if "--" in words else words
    as_json = "--json" in flags
    try:
        if "--schema" in flags and "--help" not in flags:
            return _schema(words[0])
        with files_of(flags) as files:
            outcome = group().main(args=list(words), prog_name="slurrycalc", standalone_mode=False)
            if not isinstance(outcome, Outcome):
                return int(outcome or 0)
            brief = _line(words[0], outcome)
            minds = () if brief else _cautions(words[0], outcome)
            files.write(words[0], outcome, minds, brief, given(flags, "--logbook"))
        status = _json(words[0], outcome) if as_json else _page(words[0], outcome, flags, files.told)
        return status or files.status or int(outcome.failed or (outcome.needs_action and "--strict" in flags))
    except Refusal as refusal:
        return _refuse(str(refusal), name, as_json)
    except typer.TyperException as error:
        return _refuse(sentence_of(error, name), name, as_json)
    except BrokenPipeError:
        return 0
    except (KeyboardInterrupt, typer.Abort):
        looked = "slurrycalc.logbook.header" in sys.modules
        kept = "slurrycalc history shows what is on record" if looked else "nothing was kept"
        writing.complain(f"Stopped; {kept}.")
        return INTERRUPTED
    except Exception as error:
        if _is_of_the_logbook(error):
            return _refuse(str(error), name, as_json, NO_LOGBOOK)
        if (edited := _edited(flags)) is not None:
            return _refuse(edited, name, as_json, NO_LOGBOOK)
        if os.environ.get("SLURRYCALC_TRACEBACK"):
            raise
        _refuse(
            f"slurrycalc itself failed here ({type(error).__name__}: {error}); please report it "
            "with your line (SLURRYCALC_TRACEBACK=1 shows where).",
            name,
            as_json,
        )
        return OUR_FAULT


def _page(name: str, outcome: Outcome[object], flags: Sequence[str], files: Sequence[str]) -> int:
    from slurrycalc.report.page import GAP, Say, has_evidence
    from slurrycalc.report.terminal import pieces

    why, logbook = "--why" in flags, given(flags, "--logbook")
    shows = "--why" if outcome.saved is None else "the same line with --try --why"
    if outcome.again:
        shows = f"{on_logbook(outcome.again, logbook)} --why"
    behind = f"{outcome.rests} ({shows})." if outcome.rests else f"Behind it: {shows}."
    more = has_evidence(outcome.page) and not why
    minds, brief = _cautions(name, outcome), _line(name, outcome)
    last = [Say(text) for text in (brief, behind if more else "", outcome.last, *files) if text]
    page: Iterator[Block] = chain(outcome.blocks, (GAP, *last, GAP, *outcome.foot))
    for text in pieces(page, writing.width(), cautions=() if brief else minds, logbook=logbook, why=why):
        if status := writing.deliver(text, outcome.saved):
            return status
    return 0


def _json(name: str, outcome: Outcome[object]) -> int:
    from slurrycalc.cli import as_json

    return writing.deliver(as_json.envelope(name, outcome, _cautions(name, outcome)), outcome.saved)


def _line(name: str, outcome: Outcome[object]) -> str:
    """Give what to mind in one line, where the command only computes; nothing where it is shown in full."""
    from slurrycalc.report.page import Cautions

    of_step = outcome.step is not None and bool(cautions(outcome.step))
    there = any(isinstance(block, Cautions) and block.texts for block in outcome.page)
    return (line(name) or "") if outcome.minds and not of_step and not there else ""


def _cautions(name: str, outcome: Outcome[object]) -> tuple[str, ...]:
    return cautions(outcome.step or name) if outcome.minds else ()


def _schema(name: str) -> int:
    from slurrycalc.cli import as_json

    return writing.deliver(as_json.schema(name, result_type(load(name))))


def _is_of_the_logbook(error: Exception) -> bool:
    """Tell whether the logbook could not be used; where nobody looked at it, its faults are not loaded."""
    faults = sys.modules.get("slurrycalc.logbook.faults")
    return faults is not None and isinstance(error, faults.LogbookFault)


def _edited(flags: Sequence[str]) -> str | None:
    """See whether an edited or damaged record is why an answer that was taken from it cannot be shown."""
    store = sys.modules.get("slurrycalc.logbook.store")
    if store is None:
        return None
    from slurrycalc.cli.whereabouts import logbook_path
    from slurrycalc.logbook.faults import NoLogbook
    from slurrycalc.logbook.rules import misset

    try:
        with store.open_logbook(logbook_path(given(flags, "--logbook")), writes=False) as book:
            wrong = book.wrong() or misset(book)
            return None if wrong is None else str(store.damaged(book.path, wrong))
    except NoLogbook:
        return None
    except Exception as error:
        return str(error) if _is_of_the_logbook(error) else None


def _refuse(sentence: str, name: str | None, as_json: bool, status: int = BAD_INPUT) -> int:
    sentence = clean(sentence)
    if as_json:
        from slurrycalc.cli import as_json as json_writer

        sentence = json_writer.refusal(None if name is None else clean(name), sentence)
    writing.complain(sentence)
    return status
