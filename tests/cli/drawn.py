"""Command lines and files drawn at random, for the law that nothing that is typed can break the program."""

from __future__ import annotations

import random
import re
import shlex
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from slurrycalc.cli import table
from slurrycalc.cli.group import examples, group, load

EXAMPLES = Path(__file__).parents[2] / "examples"
SELDOM = {"verify": 0.02, "demo": 0.1, "trend": 0.5, "due": 0.5, "bench": 0.2}
"""Commands that say the same whatever is typed, or that take long, are drawn less often."""
LETTERS = "0123456789.,:;=@+-±eEx%½°C mLgVHp\"'`[]{}<>\\\n\t\r\x1b\x7f\u202e\u0661µ\udcff\U0001f331"
ODD = (
    *("", " ", "-", "--", "=", "@", ":", "nan", "inf"),
    *("-inf", "1e999", "-1e-999", "0", "-0", "+-", "none", "never"),
    *("9" * 400, "x" * 2000, "\x1b[31m5.4", "\u202e5.4", "\udcff", "٣", "5,4"),
    *("½", "1e3", "0x10", "5_4", "¼ cup"),
    *("%s", "{}", "[bold]", "null", "true", "'; DROP TABLE entry;--", "con", ".", "*", "$HOME", "\t", "a\nb"),
)
DATES = (
    *("today", "yesterday", "mon", "3d", "0d", "99999d"),
    *("2024-05-04", "2024-02-30", "0024-05-04", "1949-12-31"),
    *("1950-01-01", "2199-12-31", "2200-01-01", "9999-12-31", "9999-12-30"),
    *("10000-01-01", "03/04", "4 May", "31 dec"),
    *("4 May 9999", "2024-5-4", "2024-05-04T10:00", "1e3", "-3d"),
)
PHS = (
    *("5.4", "5.41", "5.1+-0.1", "5.6±0.2", "6.6", "0", "14", "14.1"),
    *("-1", "7", "5.4+-0", "5.4+-99", "1e-9", "5.4.1"),
)
READINGS = (
    *("84.3mV@21C", "85.1mV@21C", "5.58", "5.66@21C", "-12mV@25C"),
    *("5.4@99C", "84.3mV", "5.41,5.42@21C", "84mV 85mV@21C"),
    *("0.85mS/cm@21C", "850uS/cm", "6uS/cm@21C", "1e9mV", "5.41@", "@21C", "70F", "5.6@70F"),
)
POINTS = (
    *("4.01=178.2mV@22C", "7.00=1.8mV@22C", "4.01=4.06@21C", "7.00=7.04@21C"),
    *("10.01=-170mV@21C", "acid 2=4.06@21C"),
    *("4.01=4.06", "7.00=7.00", "4.01=7.04@21C", "9.18=9.2@21C"),
    *("6.86=6.9@25C", "4.01=178.2mV@21C=3", "blue=4.0"),
)
AMOUNTS = (
    *("1 L", "20 g", "1/2 cup", "1 1/2 cups", "4 fl oz", "4 oz", "60 g"),
    *("118 mL", "0 L", "-1 L", "1e300 L", "3 L"),
)
NAMES = (
    *("atlas", "window", "stairs", "leaf mix", "shelf jar", "desk"),
    *("stick", "Atlas", "atals", "acid 2", "neutral 2"),
)
NUMBERS = (
    *("0.01", "0.2", "0.95", "1", "3", "5.0", "0", "-1"),
    *("1e-12", "1e12", "0.5", "100", "3.5", "own", "999999999999"),
)
TEXTS = (
    *("a third of the bed", "misread", "1:2 water", "county soil laboratory", "x" * 501, "=1+1"),
    *("@x", "a\tb", "Kim"),
)
POOLS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("DATE", "NAME=DATE"), DATES),
    "NAME=DATE": ("water=2024-05-04", "litter=9999-12-31", "=", "calcium=3d"),
    "TIME": (
        *("14:30", "2:30 pm", "25:00", "6 weeks", "30 d", "1 h"),
        *("0 d", "-3 d", "1e9 d", "3 months", "9999 years"),
    ),
    "TIME|never": ("6 weeks", "never", "30 d", "0 d", "1e9 weeks", "none", "3"),
    **dict.fromkeys(("PH", "OURS", "THEIRS", "PH|NAME"), (*PHS, *NAMES[:4])),
    **dict.fromkeys(("READING", "READING...", "VALUE"), READINGS),
    **dict.fromkeys(("POINT", "POINT..."), POINTS),
    **dict.fromkeys(("AMOUNT", "CUP", "SUBSTRATE WATER"), (*AMOUNTS, "us", "metric", "240 mL", "cup")),
    **dict.fromkeys(("NAME", "ENCLOSURE", "NEW"), NAMES),
    **dict.fromkeys(("NUMBER", "own|NUMBER", "PART", "MONTHS"), NUMBERS),
    **dict.fromkeys(("TEXT", "WHAT", "UNIT"), (*TEXTS, "g/L", "%", "limestone")),
    "LOW:HIGH": ("5.4:6.5", "6.5:5.4", "5:5", "0:14", "-1:20", "none", "5.4"),
    "RATIO": ("1:2", "1:2.5", "2", "1:0", "0:1", "1:1e9", "paste"),
    "DENSITY": ("0.3 g/mL", "coir", "peat", "0 g/mL", "-1 g/mL", "1e9 g/mL"),
    "MOISTURE": ("120 %", "0 %", "-5 %", "1e9 %", "moist"),
    "PROBE=SLURRY": ("5.9=5.41", "6.1=5.70", "6.4=5.95", "5.9=5.60+-0.20", "5.9=5.9", "=5", "15=5", "5=15"),
    "DATE=PH": (
        *("2024-01-02=5.82", "2024-02-01=5.71+-0.1", "2024-03-03=5.69", "2024-04-02=5.58"),
        *("9999-12-31=5.5", "3d=5"),
    ),
    "DOSE=PH": (
        *("0%=5.10", "20%=5.43", "40%=5.66", "100%=6.60", "0=5.1"),
        *("2=6.05", "-1=5", "0%=5.10+-0.1", "1e9%=5"),
    ),
    "LABEL=READING": ("1413uS/cm=1398uS/cm@23C", "84uS/cm=85uS/cm", "0uS/cm=1uS/cm", "1413=1400"),
    "NAME=LABEL": ("blue=4.01", "blue=4.01+-0.01", "acid 2=4.01", "acid 2=7.00", "blue="),
    "LABEL": ("4.01", "7.00", "10.01", "6.86", "5.00"),
    "LENGTHxWIDTH": ("60x45 cm", "24x18 in", "0x0 cm", "60 cm", "1e9x1 cm"),
    "LENGTH": ("10 cm", "4 in", "0 cm", "-1 cm", "1e9 m"),
    "BAND": ("normal", "low", "high", "none"),
    "TEMPERATURE": ("21C", "70F", "99C", "21"),
    "ID": (*map(str, range(1, 56)), "3.1", "3.2", "41.2", "0", "99999999999999", "1.0", "#4"),
    "KIND": ("leaf-litter", "charcoal", "exchange", "calcium", "water", "feed", "illness", "other", "lime"),
    "OURS=THEIRS,...": ("date=Date,ph=pH", "date=date", "ph=ph,ph=date", "=,=", "enclosure=note"),
    "A,A,B": ("A,A,B", "a,b", ",", "A"),
    "FILE": ("drawn.toml", "drawn.csv", "none.toml", "folder"),
    "FILE.csv": ("drawn.csv", "none.csv", "folder"),
    "DAY.toml": ("new.toml", "drawn.toml", "folder", "no/where.toml"),
    "FILE.ics": ("new.ics", "drawn.csv", "folder", "no/where.ics"),
}
PATHS: Mapping[str, tuple[str, ...]] = {
    "export": ("new.zip", "new", "new.csv", "drawn.csv", "folder", "no/where", "drawn.csv/x"),
    "import": ("drawn.zip", "drawn.csv", "package", "folder", "none.zip", "drawn.toml"),
}
LOGBOOKS = ("other.sqlite", "folder", "drawn.csv", "", "no/where.sqlite")


