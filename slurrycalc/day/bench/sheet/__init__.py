"""The sheet of a bench day that is still to come: what the record knows, typed on by pencil or in a file."""

from slurrycalc.day.bench.sheet.known import DaySheet, SheetBottle, SheetJar, day_sheet
from slurrycalc.day.bench.sheet.pencil import Part, Pencil, pencil
from slurrycalc.day.bench.sheet.written import written

__all__ = ["DaySheet", "Part", "Pencil", "SheetBottle", "SheetJar", "day_sheet", "pencil", "written"]
