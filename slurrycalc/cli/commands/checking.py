"""Trust: the published check values, recomputed here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from typer import Option

from slurrycalc.cli.outcome import Outcome
from slurrycalc.metrology.remark import Remark
from slurrycalc.verify import CheckResult, run_checks

if TYPE_CHECKING:
    from slurrycalc.cli.show import Page


@dataclass(frozen=True)
class Verification:
    """Every check value, as published and as recomputed on this machine."""

    agreed: int
    missed: int
    not_run: int
    checks: tuple[CheckResult, ...]


def verify(
    every: Annotated[bool, Option("--every", help="Show each number, not only each check.")] = False,
) -> Outcome[Verification]:
    """Recompute every published check value on this machine.

    slurrycalc verify
    slurrycalc verify --every

    Each number is computed by the same code that computes yours, from the inputs that its source gives, and
    held against what the source printed. Exit status 1 on a miss.
    """
    checks = run_checks()
    agreed, misses, not_run = (
        [check for check in checks if check.status == status] for status in ("pass", "miss", "not run")
    )
    result = Verification(len(agreed), len(misses), len(not_run), checks)

    def show(page: Page) -> None:
        page.title(_verdict(result))
        page.points(_miss(check) for check in misses)
        page.gap()
        (_numbers if every else _entries)(page, [*misses, *agreed])
        if not_run:
            page.title("Not run, so they show nothing")
            page.points(f"{check.id}: {check.reason} ({check.known}; {check.source})" for check in not_run)
        page.gap()
        page.say("--every shows each number; the folder reference holds the methods and their sources.")

    warnings = tuple(Remark("check-missed", _miss(check)) for check in misses)
    return Outcome(result, show, warnings, failed=bool(misses))


def _verdict(result: Verification) -> str:
    run = result.agreed + result.missed
    if result.missed:
        return f"{result.missed} of {run} numbers missed: do not trust this installation; please report it."
    return f"All {run} numbers agree with their sources."


def _entries(page: Page, checks: Iterable[CheckResult]) -> None:
    cells = []
    for name, each in _by_entry(checks).items():
        agreed = sum(one.status == "pass" for one in each)
        cells.append((name, f"{agreed} of {len(each)}", f"{each[0].known}: {each[0].source}"))
    page.table(("check", "agree", "source"), cells)


def _numbers(page: Page, checks: Iterable[CheckResult]) -> None:
    for name, each in _by_entry(checks).items():
        page.title(name)
        page.say(f"{each[0].known}: {each[0].source}")
        cells = []
        for check in each:
            says, got = (
                "none" if value is None else f"{value:.10g}" for value in (check.expected, check.got)
            )
            agrees = "agrees" if check.status == "pass" else "MISSED"
            cells.append((check.quantity or name, says, got, agrees))
        page.table(("number", "source says", "computed here", ""), cells, right=(1, 2))


def _by_entry(checks: Iterable[CheckResult]) -> dict[str, list[CheckResult]]:
    entries: dict[str, list[CheckResult]] = {}
    for check in checks:
        entries.setdefault(check.id, []).append(check)
    return entries


def _miss(check: CheckResult) -> str:
    if check.expected is None or check.got is None:
        return f"{check.id} {check.quantity}: {check.reason} ({check.source})".replace("  ", " ")
    return (
        f"{check.id}, {check.quantity}: computed {check.got:.10g} {check.unit}, and {check.source} says "
        f"{check.expected:.10g} (within {check.tolerance:g})"
    )
