"""What others may build on: commands with their options, keys of every JSON object, public Python names.

`slurrycalc-2.txt` holds it, a line each. ``python -m tests.frozen`` writes it anew, and refuses where a line
would go: what is there stays for as long as objects say slurrycalc/2.
"""

from __future__ import annotations

import inspect
import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import slurrycalc as sc
from slurrycalc.cli import as_json, table
from slurrycalc.cli.group import group, load, result_type
from slurrycalc.metrology.results import Result

KEPT = Path(__file__).parent / f"{as_json.VERSION.replace('/', '-')}.txt"


def lines() -> list[str]:
    """Give every name and key that others may build on, a line each."""
    return sorted({*_options(), *_keys(), *_python()})


def kept() -> list[str]:
    """Give the lines that are on file."""
    return KEPT.read_text(encoding="utf-8").splitlines() if KEPT.exists() else []


def _options() -> Iterator[str]:
    """Name each command's words and options, and whether a word must be there."""
    whole = group()
    for name in table.names():
        command = whole.get_command(None, name)
        for one in command.params:
            if one.param_type_name == "option":
                yield from (f"line {name} {spelt}" for spelt in (*one.opts, *one.secondary_opts))
            else:
                yield f"line {name} {one.human_readable_name}{' (needed)' if one.required else ''}"


def _keys() -> Iterator[str]:
    """Name each key of each command's object, and what it holds."""
    for name in table.names():
        whole = json.loads(as_json.schema(name, result_type(load(name))))
        result = whole["$defs"][whole["$ref"].rpartition("/")[2]]["properties"]["result"]
        yield from (f"json {name} {line}" for line in _held(result, whole["$defs"], "", ()))


def _held(one: dict[str, Any], known: dict[str, Any], path: str, within: tuple[str, ...]) -> Iterator[str]:
    if "$ref" in one:
        name = one["$ref"].rpartition("/")[2]
        if name in within:
            yield f"{path or '.'}: as above"
            return
        yield from _held(known[name], known, path, (*within, name))
    elif "anyOf" in one:
        for each in one["anyOf"]:
            yield from _held(each, known, path, within)
    elif one.get("type") == "object" and "properties" in one:
        for key, value in one["properties"].items():
            yield from _held(value, known, f"{path}.{key}", within)
    elif one.get("type") == "array":
        several = one.get("prefixItems") or [one["items"]]
        for each in several if isinstance(several, list) else [several]:
            yield from _held(each, known, f"{path}[]", within)
    elif one.get("type") == "object":
        yield from _held(one.get("additionalProperties") or {}, known, f"{path}.*", within)
    else:
        words = [json.dumps(word) for word in one.get("enum", [])] or [one.get("type", "any")]
        yield from (f"{path}: {word}" for word in words)


def _python() -> Iterator[str]:
    """Name each public function's parameters, and each public class's."""
    for name in sorted(each for each in dir(sc) if not each.startswith("_")):
        one = getattr(sc, name)
        if inspect.ismodule(one) or getattr(one, "__module__", "").partition(".")[0] != "slurrycalc":
            continue
        # What a person makes has a signature to keep to; what comes back has fields.
        if not (inspect.isclass(one) and issubclass(one, Result)):
            yield from (f"python {name}({each})" for each in _parameters(one))
        if inspect.isclass(one):
            public = {each for each in dir(one) if not each.startswith("_")}
            public |= {each.name for each in fields(one)} if is_dataclass(one) else set()
            yield from (f"python {name}.{each}" for each in public)


def _parameters(one: Any) -> Iterator[str]:
    for each in inspect.signature(one).parameters.values():
        by_name = each.kind is each.KEYWORD_ONLY
        needed = each.default is each.empty and each.kind not in (each.VAR_POSITIONAL, each.VAR_KEYWORD)
        yield f"{'*, ' if by_name else ''}{each.name}{'' if needed else '=...'}"
