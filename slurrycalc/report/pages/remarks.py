"""What results say about themselves: what stands in the answer, and what only shows what it rests on."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from slurrycalc.metrology.remark import Remark
from slurrycalc.report.page import Block, evidence, noted

EVIDENCE = frozenset(
    {
        # The answer says it already.
        "above-range",
        "below-floor",
        "below-range",
        "no-drift-shown",
        # What was assumed, each counted in the interval.
        "basis-assumed",
        "from-the-limit",
        "line-assumed",
        "outside-uncertainty-assumed",
        # What is known of the numbers, and asks for nothing today.
        "bands-for-plants",
        "display-judged",
        "longest",
        "measured-as",
        "meter-in-between",
        "not-independent",
        "nothing-checks-it",
        "own-cup",
        "price-of-the-middle",
        "rounded",
        "scatters-more",
        "steps-together",
        "two-buffers",
    }
)
"""Kinds of remarks that change nothing that hands do. Whatever is not named here stays in the answer."""


def remarks_blocks(remarks: Iterable[Remark], also: Collection[str] = ()) -> Iterator[Block]:
    """Tell what stands in the answer, and keep what only shows what it rests on for whoever asks why.

    Parameters
    ----------
    remarks : iterable of Remark
        Of a result.
    also : collection of str
        More kinds that the page says already.
    """
    told = dict.fromkeys(remarks)
    behind = [one for one in told if one.kind in EVIDENCE or one.kind in also]
    yield noted(one for one in told if one not in behind)
    if behind:
        yield evidence([noted(behind)])
