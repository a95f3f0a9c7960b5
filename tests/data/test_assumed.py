"""Every default of the method lives in one place, beside its ground; another number says what it is."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from slurrycalc.data.assumed import COVERAGE, SLURRY_RATIO, from_where

PACKAGE = Path(__file__).parents[2] / "slurrycalc"

# Numbers that stand in their own module, since no result, verdict or advice rests on them as on a default. A
# new one is a default of the method, and belongs into data/assumed.py, unless it is of one of these kinds.
ELSEWHERE = {
    "constants of nature, of calendars and of standards": """
        measuring/electrode/meter GAS_CONSTANT FARADAY_CONSTANT ZERO_CELSIUS MV_PER_KELVIN NEUTRAL
        measuring/electrode/temperatures COLDEST HOTTEST
        measuring/salts/conductivity REFERENCE _THOUSAND
        metrology/uncertain NORMAL_95
        deciding/agree/agreement STATED NORMAL
        deciding/bed/nodes _LOG_TWO_PI
        deciding/days DAYS_PER_MONTH _MINUTES
        deciding/exchange/planning _MINUTES
        deciding/upkeep/holding _MINUTES
        day/months/trying MINUTES_PER_WEEK
        day/bench/guided/room NEUTRAL
        report/pages/salts _MILLI
    """,
    "steps and ends of what is computed by steps, which change no digit that is shown": """
        measuring/probe/response _ROUNDS _SETTLED
        metrology/along GROUPS THIN
        metrology/batch NO_LOADINGS
        metrology/coverage MIXTURE_POINTS FOURIER_POINTS TURN
        metrology/line STEPS
        metrology/units/amounts _PARTS
        metrology/uncertain _serial
        measuring/electrode/coefficients CHUNK
        measuring/electrode/response CHUNK
        measuring/probe/slurries _POINTS _FARTHEST
        measuring/recipe/bulk _SHORT
        measuring/recipe/measures _EXACT
        measuring/slurry/footing SOME LEAST_MOVE
        measuring/slurry/odd _ROUNDING
        measuring/slurry/prospect _F_STEPS _B_STEPS _T_STEPS _TAIL_STEPS _TINY _HALVINGS
        deciding/bed/bed _CHUNK _ROUNDING
        deciding/bed/limits _HALVINGS
        deciding/bed/nodes _SAME_TIME _LEAST_WEIGHT
        deciding/bed/normals _CLOSE _MOST_STEPS _NEGLIGIBLE
        day/months/changing EXACTLY
        day/months/exchanging ROUNDING
        deciding/bed/plans _LOOKS _HALVINGS _ROUNDING
        deciding/mixing _POINTS _QUANTILES _FIRST_LOOK _HALVINGS
        deciding/trial/capacity FARTHEST _GRID _STEPS
        deciding/trial/curve _LOOKS _HALVINGS
        deciding/upkeep/cycles STEADY
        deciding/upkeep/demands _FIRST_STEP _CLOSE _ROUNDING _SCALE
        logbook/past IN_A_DAY
        logbook/readings NEIGHBOURS
        logbook/standing CHUNK
        cli/waiting AFTER OFTEN
        day/bench/standing FEW
        day/months/surprise _NEAR
        day/record/telling AT_ONCE
    """,
    "limits beyond which what was typed is a slip, and refused or asked about": """
        deciding/days _MOST_BARE
        metrology/calendar EARLIEST LATEST
        metrology/names LONGEST_NAME LONGEST_NOTE NEAR SHORTEST_PART
        metrology/quote LONGEST
        metrology/units/grammar LONGEST_AMOUNT
        metrology/units/kitchen _CUP_LIMITS
        measuring/electrode/buffer_kinds LABEL_OFF NEAR_MISS _ROOM _AS_PRINTED
        measuring/electrode/buffers WIDEST_TOLERANCE FARTHEST_LABEL
        measuring/electrode/gathered LOOKS_LIKE_PH
        measuring/electrode/indication FARTHEST_MV PLAUSIBLE_MV
        measuring/recipe/mixing _MOST_SLURRIES
        measuring/recipe/ratio _THICKEST _THINNEST
        measuring/recipe/substrate _HEAVIEST _WETTEST
        measuring/salts/cell _FACTORS _ALMOST
        measuring/salts/conductivity SLURRY_RANGE WATER_RANGE STANDARD_RANGE
        measuring/slurry/spots MOST
        deciding/days LONGEST
        deciding/exchange/planning _MOST_DAYS
        deciding/given WIDEST
        deciding/mixing _FARTHEST_RATIO
        deciding/trial/doses _LONGEST_UNIT
        deciding/upkeep/demands _SCALE
        day/bench/guided/kit MOST_EACH
        day/bench/sheet/known LOOKED_THROUGH
        day/bench/table MOST_ROWS
        day/bench/worksheet LARGEST_FILE
    """,
    "how much is shown, and in which steps": """
        measuring/recipe/bulk _MANY_CUPS _HALVES
        measuring/recipe/measures _MOST_CUPS
        measuring/slurry/duplicates TYPICAL_SCATTERS
        deciding/upkeep/cycles FIRST
        deciding/upkeep/holding INTERVALS
        metrology/results MOST
        day/bench/card NEWEST
        report/strip STEP BELOW
        report/plot STEPS NEAR
        report/drawings LOW TALL
        report/figures/buffers SIZES _LEAST
        report/figures/look SMALL TEXT WIDTH
        report/figures/marks _LETTER _LINE
        report/figures/month _DEEP _EDGE _HEAD _TOGETHER
        report/figures/pair _ROOM
        report/figures/strip _THICK
        report/pictures ROW TALL
        day/months/course APART
        deciding/agenda SURE_OUTSIDE
        measuring/probe/response _HALF
        day/record/shown DIGITS
        day/bench/changed_answer SAME
        day/months/ageing TOLD
        day/months/exchanging SAME
    """,
    "numbers that name something, and forms of files": """
        day/bench/guided/asking SETUP
        day/bench/guided/state FIRST
        day/bench/guided/words SAMPLING MIXING METERING READING CLOSING
        day/record/keeper UNKNOWN
        day/record/mended MARK_AND_VALUE
        logbook/replicates MOST_IN_AN_ENTRY
    """,
}
# The logbook's own numbers of files and tables are not of the method; what it computes with is. Nor are the
# whole numbers of the command line and of pages: rows that are shown, columns, exit statuses.
COMPUTES = {"past", "readings", "standing"}


def modules() -> Iterator[tuple[str, ast.Module]]:
    """Every module outside the one home, with its name from the package on."""
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if name != "data/assumed.py":
            yield name.removesuffix(".py"), ast.parse(path.read_text(encoding="utf-8"))


def is_number(node: ast.expr | None) -> bool:
    """Whether an expression is made of numbers alone: one, several, or computed from some."""
    match node:
        case ast.Constant(value=value):
            return type(value) in (int, float)
        case ast.UnaryOp(operand=one):
            return is_number(one)
        case ast.BinOp(left=one, right=other):
            return is_number(one) or is_number(other)
        case ast.Tuple(elts=several):
            return bool(several) and all(map(is_number, several))
        case ast.Call(args=several):
            return any(map(is_number, several))
        case _:
            return False


def names_in(target: ast.expr) -> list[str]:
    """What is given a value."""
    return [part.id for part in ast.walk(target) if isinstance(part, ast.Name)]


def numbers_of_modules() -> dict[str, ast.expr]:
    """Every name at the head of a module that stands for numbers, with what it is given."""
    found: dict[str, ast.expr] = {}
    for module, tree in modules():
        for node in tree.body:
            if isinstance(node, ast.Assign | ast.AnnAssign) and node.value and is_number(node.value):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                found |= {f"{module} {name}": node.value for target in targets for name in names_in(target)}
    return found


def is_of_files(name: str, value: ast.expr) -> bool:
    """Whether a number is one of files and tables, or of what is shown."""
    folder, _, module = name.split(maxsplit=1)[0].partition("/")
    if folder in ("cli", "report"):
        constants = [part.value for part in ast.walk(value) if isinstance(part, ast.Constant)]
        return not any(type(number) is float for number in constants)
    return folder == "logbook" and module not in COMPUTES


def told() -> set[str]:
    """What is said of the rest."""
    lines = (line.split() for kind in ELSEWHERE.values() for line in kind.strip().splitlines())
    return {f"{module} {name}" for module, *names in lines for name in names}


def test_a_number_of_a_module_is_in_the_home_of_defaults_or_says_what_else_it_is() -> None:
    found = {name for name, node in numbers_of_modules().items() if not is_of_files(name, node)}
    assert found - told() == set()


def defaults_of_signatures() -> Iterator[tuple[str, str, float]]:
    """Where, of which parameter or field, and the number itself, text of a number among them."""
    for module, tree in modules():
        for node in ast.walk(tree):
            pairs: list[tuple[str, ast.expr | None]] = []
            if isinstance(node, ast.FunctionDef):
                args = [*node.args.posonlyargs, *node.args.args]
                given = node.args.defaults
                pairs = [
                    (arg.arg, value) for arg, value in zip(args[len(args) - len(given) :], given, strict=True)
                ]
                pairs += [
                    (arg.arg, value)
                    for arg, value in zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True)
                ]
            elif isinstance(node, ast.ClassDef):
                pairs = [
                    (names_in(one.target)[0], one.value)
                    for one in node.body
                    if isinstance(one, ast.AnnAssign)
                ]
            for name, value in pairs:
                if isinstance(value, ast.Constant) and not isinstance(value.value, bool):
                    try:
                        yield f"{module}.{node.name}", name, float(value.value)
                    except (TypeError, ValueError):
                        continue


# What a parameter is without a word, where its signature says it in figures: the default that it repeats.
REPEATED = {
    "p": COVERAGE.value,
    "ratio": SLURRY_RATIO.value,
    "wanted": SLURRY_RATIO.value,
}
NOTHING = (0.0, 1.0)
"""No error, no share, one of them: neutral numbers, which assume nothing."""
OF_NO_METHOD = {
    ("measuring/slurry/duplicates.beyond", "n"): "duplicates are two",
    (
        "measuring/salts/cell.standard_conductivity",
        "label",
    ): "a bottle's label, with its source in standards.toml",
    ("measuring/salts/cell.cell_factor", "standard"): "a bottle's label, with its source in standards.toml",
    ("cli/front.listed", "left"): "columns",
    ("report/terminal._indented", "by"): "columns",
    ("report/page.Say", "indent"): "columns",
    ("report/terminal._hanging", "by"): "columns",
}


def test_a_signature_repeats_the_default_it_stands_for_and_has_no_other() -> None:
    found = list(defaults_of_signatures())
    repeated = [(where, name, value) for where, name, value in found if name in REPEATED]
    assert len(repeated) > 60
    assert not [row for row in repeated if row[2] != REPEATED[row[1]]]
    others = [(where, name, value) for where, name, value in found if name not in REPEATED]
    assert not [row for row in others if row[2] not in NOTHING and row[:2] not in OF_NO_METHOD]


@pytest.mark.parametrize(
    ("known", "words"), [("memory", "from memory"), ("our own", "our own"), ("published", "published")]
)
def test_how_a_number_is_known_is_written_as_it_is_spoken(known: str, words: str) -> None:
    assert from_where(known) == words
