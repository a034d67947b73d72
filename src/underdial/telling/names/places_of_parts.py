"""Which part belongs to which: what has a host, what takes the name of a train, what a train's word implies.

Tables of the trade in the form the reader of speech needs. Sources: the rules of labelling of the look-overs;
common practice.

Never here: speech.
"""

from __future__ import annotations

from underdial.telling.speech.words import listed
from underdial.trade import vocabulary

WHEELS = listed("""
    wheel great_wheel second_wheel centre_wheel third_wheel fourth_wheel fifth_wheel escape_wheel contrate_wheel
    intermediate_wheel crown_wheel pin_wheel locking_wheel warning_wheel count_wheel minute_wheel hour_wheel
    star_wheel bevel_wheel
""")
_CARRIERS = WHEELS | listed(
    """
        pallet_arbor barrel_arbor fly fly_arbor fusee lever balance balance_staff barrel cylinder gathering_pallet rack
        lifting_piece hammer cannon_pinion chime_barrel weight_barrel
    """
)
_PINNED = listed("back_cock cock bridge balance_cock hour_bridge barrel_bridge escape_cock potence")
_HINGED = listed("bezel door back_cover dome travelling_case tablet hood bird_door case")
HOSTS = {
    "pivot": _CARRIERS,
    "pivot_hole": _CARRIERS,
    "arbor": _CARRIERS,
    "bush": _CARRIERS,
    "pivot_shoulder": _CARRIERS,
    "oil_sink": WHEELS,
    "pinion": WHEELS | {"fly"},
    "leaf": WHEELS | {"fly"},
    "lantern_pinion": WHEELS,
    "trundle": WHEELS,
    "shroud": WHEELS,
    "collet": WHEELS,
    "tooth": WHEELS
    | {
        "barrel",
        "rack",
        "ratchet_wheel",
        "fusee",
        "chime_barrel",
        "calendar_ring",
        "date_wheel",
        "moon_disc",
        "sprocket",
        "quarter_rack",
        "weight_barrel",
    },
    "hinge": _HINGED,
    "steady_pin": _PINNED,
    "screw": _PINNED
    | listed(
        """
            click gong_block gong hinge suspension_saddle platform dial_foot bell_stand self_correction movement_strap
            hammer gathering_pallet snail rack fly crutch pallets hairspring_stud hairspring_collet bezel door base foot
            handle suspension_block jewel regulator seat_board movement_bracket ratchet_cover cup_bearing minute_hand
            hands
            stop_work strike_cam collet
        """
    ),
}
# A part that stands for the arbor that carries it.
CARRIED_BY = {
    "pallets": "pallet_arbor",
    "anchor": "pallet_arbor",
    "crutch": "pallet_arbor",
    "back_cock": "pallet_arbor",
    "verge": "pallet_arbor",
    "entry_pallet": "pallet_arbor",
    "exit_pallet": "pallet_arbor",
    "pin_pallet": "pallet_arbor",
}
POWER = listed("""
    mainspring open_spring barrel barrel_cover barrel_hook barrel_arbor_hook weight gut_line weight_chain sprocket
    pulley click click_spring ratchet_wheel winding_square fusee fusee_chain chain_hook fusee_stop set_up
    weight_shell weight_barrel fusee_click set_up_click stop_work ratchet_cover weight_hook
""")
TRAIN_WORK = listed("fly fly_spring warning warning_wheel locking_wheel pin_wheel fly_arbor")
STRIKE_ONLY = listed("""
    rack rack_tail rack_hook rack_spring snail gathering_pallet count_wheel count_hook locking_lever lifting_piece
    hammer hammer_head hammer_tail hammer_tip hammer_spring hammer_check_spring hammer_pin bell gong gong_block fly
    fly_spring pin_wheel locking_wheel warning_wheel warning strike_cam drop_lever
""")
CHIME_ONLY = listed("chime_barrel chime_pin chime_rod self_correction quarter_snail quarter_rack")
# Wheels that exist once in a clock and carry no train before their name.
ONE_OF_A_KIND = listed(
    """
        escape_wheel contrate_wheel minute_wheel hour_wheel pin_wheel locking_wheel warning_wheel count_wheel
        crown_wheel star_wheel centre_wheel intermediate_wheel bevel_wheel
    """
)
NO_TRAIN_GROUPS = frozenset(
    ("case", "dial", "motion", "pendulum", "balance", "escapement", "platform", "hands", "bezel", "cuckoo")
)
# Parts with two ends or faces, whose place stays in mind; parts that are never "both" or "all" by place.
WITH_ENDS = listed(
    """
        pivot pivot_hole bush cone_pivot cup_bearing jewel end_stone pallets pin_pallet pallet_stone bellows
        bellows_wire pulley weight_guide glass plates foot oil_sink suspension_block chain_hook pivot_shoulder
        universal_joint entry_pallet
    """
)
# Wheels of which "wear" is said of the holes they run in.
ON_PIVOTS = listed("second_wheel third_wheel fourth_wheel fifth_wheel centre_wheel intermediate_wheel escape_wheel")
NOT_BOTH = listed(
    """
        hands case_screw screw movement_strap weight foot hinge pillar hand_nut glass back_plate front_plate plates rope
        gut_line
    """
)
NOT_ALL = listed(
    """
        hammer_pin taper_pin case_screw screw torsion_ball pillar hands movement_strap steady_pin plates movement
        bellows whistle weight chime_rod hammer
    """
)
PLACE_PARTS = listed("winding_hole numerals spandrel dial_centre")


def group_of(part: str) -> str:
    """The widest part or head under which a part stands in the trade's list."""
    parts = vocabulary.components()
    seen = set()
    while part in parts and part not in seen:
        seen.add(part)
        above = parts[part].part_of
        if above not in parts or above in ("movement", "clock", "plates"):
            return above if above not in parts else part if above == "clock" else above
        part = above
    return part


def part_of(part: str) -> str | None:
    """What a part belongs to in the trade's list."""
    known = vocabulary.components().get(part)
    return known.part_of if known is not None else None


def host_for(part: str, host: str | None) -> str | None:
    """The host in the form that is written for this part, or None when the host cannot carry it."""
    allowed = HOSTS.get(part)
    if host is None or allowed is None:
        return None
    if part in ("pivot", "pivot_hole", "arbor", "bush", "pivot_shoulder") and host in CARRIED_BY:
        return CARRIED_BY[host]
    return host if host in allowed else None


def of_wheel(wheel: str, train: str | None) -> str:
    """`strike.great_wheel` for a wheel in another than the going train."""
    return (
        f"{train}.{wheel}" if train not in (None, "going") and wheel in WHEELS and wheel not in ONE_OF_A_KIND else wheel
    )
