"""The form of the record: its tables, each column with what it holds.

One description serves the database, the exported files and their descriptor.
"""

from __future__ import annotations

from slurrycalc.logbook.columns import Column, TableShape
from slurrycalc.metrology.calendar import EARLIEST, LATEST

_UID = "{0} NOT GLOB '*[^0-9a-f]*' AND length({0}) = 20"
_NONE_OR = "{0} IS NULL OR {0}"
_DIGITS = "{0} GLOB '[0-9]*'"
"""Asked first: of a word such as `now` SQLite would make a time of its own."""
_PH = "{0} BETWEEN 0 AND 14"
_ENTRY = Column("entry", "string", "the step that recorded it", to="entry")
_N = Column("n", "integer", "number within its entry", check="{0} > 0")
_NOTE = Column("note", "string", "in the keeper's own words", null=True)
_SHOWS = Column(
    "shows", "number", "what the display showed; the first of repeated indications", check="abs({0}) <= 500"
)
_AGAIN = Column("again", "string", "further indications of the same thing, parted by blanks", null=True)
_TEMPERATURE = Column(
    "temperature",
    "number",
    "as read [degC]; empty where it was not read",
    null=True,
    check=f"{_NONE_OR} BETWEEN 0 AND 60",
)


def _pair(name: str, about: str, null: bool = False) -> tuple[Column, Column]:
    return (
        Column(f"{name}_entry", "string", f"{about}: its entry", null, to="entry"),
        Column(f"{name}_n", "integer", f"{about}: its number within that entry", null),
    )


def _some(name: str, about: str) -> Column:
    return Column(name, "number", about, null=True, check=f"{_NONE_OR} >= 0")


_CALIBRATION = (("calibration_entry", "calibration_n"), "calibration")
_EVENT = (("event_entry", "event_n"), "event")
_SLURRY = (("slurry_entry", "slurry_n"), "slurry")

