"""A keeper's acts, in three rooms: `bench` over `months` over `record`.

======== =====================================================================================
bench    a bench day, however it is typed (worksheet, table, line, at the table): entered into a
         step, and what it came to by the record; a probe and salts read on it
months   questions about weeks and months, put to the record
record   what one step takes from the record, and what it will add
door     the same from Python: `Logbook`
======== =====================================================================================
"""
