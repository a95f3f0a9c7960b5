"""How fast enclosures drift in a record of 100,000 readings: how long whole processes take, how much memory.

Run ``python tests/benchmarks/bench_trends.py``. Each command runs as a process of its own, beside the same
on a record of one bench day, so that what the question itself takes can be told. ``--quick`` makes a tenth of
the record, once.
"""

from __future__ import annotations

from big_record import report

LINES = (("trend", "--enclosure", "case 3"), ("trend",), ("trend", "--json"))

if __name__ == "__main__":
    report(LINES, __doc__)