TABLES: tuple[TableShape, ...] = (
    TableShape(
        "entry",
        "recorded steps; each is one act of a keeper and stays for good",
        (
            Column("id", "integer", "what people call it in this logbook; another logbook gives its own"),
            Column("uid", "string", "the same in every logbook", check=_UID),
            Column(
                "at",
                "datetime",
                "when it happened, UTC",
                check=f"{_DIGITS} AND {{0}} = strftime('%Y-%m-%dT%H:%M:%SZ', {{0}})",
            ),
            Column("utc_offset", "integer", "local time less UTC then [min]", check="abs({0}) <= 1080"),
            Column("day_only", "boolean", "whether only the day is known; the time is then noon"),
            Column(
                "day",
                "date",
                "local calendar day",
                check="{0} = date(at, utc_offset || ' minutes') "
                f"AND {{0}} BETWEEN '{EARLIEST.isoformat()}' AND '{LATEST.isoformat()}'",
            ),
            Column(
                "recorded",
                "string",
                "when it was written down, UTC, to the millisecond",
                check=f"{_DIGITS} AND {{0}} = strftime('%Y-%m-%dT%H:%M:%fZ', {{0}})",
            ),
            Column("kind", "string", "what was done: calibrate, read, probe, run, bench, event, undo, ..."),
            Column("keeper", "string", "who did it", null=True),
            _NOTE,
            Column("method", "string", "version of the method that showed its results"),
            Column(
                "part_of",
                "string",
                "the entry that it belongs to and falls with, an earlier one",
                null=True,
                to="entry",
                check=f"{_NONE_OR} < id",
            ),
        ),
        ("id",),
        indices=(("at",), ("day",), ("part_of",), ("kind",)),
    ),
    TableShape(
        "thing",
        "enclosures, meters, probes, bottles and cups",
        (
            Column("id", "integer", "number in this logbook; another logbook gives its own"),
            Column("uid", "string", "the same in every logbook", check=_UID),
            Column("kind", "string", "what it is", choices=("enclosure", "meter", "probe", "bottle", "cup")),
            _ENTRY,
        ),
        ("id",),
        indices=(("entry",),),
    ),
    TableShape(
        "setting",
        "what was said of a thing; the one recorded last counts, the older ones stay",
        (
            _ENTRY,
            _N,
            Column("thing", "string", "of which thing", to="thing"),
            Column("key", "string", "name, target, floor, tolerance, ..."),
            Column("value", "json", "null where it was taken back"),
        ),
        ("entry", "n"),
        indices=(("thing", "key"),),
    ),
    TableShape(
        "calibration",
        "a meter and what was declared of it; empty where the meter's settings or the defaults count",
        (
            _ENTRY,
            _N,
            Column("meter", "string", "which meter; empty for a nameless one", null=True, to="thing"),
            Column("shows", "string", "what the display shows", choices=("mV", "pH")),
            Column("fit", "string", "how the buffers are joined", choices=("line", "bracket")),
            _some("thermometer", "half-width of its error [degC]"),
            _some("resolution", "smallest step of the display, in what it shows"),
            _some("repeatability", "of one indication, in what the display shows"),
            _some("junction", "standard uncertainty of the junction potential [pH]"),
            Column("compensates", "boolean", "whether the display allows for temperature", null=True),
        ),
        ("entry", "n"),
        indices=(("meter",),),
    ),
    TableShape(
        "point",
        "the meter read in a bottle of buffer",
        (
            _ENTRY,
            _N,
            *_pair("calibration", "the calibration that it belongs to"),
            Column(
                "role",
                "string",
                "fitted, held against, or read at the close",
                choices=("point", "check", "close"),
            ),
            Column("bottle", "string", "which bottle", to="thing"),
            _SHOWS,
            _AGAIN,
            _TEMPERATURE,
        ),
        ("entry", "n"),
        (_CALIBRATION,),
        (("calibration_entry", "calibration_n"),),
    ),
    TableShape(
        "slurry",
        "a jar: substrate stirred into water",
        (
            _ENTRY,
            _N,
            Column("enclosure", "string", "where the substrate came from", null=True, to="thing"),
            Column("label", "string", "written on the cup", null=True),
            Column(
                "spot", "string", "jars with the same mark on one day come from the same spots", null=True
            ),
            Column("ratio", "number", "water over substrate", null=True, check=f"{_NONE_OR} > 0"),
            Column("basis", "string", "what the ratio compares", choices=("volume", "mass", "paste")),
            Column("solution", "string", "what it was stirred into"),
            _NOTE,
        ),
        ("entry", "n"),
        indices=(("enclosure",),),
    ),
    TableShape(
        "reading",
        "the meter read in a jar",
        (
            _ENTRY,
            _N,
            *_pair("slurry", "which jar"),
            *_pair("calibration", "read under; empty where only a pH was handed down", null=True),
            _SHOWS,
            _AGAIN,
            _TEMPERATURE,
            Column(
                "u",
                "number",
                "stated standard uncertainty [pH], without a calibration",
                null=True,
                check=f"{_NONE_OR} >= 0",
            ),
            _NOTE,
        ),
        ("entry", "n"),
        (_SLURRY, _CALIBRATION),
        (("slurry_entry", "slurry_n"), ("calibration_entry", "calibration_n")),
    ),
    TableShape(
        "probing",
        "a soil probe read; with a slurry of the same spot it makes a pair",
        (
            _ENTRY,
            _N,
            Column("probe", "string", "which probe; empty for a nameless one", null=True, to="thing"),
            Column("enclosure", "string", "where", null=True, to="thing"),
            *_pair("slurry", "the jar that was filled there afterwards", null=True),
            Column("shows", "number", "what it showed [pH]", check=_PH),
            Column("spot", "string", "where in the enclosure", null=True),
            _NOTE,
        ),
        ("entry", "n"),
        (_SLURRY,),
        (("probe",), ("enclosure",), ("slurry_entry", "slurry_n")),
    ),
    TableShape(
        "event",
        "what was done to an enclosure, or befell it",
        (
            _ENTRY,
            _N,
            Column("enclosure", "string", "which enclosure", to="thing"),
            Column("kind", "string", "leaf-litter, charcoal, exchange, calcium, water, feed, illness, ..."),
            Column("amount", "number", "how much", null=True, check=f"{_NONE_OR} >= 0"),
            Column("unit", "string", "of the amount", null=True),
            _NOTE,
        ),
        ("entry", "n"),
        indices=(("enclosure",),),
    ),
    TableShape(
        "conductivity",
        "a conductivity meter read in a slurry, in its water, or in a standard; what one entry holds belongs "
        "together",
        (
            _ENTRY,
            _N,
            Column("enclosure", "string", "which enclosure", null=True, to="thing"),
            Column("meter", "string", "which meter; empty for a nameless one", null=True, to="thing"),
            Column("role", "string", "what it was read in", choices=("slurry", "blank", "standard")),
            Column(
                "standard",
                "number",
                "what the bottle of a standard says, at 25 degC [uS/cm]",
                null=True,
                check="({0} IS NOT NULL) = (role = 'standard') AND ({0} IS NULL OR {0} > 0)",
            ),
            Column(
                "tolerance", "number", "of the standard, over its value", null=True, check=f"{_NONE_OR} >= 0"
            ),
            Column(
                "shows",
                "number",
                "what the meter showed [uS/cm]; the first of repeated indications",
                check="{0} >= 0",
            ),
            _AGAIN,
            _TEMPERATURE,
            Column("compensates", "boolean", "whether the meter itself shows it at 25 degC", null=True),
            _some("thermometer", "half-width of its error [degC]"),
            Column("ratio", "number", "water over substrate", null=True, check=f"{_NONE_OR} > 0"),
            Column(
                "basis", "string", "what the ratio compares", null=True, choices=("volume", "mass", "paste")
            ),
            Column("solution", "string", "what it was stirred into", null=True),
            _NOTE,
        ),
        ("entry", "n"),
        indices=(("enclosure",), ("meter",)),
        since=2,
    ),
    TableShape(
        "blend",
        "a jar of a trial: the bed's substrate with a dose of something; the jars of one entry are one trial",
        (
            _ENTRY,
            _N,
            Column("enclosure", "string", "whose substrate", null=True, to="thing"),
            Column("dose", "number", "how much was blended in", check="{0} >= 0"),
            Column("unit", "string", "of the dose: % is fresh substrate by volume"),
            Column("amendment", "string", "what was blended in", null=True),
            Column("ph", "number", "of its slurry [pH]", check=_PH),
            Column("u", "number", "stated standard uncertainty [pH]", null=True, check=f"{_NONE_OR} >= 0"),
            Column(
                "weeks", "number", "how long it was kept moist [weeks]", null=True, check=f"{_NONE_OR} >= 0"
            ),
            _NOTE,
        ),
        ("entry", "n"),
        indices=(("enclosure",),),
        since=2,
    ),
    TableShape(
        "outside",
        "what an outside laboratory said of an enclosure",
        (
            _ENTRY,
            _N,
            Column("enclosure", "string", "which enclosure", to="thing"),
            Column("laboratory", "string", "who, in the keeper's own words", null=True),
            Column("ph", "number", "what was reported [pH]", check=_PH),
            Column(
                "half_width",
                "number",
                "stated half-width for 95 in 100 [pH]; empty where none was stated",
                null=True,
                check=f"{_NONE_OR} > 0",
            ),
            Column("preparation", "string", "as it was stated, such as 1:2.5 water", null=True),
            _NOTE,
        ),
        ("entry", "n"),
        indices=(("enclosure",),),
        since=2,
    ),
    TableShape(
        "mix",
        "the fresh mix that an exchange put into a bed",
        (
            _ENTRY,
            _N,
            *_pair("event", "the exchange"),
            Column(
                "tub", "string", "where it came from; empty where its pH was given", True,
                to="thing", kind="enclosure",
            ),
            Column(
                "ph",
                "number",
                "as it was given [pH]",
                null=True,
                check="({0} IS NULL) = (tub IS NOT NULL) AND ({0} IS NULL OR {0} BETWEEN 0 AND 14)",
            ),
            _some("half_width", "as it was given, for 95 in 100 [pH]"),
        ),
        ("entry", "n"),
        (_EVENT,),
        (("event_entry", "event_n"),),
        since=5,
    ),
    TableShape(
        "mark",
        "where a guided bench day stands: what was asked, answered, started and skipped",
        (
            _ENTRY,
            _N,
            Column("key", "string", "what it is about"),
            Column("value", "json", "what was said"),
        ),
        ("entry", "n"),
    ),
    TableShape(
        "shown",
        "results as they were shown on the day",
        (
            _ENTRY,
            _N,
            Column("command", "string", "what showed it"),
            Column("result", "json", "what was shown"),
            Column("method", "string", "version of the method that made it"),
        ),
        ("entry", "n"),
    ),
    TableShape(
        "arrival",
        "what an import brought in: entries that came with it, and fall with it where they came no other way",
        (
            _ENTRY,
            _N,
            Column("target", "string", "the entry that came in", to="entry", check="{0} < entry"),
        ),
        ("entry", "n"),
        indices=(("target",),),
        since=4,
    ),
    TableShape(
        "void",
        "what was struck out; it stays readable, and a struck-out striking brings it back",
        (
            _ENTRY,
            _N,
            Column(
                "target_entry",
                "string",
                "the entry that is struck out, an earlier one",
                to="entry",
                check="{0} < entry",
            ),
            Column("target_n", "integer", "the one value of it; empty for the whole entry", null=True),
            Column("reason", "string", "why", null=True),
        ),
        ("entry", "n"),
        indices=(("target_entry",),),
    ),
)

BY_NAME = {table.name: table for table in TABLES}
VALUES = ("point", "reading", "probing", "event", "conductivity", "blend", "outside")
"""Tables whose rows people address by number: they share one count within an entry."""
