"""The example notebook runs as it stands, gives what it shows, and its text says what it gives."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from tests.example_notebook import NOTEBOOK, outputs

KEPT: dict[str, Any] = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
SHOWN = [cell["outputs"] for cell in KEPT["cells"] if cell["cell_type"] == "code"]


@pytest.mark.slow
def test_its_outputs_are_what_its_cells_give() -> None:
    assert outputs(KEPT) == SHOWN
    assert sum(map(bool, SHOWN)) > 9


def test_what_its_text_stresses_stands_in_the_next_output() -> None:
    """True of what is kept, which the test before holds to what comes out."""
    results, stressed = iter(SHOWN), []
    for cell in KEPT["cells"]:
        if cell["cell_type"] == "markdown":
            stressed = re.findall(r"\*\*(.+?)\*\*", "".join(cell["source"]))
            assert stressed or cell is KEPT["cells"][0]
        else:
            said = json.dumps(next(results))
            assert [words for words in stressed if words not in said] == []


def test_it_prints_no_result_s_fields_and_no_path_of_whoever_ran_it() -> None:
    text = json.dumps(SHOWN)
    assert "+/-" not in text
    assert "=(" not in text
    assert "/tmp" not in text
