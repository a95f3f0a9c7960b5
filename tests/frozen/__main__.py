"""Write down what others may build on; refuse where something would go."""

from __future__ import annotations

import sys

from tests.frozen import KEPT, kept, lines

if __name__ == "__main__":
    gone = sorted(set(kept()) - set(lines()))
    if gone:
        first = "\n  ".join(gone[:10])
        sys.exit(f"{len(gone)} lines of {KEPT.name} would go. See DEVELOPERS.md, What is frozen.\n  {first}")
    KEPT.write_text("\n".join(lines()) + "\n", encoding="utf-8")
