"""Bad words to the commands of months: one sentence that quotes them, and the record as it was."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from slurrycalc.logbook.store import open_logbook
from tests import example_record as example

TWO = "trend 2024-04-02=5.71 2024-05-04=5.60"
MORE = "exchange --now 5.1 --fresh 6.6 --want 5.9"
HOLD = "upkeep --drift -0.08 --fresh 6.6 --floor 5.4"
SALT = 'upkeep --salt-rise "60 uS/cm" --fresh-salts "0.4 mS/cm"'
JARS = "trial 0%=5.10 20%=5.43"
WET = "salts 0.85mS/cm@21C"
OURS = "agree 5.60+-0.20"
LIKE = "write it like yesterday"

# What was typed, and the part of the sentence that quotes it or says why.
CASES: dict[str, list[tuple[str, str]]] = {
    "trend": [
        ("trend 2024-04-02=5.71", "one bench day"),
        ("trend 2024-05-04=5.60 2024-04-02=5.71", "`2024-04-02` stands after `2024-05-04`"),
        ("trend 2024-04-02=5.71 2024-04-02=5.60", "`2024-04-02` stands twice"),
        ("trend 2024-04-02=5.71 2999-05-04=5.60", "`2999-05-04` lies in the future"),
        ("trend 2024-04-02=5.71 2024-02-30=5.60", "on no calendar"),
        ("trend 2024-04-02=5.71 03/04=5.60", "could be 3 April or 4 March"),
        ("trend 2024-04-02=5.71 2024-05-04=56", "did you mean `5.6`?"),
        ("trend 2024-04-02=5.71 2024-05-04=5.6+-0", "has no width"),
        ("trend 2024-04-02=5.71 2024-05-04=5.6+--0.1", "`-0.1`"),
        ("trend 2024-04-02=5.71 2024-05-04=", "write DATE=PH"),
        ("trend 2024-04-02=5.71 =5.6", "write DATE=PH"),
        ("trend 2024-04-02=5.71 5.6", "`5.6` is no bench day"),
        ("trend 2024-04-02=5.71 2024-05-04=nan", "`nan`"),
        ("trend garden", "Nothing on record is called `garden`"),
        (f"{TWO} --exchange 2024-03-01", "lies before the first bench day"),
        (f"{TWO} --exchange 2999-03-01", "lies in the future"),
        (f"{TWO} --exchange soon", "`soon` is no day"),
        (f"{TWO} --exchange 2024-04-10", "2 bench days cannot tell a drift from"),
        (f"{TWO} --step calcium", "write NAME=DATE"),
        (f"{TWO} --step =2024-04-04", "write NAME=DATE"),
        (f"{TWO} --without calcium", "`calcium` is no step"),
        (f"{TWO} --limit 52", "did you mean `5.2`?"),
        (f"{TWO} --predict never", "`never` is no day"),
        (f"{TWO} --predict 2024-01-01", "lies before the last bench day"),
        (f"{TWO} --predict 2090-01-01", "more than 10 years"),
        (f"{TWO} --predict 9999-01-01", "`9999-01-01`"),
        (f"{TWO} --scatter -1", "`-1` cannot be a scatter"),
        (f"{TWO} --scatter own", "no degrees of freedom"),
        (f"{TWO} --target 6:5", "write the lower first"),
        (f"{TWO} --floor 6", "lies above"),
        (f"{TWO} --p 95", "`95`"),
        (f"{TWO} --on 2024-04-20", "`2024-05-04` lies in the future"),
        (f"{TWO} --since 2024-01-01", "asks the record"),
        (f"{TWO} --enclosure atlas", "are two questions"),
        ("trend --days slip.csv", "slip.csv, row 2: `2024-02-30`"),
        ("trend --days header.csv", "no column is called `day`; write the header like date,ph"),
        ("trend --days twice.csv", "`2024-02-20` stands twice"),
        ("trend --days empty.csv", "begin it with a header like date,ph"),
        ("trend --days nowhere.csv", "`nowhere.csv` is not there"),
        ("trend --days .", "is a folder"),
        ("trend --enclosure atals", "did you mean `atlas`?"),
        ('trend --enclosure ""', "the enclosure name `` is empty"),
        ("trend --enclosure atlas --on 2999-01-01", "lies in the future"),
        ("trend --enclosure atlas --on 2020-01-01", "no 1:2 slurry of `atlas` was read"),
        ("trend --enclosure atlas --since 2026-06-01", "was read since 2026-06-01"),
        ("trend --enclosure atlas --exchange 2024-06-01", "slurrycalc event atlas exchange --on 2024-06-01"),
        ("trend --enclosure window --without exchagne", "this record has exchange"),
        ('trend --enclosure "leaf mix"', "a tub of fresh mix, which has no range"),
        ('trend --enclosure "shelf jar"', "the steady jar, which has no range"),
    ],
    "exchange": [
        ("exchange", "--want 5.9"),
        ("exchange garden", "Nothing on record is called `garden`"),
        ("exchange atlas stairs", "`stairs` is one word too many"),
        ("exchange --fresh 6.6 --want 5.9", "pH of the bed now is missing"),
        ("exchange --now 51 --fresh 6.6 --want 5.9", "did you mean `5.1`?"),
        ("exchange --now 5.1 --fresh 66 --want 5.9", "did you mean `6.6`?"),
        ("exchange --now 5.1 --fresh 6.6 --want 59", "did you mean `5.9`?"),
        ("exchange --now 5.1 --fresh 4.6 --want 5.9", "`4.6` is more acid than the bed"),
        ("exchange --now 5.1 --fresh 5.1 --want 5.9", "changes nothing"),
        ("exchange --now 5.1 --fresh 6.6 --want 4.0", "takes it away from 4"),
        ("exchange --now 5.1+-0 --fresh 6.6 --want 5.9", "has no width"),
        ("exchange --now 5.1+--0.1 --fresh 6.6 --want 5.9", "`-0.1`"),
        ("exchange --now 5.1+-9 --fresh 6.6 --want 5.9", "`5.1+-9` holds nearly every pH"),
        ("exchange --now 5.1 --fresh neutral --want 5.9", "no tub of fresh mix is called `neutral`"),
        (f'{MORE} --size "60x45 cm"', "without a depth"),
        (f'{MORE} --bed-depth "10 cm"', "needs the footprint too"),
        (f'{MORE} --size "60x45 cm" --bed-depth "0 cm"', "`0 cm` of substrate is no bed"),
        (f'{MORE} --size "60x45 cm" --bed-depth "-3 cm"', "`-3 cm` is negative"),
        (f'{MORE} --size "60x45 cm" --bed-depth 10', "`10` has no unit"),
        (f'{MORE} --size "60x45 cm" --bed-depth "10 L"', "is a volume where a length"),
        (f'{MORE} --size "0x45 cm" --bed-depth "10 cm"', "a side of 0"),
        (f'{MORE} --size "60 cm" --bed-depth "10 cm"', "`60 cm` is no footprint"),
        (f'{MORE} --volume "27 cm"', "write for instance `27 L`"),
        (f"{MORE} --volume 27", "write for instance `27 L`"),
        (f'{MORE} --volume "0 L"', "`0 L` is no volume of a bed"),
        (f'{MORE} --volume "27 L" --size "60x45 cm"', "leave --size and --bed-depth away"),
        (f"{MORE} --buffering 0", "`0` cannot be how well"),
        (f"{MORE} --buffering -1", "`-1` cannot be how well"),
        (f"{MORE} --buffering 100", "`100` cannot be how well"),
        (f"{MORE} --buffering lots", "`lots`"),
        (f"{MORE} --at-once 3/2", "`3/2` is no part of a bed"),
        (f"{MORE} --at-once 0", "`0` is no part of a bed"),
        (f"{MORE} --at-once -1/3", "`-1/3` is no part of a bed"),
        (f"{MORE} --at-once 33", "`33` is no part of a bed"),
        (f"{MORE} --every never", "`never` is no interval"),
        (f"{MORE} --every 0", "`0` is no interval"),
        (f'{MORE} --every "-3 d"', "`-3 d` is no interval"),
        (f"{MORE} --every 28", "`28` could be 28 days or 28 months"),
        (f"{MORE} --every 500d", "cannot lie between two stages"),
        (f"{MORE} --start 2024-02-30", "on no calendar"),
        (f"{MORE} --start soon", "`soon` is no day"),
        (f"{MORE} --start 9999-12-31", "`9999-12-31` lies after 2199"),
        (f"{MORE} --plan", "slurrycalc exchange NAME --plan"),
        (f"{MORE} --cup big", "`big` is no kitchen cup"),
        (f"{MORE} --p 1", "`1` is no coverage probability"),
        (f"{MORE} --on 2999-01-01", "lies in the future"),
        ("exchange --enclosure atals", "did you mean `atlas`?"),
        ('exchange --enclosure atlas --fresh "leef mix" --on 2025-10-20', "on record: `leaf mix`"),
        ("exchange --enclosure atlas --fresh stairs --on 2025-10-20", "`stairs` is no tub of fresh mix"),
        ("exchange --enclosure atlas --fresh 4.6 --on 2025-10-20", "`4.6` is more acid than the bed"),
        ('exchange --enclosure "leaf mix"', "a tub of fresh mix and no bed"),
        ('exchange --enclosure "shelf jar"', "the steady jar, which is kept as it is"),
        ("exchange --enclosure atlas --on 2024-01-01", "`leaf mix` was not read yet"),
        (
            "exchange --enclosure atlas --plan --on 2025-10-20 --start 2024-01-01",
            "`2024-01-01` lies before 2025-10-20",
        ),
    ],
    "upkeep": [
        ("upkeep", "the drift per month is missing"),
        ("upkeep --drift -0.08 --fresh 6.6", "a limit to hold is missing"),
        ("upkeep --drift fast --fresh 6.6 --floor 5.4", "`fast`"),
        ("upkeep --drift -8 --fresh 6.6 --floor 5.4", "`-8` pH a month is faster than any bed drifts"),
        ("upkeep --drift -0.08+-0 --fresh 6.6 --floor 5.4", "has no width"),
        ("upkeep --drift -0.08 --fresh 5.0 --floor 5.4", "`5` is more acid than the floor"),
        ("upkeep --drift -0.08 --fresh 5.4 --floor 5.4", "`5.4` is at the floor"),
        ("upkeep --drift -0.08 --fresh 6.6 --floor 54", "did you mean `5.4`?"),
        ("upkeep --drift 0.08 --fresh 6.6 --ceiling 6.5", "is more alkaline than the ceiling"),
        (f"{HOLD} --every 0", "`0` is no interval"),
        (f"{HOLD} --every -3", "`-3` is no interval"),
        (f"{HOLD} --every never", "`never` is no interval"),
        (f"{HOLD} --every nan", "`nan` is no interval"),
        (f'{HOLD} --every "1000 years"', "`1000 years` is no interval"),
        (f"{HOLD} --at-once 1.5", "`1.5` is no part of a bed"),
        (f"{HOLD} --at-once 0", "`0` is no part of a bed"),
        (f"{HOLD} --buffering x", "`x`"),
        (f'{HOLD} --volume "0 L"', "`0 L` is no volume"),
        (f'{HOLD} --size "60x45 cm" --bed-depth "0 cm"', "`0 cm` of substrate is no bed"),
        (f"{HOLD} --now 54", "did you mean `5.4`?"),
        (f"{HOLD} --cup big", "`big`"),
        ('upkeep --salt-rise "60 uS/cm"', "add --fresh-salts"),
        (SALT, "add --salt-limit"),
        ('upkeep --salts-now "0.8 mS/cm"', "add --salt-rise"),
        (f'{SALT} --salt-limit "1250 mS/cm"', "did you mean `1250 uS/cm`?"),
        (f'{SALT} --salt-limit "0.3 mS/cm"', "holds no less salt than the limit"),
        (f"{SALT} --salt-limit 1.25", "`1.25` could be 1.25 mS/cm or 1.25 uS/cm"),
        (
            'upkeep --salt-rise "60 mS/cm" --fresh-salts "0.4 mS/cm" --salt-limit "1.25 mS/cm"',
            "did you mean `60 uS/cm`?",
        ),
        (
            'upkeep --salt-rise "60 uS/cm" --fresh-salts "400 mS/cm" --salt-limit "1.25 mS/cm"',
            "did you mean `400 uS/cm`?",
        ),
        (
            'upkeep --salt-rise "60 g" --fresh-salts "0.4 mS/cm" --salt-limit "1.25 mS/cm"',
            "`60 g` is a mass",
        ),
        (
            'upkeep --salt-rise "-60 uS/cm" --fresh-salts "0.4 mS/cm" --salt-limit "1.25 mS/cm"',
            "`-60 uS/cm` is negative",
        ),
        ("upkeep --enclosure atals", "did you mean `atlas`?"),
        ('upkeep --enclosure ""', "name"),
        ("upkeep --enclosure atlas --every soon --on 2025-10-20", "`soon` is no interval"),
        ("upkeep --enclosure atlas --on 2024-05-10", "was read on one day only"),
        ("upkeep --enclosure atlas --on 2999-01-01", "lies in the future"),
        ('upkeep --enclosure "leaf mix"', "a tub of fresh mix and no bed"),
        ("upkeep garden", "Nothing on record is called `garden`"),
        ("upkeep atlas stairs", "`stairs` is one word too many"),
    ],
    "trial": [
        ("trial", "--target 5.4"),
        (JARS, "--target 5.4"),
        ("trial 0%=5.10 --target 5.4", "two different doses"),
        ("trial 10%=5.10 10%=5.27 --target 5.4", "`10, 10`"),
        ("trial 0%=5.10 20%=5.43 10%=5.27 --target 5.4", "`0, 20, 10` go up and down"),
        ("trial 0%=5.10 120%=5.43 --target 5.4", "`120 %` is more than the whole jar"),
        ("trial -5%=5.10 20%=5.43 --target 5.4", "`-5%` is no dose"),
        ("trial 0%=5.10 1g/L=5.60 --target 5.4", "`%` and in `g/L` cannot be compared"),
        ("trial 0%=51 20%=5.43 --target 5.4", "did you mean `5.1`?"),
        ("trial 0%= 20%=5.43 --target 5.4", "write DOSE=PH"),
        ("trial =5.1 20%=5.43 --target 5.4", "write DOSE=PH"),
        ("trial 5.1 20%=5.43 --target 5.4", "write DOSE=PH"),
        (f"{JARS} --target 54", "did you mean `5.4`?"),
        (f"{JARS} --target x", "`x`"),
        (f"{JARS} --target 5.4 --unit miles", "`miles` and in `%`"),
        (f"{JARS} --target 5.4 --weeks -1", "`-1` is no number of weeks"),
        (f"{JARS} --target 5.4 --weeks many", "`many` is no number of weeks"),
        (f'{JARS} --target 5.4 --of ""', "the amendment name `` is empty"),
        (f"{JARS} --target 5.4 --scatter own", "no scatter of their own"),
        (f"{JARS} --enclosure atals", "did you mean `atlas`?"),
        (f"{JARS} --enclosure atlas --on 2999-01-01", "lies in the future"),
        (f'{JARS} --enclosure "leaf mix"', "a tub of fresh mix and no bed"),
        ("trial 0=5.10 20=5.43 --enclosure atlas", "doses that go on record need their unit"),
        ("trial --enclosure window", "`window` has no trial on record"),
        ("trial --enclosure atlas --weeks 4", "--weeks `4` is said of jars"),
        ('trial --enclosure atlas --of "leaf mix"', "--of `leaf mix` is said of jars"),
    ],
    "salts": [
        ("salts", "no reading was given"),
        ("salts 850", "could be 850 uS/cm or 850 mS/cm"),
        ("salts 850mS/cm@21C", "did you mean `850 uS/cm`?"),
        ("salts 0.00085mS/cm@21C", "did you mean `0.85 mS/cm`?"),
        ("salts -1mS/cm@21C", "`-1mS/cm` is negative"),
        ("salts 0mS/cm@21C", "`0mS/cm` is less than a slurry conducts"),
        ("salts 5.4pH", "is a pH where a conductivity is wanted"),
        ("salts 0.85mS@21C", "lacks what it is per"),
        ("salts 0.85mS/cm", "needs its temperature"),
        ("salts 0.85mS/cm@21", "`21 C` or `21 F`"),
        ("salts 0.85mS/cm@95C", "did you mean 95 F"),
        (f"{WET} --compensates perhaps", "`perhaps`"),
        (f"{WET} --standard 1413uS/cm", "write LABEL=READING"),
        (f"{WET} --standard 1413uS/cm=1398", "which differ a thousandfold"),
        (f"{WET} --standard 1413uS/cm=1.398uS/cm@23C", "did you mean `1.398 mS/cm`?"),
        (f"{WET} --standard 1413uS/cm=1398mS/cm@23C", "did you mean `1398 uS/cm`?"),
        (f"{WET} --standard 1413uS/cm=300uS/cm@23C", "`300 uS/cm` is too far from the standard"),
        (f"{WET} --blank 2mS/cm@21C", "conducts no less than the slurries"),
        (f"{WET} --blank -3uS/cm@21C", "is negative"),
        (f"{WET} --thermometer 40", "`40`"),
        (f"{WET} --scatter own", "cannot be seen in one slurry"),
        (f"{WET} --scatter 80mS/cm", "did you mean `80 uS/cm`?"),
        (f"{WET} --to nromal --fresh 0.4mS/cm", "`nromal` is no band of salts"),
        (f"{WET} --to extreme --fresh 0.4mS/cm", "`extreme` has no upper edge"),
        (f"{WET} --to normal", "add --fresh 0.4mS/cm"),
        (f"{WET} --fresh 0.4mS/cm", "say where the salts are to come to"),
        (f"{WET} --to low --fresh 400mS/cm", "`400mS/cm` is more than a fresh mix conducts"),
        (f"{WET} --to low --fresh 1.5mS/cm", "holds no less salt than wanted"),
        (f"{WET} --to 1250mS/cm --fresh 0.4mS/cm", "did you mean `1250 uS/cm`?"),
        (f"{WET} --enclosure atals", "did you mean `atlas`?"),
        (f"{WET} --enclosure atlas --meter dsek", "did you mean `desk`?"),
        (f"{WET} --enclosure atlas --on 2999-01-01", "lies in the future"),
        (f"{WET} 850mS/cm@21C --enclosure atlas", "did you mean `850 uS/cm`?"),
        ("salts --enclosure window", "slurrycalc salts 0.85mS/cm@21C --enclosure window\n"),
        ("salts --enclosure atlas --blank 6uS/cm@21C", "salts 0.85mS/cm@21C --blank 6uS/cm@21C\n"),
        ("salts --enclosure atlas --thermometer 0.5", "--thermometer goes with slurries"),
    ],
    "agree": [
        ("agree", "two results are wanted"),
        (OURS, "two results are wanted"),
        ("agree 5.60 5.85", "our `5.60` has no uncertainty"),
        ("agree 5.60+-0 5.85", "`5.60+-0` has no width"),
        ("agree 5.60+--0.2 5.85", "`-0.2`"),
        (f"{OURS} 5.85+-0", "`5.85+-0` has no width"),
        (f"{OURS} 5.85+--0.1", "`-0.1`"),
        ("agree 5.60+-20 5.85", "`20` is no pH"),
        ("agree 56+-0.2 5.85", "did you mean `5.6`?"),
        (f"{OURS} 58.5", "did you mean `5.85`"),
        (f"{OURS} five", "`five`"),
        (f'{OURS} 5.85 --method "1:5 CaCl2"', "do not give one pH"),
        (f'{OURS} 5.85 --method "1:1 water"', "do not give one pH"),
        (f"{OURS} 5.85 --method paste", "do not give one pH"),
        (f'{OURS} 5.85 --method "1:2 by mass"', "do not give one pH"),
        (f'{OURS} 5.85 --method "1:0 water"', "`1:0` is no ratio"),
        (f'{OURS} 5.85 --method "by ear"', "`ear`"),
        (f'{OURS} 5.85 --method ""', "must say one ratio or paste"),
        (f'{OURS} 5.85 --ours-method "by ear"', "--ours-method: `ear`"),
        (f"{OURS} 5.85 --laboratory county", "add --enclosure NAME"),
        (f"{OURS} 5.85 --enclosure atlas", "write theirs by --theirs"),
        (f"{OURS} 5.85 5.9", "`5.9` is one word too many"),
        (f"{OURS} 5.85 --p 0", "`0` is no coverage probability"),
        ("agree --theirs 5.85", "add --enclosure NAME"),
        ("agree --enclosure atals --theirs 5.85", "did you mean `atlas`?"),
        ("agree --enclosure atlas --theirs 5.85 --on 2999-01-01", "lies in the future"),
        ("agree --enclosure atlas --theirs 5.85 --on 2020-01-01", "was not read within a year"),
        ("agree --enclosure atlas --theirs 585 --on 2025-10-18", "did you mean `5.85`?"),
        ('agree --enclosure atlas --theirs 5.85 --method "1:5 CaCl2" --on 2025-10-18', "do not give one pH"),
        ('agree --enclosure atlas --theirs 5.85 --laboratory "" --on 2025-10-18', "name `` is empty"),
        ("agree --enclosure atlas --laboratory county", "add --theirs"),
        ("agree --enclosure atlas", "no outside result of `atlas` is on record"),
    ],
    "due": [
        ("due atals", "did you mean `atlas`?"),
        ('due ""', "name"),
        ("due desk", "`desk` is a meter, of which nothing comes due"),
        ("due --ahead soon", "`soon` is no interval"),
        ("due --ahead later", "`later` is no interval"),
        ("due --ahead 0", "`0` is no interval"),
        ('due --ahead "-3 d"', "`-3 d` is no interval"),
        ('due --ahead "1000 years"', "`1000 years` is no interval"),
        ("due --ahead never", "`never` is no interval"),
        ("due --on tomorrow", "`tomorrow` is no day"),
        ("due --on 2999-01-01", "lies in the future"),
        ("due --ics due.txt", "end it with .ics"),
        ("due --ics folder.ics", "`folder.ics` is a folder"),
        ("due --ics none/due.ics", "there is no folder `none`"),
        ("due --ics foreign.ics", "no calendar that slurrycalc wrote, so it is not written over"),
        ('due --ics ""', "is no name for a calendar"),
        ("due --ics empty.csv/due.ics", "cannot be written"),
    ],
    "what is said of things": [
        ("enclosure atlas --read-every 0", "`0` is no interval"),
        ("enclosure atlas --litter-every sometimes", "`sometimes` is no interval"),
        ('enclosure atlas --charcoal-every "-1 month"', "`-1 month` is no interval"),
        ("enclosure atlas --stages 3", "write none to take them back"),
        ("enclosure atlas --steady perhaps", "--steady: `perhaps` is no answer"),
        ("enclosure atlas --fresh maybe", "--fresh: `maybe` is no answer"),
        ('enclosure atlas --bed-depth "0 cm"', "`0 cm` is no depth"),
        ('enclosure atlas --bed-depth "90 m"', "`90 m` is no depth"),
        ('enclosure atlas --size "0x0 cm"', "`0x0 cm` is no length and width"),
        ("enclosure atlas --steady yes --fresh yes", "in one"),
        ("kit meter desk --electrode 2999-01-01", "lies in the future"),
        ("kit meter desk --electrode soon", "`soon` is no day"),
        ("kit meter dsek", "did you mean `desk`?"),
        ("kit meter dsek --on 2025-10-20", "did you mean `desk`?"),
        ("kit meter lab --on 2025-10-20", "no meter `lab`"),
        ("kit meter desk --on 2999-01-01", "lies in the future"),
        ("kit meter desk --on 2025-10-20 --note old", "--on `2025-10-20` asks how a meter's electrode was"),
        ("kit probe stick --on 2025-10-20", "--on `2025-10-20` asks how a meter's electrode was"),
        ("kit cup 240 mL --on 2025-10-20", "--on `2025-10-20` asks how a meter's electrode was"),
        ("kit --on 2025-10-20", "--on needs the name"),
        ("kit probe stick --check-every often", "`often` is no interval"),
        ("kit probe stick --electrode 2024-01-01", "--electrode is not said of a probe"),
        ('kit bottle "acid 4" --expires 9999-12-31', "lies after 2199"),
        ("event atlas new-mx", "did you mean new-mix?"),
        ("event atlas exchange --amount 3/2", "`3/2` is no part of a bed"),
        ("event atlas exchange --amount 3x", "`3x`"),
        ("event atlas exchange --fresh sour", "no tub of fresh mix is called `sour`"),
        ("event atlas exchange --fresh 99", "`99`"),
        ("event atlas water --fresh 6.6", "is said of an exchange, and this is water"),
    ],
}
ALL = [case for cases in CASES.values() for case in cases]
FILES = {
    "slip.csv": "date,ph\n2024-02-30,5.5\n2024-03-30,5.5\n",
    "header.csv": "day,ph\n2024-02-20,5.5\n",
    "twice.csv": "date,ph\n2024-02-20,5.5\n2024-02-20,5.5\n",
    "empty.csv": "",
    "foreign.ics": "BEGIN:VCALENDAR\nEND:VCALENDAR\n",
}


@pytest.fixture(scope="module")
def months(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Give the example of eighteen months as one file."""
    path = tmp_path_factory.mktemp("months") / "months.sqlite"
    with open_logbook(path) as book:
        example.build(book)
    return path.read_bytes()


