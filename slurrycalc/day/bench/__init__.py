"""A bench day: from what was typed to what it came to.

=================== =========================================================================
worksheet, table    a `Day` from a file; `blank` is the empty worksheet; `guided` asks for one
places, names       where its parts stand, for sentences about them; what people call them
enter, meter        the one road: a `Day` into a `Step`, however it was typed
standing            where enclosures stand by the record, with that step or later on
bench_day, result   a whole day computed, and what it came to; `results` as a table for a spreadsheet
probe, salt_day     a probe's indications; salts
=================== =========================================================================
"""
