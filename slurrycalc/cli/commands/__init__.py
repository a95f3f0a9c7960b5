"""The commands, a file for each moment; `cli.table` says which file holds which."""
