"""A keeper's acts: a bench day declared or guided, one step of it, and questions about months.

`worksheet` and `table` read a declared day, `bench` computes it; `guided` asks for one at the table;
`keeping` puts what was done on record, and takes from there what is known; `planning` asks the record about
months.
"""