def parameters() -> dict[str, list[Any]]:
    """Give what each command takes, as its parser has it."""
    commands = group()
    return {name: list(commands.get_command(None, name).params) for name in table.names()}


class Drawer:
    """Draws lines and files; the same ones for the same seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.taken = parameters()
        self.lines = {
            name: [shlex.split(line.replace("examples/", ""))[1:] for line in examples(load(name))]
            for name in table.names()
        }
        self.weights = [SELDOM.get(name, 1.0) for name in table.names()]
        self.texts: dict[str, list[bytes]] = {
            "drawn.toml": [(EXAMPLES / "reading-room.toml").read_bytes()],
            "drawn.csv": [
                *((EXAMPLES / name).read_bytes() for name in ("forty-jars.csv", "pairs.csv")),
                b"date,ph\n2024-01-02,5.82\n2024-02-01,5.71\n2024-03-03,5.69\n2024-04-02,5.58\n",
                b"Date;pH;enclosure\n03.04.2023;5,41;atlas\n14.05.2023;5,52;window\n",
                b"date,time,ph,plus_minus,jar,spot,probe,note\n2023-05-04,10:30,5.41,0.1,A1,left,5.9,=1+1\n",
            ],
        }

    def line(self) -> list[str]:
        """Draw a line: one that is shown on a page, or one made up, mostly with something odd in it."""
        draw = self.random
        (name,) = draw.choices(table.names(), self.weights)
        words = list(draw.choice(self.lines[name])) if draw.random() < 0.35 else self._made_up(name)
        if draw.random() < 0.1:
            words += ["--json"]
        for _ in range(draw.choice((0, 0, 0, 1, 1, 2, 4))):
            self._spoil(words)
        return [_harmless(word) for word in words]

    def _made_up(self, name: str) -> list[str]:
        draw = self.random
        words = [name]
        often = draw.choice((0.02, 0.06, 0.15))
        for one in self.taken[name]:
            argument = one.param_type_name == "argument"
            most = draw.choice((1, 2, 3, 4)) if one.nargs == -1 or getattr(one, "multiple", False) else 1
            if argument:
                if one.required or draw.random() < 0.7:
                    words += [self._value(name, one) for _ in range(most)]
            elif draw.random() < (0.6 if one.opts[-1] in ("--buffer", "--enclosure") else often):
                for _ in range(most):
                    words += [one.opts[-1]] if one.is_flag else [one.opts[-1], self._value(name, one)]
        return words

    def _value(self, name: str, one: Any) -> str:
        draw = self.random
        if draw.random() < 0.06:
            return draw.choice(ODD)
        metavar = str(one.metavar)
        if metavar == "PATH":
            pool = LOGBOOKS if one.opts[-1] == "--logbook" else PATHS[name]
        elif metavar in POOLS:
            pool = POOLS[metavar]
        else:
            pool = tuple(metavar.split("|"))
        return draw.choice(pool)

    def _spoil(self, words: list[str]) -> None:
        """Change one thing of a line."""
        draw = self.random
        # A line whose first word is wrong gets no farther than that.
        at = draw.randrange(draw.random() < 0.97 and len(words) > 1, len(words))
        match draw.randrange(6):
            case 0 if len(words) > 1:
                del words[at]
            case 1:
                words.insert(at + 1, draw.choice(ODD))
            case 2:
                words.insert(at + 1, draw.choice(words))
            case 3:
                words[at] = draw.choice(ODD)
            case 4:
                other = draw.randrange(bool(at), len(words))
                words[at], words[other] = words[other], words[at]
            case _:
                words[at] = self._letters(words[at])

    def _letters(self, text: str) -> str:
        draw = self.random
        at = draw.randrange(len(text) + 1)
        letter = draw.choice(LETTERS)
        before, after = text[:at], text[at:]
        return draw.choice((before + letter + after, before + after[1:], before + letter + after[1:]))

    def file(self, name: str) -> bytes:
        """Draw a file: a good one, mostly with something odd in it."""
        draw = self.random
        data = draw.choice(self.texts[name])
        for _ in range(draw.choice((0, 1, 1, 2, 5))):
            data = self._spoilt(data, name)
        return data

    def _spoilt(self, data: bytes, name: str) -> bytes:
        draw = self.random
        ways: list[Callable[[bytes], bytes]] = [self._byte, self._cut]
        if not name.endswith(".zip"):
            ways += [self._lines, self._token, self._token, self._token]
        return draw.choice(ways)(data)

    def _byte(self, data: bytes) -> bytes:
        at = self.random.randrange(len(data) + 1)
        return data[:at] + bytes([self.random.randrange(256)]) + data[at + self.random.randrange(2) :]

    def _cut(self, data: bytes) -> bytes:
        first, last = sorted(self.random.randrange(len(data) + 1) for _ in range(2))
        return data[:first] + data[last:] if self.random.random() < 0.5 else data[:last]

    def _lines(self, data: bytes) -> bytes:
        lines = data.split(b"\n")
        at, other = (self.random.randrange(len(lines)) for _ in range(2))
        lines.insert(at, lines[other])
        return b"\n".join(lines)

    def _token(self, data: bytes) -> bytes:
        """Put something odd in the place of a number, a word or a cell."""
        tokens = list(re.finditer(rb"[^\s,;=\[\]\"#]+", data))
        if not tokens:
            return data
        token = self.random.choice(tokens)
        pool = self.random.choice((ODD, DATES, PHS, NAMES, NUMBERS))
        odd = self.random.choice(pool).encode("utf-8", "surrogateescape")
        return data[: token.start()] + odd + data[token.end() :]


def _harmless(word: str) -> str:
    """Keep a path within the folder at hand."""
    return re.sub(r"(^|=)/", r"\1x/", word.replace("..", ".")).replace("\0", "")
