"""Trust: the check values, recomputed here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Annotated, Final

from typer import Option

from slurrycalc.cli.outcome import Outcome
from slurrycalc.cli.waiting import Waiting
from slurrycalc.data.assumed import Known, from_where
from slurrycalc.metrology.remark import Remark
from slurrycalc.report.page import GAP, Block, Heading, Say, evidence, points, table
from slurrycalc.verify import Recomputed, run_checks

MEANS: Final[dict[Known, str]] = {
    "published": "printed in the source that is named",
    "computed": "by other means than slurrycalc's own, which the source names",
    "common practice": "facts of the trade without a source",
    "memory": "recalled, and not looked up in the source that is named",
}


@dataclass(frozen=True)
class KnownAlike:
    """How many numbers that are known in one way agree."""

    known: Known
    agreed: int
    missed: int
    not_run: int
    """Entries that can't be run here."""


@dataclass(frozen=True)
class Verification:
    """Every check value, as it stands and as recomputed on this machine."""

    agreed: int
    missed: int
    not_run: int
    known: tuple[KnownAlike, ...]
    """The same, apart by how the numbers are known."""
    checks: tuple[Recomputed, ...]


def verify(
    every: Annotated[bool, Option("--every", help="Show each number, not only each check.")] = False,
) -> Outcome[Verification]:
    """Recompute the check values on this machine, each beside its source.

    slurrycalc verify
    slurrycalc verify --every

    Each number is computed by the same code that computes yours, from the inputs of its check. Numbers that
    are published, computed by other means, common practice or from memory are counted apart; what can't be
    run here is named. Exit status 1 on a miss.
    """
    with Waiting("Recomputing check values") as waiting:
        checks = run_checks(watch=waiting.along)
    agreed, misses, not_run = (
        [check for check in checks if check.status == status] for status in ("pass", "miss", "not run")
    )
    apart = tuple(_alike(known, checks) for known in MEANS)
    result = Verification(len(agreed), len(misses), len(not_run), apart, checks)

    def page() -> Iterator[Block]:
        yield Heading(_verdict(result))
        yield points(_miss(check) for check in misses)
        yield GAP
        yield table(
            ("known", "agree", "means"),
            [(from_where(one.known), _share(one), MEANS[one.known]) for one in apart],
        )
        yield GAP
        if not_run:
            yield Say(f"{len(not_run)} are not run here, and show nothing.")
        if every:
            yield from _numbers([*misses, *agreed])
        yield evidence([] if every else _entries([*misses, *agreed]))
        if not_run:
            reasons = (
                f"{check.id}: {check.reason} ({from_where(check.known)}; {check.source})" for check in not_run
            )
            yield evidence([Heading("Not run, so they show nothing"), points(reasons)])
        yield GAP
        yield Say("--every shows each number; the folder reference holds the methods and their sources.")

    warnings = tuple(Remark("check-missed", _miss(check)) for check in misses)
    return Outcome(result, tuple(page()), warnings, failed=bool(misses))


def _verdict(result: Verification) -> str:
    run = result.agreed + result.missed
    if result.missed:
        return f"{result.missed} of {run} numbers missed: do not trust this installation; please report it."
    published = next(one for one in result.known if one.known == "published")
    return f"All {run} numbers agree; {published.agreed} of them are published."


def _alike(known: Known, checks: Iterable[Recomputed]) -> KnownAlike:
    found = [check.status for check in checks if check.known == known]
    return KnownAlike(known, found.count("pass"), found.count("miss"), found.count("not run"))


def _share(one: KnownAlike) -> str:
    return f"{one.agreed} of {one.agreed + one.missed}"


def _entries(checks: Iterable[Recomputed]) -> Iterator[Block]:
    cells = []
    for name, each in _by_entry(checks).items():
        agreed = sum(one.status == "pass" for one in each)
        cells.append((name, f"{agreed} of {len(each)}", _within(each), _source(each[0])))
    yield table(("check", "agree", "within", "source"), cells)


def _numbers(checks: Iterable[Recomputed]) -> Iterator[Block]:
    for name, each in _by_entry(checks).items():
        yield Heading(name)
        yield Say(_source(each[0]))
        cells = []
        for check in each:
            says, got = (
                "none" if value is None else f"{value:.10g}" for value in (check.expected, check.got)
            )
            agrees = "agrees" if check.status == "pass" else "MISSED"
            within = f"{_within([check])} {check.unit.removesuffix('1')}".rstrip()
            cells.append((check.quantity or name, says, got, within, agrees))
        yield table(("number", "source says", "computed here", "within", ""), cells, right=(1, 2))


def _by_entry(checks: Iterable[Recomputed]) -> dict[str, list[Recomputed]]:
    entries: dict[str, list[Recomputed]] = {}
    for check in checks:
        entries.setdefault(check.id, []).append(check)
    return entries


def _source(check: Recomputed) -> str:
    return f"{from_where(check.known)}: {check.source}"


def _within(checks: Iterable[Recomputed]) -> str:
    """Write the tolerance, in the number's own unit: the least and the largest where they differ."""
    found = sorted({f"{check.tolerance:.2g}" for check in checks if check.tolerance is not None}, key=float)
    return " to ".join(dict.fromkeys((*found[:1], *found[-1:])))


def _miss(check: Recomputed) -> str:
    if check.expected is None or check.got is None:
        return f"{check.id} {check.quantity}: {check.reason} ({check.source})".replace("  ", " ")
    return (
        f"{check.id}, {check.quantity}: computed {check.got:.10g} {check.unit}, and {check.source} says "
        f"{check.expected:.10g} (within {check.tolerance:g})"
    )
