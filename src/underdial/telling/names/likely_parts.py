"""Which parts can be in a state at all: what "it" cannot mean.

A statement that names no part is said of what is in focus - unless that could never be so: a plate has no blunt
point, a hole has no weak blow. Then the nearest part spoken of that can be so is meant. Only states that few parts
can be in are listed. Source: the trade's list of faults and its parts, common practice.

Never here: states of parts that are named with them.
"""

from __future__ import annotations

from collections.abc import Iterable

from underdial.telling.names import places_of_parts
from underdial.telling.speech.words import listed

_WHEELS = places_of_parts.WHEELS
_WOOD = listed(
    """
        case base moulding hood backboard veneer door seat_board trunk column ornament finial pendulum_rod foot
        back_cover plates front_plate back_plate frame bellows bird bird_door spandrel handle celluloid
    """
)
_LOOKS = listed(
    """
        dial chapter_ring numerals dial_centre glass dome tablet case bezel hands minute_hand hour_hand seconds_hand
        label spandrel moon_disc calendar_ring bird ornament mirror base door back_cover handle lining_paper veneer
        moulding hood trunk luminous_paint bob pendulum weight weight_shell side_fret foot finial column backboard
        plates back_plate front_plate bell travelling_case platform movement celluloid setting_dial alarm_hand barrel
        barrel_cover
    """
)
_SPRINGS = listed(
    """
        mainspring open_spring click_spring rack_spring hammer_spring fly_spring maintaining_spring hammer_check_spring
        friction_spring hairspring suspension_spring door_catch star_wheel fly torsion_strip bellows lifting_piece
    """
)
_LINES = listed(
    """
        gut_line rope weight_chain fusee_chain balance_wire silk_thread suspension_rod bell_wire bellows_wire bird_wire
        mains_flex
    """
)
_THREADED = listed(
    """
        screw case_screw rating_nut pendulum_rod pillar hand_nut lock_nut cup_bearing bob balance_screw steady_screw
        frame_bolt weight_hook hammer taper_pin winding_square beat_adjuster minute_hand hands finial regulator
    """
)
_SOUNDING = listed(
    """
        bell gong chime_rod hammer hammer_head hammer_tip gong_block hammer_spring whistle bellows movement music_box
        alarm bell_stand
    """
)
_HOLES = _WHEELS | listed(
    """
        pivot_hole bush plates front_plate back_plate pulley barrel barrel_cover barrel_arbor pallet_arbor pivot arbor
        back_cock cock bridge jewel lever fly hammer rack oil_sink winding_hole hinge fusee platform balance_cock click
        cannon_pinion
    """
)
_GEARED = _WHEELS | listed(
    """
        pallets anchor pin_pallet verge entry_pallet exit_pallet pinion leaf tooth lever cylinder rack_tail
        gathering_pallet rack fork roller impulse_pin lantern_pinion warning locking_lever rack_hook count_hook platform
        pallet_stone movement hammer_pin click depth bird bevel_wheel
    """
)

_CAN_BE = {
    "oval": _HOLES,
    "blunt": listed(
        """
            cone_pivot pivot guide_spike pin_pallet sprocket tooth click rack_hook balance_staff gathering_pallet hands
            minute_hand chain_hook barrel_hook fusee_stop
        """
    ),
    "hooked": listed("tooth sprocket rack ratchet_wheel count_wheel") | _WHEELS,
    "out_of_poise": listed("balance hands minute_hand pallets lever balance_screw"),
    "too_deep": _GEARED,
    "too_shallow": _GEARED,
    "unequal_drop": _GEARED,
    "unequal_lock": _GEARED,
    "set": listed("mainspring open_spring"),
    "weak": _SPRINGS,
    "coils_touching": listed("hairspring mainspring gong"),
    "frayed": _LINES | listed("side_fret travelling_case wheel hammer_tip bellows"),
    "hairline": _LOOKS,
    "flaking": _LOOKS,
    "silvering_worn": _LOOKS,
    "faded": _LOOKS,
    "repainted": _LOOKS,
    "overpainted": _LOOKS,
    "plating_worn": _LOOKS | listed("balance screw key pallets click"),
    "plating_lifting": _LOOKS | listed("balance"),
    "lacquer_worn": _LOOKS,
    "wormed": _WOOD,
    "end_of_travel": listed(
        """
            regulator rating_nut bob beat_adjuster eccentric balance_screw hairspring_stud rise_and_fall
            torsion_adjuster
            rack beat_scale hand_nut weight
        """
    ),
    "wont_hold": listed(
        "click ratchet_wheel winding_square fusee_click sprocket mainspring set_up_click maintaining_detent "
        "fly_click barrel_hook movement weight_chain rope hook door_catch"
    ),
    "chewed": _THREADED | listed("winding_square key pivot"),
    "damaged_thread": _THREADED | listed("plates back_plate front_plate pivot_hole hinge bell_stand"),
    "weak_blow": _SOUNDING,
    "hardened": listed(
        "hammer_tip rope bellows gut_line side_fret travelling_case silk_thread oil leather mains_flex door label "
        "movement crystal_shim"
    ),
    "crossed": _LINES,
    "off_its_seat": _LINES | listed("rack pulley weight hammer"),
    "low_amplitude": listed("balance pendulum movement bob"),
    "radium_suspect": listed("luminous_paint dial hands numerals minute_hand hour_hand movement"),
    "lifting": _LOOKS | _WOOD,
    "stripped": _WHEELS
    | _THREADED
    | listed("tooth barrel rack sprocket pivot_hole back_plate plates case bevel_wheel calendar_ring"),
    "bulged": listed("barrel barrel_cover case plates backboard base glass dial bob weight_shell"),
    "scored": listed(
        "pivot cone_pivot pallet_arbor arbor balance_staff barrel_arbor pivot_shoulder cylinder pallets entry_pallet "
        "exit_pallet pin_pallet hammer_tip dial glass case plates chapter_ring barrel weight_barrel fly_arbor snail "
        "impulse_pin jewel cup_bearing minute_wheel_post cannon_pinion crutch_pin hour_wheel pulley bell "
        "winding_square end_stone bezel door weight_shell"
    )
    | _WHEELS,
    "not_level": listed("case movement site base clock wall_fixing seat_board"),
}


def can_be(part: str, condition: str) -> bool:
    """Whether a part can be in this condition, as far as it is known which parts can."""
    able = _CAN_BE.get(condition)
    return not able or part in able


def nearest(condition: str, parts: Iterable[str]) -> str | None:
    """The first of some parts that can be so."""
    return next((part for part in parts if can_be(part, condition)), None)
