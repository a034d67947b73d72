"""What parts are called at the bench beyond the trade's list, and how a word that names many parts is settled.

`MORE_NAMES` adds names to the trade's list. `SHARED_WORDS` holds the words that name several parts: each line
gives the readings in order, every reading with the parts or traits of the clock that call for it; a reading
without any is the one taken when nothing calls for another. Sources: common practice of the bench; the trade's
list of ambiguities.

Never here: a rule of grammar.
"""

from __future__ import annotations

from underdial.telling.speech.words import listed

MORE_NAMES = """
movement: the movement, the works, the whole movement, whole thing, whole lot, everything inside
case: carcase, woodwork, casework, case wood, cabinet
dial: dial, face, dial plate
chapter_ring: chapter ring, time ring
numerals: numerals, numeral, chapters, roman numerals
glass: glass, dial glass, crystal, front glass, door glass
minute_hand: minute hand, big hand, long hand
hour_hand: hour hand, little hand, short hand
seconds_hand: seconds hand, second hand, sweep hand
hands: hands, both hands, the hands, pair of hands
foot: bracket foot, bracket feet, bun foot, bun feet, corner foot
back_cover: back cover, back door, dust cover, dust cap, rear door
front_plate: front plate, frontplate, dial plate side
back_plate: back plate, backplate, rear plate
plates: plates, both plates, plate, movement plate
pillar: pillar, movement pillar
taper_pin: taper pin, tapered pin, pillar pin, dial pin
screw: screw, grub screw
dial_foot: dial pillar, dial pillars, dial post, dial posts, dial foot, dial feet, dial foots
mainspring: mainspring, main spring, power spring
open_spring: open spring, open mainspring, loop end spring
barrel: spring barrel, mainspring barrel, barrel wall
weight_barrel: weight barrel, line barrel, grooved barrel, winding drum
barrel_cover: barrel cover, barrel cap, barrel lid, cover of the barrel
barrel_arbor: barrel arbor, winding arbor, spring arbor
barrel_hook: barrel hook, hook in the barrel, hook on the barrel wall
barrel_arbor_hook: barrel arbor hook, arbor hook, hook on the arbor, hook on the barrel arbor, inner hook
great_wheel: great wheel, first wheel, main wheel, mainwheel, greatwheel, barrel wheel
second_wheel: second wheel
centre_wheel: centre wheel
third_wheel: third wheel
fourth_wheel: fourth wheel
fifth_wheel: fifth wheel
escape_wheel: wheel of escapement, wheel of the escapement, scape wheel, scapewheel, escapement wheel, escape wheel, escapewheel
intermediate_wheel: intermediate wheel, idler wheel, idler
contrate_wheel: contrate wheel, contrate, contra wheel
crown_wheel: crown wheel
pin_wheel: pin wheel
locking_wheel: locking wheel, hoop wheel, stop wheel
warning_wheel: warning wheel
minute_wheel: minute wheel
hour_wheel: hour wheel, hour pipe, hour tube, hour socket
cannon_pinion: cannon pinion, cannon tube, cannon wheel, cannon, minute pipe, centre pipe, cannon arbor
motion_work: motion work, motion works, under dial work
friction_spring: friction spring, bow spring, clutch spring, tension washer, clutch washer
count_wheel: count wheel, locking plate, countwheel
star_wheel: star wheel
bevel_wheel: bevel wheel, bevel gear, bevels
arbor: arbor, spindle
pivot: pivot
pivot_hole: pivot hole, hole, pivothole, bearing hole
pivot_shoulder: pivot shoulder, shoulder
bush: bush, bushing, bouchon
oil_sink: oil sink, oil cup, oil sinks, sinks, sink
pinion: pinion
leaf: pinion leaves, pinion leaf
lantern_pinion: lantern pinion, lantern
trundle: trundle, pinion wire
shroud: shroud
tooth: tooth, teeth
back_cock: back cock, pallet cock, pendulum cock, backcock, suspension cock
bridge: bridge
click: click, pawl
click_spring: click spring
ratchet_wheel: ratchet wheel, ratchet, ratchet teeth, click wheel
winding_square: winding square, square
stop_work: stop work, stopwork, stopworks, maltese cross, geneva stop, finger piece
fusee: fusee, fusee cone
fusee_chain: fusee chain
gut_line: gut line, gut lines, gut, wire line, weight line, steel line, cable
maintaining_power: maintaining power, maintaining work
weight: weight, driving weight
weight_shell: weight shell, weight can, weight tube
weight_chain: weight chain, cuckoo chain
chain_hook: chain hook
sprocket: sprocket, chain wheel, chainwheel
pulley: pulley, pulley wheel
rope: rope, endless rope
anchor: anchor
pallets: pallets, pallet, verge, locking faces, impulse faces, pallet faces, pallet face, verge faces, pallet pads, anchor pallets
entry_pallet: entry pallet, entrance pallet, receiving pallet
exit_pallet: exit pallet, discharging pallet
pin_pallet: pin pallet, pallet pins, pallet pin
pallet_arbor: pallet arbor, verge arbor, pallet staff, anchor arbor
pallet_stone: pallet stone
crutch: crutch, crutch fork, crutch loop, crutch wire, verge wire, crutch foot, crutch slot
crutch_pin: crutch pin
suspension_spring: suspension spring, suspension, suspension feather, feather
suspension_block: suspension block, brass block
torsion_strip: torsion wire, torsion strip, torsion spring, suspension strip, suspension wire
pendulum: pendulum
bob: bob, pendulum bob, pendulum ball, pendulum disc
pendulum_rod: pendulum rod, wood rod
rating_nut: rating nut, regulating nut, rating screw
cheeks: cheeks, chops, suspension chops, suspension cheeks
balance: balance, balance wheel, balance rim, balance arm
balance_staff: balance staff, staff, balance arbor
cone_pivot: cone pivot, cone, coned pivot, pointed pivot, balance pivot cone
cup_bearing: cup bearing, cup screw, pivot screw, pivot cup, bearing cup, coned screw
balance_cock: balance cock, balance bridge
hairspring: hairspring, hair spring, balance spring, top coil, bottom coil, last coil, first coil
hairspring_stud: hairspring stud, stud, stud pin
hairspring_collet: hairspring collet, balance collet
regulator: regulator, index
regulator_pins: regulator pins, curb pins, index pins, regulator pin
impulse_pin: impulse pin, ruby pin, roller jewel, impulse jewel
roller: roller, table roller
fork: lever fork, pallet fork, lever notch
guard_pin: guard pin, dart, safety pin
banking_pin: banking pin, bankings, bankings pins
jewel: jewel, jewel hole
end_stone: end stone, endstone, cap jewel
cylinder: cylinder
platform: platform, platform escapement
rack: rack, strike rack, hour rack
rack_tail: rack tail
rack_hook: rack hook
rack_spring: rack spring
snail: snail, hour snail
gathering_pallet: gathering pallet, gatherer
warning: warning, warning run, warning pin
locking_lever: locking lever, locking detent, locking piece
lifting_piece: lifting wire, lift wire lever, lifting piece, lifter, lifting lever
hammer: hammer, hammer rod, hammer stem, hammer wire, hammer shank, hammer stalk
hammer_head: hammer head
hammer_tail: hammer tail
hammer_tip: hammer leather, hammer tip, hammer pad, hammer felt
hammer_spring: hammer spring
hammer_check_spring: check spring, hammer check spring, counter spring
hammer_pin: hammer pin, lifting pin, hammer lifting pin
bell: bell
gong: gong, coil gong, coiled gong
gong_block: gong block, gong stand
chime_rod: chime rod, gong rod, rod gong
fly: fly, fan, governor, fly vane, fan fly
fly_spring: fly spring, fan spring
fly_arbor: fly arbor
chime_barrel: pin barrel, chime drum, pin drum, chime barrel
count_hook: count hook, count lever, counting hook
strike_cam: strike cam, centre cam, maintenance cam, stop cam
drop_lever: drop lever, stop lever
alarm: alarm
alarm_lever: alarm lever, alarm let off
alarm_hand: alarm hand, alarm disc
alarm_cam: alarm cam
calendar_ring: calendar ring, calendar, date ring, date disc, calendar disc, calendar wheel
date_wheel: date wheel, date finger, date pawl, calendar finger
moon_disc: moonwork, moon work, moon works, moon phase, moonphase, moon disc, moon dial, rolling moon, moon
seat_board: seat board, seatboard
backboard: backboard, back board
door_lock: door lock
door_catch: door catch
case_screw: screws through the back, long screws through the back, screws through the bezel, screws holding the movement, screws that hold the movement, screws that hold it in, screws out of the back, movement fixing screws, movement screws, bolts through the back, bolts through the seat, screws through the seat board, bolts through the seat board, back screws, holding down screws, holding down bolts, mounting screw, case screw, case bolt, movement screw, fixing screw, holding screw
movement_strap: movement strap, strap
veneer: veneer, veneers
luminous_paint: luminous paint, luminous, lume, glow paint, radium paint
spandrel: spandrel, corner piece
mirror: mirror, looking glass
tablet: tablet, painted glass, reverse painting, picture glass
side_fret: sound fret, side fret, fret
dome: dome, glass dome
bellows: bellows, bellow
bird: bird, cuckoo bird
hand_nut: hand nut, minute nut, hand bolt
hand_collet: hand collet, hand washer, domed washer, dome washer, hand bushing
steady_pin: steady pin, locating pin
winding_hole: winding hole, winding arbor hole, keyhole, winding holes
key: key, winding key
label: label, paper label, trade label, repair label
oil: oil, lubricant, grease
hinge: hinge, hinge pin
pendulum_lock: pendulum lock, pendulum lock lever, lock lever
steady_screw: levelling screws, levelling screw
silent_lever: strike silent lever, silent lever, strike silent, strike silent lever
guide_spike: guide spike, guide pin
guide_cup: guide cup
beat_adjuster: beat setting device, beat setting, beat setter, beat adjuster, beat screw, beat adjustment
suspension_rod: suspension rod, leader, hanger rod
lock_nut: lock nut, locknut
balance_screw: balance screw, timing screw
platform: platform
shroud: shroud
finial: finial, acorn, eagle, urn finial, ball finial, pineapple
weight_guide: baffle, weight baffle, weight shield, tin shield, pendulum baffle
ornament: ornament, side arm, side arms, sidearm, sidearms, brass side pieces, brass pieces, ear piece, ear pieces, earpiece, earpieces, scroll, scrolls, swag, swags, corbel, corbels, carving, carvings, crest, cresting, applique, appliques, mount, rosette, rosettes, mask, cherub, beading
wall_fixing: wall fixing, wall hook, wall nail
steady_screw: levelling screw, side screw, leveling screw, levelling feet
bell_stand: bell stand, bell standard, bell post
travelling_case: leather box, travelling case, carrying case, leather case
rise_and_fall: rise and fall, regulation dial, regulating dial
ring_weight: ring weight, lead ring
music_box: music movement, musical movement, music comb
pendulum_lock: pendulum locking lever
whistle: flute, flutes, whistle pipe, cuckoo pipes
seam: casting seam, mould seam
winding_jack: winding jack, winding crank, crank handle
star_wheel: star wheel jumper, jumper spring, moon jumper
stop_lever: stop lever
universal_joint: universal joint
leading_off_rod: leading off rod
gravity_arm: gravity arm
auto_winder: auto winder, automatic winder
anchor_pin: anchor pin
self_correction: self correction, self correcting
"""

