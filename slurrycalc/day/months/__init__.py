"""From the record to what a question about weeks and months takes.

======================= ===============================================================================
series                  an enclosure's bench days, and what was done between them: here it all begins
drifting, drifts        how fast pH drifts, by numbers on the line and by the record; `outlook` says what
                        that comes to
retest, reading_again   by when to read again, from the record alone and with the day that is just made
changing                what an exchange and an upkeep both take: `beds`, `fresh_mix`, `trying` (the trial)
exchanging, stages      an exchange, and its stages put on record
holding, rhythm         an upkeep, and when its next exchange has its turn; `gathering_salts` adds the salts,
                        which `salts` follows day by day
duties                  what is due, of everything
outside                 a laboratory's result, held against the bench day nearest to it
bench_state, ageing     whether the bench is steady, and how a meter's electrode ages
======================= ===============================================================================
"""
