"""Substrates known beforehand: each name once, each range in order."""

from __future__ import annotations

from slurrycalc.data.materials import material, materials


def test_each_name_stands_for_one_substrate() -> None:
    names = [name for row in materials() for name in (row.name, *row.also)]
    assert len(names) == len(set(names))
    assert all(name == name.casefold() and not any(c.isdigit() for c in name) for name in names)
    assert all(material(name.upper()) is not None for name in names)


def test_each_range_is_in_order_and_can_be() -> None:
    for row in materials():
        assert 0 < row.dry[0] < row.dry[1] < row.dry[2] < 2.65, row.name  # quartz: no bulk is as dense
        assert 0 < row.moisture[0] < row.moisture[1] < row.moisture[2] < 20, row.name
        # What is not filled by solids can at most be filled by water; organic solids weigh some 1.4 g/mL.
        solid = 2.65 if row.dry[1] > 0.8 else 1.4
        assert row.dry[1] * row.moisture[1] < 1 - row.dry[1] / solid, row.name