# Names of the trade's list that speech does not use in that sense.
NOT_NAMES = {
    "leaf": ("leaf", "leaves"),
    "anchor": ("pallets", "pallet", "verge"),
    "ring_weight": ("little ring",),
    "hammer_check_spring": ("the little spring",),
    "backboard": ("the back",),
    "back_cover": ("back",),
    "site": ("the shelf", "the floor", "carpet", "shelf", "floor"),
    "movement": ("mechanism", "works"),
    "barrel": ("going barrel",),
    "suspension_block": ("top block", "bottom block", "brass ends"),
    "weight_chain": ("time chain",),
    "contrate_wheel": ("crown wheel",),
    "bellows_wire": (),
    "case": ("the case",),
    "trundle": ("wire", "pin"),
    "tooth": ("two",),
}

# Names in the trade's list that are too common as words of talk, or are settled by SHARED_WORDS.
NOT_ALONE = listed("""
    pin pins wire hook hooks tail tip stop lock catch bolt bolts post block blocks saddle fork cup cups collet
    collar cap lid rod strip lever barrel drum chain line spring cock jumper latch support figure decoration loop
    point pairs screws weights packing numbers comb star crank jack motor contact contacts cover balls disc adjuster
    detent leather leathers bracket nut wire plug plugs stone stones hand index pointer hanger lining works
    mechanism back site shelf floor carpet shim washer regulation date washer notch spikes spike cam cams repeat
    clutch plastic cord thread pipe flute moon sink sinks top face seam wheel gear shaft axle spindle collar rods
    post posts head jewel square picture trunk waist mounts door handle base plinth column columns edge finger cone
    cones teeth tooth fan governor flex mercury silk cable idler support bankings contra loop magnets the
""")

