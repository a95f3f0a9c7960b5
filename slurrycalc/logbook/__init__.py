"""The record: what was read, by whom and when, so that nothing is lost and everything can be recomputed."""