@pytest.fixture
def here(months: bytes, logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """Be in a folder with the files that some lines name, with the example as the record."""
    logbook.write_bytes(months)
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "folder.ics").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path, logbook.parent


def contents(*folders: Path) -> dict[Path, bytes]:
    every = [path for folder in folders for path in folder.rglob("*")]
    return {path: path.read_bytes() if path.is_file() else b"" for path in every}


@pytest.mark.parametrize(("line", "part"), ALL, ids=[line for line, _ in ALL])
def test_what_cannot_be_meant_ends_in_one_sentence_and_nothing_is_recorded(run, here, line, part):
    before = contents(*here)
    words = shlex.split(line)
    ran = run(*words)
    assert (ran.status, ran.out) == (2, ""), ran
    assert part in ran.err
    assert ran.err.count("\n") == 1
    assert ran.err.rstrip("\n").isprintable()
    # One sentence: nothing follows a full stop but figures, and no place is named twice.
    assert ". " not in ran.err.rstrip("\n").rstrip(".").replace("`. ", "` ")
    assert len(ran.err) < 400
    under = run(*words, "--json")
    assert (under.status, under.out) == (2, "")
    assert json.loads(under.err)["error"] == ran.err.rstrip("\n")
    assert contents(*here) == before


def test_each_command_is_tried_and_no_line_twice():
    assert all(len(cases) >= 15 for cases in CASES.values())
    assert len({line for line, _ in ALL}) == len(ALL) >= 200


