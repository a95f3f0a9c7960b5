"""An outside laboratory's result against ours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from typer import Argument, Option

from slurrycalc.cli import options
from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.recording import Recording, SavedAs, asked_again, keeping, last_line, save
from slurrycalc.cli.subject import subject
from slurrycalc.cli.words import coverage, option
from slurrycalc.day.months.outside import OutsideCompared, Theirs, compared
from slurrycalc.deciding.agree import OURS, preparation
from slurrycalc.logbook.own import taken_from_kit
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block, noted
from slurrycalc.report.pages.agree import agreement_blocks

RIGHT = "slurrycalc agree 5.60+-0.20 5.85+-0.15, or slurrycalc agree NAME --theirs 5.85+-0.15"

ADD = "--enclosure NAME, with --theirs 5.85+-0.15 instead of the two"


@dataclass(frozen=True)
class Agreed:
    """An outside result against ours, and earlier ones on record."""

    newest: OutsideCompared
    earlier: tuple[OutsideCompared, ...]
    saved: SavedAs | None


def agree(
    ours: Annotated[
        str | None, Argument(metavar="OURS", help="Our pH with its half-width for 95 in 100: 5.60+-0.20.")
    ] = None,
    theirs: Annotated[str | None, Argument(metavar="THEIRS", help="Theirs: 5.85+-0.15, or 5.85.")] = None,
    *,
    ours_method: Annotated[
        str | None, Option(metavar="TEXT", help="How ours was prepared; 1:2 in water by volume unless given.")
    ] = None,
    method: Annotated[
        str | None, Option(metavar="TEXT", help='How theirs was prepared: "1:2 water", "1:5 CaCl2", paste.')
    ] = None,
    enclosure: options.Enclosure = None,
    result: Annotated[
        str | None, Option("--theirs", metavar="PH", help="Theirs, with --enclosure: 5.85+-0.15, or 5.85.")
    ] = None,
    laboratory: Annotated[
        str | None, Option(metavar="NAME", help='Who they are: "county soil laboratory".')
    ] = None,
    p: options.Coverage = "0.95",
    strict: options.Strict = False,
    on: options.On = None,
    at: options.At = None,
    by: options.By = None,
    try_: options.Try = False,
    logbook: options.Logbook = None,
) -> Outcome[Agreed]:
    """Say whether an outside laboratory's result and ours agree.

    slurrycalc agree 5.60+-0.20 5.85+-0.15 --method "1:2 water"
    slurrycalc agree atlas --theirs 5.85+-0.15 --laboratory "county soil laboratory" --on 4d
    slurrycalc agree atlas

    With an enclosure's name and --theirs it is recorded for the day of their sample, --on, and held against
    our bench day nearest to it. With the name alone it only looks: it compares again what is on record up to
    --on, and records nothing. Results of different preparations are not compared.
    """
    chance, recording = coverage(p), Recording(on, at, by, try_, False, logbook)
    given, named = subject([one for one in (ours, theirs) if one is not None], logbook, enclosure=enclosure)
    enclosure, (ours, theirs) = named["enclosure"], (*given, None, None)[:2]
    typed = _theirs(ours, theirs, enclosure, result=result, laboratory=laboratory, method=method)
    if ours_method is not None and enclosure is not None:
        raise Refusal(f"--ours-method: what is on record of ours is {OURS}; leave the option away")
    with keeping("agree", recording, enclosure) as keeper:
        if not keeper.kept:
            assert ours is not None
            assert typed is not None
            with option("--ours-method"):
                own = OURS if ours_method is None else preparation(ours_method)
            found: tuple[OutsideCompared, ...] = (compared(ours, typed, own, chance),)
        else:
            from slurrycalc.day.months.outside import new_result, results_on_record

            assert enclosure is not None
            if typed is None:
                found = results_on_record(keeper, enclosure, chance)
            else:
                found = (new_result(keeper, enclosure, typed, chance),)
    saved = save(keeper, recording) if typed is not None else None
    newest, *earlier = found
    taken = taken_from_kit(keeper.from_kit) if typed is not None else ()

    def page() -> Iterator[Block]:
        yield from agreement_blocks(newest, earlier, chance)
        yield noted(taken)

    last = last_line(saved, recording, ADD) if typed is not None else ""
    return Outcome(
        Agreed(newest, tuple(earlier), saved),
        tuple(page()),
        (*newest.remarks, *taken),
        needs_action=not newest.agreement.agrees,
        p=chance,
        last=last,
        again=asked_again("agree", saved, enclosure),
    )


def _theirs(
    ours: str | None,
    theirs: str | None,
    enclosure: str | None,
    *,
    result: str | None,
    laboratory: str | None,
    method: str | None,
) -> Theirs | None:
    """Take in their result, by the line or for the record; None where only the record is asked."""
    if enclosure is None:
        if result is not None or (laboratory is not None and theirs is not None):
            name = "--theirs" if result is not None else "--laboratory"
            raise Refusal(f"{name} goes on record, and of which enclosure was not said: add --enclosure NAME")
        if ours is None or theirs is None:
            raise Refusal(f"two results are wanted: write {RIGHT}")
        return Theirs.typed(theirs, method=method)
    if ours is not None:
        raise Refusal(
            f"{quoted(ours)}: with --enclosure ours is on record; write theirs by --theirs 5.85+-0.15"
        )
    if result is not None:
        return Theirs.typed(result, laboratory, method)
    for name, text in (("--laboratory", laboratory), ("--method", method)):
        if text is not None:
            raise Refusal(f"{name} belongs to a result of theirs: add --theirs 5.85+-0.15")
    return None
