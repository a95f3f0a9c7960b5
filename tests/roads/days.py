"""One bench day, as it may be drawn: plain data, in the words that a keeper would type."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hypothesis import strategies as st

from slurrycalc.measuring.electrode import nernst_slope
from slurrycalc.measuring.electrode.buffers import buffer_ph

DATE = "2024-05-04"
METER, PROBE, STEADY, FRESH = "desk", "stick", "jar", "leaf mix"
BEDS = ("window", "stairs", "atlas")
CASES = (*BEDS, STEADY, FRESH)
BOTTLES = {"4.01": "acid", "6.86": "standard", "7.00": "neutral", "9.18": "borax", "10.01": "alkaline"}
"""Labels, and what a bottle is called where bottles have names."""
LIMITS: tuple[dict[str, tuple[str, str, str]], ...] = (
    {},
    dict.fromkeys(BEDS, ("5.6", "6.2", "5.2")),
    {"window": ("5.6", "6.2", "5.2"), "atlas": ("4.5", "7.5", "4.0")},
)
"""Range and floor of the beds, by scheme; who is not there takes what is common practice. [pH]"""
BAD = {"pH": ("54.1", "5.4x", "nan"), "mV": ("8430", "84.3x", "nan")}
"""Readings that cannot stand."""


@dataclass(frozen=True)
class Point:
    """The meter in one bottle."""

    label: str
    shows: tuple[str, ...]
    temperature: str | None
    calibration: int = 1


@dataclass(frozen=True)
class Jar:
    """One slurry."""

    label: str
    case: str
    shows: str
    temperature: str | None
    spot: str | None = None
    probe: str | None = None
    calibration: int = 1


@dataclass(frozen=True)
class BenchDay:
    """A bench day, before it takes any road."""

    shows: str
    points: tuple[Point, ...]
    jars: tuple[Jar, ...]
    """By label; of one enclosure, the calibration never goes back."""
    check: Point | None = None
    close: Point | None = None
    late: bool = False
    """Whether the closing reading is typed after the last jar."""
    fit: str = "line"
    figures: tuple[tuple[str, str], ...] = ()
    """What is said of the meter on that day only."""
    named: bool = True
    """Whether meter, enclosures and probe are on record."""
    tries: bool = False
    inline: bool = False
    """Whether each reading is typed with its buffers behind it."""
    bottles: bool = False
    """Whether bottles have names."""
    limits: int = 0
    """Which scheme of them."""
    earlier: int = 0
    """How many earlier bench days are on record."""
    scatter: str | None = None
    next: str | None = None
    """What the probe shows next."""
    bad: Jar | None = None
    """A jar that cannot stand, beside the others."""

    @property
    def cases(self) -> tuple[str, ...]:
        """Enclosures, in the order of the labels."""
        return tuple(dict.fromkeys(jar.case for jar in self.jars))

    @property
    def calibrations(self) -> tuple[int, ...]:
        return tuple(sorted({point.calibration for point in self.points}))

    @property
    def on_record(self) -> bool:
        """Whether the day is put on the record of a room that is known."""
        return self.named and not self.tries

    def of(self, case: str, calibration: int | None = None) -> tuple[Jar, ...]:
        return tuple(jar for jar in self.jars if jar.case == case and calibration in (None, jar.calibration))

    def buffer(self, point: Point) -> str:
        """What a point's bottle is called."""
        return BOTTLES[point.label] if self.bottles else point.label

    def limits_of(self, case: str) -> tuple[str, str, str] | None:
        return LIMITS[self.limits].get(case)


