"""The one home of defaults that are neither measured nor given.

Every constant says in which unit it stands, how it is known and on what ground, so that a budget that rests
on it can say so by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Known = Literal["measured", "given", "published", "common practice", "memory", "our own", "computed"]
"""How a number is known: "memory" was recalled and not looked up, "our own" was chosen by us."""


@dataclass(frozen=True, slots=True)
class Assumed:
    """A default value and how it is known."""

    value: float
    unit: str
    known: Known
    ground: str


def from_where(known: Known) -> str:
    """Write how a number is known, as a table or a bracket holds it."""
    return "from memory" if known == "memory" else known


COVERAGE = Assumed(
    0.95, "1", "common practice", "how often an interval holds the truth, and how sure an answer must be"
)
BOTTLE_TOLERANCE = Assumed(0.02, "pH", "memory", "tolerance printed on most buffer bottles, 25 degC")
JUNCTION = Assumed(0.02, "pH", "memory", "standard uncertainty of the residual liquid-junction potential")
SLURRY_SCATTER = Assumed(
    0.10,
    "pH",
    "our own",
    "expected: nine times in ten slurries scatter by 0.06 to 0.44 pH; in 53 laboratories blind "
    "duplicates of homogenised organic soils did by 0.04 to 0.26 at pH 5.5 (Kalra et al., J. AOAC Int. 78 "
    "(1995) 310)",
)
SLURRY_SCATTER_DOF = Assumed(2.0, "1", "our own", "how much the expected scatter of slurries is worth")
PROBE_SCATTER = Assumed(
    0.40,
    "pH",
    "our own",
    "expected: nine times in ten probes scatter by 0.23 to 1.8 pH against slurries; sensors in "
    "fields scattered by 0.23 to 0.69 against laboratory pH (LimeSoDa data sets, Schmidinger et al.)",
)
PROBE_SCATTER_DOF = Assumed(2.0, "1", "our own", "how much the expected scatter of a probe is worth")
TARGET_LOW = Assumed(5.4, "pH", "common practice", "lower end of the range wanted in forest-type substrate")
TARGET_HIGH = Assumed(6.5, "pH", "common practice", "upper end of the range wanted in forest-type substrate")
FLOOR = Assumed(5.0, "pH", "common practice", "below it plants and small soil animals suffer")
RESOLUTION_MV = Assumed(0.1, "mV", "common practice", "smallest step of most displays that show millivolts")
RESOLUTION_PH = Assumed(0.01, "pH", "common practice", "smallest step of most displays that show pH")
REPEATABILITY_MV = Assumed(0.3, "mV", "memory", "standard deviation of an indication that has come to rest")
REPEATABILITY_PH = Assumed(0.01, "pH", "memory", "standard deviation of an indication that has come to rest")
THERMOMETER = Assumed(1.0, "degC", "memory", "half-width of a kitchen or a meter's own thermometer's error")
UNREAD_TEMPERATURE = Assumed(
    5.0,
    "degC",
    "our own",
    "half-width about the buffers' temperature where none was read: one room, some hours",
)
LABEL_TEMPERATURE = Assumed(
    25.0, "degC", "common practice", "temperature that a buffer bottle's label speaks of"
)
UNRECORDED_CALIBRATION = Assumed(
    0.05,
    "pH",
    "our own",
    "what pH values handed down together share, from bottles, junction and drift",
)
BUFFER_SPAN = Assumed(1.0, "pH", "our own", "two buffers nearer to each other tell no slope")
STRAIGHTNESS = Assumed(
    0.05, "1", "common practice", "level of the chi2 test: so often the line of good buffers is disputed"
)
SCATTER_SURPRISE = Assumed(
    0.01, "1", "our own", "level of the F test: so often usual scatter is called unlike what was expected"
)
USUAL_SURPRISE = Assumed(
    0.05,
    "1",
    "our own",
    "the same against what is usual alone: at 0.01 two slurries would have to scatter by ten times it "
    "(1.0), so by four times (0.43)",
)
USUAL_DOF = Assumed(2.0, "1", "our own", "an expectation worth no more is what is usual, and no record")
EFFICIENCY_GOOD_LOW = Assumed(95.0, "%", "common practice", "efficiency from which an electrode is good")
EFFICIENCY_GOOD_HIGH = Assumed(102.0, "%", "common practice", "efficiency above which something is wrong")
EFFICIENCY_CLEAN = Assumed(
    90.0, "%", "common practice", "efficiency below which an electrode is not to be used"
)
OFFSET_LIMIT = Assumed(
    30.0, "mV", "common practice", "offset at pH 7 beyond which an electrode wants cleaning"
)
DUPLICATE_LIMIT = Assumed(
    0.15,
    "pH",
    "memory",
    "duplicates agree within it at pH <= 7 (ISO 10390, from memory); borrowed: it concerns homogenised soil",
)
ODD_JAR = Assumed(
    0.01, "1", "our own", "so rarely one of three or more good slurries of a day is called odd, at most"
)
ODD_FEWEST = Assumed(3.0, "1", "our own", "of two jars nobody can say which lies by itself")
ODD_GAP = Assumed(
    1.5, "1", "our own", "a jar lies by itself where its gap to the others is so much wider than they spread"
)
SCATTER_RENEWED = Assumed(
    0.5,
    "1",
    "our own",
    "an event after which the scatter of jars is more likely another than not ends an enclosure's own past",
)
SLURRIES_EACH = Assumed(2.0, "1", "our own", "slurries of each enclosure on a day: two show how they scatter")
MOST_SLURRIES = Assumed(6.0, "1", "our own", "further slurries at most: a day has room for no more")
ADVICE_LIKELY = Assumed(
    0.5, "1", "our own", "an action that settles a question in this part of the cases or more is advised"
)
ADVICE_DAY_GAIN = Assumed(
    0.05, "1", "our own", "another day must raise the chance by this much over all that today could bring"
)
ADVICE_LEAVES = Assumed(
    0.95, "1", "our own", "an action that leaves more than this part of the half-width is not worth its while"
)
EVEN_CHANCE = Assumed(0.5, "1", "our own", "more likely outside the range than inside asks for an exchange")
TENDING_WAITS = Assumed(7.0, "d", "our own", "so long before its bed comes out nothing is tended in a case")
FLOOR_CHANCE = Assumed(0.05, "1", "our own", "a larger chance of lying below the floor is always said")
OTHERS_DOF = Assumed(
    4.0,
    "1",
    "our own",
    "the usual expectation and other enclosures count for no more: pooled in full (by simulation) they left "
    "the most scattered fifth of enclosures at a coverage of 0.74, so limited at 0.92",
)
OTHERS_READINGS = Assumed(
    400.0, "1", "our own", "newest readings of all enclosures that are looked through for others' scatter"
)
SCATTER_DAYS = Assumed(
    120.0,
    "1",
    "our own",
    "newest days of an enclosure that are looked through for its own scatter: ten years of months. A bed as "
    "it was before them tells little of what it is, and a hundred degrees of freedom more change no interval",
)
PROBE_PAIRS = Assumed(
    1000.0, "1", "our own", "newest pairs that count for a probe: older ones say little of a probe that ages"
)
PROBE_FOLLOWS = Assumed(0.5, "pH per pH", "our own", "a probe that follows by less does not follow")
PROBE_SURE = Assumed(
    0.95, "1", "our own", "so sure it must be that a probe follows, or that it does not, to be said"
)
PROBE_GAIN = Assumed(
    0.8,
    "pH per pH",
    "our own",
    "expected of a probe; six fields' sensors have 0.73, 0.35, 0.17, 0.12, 0.11 and 0.06 (LimeSoDa data "
    "sets, Schmidinger et al.), so it is kind to probes",
)
PROBE_GAIN_U = Assumed(0.4, "pH per pH", "our own", "standard deviation of what is expected of gains")
RESPONSE_SCATTER = Assumed(
    0.30, "pH", "our own", "expected of indications about their response to the slurries' pH"
)
RESPONSE_SCATTER_DOF = Assumed(2.0, "1", "our own", "how much the expected scatter of a response is worth")
PROBE_WANDER = Assumed(
    0.05, "pH per square root of a month", "our own", "a probe's offset wanders so far after its pairs"
)
UNREAD_CHANGE = Assumed(
    0.02, "pH/month", "our own", "least by which a bed's drift may have changed since its last bench day"
)
UNRECORDED_BED = Assumed(6.0, "pH", "our own", "a bed without a bench day on record")
UNRECORDED_BED_U = Assumed(1.0, "pH", "our own", "standard deviation of beds without a bench day on record")
PROBE_DISAGREES = Assumed(
    0.05, "1", "our own", "an indication that strays from the record so rarely by chance asks for a slurry"
)
PROBE_REASSURES = Assumed(
    3.0, "month", "our own", "so long after the last bench day a probe may reassure; later it may only warn"
)
KITCHEN_CUP = Assumed(0.05, "1", "memory", "half-width of what a cup, spoon or jug holds, over its size")
GRAM_SCALE = Assumed(1.0, "g", "memory", "half-width of a kitchen scale's error")
WATER_DENSITY = Assumed(
    0.9982, "g/mL", "published", "water at 20 degC: Tanaka et al., Metrologia 38 (2001) 301"
)
BULK_DENSITY_SPREAD = Assumed(
    0.10, "1", "memory", "half-width of a bulk density given without one, over its value: refilling the cup"
)
MOISTURE_SPREAD = Assumed(0.10, "1", "memory", "half-width of a moisture given without one, over its value")
SLURRY_RATIO = Assumed(2.0, "1", "common practice", "parts of water to one of substrate, by volume")
RATIO_SLACK = Assumed(
    0.10,
    "1",
    "our own",
    "a ratio off by less, over the wanted one, changes a pH by some 0.03, if it rises by "
    "about 0.2 for each doubling of the water",
)
BED_SHARE = Assumed(0.02, "1", "our own", "two slurries take no more than this share of a bed")
CONTAINER_FILL = Assumed(0.75, "1", "our own", "share of a container that leaves room to stir")
SIMPLE_MEASURE = Assumed(
    0.03, "1", "our own", "a measure that is off by less, over its size, may be of one cup or spoon alone"
)
ELECTRODE_ROOM = Assumed(2.0, "cm", "memory", "an electrode is hardly thinner, with room beside it")
PORE_SPACE = Assumed(0.8, "1", "memory", "share of an organic substrate's bulk volume that takes up water")
TIP_DEPTH = Assumed(3.0, "cm", "memory", "clear liquid that covers an electrode's bulb and its junction")
SETTLING = Assumed(
    30.0, "min", "common practice", "a slurry settles before it is read; procedures differ: keep to one"
)
STANDING = Assumed(5.0, "min", "memory", "a slurry stands after its last stir")
FIRST_RETEST = Assumed(1.0, "month", "common practice", "read again a month after a single bench day")
AFTER_EXCHANGE = Assumed(7.0, "d", "memory", "a bed is read so long after a part of it was exchanged")
LONGEST_RETEST = Assumed(12.0, "month", "common practice", "no record of a substrate is good for longer")
TREND_DAYS = Assumed(
    36.0,
    "1",
    "our own",
    "newest bench days of a trend: three years of months; a straight line through more says less of what "
    "happens now",
)
TREND_HORIZON = Assumed(120.0, "month", "our own", "no line is drawn farther into the future")
BUFFERING_FACTOR = Assumed(
    2.0,
    "1",
    "memory",
    "fresh and old substrate hold their pH equally well per volume within it, unless a trial shows otherwise",
)
MOST_AT_ONCE = Assumed(
    1.0 / 3.0, "1", "memory", "part of a bed exchanged at a time at most, for the sake of its roots and fauna"
)
STAGE_SPACING = Assumed(28.0, "d", "memory", "from one stage of an exchange to the next")
UPKEEP_EVERY = Assumed(3.0, "month", "our own", "from one exchange of an upkeep to the next")
LONGEST_UPKEEP = Assumed(60.0, "month", "our own", "an upkeep at longer intervals is none")
ENOUGH = Assumed(
    0.8, "1", "our own", "how surely a bed lies at the pH wanted, or beyond it, for its exchange to end"
)
MOST_STAGES = Assumed(6.0, "1", "our own", "an exchange in more stages is a new bed")
FRESH_REST = Assumed(7.0, "d", "memory", "a fresh mix stands moist before its pH is measured")
TRIAL_REST = Assumed(21.0, "d", "memory", "jars of a trial stand moist before their pH is measured")
CURVE_JARS = Assumed(
    4.0, "1", "our own", "by simulation: jars of a trial from which a curve is fitted, no line"
)
PLAUSIBLE_DRIFT = Assumed(2.0, "pH/month", "our own", "no bed drifts faster")
CONDUCTIVITY_COEFFICIENT = Assumed(
    0.0191, "1/degC", "published", "ISO 7888:1985, linear compensation of conductivity about 25 degC"
)
COEFFICIENT_SPREAD = Assumed(
    0.002, "1/degC", "memory", "half-width of what solutions differ by in it, from salt to salt"
)
STANDARD_TOLERANCE = Assumed(
    0.01, "1", "memory", "half-width of a conductivity standard's error, over its value, as bottles state it"
)
UNCHECKED_CELL = Assumed(
    0.05, "1", "memory", "half-width of a conductivity meter's error, over its value, if no standard was read"
)
CELL_FACTOR_OFF = Assumed(
    0.1, "1", "our own", "a conductivity cell that is off by more, over its value, wants cleaning"
)
SOFT_WATER = Assumed(50.0, "uS/cm", "our own", "distilled and deionised water conduct less, by far")
CONDUCTIVITY_REPEATABILITY = Assumed(
    0.01, "1", "memory", "standard deviation of one indication of conductivity, over its value"
)
SALT_SCATTER = Assumed(
    0.20,
    "1",
    "our own",
    "expected, over the mean; samples of one field group scatter by 0.30 "
    "(Conduc of the data set Soils in carData), and spots of an enclosure are nearer together",
)
SALT_SCATTER_DOF = Assumed(2.0, "1", "our own", "how much the expected scatter of salts is worth")
SALT_PER_TENFOLD = Assumed(
    0.5,
    "pH",
    "memory",
    "fall of a slurry's pH for ten times the salt: in 0.01 mol/L calcium chloride, about ten times what "
    "a slurry in water holds, soils mostly read lower by 0.2 to 0.8",
)
SALT_PER_TENFOLD_SPREAD = Assumed(0.3, "pH", "memory", "half-width of that fall, from substrate to substrate")
STEADY_WATCH = Assumed(0.95, "1", "our own", "coverage outside which a steady jar is watched")
STEADY_ALARM = Assumed(0.998, "1", "our own", "coverage outside which a steady jar alarms")
STEADY_SLOPE = Assumed(0.999, "1", "our own", "coverage at which a steady jar's slope alarms")
EFFICIENCY_SCATTER = Assumed(1.0, "%", "our own", "expected from one calibration to the next")
OFFSET_SCATTER = Assumed(5.0, "mV", "our own", "expected from one calibration to the next")
ELECTRODE_CALIBRATIONS = Assumed(
    36.0,
    "1",
    "our own",
    "newest calibrations of an electrode's line: three years of months, longer than most electrodes last",
)
ELECTRODE_DAYS = Assumed(
    3.0, "1", "our own", "days of calibration from which an end is warned of: two show no scatter"
)
ELECTRODE_ENDS = Assumed(
    3.0, "month", "our own", "an electrode whose end may come within it is to be replaced soon"
)
METER_SCATTER_DOF = Assumed(2.0, "1", "our own", "how much the expected scatter of calibrations is worth")
LAB_REPRODUCIBLE = Assumed(
    0.10,
    "pH",
    "published",
    "half-width of a laboratory's pH given without one: reproducible within 0.10 pH, 1:2 in deionised water "
    "(University of California, Davis, Analytical Laboratory, soil method 207)",
)
OUTSIDE_FARTHEST = Assumed(
    366.0, "d", "our own", "no bench day of ours farther from an outside sample is held against it"
)
OUTSIDE_FAR = Assumed(
    31.0, "d", "our own", "from so far apart on the pH may have drifted meanwhile, and it is said"
)
LEAF_LITTER = Assumed(3.0, "month", "common practice", "leaf litter breaks down and is topped up")
CHARCOAL = Assumed(12.0, "month", "common practice", "charcoal fills up and is renewed")
STEADY_JAR = Assumed(1.0, "month", "common practice", "the steady jar is slurried on every bench day")
PROBE_CHECK = Assumed(7.0, "d", "common practice", "a probe is read weekly")
BOTTLE_OPEN = Assumed(
    6.0, "month", "common practice", "an opened buffer bottle is replaced; alkaline ones age sooner"
)
BED_LEVEL = Assumed(
    10.0, "pH", "our own", "standard deviation of a bed's level about its first reading, before it"
)
BED_RATE = Assumed(0.10, "pH/month", "our own", "standard deviation of the first rate about 0")
STEADY_WANDER = Assumed(
    0.0005, "pH/month", "our own", "change of the rate over a month of a bed that drifts evenly"
)
SLOW_WANDER = Assumed(
    0.02, "pH/month", "our own", "the same of a bed whose drift changes within a season or two"
)
FAST_WANDER = Assumed(0.06, "pH/month", "our own", "the same of a bed whose drift changes within weeks")
STEADY_SHARE = Assumed(0.70, "1", "our own", "beds that drift evenly, before a reading")
SLOW_SHARE = Assumed(0.15, "1", "our own", "beds whose drift changes slowly; the rest change fast")
WANDER_HAZARD = Assumed(
    0.05, "1/month", "our own", "how often a bed comes to change its rate otherwise than before"
)
SCATTER_LEAST = Assumed(0.03, "pH", "our own", "smallest scatter of jars on the grid of a bed's model")
SCATTER_RATIO = Assumed(1.62, "1", "our own", "from one scatter of that grid to the next")
SCATTER_NODES = Assumed(7.0, "1", "our own", "scatters on that grid, up to 0.54 pH")
DAY_EFFECT = Assumed(
    0.02, "pH", "our own", "what a day's jars share and its calibration does not know, mostly"
)
DAY_EFFECT_LARGE = Assumed(0.07, "pH", "our own", "the same on benches where it is large")
DAY_EFFECT_SHARE = Assumed(0.75, "1", "our own", "benches where it is small")
BUFFERING_SPREAD = Assumed(
    0.42, "1", "our own", "standard deviation of ln r, the buffering ratio, before it shows"
)
BUFFERING_TAIL = Assumed(
    0.02, "1", "our own", "weight added to each node of ln r: no ratio on the grid is ruled out"
)
BUFFERING_KEPT = Assumed(
    0.5, "1", "our own", "chance that fresh mix keeps its capacity, and does not age to the bed's"
)
SCATTER_STAYS = Assumed(
    4.0, "1", "our own", "power of the part left in place: how surely the old scatter stays"
)
PLACEMENT_SHARE = Assumed(
    0.10, "1", "our own", "standard deviation of an exchange's step, over the step: uneven mixing"
)
PLACEMENT_FIXED = Assumed(0.02, "pH", "our own", "standard deviation of the level that any exchange adds")
EXCHANGE_RATE = Assumed(0.010, "pH/month", "our own", "standard deviation of the rate that any exchange adds")
DISTURBED_LEVEL = Assumed(1.0, "pH", "our own", "standard deviation of a step of unknown size")
DISTURBED_RATE = Assumed(
    0.05, "pH/month", "our own", "standard deviation of the rate after a step of unknown size"
)
DISTURBED_SCATTER = Assumed(
    0.7, "1", "our own", "chance that the scatter of jars is another after such a step"
)
NEW_BOTTLES = Assumed(
    0.012, "pH", "our own", "standard uncertainty of the measured level's move with new bottles"
)
RATE_CHANGES = Assumed(0.5, "1", "our own", "from this chance on a bed's drift is said to be changing")
READING_SURPRISE = Assumed(0.99, "1", "our own", "coverage outside which a reading is a surprise")
READ_AGAIN_CHANCE = Assumed(
    0.01, "1", "our own", "a bed is read again before its chance to be past a limit is larger"
)
READ_AGAIN_LATEST = Assumed(4.0, "month", "our own", "from one reading of a bed to the next at most")
EXCHANGES_TAUGHT = Assumed(
    2.0, "1", "our own", "readings after exchanges, from which on the next exchange is foreseen"
)
FORESEEN_RETEST = Assumed(
    75.0, "d", "our own", "a bed is read so long after an exchange that is foreseen, at most"
)
READ_AGAIN_SOONEST = Assumed(
    7.0, "d", "our own", "from one reading of a bed to the next, unless it may be past a limit"
)
BED_OUTLOOK = Assumed(36.0, "month", "our own", "no day is named farther ahead for a bed")
JARS_AHEAD = Assumed(2.0, "1", "our own", "jars of a bench day that is foreseen")
WANTED_ROOM = Assumed(6.0, "month", "our own", "so much drift an exchange leaves room for")
WANTED_STEP = Assumed(0.05, "pH", "our own", "the pH wanted of an exchange is a multiple of it")
UPKEEP_DAYS = Assumed(
    4.0, "1", "our own", "bench days from which on an upkeep is planned for a bed that shows no drift"
)
UPKEEP_NEXT = Assumed(0.99, "1", "our own", "chance that the next low of an upkeep keeps to the limit")
UPKEEP_AFTER = Assumed(0.98, "1", "our own", "chance that the low after the next does")
PAIRS_SPAN = Assumed(1.0, "pH", "our own", "pairs that reach less far are those of a bed alone")
