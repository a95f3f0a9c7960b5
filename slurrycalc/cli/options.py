"""Options that mean the same in every command."""

from __future__ import annotations

from typing import Annotated

from typer import Option

from slurrycalc.cli import names

METER, ANSWER, RECORD = "The meter and its buffers", "What is asked", "The record"
"""Groups of a command's page; an option that belongs to one command alone stands before them."""

Buffers = Annotated[
    list[str] | None,
    Option(
        "--buffer",
        metavar="POINT",
        help="A buffer and what the meter read in it: 4.01=178.2mV@22C.",
        rich_help_panel=METER,
    ),
]
Shows = Annotated[
    str | None,
    Option(
        "--shows",
        metavar="mV|pH",
        help="What the meter shows, if the readings bear no unit.",
        rich_help_panel=METER,
    ),
]
Resolution = Annotated[
    str | None,
    Option(
        metavar="NUMBER",
        help="Last digit of the display; 0.1 mV or 0.01 pH unless given.",
        rich_help_panel=METER,
    ),
]
Repeatability = Annotated[
    str | None,
    Option(
        metavar="NUMBER",
        help="Standard deviation of repeated readings; 0.3 mV or 0.01 pH unless given.",
        rich_help_panel=METER,
    ),
]
Compensates = Annotated[
    str | None,
    Option(
        metavar="yes|no",
        help="Whether a meter that shows pH compensates temperature by itself; yes.",
        rich_help_panel=METER,
    ),
]
Thermometer = Annotated[
    str | None,
    Option(
        metavar="NUMBER",
        help="How far the thermometer may be off either way [degC]; 1 unless given.",
        rich_help_panel=METER,
    ),
]
Fit = Annotated[
    str,
    Option(
        metavar="line|bracket",
        help="One line through all buffers, or the two around each reading.",
        rich_help_panel=METER,
    ),
]
Check = Annotated[
    str | None,
    Option(
        metavar="POINT",
        help="Another bottle, as a check on the calibration: 9.18=-127.5mV@22C.",
        rich_help_panel=METER,
    ),
]
Close = Annotated[
    str | None,
    Option(
        metavar="POINT",
        help="One of the bottles read once more, after the last slurry.",
        rich_help_panel=METER,
    ),
]
Bottles = Annotated[
    list[str] | None,
    Option(
        "--bottle",
        metavar="NAME=LABEL",
        help="Name a bottle and say what stands on it: blue=4.01, or blue=4.01+-0.01; where "
        "its label speaks of 20 degC, blue=9.22@20C. Points then use NAME.",
        rich_help_panel=METER,
    ),
]
Scatter = Annotated[
    str | None,
    Option(
        metavar="own|NUMBER",
        help="How slurries of one enclosure scatter [pH]: `own` trusts today's alone, a number states it.",
        rich_help_panel=ANSWER,
    ),
]
ProbeScatter = Annotated[
    str | None,
    Option(
        "--scatter",
        metavar="own|NUMBER",
        help="How probe and slurry scatter [pH]: `own` trusts these pairs alone, a number states it.",
        rich_help_panel=ANSWER,
    ),
]
Target = Annotated[
    str | None,
    Option(
        metavar="LOW:HIGH",
        help="Range wanted [pH]; the enclosure's own, or 5.4:6.5 (common practice).",
        rich_help_panel=ANSWER,
    ),
]
Floor = Annotated[
    str | None,
    Option(
        metavar="NUMBER",
        help="Below this you act [pH]; the enclosure's own, or 5.0 (common practice).",
        rich_help_panel=ANSWER,
    ),
]
Coverage = Annotated[
    str,
    Option(
        "--p",
        metavar="NUMBER",
        help="How often intervals hold the truth: 0.95 is 95 in 100.",
        rich_help_panel=ANSWER,
    ),
]
Budget = Annotated[
    bool,
    Option("--budget", help="Show every source of the uncertainty and its share.", rich_help_panel=ANSWER),
]
Strict = Annotated[
    bool, Option("--strict", help="Exit with status 1 where the result needs action.", rich_help_panel=ANSWER)
]
Cup = Annotated[
    str | None,
    Option(
        "--cup",
        metavar="CUP",
        help='Which cup: us, metric, imperial, or its size like "240 mL"; your own (kit cup), or us.',
        rich_help_panel=ANSWER,
    ),
]
Enclosure = Annotated[
    str | None,
    Option(
        "--enclosure",
        metavar="NAME",
        help="Where the substrate is from; records the step.",
        autocompletion=names.enclosures,
        rich_help_panel=RECORD,
    ),
]
Meter = Annotated[
    str | None,
    Option(
        "--meter",
        metavar="NAME",
        help="Which meter; records the step.",
        autocompletion=names.meters,
        rich_help_panel=RECORD,
    ),
]
Probe = Annotated[
    str | None,
    Option(
        "--probe",
        metavar="NAME",
        help="Which probe; records the step.",
        autocompletion=names.probes,
        rich_help_panel=RECORD,
    ),
]
On = Annotated[
    str | None,
    Option(
        "--on",
        metavar="DATE",
        help="The day it was done: yesterday, mon, 3d, 2024-05-04; else today.",
        rich_help_panel=RECORD,
    ),
]
AskedOn = Annotated[
    str | None,
    Option(
        "--on",
        metavar="DATE",
        help="The day on which it is asked, as if nothing later were known.",
        rich_help_panel=RECORD,
    ),
]
AskedEnclosure = Annotated[
    str | None,
    Option(
        "--enclosure",
        metavar="NAME",
        help="Which one on record; it only looks, and records nothing.",
        autocompletion=names.enclosures,
        rich_help_panel=RECORD,
    ),
]
At = Annotated[
    str | None,
    Option("--at", metavar="TIME", help="The time it was done, like 14:30.", rich_help_panel=RECORD),
]
By = Annotated[str | None, Option("--by", metavar="NAME", help="Who did it.", rich_help_panel=RECORD)]
Try = Annotated[bool, Option("--try", help="Compute only, and record nothing.", rich_help_panel=RECORD)]
New = Annotated[bool, Option("--new", help="Add names that are not on record yet.", rich_help_panel=RECORD)]
Logbook = Annotated[
    str | None,
    Option(
        "--logbook",
        metavar="PATH",
        help="Which logbook; SLURRYCALC_LOGBOOK, or your own, unless given.",
        rich_help_panel=RECORD,
    ),
]
Because = Annotated[
    str | None,
    Option("--because", metavar="TEXT", help="The reason, which stays beside it.", rich_help_panel=RECORD),
]
