"""The tests; a package, since another library brings one of this name."""