def features(day: BenchDay) -> frozenset[str]:
    """Say what a day asks of the road that it takes."""
    kept = "named" if day.on_record else "tried" if day.named else "nameless"
    probed = any(jar.probe for jar in day.jars)
    each = {case: day.of(case) for case in day.cases}
    crossing = any(len({jar.calibration for jar in jars}) > 1 for jars in each.values())
    wanted = {day.limits_of(case) for case in day.cases}
    named = {
        f"shows {day.shows}": True,
        "third buffer and more": len({point.label for point in day.points}) > 2,
        "read twice in a bottle": any(len(point.shows) > 1 for point in day.points),
        "bracket": day.fit == "bracket",
        "check": day.check is not None,
        "close": day.close is not None and not day.late,
        "late close": day.close is not None and day.late,
        "close in another than the neutral bottle": day.close is not None and day.close.label != "7.00",
        "several calibrations": len(day.calibrations) > 1,
        "an enclosure under several calibrations": crossing,
        "a reading under two calibrations": any(
            float(one.shows) == float(other.shows) and one.calibration < other.calibration
            for jars in each.values()
            for one in jars
            for other in jars
        ),
        "spots": any(jar.spot for jar in day.jars),
        "several enclosures": len(day.cases) > 1,
        "steady jar": STEADY in day.cases,
        "fresh mix": FRESH in day.cases,
        "given scatter": day.scatter == "0.05",
        "own scatter": day.scatter == "own",
        "recorded scatter": day.earlier > 0,
        "limits": wanted != {None},
        "different limits": len(wanted) > 1,
        "temperatures": day.points[0].temperature is not None,
        "figures of the meter": bool(day.figures),
        "named bottles": day.bottles,
        "bottles that are new": bool(
            day.earlier and not day.bottles and {point.label for point in day.points} != {"4.01", "7.00"}
        ),
        "probe pairs": probed,
        "probe pairs under several calibrations": len({jar.calibration for jar in day.jars if jar.probe}) > 1,
        "next indication": day.next is not None,
        "bad row": day.bad is not None,
        kept: True,
    }
    found = {name for name, there in named.items() if there}
    # What a road can do on record it may be unable to do off it.
    alone = (
        "several calibrations",
        "an enclosure under several calibrations",
        "a reading under two calibrations",
        "probe pairs",
        "probe pairs under several calibrations",
        "different limits",
    )
    return frozenset({f"{name}, {kept}" if name in alone else name for name in found})


# Drawing.

WARMTH = st.sampled_from(["19.5", "21", "22.3"])


