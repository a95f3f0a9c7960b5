"""The file of a record: read, begun, taken into and written out."""

from __future__ import annotations

import datetime
import os
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from slurrycalc.logbook.exporting import Exported, export
from slurrycalc.logbook.faults import NoLogbook
from slurrycalc.logbook.foreign import Order, read_foreign
from slurrycalc.logbook.handing_down import import_foreign
from slurrycalc.logbook.merging import Imported, import_package
from slurrycalc.logbook.packages import is_package
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import Store, in_memory, open_logbook, try_first
from slurrycalc.metrology.uncertain import Inputs


class RecordFile:
    """A record in a file, which is open only while something is asked of it."""

    def __init__(self, path: str | os.PathLike[str], *, by: str | None = None) -> None:
        self.path = Path(path)
        self.by = by
        self._inputs = Inputs()

    def __repr__(self) -> str:
        """Say which file it is."""
        return f"{type(self).__name__}({str(self.path)!r})"

    def bring_in(
        self,
        path: str | os.PathLike[str],
        *,
        columns: Mapping[str, str] | None = None,
        order: Order | None = None,
        enclosure: str | None = None,
        probe: str | None = None,
        new: bool = False,
        leave_out: bool = False,
    ) -> Imported:
        """Bring in an exported record, or a CSV of past readings, as `slurrycalc import` does.

        Parameters
        ----------
        path : str or path-like
            Of the table, which has a row a reading, or of the exported record.
        columns : mapping, optional
            What the table calls its columns: ``{"date": "Day", "ph": "pH"}``.
        order : {"ymd", "dmy", "mdy"}, optional
            In which order it writes its dates.
        enclosure : str, optional
            Where all rows are from that name no enclosure.
        probe : str, optional
            Which probe was read.
        new : bool
            Whether names that are not on record yet are added.
        leave_out : bool
            Whether rows that cannot be read are left out; else none comes in.

        Returns
        -------
        Imported
            What came in; doing it twice adds nothing.

        Raises
        ------
        Refusal
            If something in it cannot be read or cannot stand; nothing comes in then.
        LogbookFault
            If the file of the record cannot be used.
        """
        source, now = Path(path), present()
        if is_package(source):
            return self._taken_in(lambda book: import_package(book, source, now))
        with source.open("rb") as file:
            table = read_foreign(file, source.name, columns, order)
            return self._taken_in(
                lambda book: import_foreign(
                    book,
                    table,
                    now,
                    enclosure=enclosure,
                    probe=probe,
                    adds=new,
                    new=new,
                    leave_out=leave_out,
                    keeper=self.by,
                )
            )

    def export(self, path: str | os.PathLike[str]) -> Exported:
        """Write the whole record as a package of tables, which `slurrycalc import` takes in.

        Parameters
        ----------
        path : str or path-like
            A folder, or a file that ends in .zip.

        Returns
        -------
        Exported
            What was written.

        Raises
        ------
        Refusal
            If something is there already.
        """
        with self._reading() as recall:
            return export(recall.book, Path(path), present())

    @contextmanager
    def _reading(self) -> Iterator[Recall]:
        try:
            book = open_logbook(self.path, writes=False)
        except NoLogbook:
            book = in_memory()
        with book:
            yield Recall(book, self._inputs)

    def _taken_in(self, enter: Callable[[Store], Imported]) -> Imported:
        try_first(self.path, enter)
        with self._writing() as book:
            return enter(book)

    @contextmanager
    def _writing(self) -> Iterator[Store]:
        with open_logbook(self.path) as book:
            yield book
            if book.no_copy:
                warnings.warn(book.no_copy, stacklevel=4)


def present() -> datetime.datetime:
    """Give the present, with its offset from UTC."""
    return datetime.datetime.now(datetime.UTC).astimezone()