SHARED_WORDS = """
leaf: suspension_spring suspension_spring suspension_block cheeks; leaf
leaves: suspension_spring suspension_spring suspension_block cheeks; leaf
lip: cylinder #cylinder
coil: gong gong; hairspring
coils: mainspring mainspring barrel; gong gong; hairspring
foot: dial_foot dial_foot; foot
feet: dial_foot dial_foot; foot
link: fusee_chain fusee fusee_chain chain_hook #fusee; weight_chain
links: fusee_chain fusee fusee_chain chain_hook #fusee; weight_chain
little one: hour_hand hands minute_hand hour_hand
small one: hour_hand hands minute_hand hour_hand
short one: hour_hand hands minute_hand hour_hand
big one: minute_hand hands minute_hand hour_hand
long one: minute_hand hands minute_hand hour_hand
spring: click_spring click ratchet_wheel click_spring; rack_spring rack rack_hook rack_tail rack_spring; hammer_spring hammer hammer_head hammer_tail hammer_tip; fly_spring fly; maintaining_spring maintaining_power maintaining_detent; suspension_spring suspension_spring suspension_block cheeks pendulum bob pendulum_rod rating_nut crutch crutch_pin; hairspring balance balance_staff hairspring hairspring_stud hairspring_collet regulator regulator_pins cone_pivot cup_bearing; mainspring barrel mainspring winding_square barrel_cover barrel_arbor ratchet_wheel; torsion_strip #torsion; mainspring
hook: barrel_hook mainspring barrel barrel_arbor barrel_cover winding_square; chain_hook fusee_chain fusee; rack_hook rack rack_tail rack_spring gathering_pallet; count_hook count_wheel count_hook strike_cam; weight_hook weight pulley weight_shell weight_chain; pendulum_hook pendulum torsion_strip torsion_ball bob; barrel_hook
hooks: chain_hook fusee_chain fusee; weight_hook weight weight_chain; barrel_hook mainspring barrel
pin: banking_pin banking_pin; pin_pallet entry_pallet pin_pallet; hammer_pin pin_wheel hammer hammer_pin; pin_pallet pin_pallet #pin_pallet; crutch_pin crutch; trundle lantern_pinion trundle shroud; locking_pin locking_wheel; anchor_pin #torsion; impulse_pin roller impulse_pin; guard_pin lever fork; pinwheel_pin #pinwheel; taper_pin pillar taper_pin plates; hinge hinge; chime_pin chime_barrel
pins: hammer_pin pin_wheel hammer hammer_pin; chime_pin chime_barrel chime_pin; pin_pallet pin_pallet #pin_pallet; trundle lantern_pinion trundle shroud; pinwheel_pin #pinwheel; regulator_pins regulator hairspring; taper_pin pillar taper_pin plates; banking_pin lever; taper_pin
wire: balance_wire floating_balance #floating; bellows_wire bellows; bird_wire bird; trundle lantern_pinion trundle shroud pinion; bell_wire bell bell_wire
wires: trundle lantern_pinion trundle shroud pinion; bellows_wire bellows
block: gong_block gong chime_rod hammer; suspension_block
blocks: suspension_block
saddle: suspension_saddle #torsion; pallet_saddle
fork: torsion_fork #torsion; fork lever balance roller guard_pin impulse_pin pallets #balance; crutch
notch: fork lever balance #balance
cup: guide_cup #torsion; cup_bearing
cups: guide_cup #torsion; cup_bearing
cone: fusee fusee #fusee; cone_pivot
cones: cone_pivot
point: cone_pivot cone_pivot
points: cone_pivot cone_pivot balance balance_staff
collet: hairspring_collet hairspring hairspring_stud regulator regulator_pins balance balance_staff; hand_collet hands minute_hand hour_hand; collet
collar: hand_collet hands minute_hand; collet
cap: end_stone jewel platform balance; barrel_cover
lid: barrel_cover
cover: barrel_cover barrel mainspring barrel_hook barrel_arbor; back_cover case; ratchet_cover ratchet_wheel click
rod: chime_rod chime_barrel chime_rod gong; leading_off_rod #turret; pendulum_rod
rods: chime_rod chime_barrel chime_rod gong hammer #chime; pendulum_rod
strip: torsion_strip #torsion
lever: hammer_lever #turret hammer; alarm_lever alarm alarm_hand alarm_cam; locking_lever rack rack_hook count_wheel warning_wheel locking_wheel fly lifting_piece warning strike_cam hammer !strike; lever
barrel: chime_barrel chime_barrel chime_pin !chime; weight_barrel #weight; barrel
drum: chime_barrel chime_barrel chime_pin !chime; weight_barrel #weight; case #drumcase; barrel
chain: fusee_chain fusee #fusee; weight_chain
line: gut_line
lines: gut_line
cord: rope #thirty; gut_line
rope: rope
cable: gut_line
cables: gut_line
cock: balance_cock balance hairspring cone_pivot hairspring_stud regulator #platform; back_cock pallets pallet_arbor crutch anchor pendulum; cock
post: minute_wheel_post minute_wheel motion_work hour_wheel; bell_stand bell; pillar
posts: pillar
stud: hairspring_stud
nut: hand_nut hands minute_hand hour_hand; rating_nut
nuts: hand_nut hands minute_hand; pillar pillar; rating_nut
ball: bob
balls: torsion_ball #torsion
disc: torsion_adjuster #torsion; moon_disc moon_disc; bob bob pendulum
adjuster: torsion_adjuster #torsion; beat_adjuster
detent: maintaining_detent maintaining_power maintaining_spring maintaining_shutter; locking_lever
leather: case #travelling; hammer_tip
leathers: hammer_tip
tip: hammer_tip hammer hammer_tip hammer_head
head: hammer_head hammer hammer_head
tail: rack_tail rack rack_hook; hammer_tail hammer; counterpoise minute_hand seconds_hand
cam: self_correction self_correction; alarm_cam alarm alarm_lever alarm_hand; strike_cam
cams: strike_cam
stone: pallet_stone pallets entry_pallet exit_pallet pallet_stone; end_stone jewel balance #platform; pallet_stone
stones: pallet_stone
box: travelling_case travelling_case
jewel: jewel
plug: cylinder_plug cylinder #cylinder
plugs: cylinder_plug
loop: crutch crutch pallets pendulum; open_spring mainspring open_spring
stop: fusee_stop fusee fusee_chain
latch: bird_door bird; door_catch
catch: door_catch
ring: chapter_ring dial chapter_ring numerals; ring_weight rope weight_chain
lock: door_lock
jumper: star_wheel star_wheel; date_wheel
screws: balance_screw balance; screw
weights: timing_weight timing_weight; weight
bracket: movement_bracket
support: pendulum_support
bolt: maintaining_bolt maintaining_power #shutter; frame_bolt frame #turret
bolts: frame_bolt #turret
shutter: maintaining_shutter
spike: guide_spike
spikes: sprocket weight_chain sprocket; guide_spike #torsion; sprocket
washer: hand_collet hands minute_hand cannon_pinion; friction_spring cannon_pinion; hand_collet
clutch: friction_spring
pointer: regulator regulator balance hairspring
hanger: wall_fixing
numbers: numerals dial
moon: moon_disc
date: calendar_ring calendar_ring dial hands date_wheel motion_work
locking: locking_lever
star: star_wheel
comb: music_box music_box
mercury: mercury_jar
silk: side_fret side_fret; silk_thread
flex: mains_flex
shim: crystal_shim glass bezel
mounts: ornament
figure: ornament ornament
decoration: ornament
wheel: wheel
gear: wheel
gears: wheel
shaft: arbor
axle: arbor
spindle: arbor
contacts: electric_contact
lining: lining_paper
hand: setting_hand setting_dial; hands
door: bird_door bird; door
handle: handle
slate: base
base: base
plinth: base
column: column
columns: column
sink: oil_sink
sinks: oil_sink
square: arbor gathering_pallet; winding_square
enamel: dial
face: pallets pallets anchor entry_pallet exit_pallet; dial
faces: pallets
rivet: click click ratchet_wheel click_spring; hinge hinge
rivets: click click
channel: weight_guide weight_guide
fan: fly
governor: fly
trunk: trunk
waist: trunk
thread: pendulum_rod rating_nut bob pendulum_rod pendulum
whistle: whistle
pipe: cannon_pinion cannon_pinion; hour_wheel hour_wheel; whistle bellows; seconds_hand seconds_hand
pipes: whistle bellows
repeat: repeat_work
pad: hammer_tip
spandrels: spandrel
jar: mercury_jar
jars: mercury_jar
"""

