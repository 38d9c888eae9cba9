"""Ringcut checks procedures for repairing the sheath of copper telephone cables against a rulebook.

The library reads, relates, judges and solves. It never prints and never reads the clock: the caller says what day
it is. Rooms, in the order in which data flows: ``reading``, ``language``, ``relations``, ``forms``, ``judge``,
``report``.
"""

__version__ = "0.1.0"
