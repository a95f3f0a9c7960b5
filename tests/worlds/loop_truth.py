"""True beds for the loop: how they drift, how they mix, and what their readings add.

What a bed does of itself is laid out for each day of five years; an exchange changes what follows. Beds
begin at 5.8 to 6.6 and fall by 0.015 to 0.045 a month, unless the world says otherwise; a third of the mix's
worlds say r. Fresh mix has pH 6.6 ± 0.1, read with 0.07. All of these are our own choice.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from slurrycalc.deciding.days import DAYS_PER_MONTH
from tests.worlds.bed_worlds import BOTTLES_EVERY, CALIBRATION, JARS, JUNCTION, PAIR

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DAYS = 1826
FLOOR, LOW, HIGH = 5.0, 5.4, 6.5
MIX, MIX_SPREAD, MIX_READ = 6.6, 0.10, 0.07
SCATTER = 0.10
HALF = 120.0
"""Days in which half of what salts add is gone, and as much come anew."""
FADES = 60.0
"""Days within which a fading step, or one that is late, is half over."""


@dataclass(frozen=True)
class World:
    """A kind of world."""

    drift: str = "straight"
    ratio: float | None = None
    """r; drawn, with a standard deviation of 0.42 of its logarithm, unless given. [1]"""
    keeps: bool | None = None
    """Whether fresh mix keeps its capacity; half of the beds unless given."""
    placement: float = 0.10
    """Standard deviation of a step over the step. [1]"""
    patchy: float = 1.0
    """What the scatter of jars is multiplied by once a bed was exchanged."""
    odd: float = 0.0
    """Share of jars that are odd, off by 0.6. [1]"""
    off: float = 0.0
    """How much too high a bottle that goes off makes the readings after half a year. [pH]"""
    fading: float = 0.0
    """Part of each step that fades again (negative: that comes late): it breaks the mixing law. [1]"""
    salts: float = 0.0
    """Standard deviation of what salts add to the readings, which wanders, half of it gone in HALF. [pH]"""


WORLDS = {
    "steady": World("steady"),
    "straight": World(),
    "doubled at 18": World("doubled at 18"),
    "tripled late": World("tripled late"),
    "accelerating": World("accelerating"),
    "plateau": World("plateau"),
    "season": World("season"),
    "drawn anew": World("drawn anew"),
    "r 0.4, kept": World("doubled at 18", 0.4, keeps=True),
    "r 0.4, aged": World("doubled at 18", 0.4, keeps=False),
    "r 2.5, kept": World("doubled at 18", 2.5, keeps=True),
    "r 2.5, aged": World("doubled at 18", 2.5, keeps=False),
    "patchy": World(placement=0.3, patchy=2.0),
    "odd jars": World(odd=0.05),
    "bottles off": World(off=0.10),
    "fading mix": World(fading=0.4),
    "late mix": World(fading=-0.4),
    "salts": World(salts=0.12),
    "salts, tripled": World("tripled late", salts=0.12),
    "odd and off, tripled": World("tripled late", odd=0.05, off=0.10),
}


def natural(drift: str, random: np.random.Generator, beds: int) -> tuple[Floats, Floats]:
    """Lay out what beds do of themselves: the first level, and each day's change of it. [pH]."""
    t = np.arange(DAYS + 1)[:, None] / DAYS_PER_MONTH
    start, rate = random.uniform(5.8, 6.6, beds), -random.uniform(0.015, 0.045, beds)
    phase = random.uniform(0.0, 2 * np.pi, beds)
    anew = random.random((61, beds)) < 0.04
    drawn = random.uniform(-0.08, 0.02, (61, beds))
    path = rate * t
    if drift == "steady":
        path = 0.0 * path
    elif drift in {"doubled at 18", "tripled late", "plateau"}:
        at, by = {"doubled at 18": (18, 1), "tripled late": (18, 2), "plateau": (12, -1)}[drift]
        path = rate * (t + by * np.maximum(t - at, 0.0))
    elif drift == "accelerating":
        path = rate * t * (0.25 + t / 24.0)
    elif drift == "season":
        path = path + 0.15 * (np.sin(2 * np.pi * t / 12.0 + phase) - np.sin(phase))
    elif drift == "drawn anew":
        monthly = drawn.copy()
        monthly[0] = rate
        for k in range(1, 61):
            monthly[k] = np.where(anew[k], drawn[k], monthly[k - 1])
        each = monthly[np.minimum(t[:, 0].astype(int), 60)] / DAYS_PER_MONTH
        path = np.concatenate([np.zeros((1, beds)), np.cumsum(each[:-1], axis=0)])
    return start, np.diff(path, axis=0)


