"""Sentences that belong to a number: why an input cannot stand, and what a result must say about itself."""

from __future__ import annotations

from dataclasses import dataclass


class Refusal(ValueError):
    """An input that cannot stand.

    Its text is one sentence that quotes what was given, says why it cannot stand, and shows a right one.
    """

    def __init__(self, sentence: str, where: str | None = None) -> None:
        super().__init__(sentence if where is None else f"{where}: {sentence}")
        self.sentence = sentence
        self.where = where

    def at(self, where: str) -> Refusal:
        """Give the same refusal with its place in front, outer places first."""
        return Refusal(self.sentence, where if self.where is None else f"{where}, {self.where}")


@dataclass(frozen=True, slots=True)
class Remark:
    """Something that a result must say about itself."""

    kind: str
    """A short slug that a program can test for."""
    text: str
    """The sentence that a person reads."""
