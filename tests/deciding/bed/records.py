"""Records of made-up beds, for the tests of the model."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import strategies as st

from slurrycalc.deciding.bed import Disturbed, Happening, NewBench, RatioTried, Replaced, day_mean

FIRST = date(2024, 1, 10)


def made_up(
    seed: int, days: int = 12, every: int = 30, start: float = 6.0, drift: float = -0.03
) -> list[Happening]:
    """A bed that drifts evenly, read at nearly even intervals, two jars a day."""
    random = np.random.default_rng(seed)
    found: list[Happening] = []
    day = FIRST
    for _ in range(days):
        months = (day - FIRST).days / 30.4375
        jars = start + drift * months + random.normal(0.0, 0.03) + random.normal(0.0, 0.1, 2)
        found.append(day_mean(day, jars.tolist(), 0.012))
        day += timedelta(days=int(every + random.integers(-6, 7)))
    return found


def eventful(seed: int) -> list[Happening]:
    """The same with one of everything that can happen to a bed."""
    read = made_up(seed, 10)
    places = (
        Replaced(read[2].day, 0.25, 6.6, 0.05),
        NewBench(read[3].day),
        RatioTried(read[4].day, 0.3, 0.2),
        Replaced(read[5].day, 0.3, 6.4, 0.1),
        Disturbed(read[6].day, "charcoal"),
        Replaced(read[7].day, 0.3, None),
    )
    found = list(read)
    for place in places:
        after = max(i for i, each in enumerate(found) if each.day <= place.day)
        found.insert(after + 1, place)
    return found


@st.composite
def histories(draw: st.DrawFn) -> list[Happening]:
    """Any record: days in order, each with a reading or something else."""
    day = FIRST
    ph = st.floats(4.0, 8.0)
    found: list[Happening] = [day_mean(day, [draw(ph)], 0.012)]
    for _ in range(draw(st.integers(0, 6))):
        day += timedelta(days=draw(st.integers(0, 90)))
        near = draw(st.floats(-0.4, 0.4)) + found[0].mean  # type: ignore[union-attr]
        found.append(
            draw(
                st.one_of(
                    st.lists(st.floats(near - 0.2, near + 0.2), min_size=1, max_size=4).map(
                        lambda jars, day=day: day_mean(day, jars, 0.012)  # type: ignore[misc]
                    ),
                    st.builds(Replaced, st.just(day), st.floats(0.01, 1.0), ph, st.floats(0.0, 0.3)),
                    st.builds(Replaced, st.just(day)),
                    st.just(Disturbed(day, "charcoal")),
                    st.just(NewBench(day)),
                    st.builds(RatioTried, st.just(day), st.floats(-1.0, 1.0), st.floats(0.05, 0.5)),
                )
            )
        )
    return found