def test_an_upkeep_that_a_bed_does_not_bear_is_no_heading_and_no_amount_to_follow(run, here):
    line = ("upkeep", "--drift", "-0.15", "--fresh", "6.6", "--floor", "5.4", "--volume", "27 L", "--every")
    much, little = (run(*line, every, "--why").out for every in ("3", "1"))
    assert "If never read again, at its lowest" not in much
    assert "Do: exchange more often" in much
    assert "How much, each time" not in much
    assert "If never read again, at its lowest" in little
    assert "Do: exchange 24 %" in little
    assert "How much, each time" in little


def test_a_meter_is_asked_about_as_of_a_day(run, here):
    before = contents(*here)
    then, now = (run("kit", "meter", "desk", *on).out for on in (("--on", "2025-03-09"), ()))
    assert "on 8 March 2025" in then
    assert "2025-04-05" not in then
    assert "on 18 October 2025" in now
    assert contents(*here) == before


def test_parts_that_add_to_more_than_the_whole_are_explained(run, here):
    out = " ".join(run(*shlex.split(MORE)).out.split())
    assert "three stages of 32 % of the bed" in out
    assert "Each stage takes some of the fresh mix out again, so the parts add to more than 69 %" in out
    all_of_it = run("exchange", "--now", "5.1", "--fresh", "5.9", "--want", "5.9").out
    assert "No number of stages changes 100 % of the bed" in all_of_it


def test_a_unit_after_a_half_width_is_meant_for_both(run, here):
    fresh = "0.28+-0.08 mS/cm"
    wet = ("salts", "1.9mS/cm@21C", "2.0mS/cm@21C", "--to", "normal", "--fresh")
    assert run(*wet, fresh).status == 0
    assert run(*wet, "0.28 mS/cm").status == 0
    line = ("upkeep", "--salt-rise", "60+-20 uS/cm", "--fresh-salts", fresh, "--salt-limit", "1.25 mS/cm")
    assert run(*line).status == 0


def test_a_command_that_a_sentence_shows_is_right_as_it_stands(run, here):
    salts = "salts --enclosure atlas --blank 6uS/cm@21C"
    for line in ("salts --enclosure window", "agree --enclosure atlas", salts):
        shown = run(*shlex.split(line)).err.rstrip("\n").partition("slurrycalc ")[2]
        on = ("--on", "2025-10-18", "--try")
        assert run(*shlex.split(shown), *on).status == 0, shown
