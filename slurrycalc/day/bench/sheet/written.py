"""The sheet as a worksheet: what is known stands there, and a blank wherever a reading is to be typed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import groupby

from slurrycalc.day.bench.sheet.known import DaySheet, SheetBottle, SheetJar
from slurrycalc.day.bench.worksheet import BLANK
from slurrycalc.metrology.units.kitchen import cup_words


def written(sheet: DaySheet) -> str:
    """Write a bench day down as a worksheet in which only the readings are missing.

    Parameters
    ----------
    sheet : DaySheet
        What is known of it.

    Returns
    -------
    str
        TOML with `worksheet.BLANK` at each reading; `read_worksheet` names those that were left.

    Examples
    --------
    >>> jar = SheetJar("A1", "atlas", "bed", "1/2 cup", "1 cup")
    >>> day = DaySheet("2024-05-04", None, "desk", "pH", False, (), None, None, None, "us", (jar,))
    >>> print(written(day).rpartition("[[jar]]")[2])
    <BLANKLINE>
    label = "A1"
    enclosure = "atlas"
    shows = "?"
    # temperature = 21.5   # if it was read
    # note = ""
    <BLANKLINE>
    """
    return "\n".join([*_head(sheet), *_meter(sheet), *_probe(sheet), *_jars(sheet)])


def _head(sheet: DaySheet) -> Iterator[str]:
    yield '# A bench day begun from your record: type a reading over each "?", then  slurrycalc run THIS-FILE'
    yield "# Numbers stand bare (shows = 5.41), words in quotes. Strike a line that nobody read, such as a"
    yield "# temperature, and a whole [[jar]] that was not mixed. A line that starts with # is not read."
    yield ""
    yield f"date = {sheet.on}   # the day on which the slurries are read"
    yield f"by = {_text(sheet.by)}" if sheet.by else '# by = "who read them"'
    yield '# note = "anything worth knowing of the day"'
    yield ""


def _meter(sheet: DaySheet) -> Iterator[str]:
    yield "[meter]"
    yield f"name = {_text(sheet.meter or BLANK)}" + (
        "" if sheet.meter else '   # so that it is known again: "desk"'
    )
    yield f"shows = {_text(sheet.shows or BLANK)}" + ("" if sheet.shows else '   # "pH" or "mV"')
    yield ""
    yield "# The meter in the buffers, before the jars. One that shows only pH: by its calibrate key first,"
    yield "# then both bottles read as if they were samples."
    for bottle in sheet.points or (None, None):
        yield from ("", "[[point]]", *_read(bottle))
    if sheet.check is not None:
        yield from ("", "# Another bottle, as a check on them.", "[check]", *_read(sheet.check))
    yield from ("", "# Once more after the last jar. Not done? Strike these four lines.")
    yield from ("[close]", *_read(sheet.close))
    yield ""


def _read(bottle: SheetBottle | None) -> Iterator[str]:
    words = "" if bottle is None else bottle.words
    said = 'what stands on it: "7.00", or its name' if bottle is None else words
    yield f"buffer = {_text(BLANK if bottle is None else bottle.name)}" + (f"   # {said}" if said else "")
    yield f'shows = "{BLANK}"'
    yield f'temperature = "{BLANK}"'


def _probe(sheet: DaySheet) -> Iterator[str]:
    if sheet.probe is not None:
        yield from ("[probe]", f"name = {_text(sheet.probe)}", "")


def _jars(sheet: DaySheet) -> Iterator[str]:
    yield f"# The jars, measured by the {cup_words(sheet.cup)}, each from spots of its own."
    for (enclosure, kind), jars in groupby(sheet.jars, key=lambda jar: (jar.enclosure, jar.kind)):
        first, *others = jars
        what = "" if kind == "bed" else f", the {kind}"
        yield ""
        yield f"# {enclosure}{what}: {first.substrate} of substrate, {first.water} of distilled water a jar."
        for jar in (first, *others):
            yield from _jar(jar, sheet)
    if not sheet.jars:
        yield from (
            "",
            "[[enclosure]]",
            f'name = "{BLANK}"',
            "",
            "[[jar]]",
            f'label = "{BLANK}"   # such as "A1"',
        )
        yield from (f'enclosure = "{BLANK}"', f'shows = "{BLANK}"', f'temperature = "{BLANK}"')
    yield ""


def _jar(jar: SheetJar, sheet: DaySheet) -> Iterator[str]:
    yield from ("", "[[jar]]", f"label = {_text(jar.label)}", f"enclosure = {_text(jar.enclosure)}")
    if sheet.probe is not None and jar.kind != "steady jar":
        yield f'probe = "{BLANK}"   # what the soil probe shows at that spot, before the spoon'
    yield f'shows = "{BLANK}"'
    yield f'temperature = "{BLANK}"' if sheet.warmth_counts else "# temperature = 21.5   # if it was read"
    yield '# note = ""'


def _text(text: str) -> str:
    """Write a text as TOML does: names hold no control characters, and the rest JSON escapes alike."""
    return json.dumps(text, ensure_ascii=False)
