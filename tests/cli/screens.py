"""Lines as keepers type them, each with the record that it is asked of: what the tests of screens look at."""

from __future__ import annotations

import shlex
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "examples"
BUFFERS = "--buffer 4.01=178.2mV@22C --buffer 7.00=1.8mV@22C"
BOTTLES = "--buffer 4.01=4.06@21C --buffer 7.00=7.04@21C"
ON = "--on 2025-10-20"
"""The day after the last bench day of the example logbook."""

ALONE = tuple(
    line.replace("examples/", f"{EXAMPLES}/")
    for line in (
        "mix --slurries 2",
        "mix --slurries 40 --bulk-density coir --bed '5 L'",
        "ratio 1/2 cup 1 cup",
        "buffers 70 F",
        "spots --spread 0.2 --margin 0.1",
        "calibrate 4.01=178.2mV@22C 7.00=1.8mV@22C 10.01=-174mV@22C --budget",
        f"read 84.3mV@21C 85.1mV@21C {BUFFERS}",
        f"read 84.3mV@21C 85.1mV@21C {BUFFERS} --budget",
        f"read 5.03@21C 5.12@21C 4.95@21C {BOTTLES}",
        "compare 5.9=5.41 6.1=5.70+-0.2 6.4=5.95",
        "probe 6.0 --pairs examples/pairs.csv",
        "probe 6.0",
        "run examples/reading-room.toml --try",
        f"run examples/forty-jars.csv {BOTTLES}",
        "salts 1.9mS/cm@21C 2.1mS/cm@21C --to normal --fresh 0.4mS/cm",
        "agree 5.60+-0.20 5.95",
        "trial 0%=5.10 10%=5.27 20%=5.43 30%=5.52 40%=5.66 --target 5.4",
        "trend 2024-01-02=5.82 2024-02-01=5.71+-0.1 2024-03-03=5.69 2024-04-02=5.58 --on 2024-04-03",
        "exchange --now 5.1+-0.1 --fresh 6.6+-0.1 --want 5.9",
        "upkeep --drift -0.08 --fresh 6.6 --floor 5.4 --every 3",
        "verify",
        "demo",
    )
)
"""Asked of nothing on record."""

MONTHS = (
    f"trend {ON}",
    *(
        f"{command} {name} {ON}"
        for command in ("trend", "exchange", "upkeep", "show")
        for name in ("atlas", "window", "stairs")
    ),
    f"show desk {ON}",
    f"show stick {ON}",
    f"due {ON} --ahead 30d",
    f"due {ON}",
    "",
    "history atlas --last 4",
    "history",
    "enclosure atlas",
    "kit",
    "kit meter desk",
    f"compare stick {ON}",
    "agree --enclosure stairs",
    f"salts atlas {ON}",
    f"probe stick 5.9 --enclosure atlas {ON} --try",
    f"probe stick 5.9 6.1 6.0 --enclosure window {ON} --try",
    f"calibrate desk 4.01=4.06@21C 7.00=7.04@21C {ON} --try",
    f"read atlas 5.33@21C 5.41@21C {BOTTLES} {ON} --try",
    f"read stairs 5.63@21C 5.71@21C {BOTTLES} {ON} --try",
    f"event atlas leaf-litter --amount '1 L' {ON} --try",
    f"event atlas illness {ON} --try",
)
"""Asked of the example logbook."""


def words(line: str) -> list[str]:
    """Split a line as a shell does."""
    return shlex.split(line)
