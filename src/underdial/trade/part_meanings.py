"""Parts of a clock in words for somebody who has never seen inside one: `the lever that lets off the strike`.

Only parts whose name says nothing outside the trade; hands, dial, glass and bell need no words. Source: plain English
of our own.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_MEANINGS: Mapping[str, str] = MappingProxyType(
    {
        "anchor": "the rocking piece that lets the last wheel go on tooth by tooth",
        "arbor": "the axle of a wheel",
        "balance": "the small wheel that swings to and fro and keeps the time",
        "balance_staff": "the axle of the balance, the small wheel that swings to and fro",
        "barrel": "the drum that holds the mainspring",
        "bezel": "the ring round the glass",
        "bush": "the lining of a hole that an axle turns in",
        "cannon_pinion": "the tube that carries the minute hand",
        "centre_wheel": "the wheel that turns once an hour",
        "click": "the catch that keeps the spring or weight wound up",
        "click_spring": "the spring of the catch that keeps the clock wound up",
        "cone_pivot": "the pointed end of an axle",
        "count_wheel": "the wheel with notches that counts the blows",
        "crutch": "the arm that passes the push on to the pendulum",
        "cup_bearing": "the hollow that the pointed end of an axle turns in",
        "entry_pallet": "one of the two faces on which the last wheel pushes",
        "escape_wheel": "the last wheel, which ticks",
        "exit_pallet": "one of the two faces on which the last wheel pushes",
        "fly": "the small fan that slows the striking",
        "fusee": "the cone with a groove that evens out the pull of the spring",
        "gathering_pallet": "the small finger that counts the blows",
        "great_wheel": "the first and largest wheel",
        "hairspring": "the fine spiral spring of the balance",
        "impulse_pin": "the pin through which the balance is pushed",
        "lever": "the piece that pushes the balance",
        "lifting_piece": "the lever that lets off the strike",
        "locking_lever": "the lever that ends the strike",
        "mainspring": "the spring that you wind, and that drives the clock",
        "motion_work": "the wheels behind the dial that drive the hands",
        "oil_sink": "the little hollow that holds the oil where an axle turns",
        "pallets": "the two faces on which the last wheel pushes",
        "pin_pallet": "one of the two pins on which the last wheel pushes",
        "pivot": "the thin end of an axle",
        "pivot_hole": "the hole in which the end of an axle turns",
        "rack": "the toothed piece that counts the blows of the hour",
        "rack_hook": "the catch that holds the counting piece of the strike",
        "rack_spring": "the spring that lets the counting piece of the strike fall",
        "rack_tail": "the feeler that finds how many blows are due",
        "rating_nut": "the nut under the pendulum bob that sets the clock faster or slower",
        "regulator": "the small arm that sets the clock faster or slower",
        "seat_board": "the board on which the movement stands",
        "snail": "the stepped disc that says how many blows are due",
        "suspension_block": "the piece from which the pendulum hangs",
        "suspension_spring": "the thin strip of spring on which the pendulum hangs",
        "warning_wheel": "the wheel that holds the strike ready until the hour",
    }
)


def meaning_of(component: str) -> str:
    """What a part is, without its article at the head of a sentence; empty where its name says enough."""
    return _MEANINGS.get(component, "")
