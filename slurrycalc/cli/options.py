"""Options that mean the same in every command."""

from __future__ import annotations

from typing import Annotated

from typer import Option

from slurrycalc.cli import names

Buffers = Annotated[
    list[str] | None,
    Option("--buffer", metavar="POINT", help="A buffer and what the meter read in it: 4.01=178.2mV@22C."),
]
Shows = Annotated[
    str | None,
    Option("--shows", metavar="mV|pH", help="What the meter shows, if the readings bear no unit."),
]
Resolution = Annotated[
    str | None,
    Option(metavar="NUMBER", help="Last digit of the display; 0.1 mV or 0.01 pH unless given."),
]
Repeatability = Annotated[
    str | None,
    Option(metavar="NUMBER", help="Standard deviation of repeated readings; 0.3 mV or 0.01 pH unless given."),
]
Compensates = Annotated[
    str | None,
    Option(metavar="yes|no", help="Whether a meter that shows pH compensates temperature by itself; yes."),
]
Thermometer = Annotated[
    str | None,
    Option(metavar="NUMBER", help="How far the thermometer may be off either way [degC]; 1 unless given."),
]
Fit = Annotated[
    str, Option(metavar="line|bracket", help="One line through all buffers, or the two around each reading.")
]
Check = Annotated[
    str | None,
    Option(metavar="POINT", help="Another bottle, as a check on the calibration: 9.18=-127.5mV@22C."),
]
Close = Annotated[
    str | None, Option(metavar="POINT", help="One of the bottles read once more, after the last slurry.")
]
Bottles = Annotated[
    list[str] | None,
    Option(
        "--bottle",
        metavar="NAME=LABEL",
        help="Name a bottle and say what stands on it: blue=4.01, or blue=4.01+-0.01, to use NAME in points.",
    ),
]
Scatter = Annotated[
    str | None,
    Option(
        metavar="own|NUMBER",
        help="How slurries of one enclosure scatter [pH]: `own` trusts today's alone, a number states it.",
    ),
]
ProbeScatter = Annotated[
    str | None,
    Option(
        "--scatter",
        metavar="own|NUMBER",
        help="How probe and slurry scatter [pH]: `own` trusts these pairs alone, a number states it.",
    ),
]
Target = Annotated[
    str | None,
    Option(metavar="LOW:HIGH", help="Range wanted [pH]; the enclosure's own, or 5.4:6.5 (common practice)."),
]
Floor = Annotated[
    str | None,
    Option(metavar="NUMBER", help="Below this you act [pH]; the enclosure's own, or 5.0 (common practice)."),
]
Coverage = Annotated[
    str, Option("--p", metavar="NUMBER", help="How often intervals hold the truth: 0.95 is 95 in 100.")
]
Budget = Annotated[bool, Option("--budget", help="Show every source of the uncertainty and its share.")]
Strict = Annotated[bool, Option("--strict", help="Exit with status 1 where the result needs action.")]
Cup = Annotated[
    str | None,
    Option(
        "--cup",
        metavar="CUP",
        help='Which cup: us, metric, imperial, or its size like "240 mL"; your own (kit cup), or us.',
    ),
]
Enclosure = Annotated[
    str | None,
    Option(
        "--enclosure",
        metavar="NAME",
        help="Where the substrate is from; records the step.",
        autocompletion=names.enclosures,
    ),
]
Meter = Annotated[
    str | None,
    Option("--meter", metavar="NAME", help="Which meter; records the step.", autocompletion=names.meters),
]
Probe = Annotated[
    str | None,
    Option("--probe", metavar="NAME", help="Which probe; records the step.", autocompletion=names.probes),
]
On = Annotated[
    str | None,
    Option("--on", metavar="DATE", help="The day it was done: yesterday, mon, 3d, 2024-05-04; else today."),
]
AskedOn = Annotated[
    str | None,
    Option("--on", metavar="DATE", help="The day on which it is asked, as if nothing later were known."),
]
AskedEnclosure = Annotated[
    str | None,
    Option(
        "--enclosure",
        metavar="NAME",
        help="Which one on record; it only looks, and records nothing.",
        autocompletion=names.enclosures,
    ),
]
At = Annotated[str | None, Option("--at", metavar="TIME", help="The time it was done, like 14:30.")]
By = Annotated[str | None, Option("--by", metavar="NAME", help="Who did it.")]
Try = Annotated[bool, Option("--try", help="Compute only, and record nothing.")]
New = Annotated[bool, Option("--new", help="Add names that are not on record yet.")]
Logbook = Annotated[
    str | None,
    Option(
        "--logbook", metavar="PATH", help="Which logbook; SLURRYCALC_LOGBOOK, or your own, unless given."
    ),
]
Because = Annotated[
    str | None, Option("--because", metavar="TEXT", help="The reason, which stays beside it.")
]