# Words of the whole look-over that tell what kind of clock it is (`#trait` above).
TRAIT_WORDS = {
    "travelling": "leather case|folding travelling|travelling clock|leather travelling|in leather|travel clock",
    "drumcase": "drum timepiece|drum clock|brass drum|drum case|little drum|rolled drum|small drum",
    "torsion": "torsion|four hundred day|400 day|anniversary|year clock|rotary pendulum|three balls|four balls|guide cup",
    "turret": "turret|tower clock|church clock|stable clock|flatbed|tower",
    "weight": "longcase|grandfather|tall case|tallcase|ogee|vienna|weight driven|weights are|turret|thirty hour|cuckoo|regulator wall|gut line|dutch|black forest|bracket weights",
    "fusee": "fusee|fusees|fuzee|chain fusee",
    "balance": "balance|platform|carriage clock|hairspring|lever escapement|cylinder escapement|drum timepiece",
    "pin_pallet": "pin pallet|pin lever|pin pallets|entry pin|exit pin",
    "pinwheel": "pinwheel|pin wheel escapement",
    "floating": "floating balance",
    "platform": "platform",
    "chime": "chime|chimes|chiming|westminster|whittington",
    "cylinder": "cylinder",
    "cuckoo": "cuckoo|bellows",
    "thirty": "thirty hour|30 hour",
    "shutter": "bolt and shutter|shutter",
}
