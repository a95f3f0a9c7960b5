"""A bench day that is guided at the table, question by question."""

from slurrycalc.day.bench.guided.events import Ask, End, Finish, Save, Say, Typed
from slurrycalc.day.bench.guided.guide import guided
from slurrycalc.day.bench.guided.room import Room, room_of
from slurrycalc.day.bench.guided.state import Reply

__all__ = ["Ask", "End", "Finish", "Reply", "Room", "Save", "Say", "Typed", "guided", "room_of"]
