"""Print how often one enclosure's interval covers the truth, simulated over the full chain.

A number after it is the size of each cell's simulation; ``--quick`` makes it small, a smoke run.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from chain import BENCHES, worst

SCATTERS = (0.02, 0.05, 0.10, 0.15, 0.20)
SIZE = 20_000


def coverage_table(size: int = SIZE) -> str:
    """Simulate every cell.

    Parameters
    ----------
    size : int
        Bench days a cell and bench.

    Returns
    -------
    str
        A table in Markdown: rows are numbers of slurries, columns true scatters; each cell the least
        coverage of any bench. Then the half-width at a scatter of 0.05, with what was expected and by the
        slurries alone.
    """
    head = ["slurries", *(f"{scatter:.2f}" for scatter in SCATTERS), "half-width at 0.05", "alone at 0.05"]
    lines = [
        f"Least coverage of {len(BENCHES)} benches (mV and pH meters, two and three buffers, junction on and "
        f"off), {size} simulated bench days each, by the true scatter of slurries:",
        "",
        f"| {' | '.join(head)} |",
        f"|{'---|' * len(head)}",
    ]
    for n in (1, 2, 3, 4, 6):
        found = [worst(n, scatter, size=size) for scatter in SCATTERS]
        cells = [str(n), *(f"{least:.3f}" for least, _, _ in found), f"{found[1][2]:.2f}"]
        if n == 1:
            cells.append("none")
        else:
            least, most, half_width = worst(n, 0.05, None, size=size)
            cells.append(f"{least:.3f} to {most:.3f}, {half_width:.2f}")
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


if __name__ == "__main__":
    asked = sys.argv[1] if len(sys.argv) > 1 else str(SIZE)
    print(coverage_table(500 if asked == "--quick" else int(asked)))
