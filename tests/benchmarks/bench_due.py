"""What is due in a record of 100,000 readings: how long whole processes take, and how much memory.

Run ``python tests/benchmarks/bench_due.py``. Each command runs as a process of its own, beside the same on a
record of one bench day, so that what the question itself takes can be told. ``--quick`` makes a tenth of the
record, once. The last line is what ``slurrycalc`` alone says, which asks for what is due as well.
"""

from __future__ import annotations

from big_record import report

LINES = (("due",), ("due", "--json"), ("due", "case 3"), ("due", "--ics", "due.ics"), ())

if __name__ == "__main__":
    report(LINES, __doc__)
