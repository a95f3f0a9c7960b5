"""What every test shares."""

from __future__ import annotations

from hypothesis import settings

# A busy machine makes a law no less true: examples have no deadline.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
