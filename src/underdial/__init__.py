"""Underdial: one record of an antique clock, and a computed model of its movement behind it.

The rooms and which may import which: ARCHITECTURE.md. Nothing is imported here, so that the
command line answers at once.
"""

__version__ = "0.1.0"