@st.composite
def drawn_days(draw: st.DrawFn) -> BenchDay:
    """Draw a bench day that can stand."""
    shows = draw(st.sampled_from(["pH", "mV"]))
    kept = draw(st.sampled_from(["named", "named", "named", "named", "nameless", "tried"]))
    # A day at the table can say less than one that is written down: two of three are of that kind.
    plain = kept == "named" and draw(st.sampled_from([True, True, False]))
    warm = draw(st.booleans())
    named = kept != "nameless"
    scatter = None if plain else draw(st.sampled_from([None, None, None, "0.05", "own"]))
    numbers = (1,) if scatter == "own" else draw(st.sampled_from([(1,), (1, 2)]))
    zero, gain = draw(st.integers(-250, 250)), draw(st.integers(955, 1015))

    def at() -> str | None:
        return draw(WARMTH) if warm else None

    def shown(ph: float, temperature: str | None, calibration: int) -> str:
        """What the display shows in it: a line of its own for each calibration."""
        off = draw(st.integers(-4, 4)) + 5 * (calibration - 1)
        if shows == "pH":
            return f"{7.0 + zero / 2500 + (ph - 7.0) * (1 + (gain - 985) / 3000) + off / 400:.2f}"
        slope = nernst_slope(float(temperature or 25.0)) * gain / 1000
        return f"{zero / 10 - slope * (ph - 7.0) + off / 10:.1f}"

    labels = draw(
        st.lists(st.sampled_from(list(BOTTLES)), min_size=2, max_size=4, unique=True).filter(
            # What is nearly the same says nothing of a slope, and is refused.
            lambda found: {"4.01", "9.18", "10.01"} & set(found) and len({"6.86", "7.00"} & set(found)) == 1
        )
    )
    if draw(st.integers(0, 2)):
        labels = draw(st.sampled_from([["7.00", "4.01"], ["4.01", "7.00", "10.01"]]))

    def point(label: str, calibration: int = 1, most: int = 1) -> Point:
        temperature = at()
        ph = buffer_ph(label, float(temperature or 25.0))
        times = draw(st.integers(1, most))
        return Point(
            label, tuple(shown(ph, temperature, calibration) for _ in range(times)), temperature, calibration
        )

    twice = 1 if plain else draw(st.sampled_from([1, 1, 2]))
    points = tuple(point(label, number, twice) for number in numbers for label in labels)
    others = [label for label in BOTTLES if label not in labels]
    check = None
    if others and not plain and draw(st.booleans()):
        check = point(draw(st.sampled_from(others)), numbers[-1])
    close = None
    if draw(st.booleans()) and (not plain or "7.00" in labels):
        close = point("7.00" if plain else draw(st.sampled_from(labels)), numbers[-1])
    known = CASES if named else BEDS
    cases = sorted(draw(st.sets(st.sampled_from(known), min_size=1, max_size=3)), key=known.index)
    # Which probe belongs to which enclosure must be sure before the first jar is mixed.
    probed = draw(st.booleans()) and any(case in BEDS for case in cases)
    marks = [None]
    if not plain and scatter != "own":
        marks = draw(st.sampled_from([[None], ["a", " a ", "b"], ["a", "A", " a ", "b", None]]))
    jars: list[Jar] = []
    for letter, case in zip("ABC", cases, strict=False):
        truth = draw(st.integers(5520, 5680) if case == STEADY else st.integers(4700, 6800)) / 1000
        n = draw(st.integers(2 if scatter == "own" else 1, 4))
        later = draw(st.integers(0, n)) if len(numbers) > 1 else n
        for k in range(n):
            temperature = at()
            number = numbers[0] if k < later else numbers[-1]
            ph = truth + draw(st.integers(-120, 120)) / 1000
            spot = draw(st.sampled_from(marks))
            probe = None
            if probed and case in BEDS and draw(st.integers(0, 3)):
                probe = f"{ph + 0.4 + draw(st.integers(-4, 4)) / 10:.1f}"
            jars.append(
                Jar(
                    f"{letter}{k + 1}", case, shown(ph, temperature, number), temperature, spot, probe, number
                )
            )
    used = {jar.calibration for jar in jars}
    if used != set(numbers):
        # A calibration that nothing was read under is no part of a day.
        jars = [replace(jar, calibration=1) for jar in jars]
        points = tuple(replace(each, calibration=1) for each in points if each.calibration == min(used))
        check, close = (each and replace(each, calibration=1) for each in (check, close))
        check = check if not check or len(used) == 2 else None
        close = close if not close or len(used) == 2 else None
    bad = None
    if draw(st.integers(0, 3)) == 0:
        bad = replace(
            jars[-1], label=f"{jars[-1].label[0]}9", shows=draw(st.sampled_from(BAD[shows])), probe=None
        )
    figures: list[tuple[str, str]] = []
    if not plain and draw(st.integers(0, 3)) == 0:
        figures.append(("resolution", "1" if shows == "mV" else "0.05"))
        figures += [("thermometer", "0.5")] if draw(st.booleans()) else []
        figures += [("repeatability", "0.5" if shows == "mV" else "0.02")] if draw(st.booleans()) else []
        figures += [("compensates", "no")] if shows == "pH" and draw(st.booleans()) else []
    pairs = any(jar.probe for jar in jars)
    inline = kept == "named" and len(used) == 1 and not pairs and draw(st.booleans())
    return BenchDay(
        shows,
        points,
        tuple(jars),
        check,
        close,
        late=close is not None and kept == "named" and not inline and draw(st.booleans()),
        # Between two bottles that lie so close there is no slope.
        fit="line"
        if plain or {"9.18", "10.01"} <= set(labels)
        else draw(st.sampled_from(["line", "bracket"])),
        figures=tuple(figures),
        named=named,
        tries=kept == "tried",
        inline=inline,
        bottles=draw(st.booleans()),
        limits=draw(st.integers(0, 2)),
        earlier=draw(st.integers(0, 2)) if named else 0,
        scatter=scatter,
        next="6.0" if pairs and not plain and draw(st.booleans()) else None,
        bad=bad,
    )


def earlier_days(shows: str, n: int) -> list[BenchDay]:
    """Give the bench days that a room may have behind it, the first one first."""
    days = []
    for k in range(n):
        jars = []
        for letter, (case, truth) in zip(
            "ABCDE",
            {"window": 5.3, "stairs": 5.9, "atlas": 6.3, STEADY: 5.6, FRESH: 6.6}.items(),
            strict=True,
        ):
            for i, apart in enumerate((-0.05, 0.04, 0.08 * k)):
                ph = truth + apart + (0.03 if letter in "AC" else -0.02) * (i + k)
                display = f"{ph + 0.03:.2f}" if shows == "pH" else f"{-58.1 * (ph - 7.0) + 2.0:.1f}"
                probe = f"{ph + 0.5 - 0.1 * i:.1f}" if case in BEDS and k == 1 else None
                jars.append(Jar(f"{letter}{i + 1}", case, display, "21", None, probe))
        displays = ("4.04", "7.05") if shows == "pH" else ("176.2", "1.4")
        points = tuple(
            Point(label, (each,), "21") for label, each in zip(("4.01", "7.00"), displays, strict=True)
        )
        days.append(BenchDay(shows, points, tuple(jars)))
    return days