@dataclass
class Truth:
    """True beds of one world, and what readings and exchanges make of them."""

    world: World
    random: np.random.Generator
    beds: int
    level: Floats = field(init=False)
    """Now, for each bed. [pH]"""
    now: Ints = field(init=False)
    """The day up to which each bed has come."""

    def __post_init__(self) -> None:
        world, random, beds = self.world, self.random, self.beds
        self.level, self.natural = natural(world.drift, random, beds)
        self.now = np.zeros(beds, dtype=np.int64)
        self.capacity, self.open = np.ones(beds), np.zeros(beds)
        drawn = np.exp(random.normal(0.0, 0.42, beds))
        self.ratio = drawn if world.ratio is None else np.full(beds, world.ratio)
        kept = random.random(beds) < 0.5
        self.keeps = kept if world.keeps is None else np.full(beds, world.keeps)
        self.day_effect = random.choice([0.02, 0.07], beds, p=[0.75, 0.25])
        self.junction = random.normal(0.0, JUNCTION, beds)
        self.pairs = random.normal(0.0, PAIR, (12, beds))
        self.touched = np.zeros(beds, dtype=bool)
        self.below = np.zeros(beds, dtype=bool)
        self.substrate = np.zeros(beds)
        self.salts, self.salts_on = np.zeros(beds), np.full(beds, -10 * DAYS)
        self.spots = np.zeros((JARS, beds))  # pH of the jars read last, without what their readings add

    def on(self, day: Ints) -> tuple[NDArray[np.bool_], Ints]:
        """Let each bed come to a day: whether it lay below the floor on the way, and the first day it did."""
        low, first = np.zeros(self.beds, dtype=bool), np.full(self.beds, DAYS + 1)
        for i in np.flatnonzero(day > self.now).tolist():
            a, b = int(self.now[i]), int(day[i])
            path = self.level[i] + np.cumsum(self.natural[a:b, i]) / self.capacity[i]
            if self.open[i]:
                stays = 0.5 ** (np.arange(1, b - a + 1) / FADES)
                path = path - self.open[i] * (1.0 - stays)
                self.open[i] *= stays[-1]
            self.level[i] = path[-1]
            under = path < FLOOR
            if under.any():
                low[i], first[i] = True, a + 1 + int(under.argmax())
        self.now = np.maximum(self.now, day)
        self.below |= low
        return low, first

    def read(self) -> tuple[Floats, Floats]:
        """Read each bed where it stands: mean of the jars [pH], and their sum of squares [pH^2]."""
        months = self.now / DAYS_PER_MONTH
        period = np.floor(months / BOTTLES_EVERY + 1e-9).astype(int)
        shared = self.junction + self.pairs[period, np.arange(self.beds)]
        shared = shared + self.world.off * (months / BOTTLES_EVERY - period)
        if self.world.salts:
            shared = shared + self._salty()
        sd = SCATTER * np.where(self.touched, self.world.patchy, 1.0)
        jars = self.random.normal(0.0, 1.0, (JARS, self.beds)) * sd
        self.spots = self.level + jars
        odd = self.random.random(jars.shape) < self.world.odd
        jars = jars + odd * self.random.normal(0.0, 0.6, jars.shape)
        own = self.random.normal(0.0, np.hypot(self.day_effect, CALIBRATION))
        return self.level + shared + own + jars.mean(axis=0), ((jars - jars.mean(axis=0)) ** 2).sum(axis=0)

    def _salty(self) -> Floats:
        """Let what salts add to the readings come to today. [pH]."""
        stays = 0.5 ** ((self.now - self.salts_on) / HALF)
        drawn = self.random.normal(0.0, self.world.salts, self.beds)
        self.salts, self.salts_on = self.salts * stays + drawn * np.sqrt(1.0 - stays**2), self.now.copy()
        return self.salts

    def mix(self) -> tuple[Floats, Floats]:
        """Make a fresh mix for each bed: its pH, and what it reads."""
        true = self.random.normal(MIX, MIX_SPREAD, self.beds)
        return true, true + self.junction + self.random.normal(0.0, MIX_READ, self.beds)

    def exchange(self, part: Floats, mix: Floats) -> None:
        """Exchange a part of each bed, 0 for none."""
        done = part > 0.0
        before = np.where(self.keeps, self.capacity, 1.0)
        after = (1.0 - part) * before + part * self.ratio
        phi = part * self.ratio / after * (1.0 + self.random.normal(0.0, self.world.placement, self.beds))
        step = np.clip(phi, 0.0, 1.0) * (mix - self.level) + self.random.normal(0.0, 0.02, self.beds)
        now = step if self.world.fading >= 0.0 else step * (1.0 + self.world.fading)
        self.level = np.where(done, self.level + now, self.level)
        self.open = np.where(done, self.open + self.world.fading * step, self.open)
        self.capacity = np.where(done & self.keeps, after, self.capacity)
        self.touched |= done
        self.substrate += part
