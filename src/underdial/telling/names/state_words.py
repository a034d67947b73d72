"""How the state of a part is said at the bench: phrase, for which parts, the condition, and its sense.

One line a group of phrases: `phrases | parts | condition | sense`. The first line that fits phrase and part is
taken. Parts are component ids or a `@group`; `*` is any part. Sense `+`: the phrase says the condition is
there; `-`: that it is not ("straight" says bent is absent). Source: common practice of the bench, and the
trade's list of conditions, whose own spoken forms are added behind these lines.

Never here: a rule of grammar.
"""

from __future__ import annotations

from underdial.telling.speech.words import listed

GROUPS = {
    "@springs": "click_spring rack_spring hammer_spring fly_spring maintaining_spring hammer_check_spring friction_spring",
    "@main": "mainspring open_spring",
    "@strip": "suspension_spring torsion_strip balance_wire silk_thread",
    "@fixed": "screw collet hairspring_collet pillar case_screw barrel_cover hairspring_stud wheel great_wheel second_wheel centre_wheel "
    "third_wheel fourth_wheel fifth_wheel escape_wheel contrate_wheel pin_wheel locking_wheel warning_wheel count_wheel intermediate_wheel "
    "click gong gong_block bell bell_stand hammer_head taper_pin frame_bolt dial_foot cock back_cock bridge balance_cock "
    "shroud handle foot finial column bezel minute_wheel_post steady_pin movement_strap fly gathering_pallet snail torsion_ball "
    "suspension_block suspension_saddle crutch pallets pallet_stone impulse_pin jewel end_stone roller key glass dome minute_hand "
    "hour_hand seconds_hand hands cannon_pinion hammer chime_rod cup_bearing lock_nut banking_pin guard_pin seat_board "
    "movement_bracket balance_screw timing_weight cylinder_plug hook barrel_hook barrel_arbor_hook strike_cam backboard veneer moulding "
    "door_catch plates front_plate back_plate ornament trundle lantern_pinion back_cover chapter_ring dial spandrel label case base "
    "pallet_arbor weight_hook wall_fixing alarm_cam hand_nut ratchet_wheel case leather pinion stop_work platform bob pendulum_rod",
    "@turning": "pivot pivot_hole hinge rating_nut arbor rack rack_hook rack_tail lifting_piece lever regulator hammer_lever calendar_ring date_wheel moon_disc door silent_lever locking_lever alarm_lever balance torsion_adjuster drop_lever winding_square bevel_wheel",
    "@wood": "case base moulding hood backboard veneer door seat_board trunk column ornament finial pendulum_rod",
    "@dialish": "dial chapter_ring numerals dial_centre glass jewel",
    "@clear": "glass dome tablet",
    "@painted": "dial numerals tablet bird spandrel moon_disc ornament glass",
    "@plated": "case bezel handle base balance bob pendulum dial hands dome",
    "@wheels": "wheel great_wheel second_wheel centre_wheel third_wheel fourth_wheel fifth_wheel escape_wheel contrate_wheel pin_wheel "
    "locking_wheel warning_wheel intermediate_wheel hour_wheel minute_wheel crown_wheel star_wheel bevel_wheel",
    "@pinions": "pinion leaf lantern_pinion trundle",
    "@cones": "cone_pivot guide_spike pivot balance_staff pin_pallet click sprocket rack_hook gathering_pallet",
    "@soft": "hammer_tip rope gut_line bellows side_fret travelling_case",
    "@turns": "rating_nut hand_nut pulley regulator screw",
    "@movers": "rack rack_hook rack_tail lifting_piece locking_lever lever hammer silent_lever alarm_lever pendulum_lock warning count_hook calendar_ring "
    "date_wheel moon_disc door fly bird bird_door pulley torsion_adjuster regulator balance drop_lever flirt pulley arbor hinge",
    "@holes": "pivot_hole bush",
    "@pivots": "pivot cone_pivot pallet_arbor",
    "@arbors": "arbor pivot balance_staff pallet_arbor barrel_arbor fly_arbor",
    "@flats": "hairspring plates front_plate back_plate balance dial chapter_ring wheel great_wheel contrate_wheel escape_wheel count_wheel platform glass",
    "@hands": "hands minute_hand hour_hand seconds_hand alarm_hand counterpoise",
    "@lines": "gut_line rope weight_chain fusee_chain",
    "@brass": "plates front_plate back_plate bell bell_stand platform cock",
    "@depths": "pallets anchor contrate_wheel escape_wheel pinion wheel pin_pallet verge lever",
    "@toothed": "tooth sprocket escape_wheel great_wheel rack ratchet_wheel",
    "@slots": "screw case_screw frame_bolt balance_screw pillar",
    "@oils": "oil oil_sink movement pivot pivot_hole mainspring",
    "@beats": "movement beat_adjuster",
}

STATES = """
gone, is gone | * | missing | +
there | * | missing | -
good, fine, sound, okay, all right, perfect, lovely, healthy, excellent, grand, great, beautiful, spot on, happy with, no complaints, as new, like new, in good order, in good nick, in good condition, in good shape, in order, serviceable, up to the job, working, works, works fine, does its job, nothing wrong, nothing the matter, no problem, no problems, no trouble, no issue, no issues, as it should be, as they should be, how it should be, how they should be, where it should be, where they should be, what you want, what i like, looks new, could be new, like the day it was made, slips like it should, slips as it should, slides okay, slides fine, clean as a whistle, nothing to report, nothing to say, nothing to fault, no fault, no faults, no marks, not a mark, hardly a mark, not a scratch on, unmarked, unworn, well cut, crisp, shiny, bright, smooth, even, strong, plenty left in, plenty of life in, lively, nice fit, good fit, snug, a good fit, a nice fit, fits nicely, fits nice, fits well, runs free, runs sweet, runs nicely, runs smoothly, swings freely, rings clear, rings true, nice sound, nice tone, sounds good, like bells, bites, grips, no damage, catches every time, engages, goes in clean, in place, centred, healthy looking, decent, respectable, faultless, immaculate, pristine, mint, tidy, serviceable, nice, nice and clean, bright and clean, clean and bright, well made, does what it should, like it should, good tension, good friction, friction correct, tension correct, correct, intact, sweet, nothing doing | * | good | +
good, fine, sound, okay, all right, correct, right, spot on, nice, about right, just right, perfect | endshake | endshake_ok | +
right | @hands | replaced | -
right | * | good | +
true in the flat, flat and true, true in flat | * | out_of_flat | -
true in the round, true in round | * | out_of_round | -
not round, egg shaped, egg, eggy, oval, ovalled, elongated, slotted, elliptical, keyholed, pulled oval, out of round, gone oval, worn oval, worn out of round, oblong | @holes @wheels | oval | +
out of round | * | out_of_round | +
round | @holes | oval | -
round | @wheels balance | out_of_round | -
worn thin, wore thin, necked, thin as a hair | * | worn_thin | +
worn through, worn off, worn away, rubbed off, gone in patches | @plated dial case | plating_worn | +
flat worn, flats worn, worn flat, flat on, flats on, worn round, worn off, rounded off, rounded over, rounded | click rack_hook gathering_pallet locking_lever winding_square hammer_pin pin_pallet | worn | +
sharp, good and sharp | click ratchet_wheel tooth rack_hook gathering_pallet | good | +
rounded, flat on the end, flat on the tip, flat tip, dull point | @cones | blunt | +
sharp, pointed | @cones | blunt | -
sharp | click ratchet_wheel tooth | good | +
blunt, blunted | * | blunt | +
worn out, worn right out, worn right through, well worn, badly worn, worn to nothing, worn away, worn down, wore, wore out, worn, wear, wears, had it, shot, wallowed out, wide, opened out, opened up | @holes | worn | +
opened up, opened out, stretched, pulled open | * | stretched | +
bell mouthed | @holes | worn | +
scored, scoring, score marks, score mark, ringed, rough, ridged, a ridge, ridge, ridges, running marks, a step | @pivots | scored | +
scored, scoring, score marks, score mark, scratches round | * | scored | +
rough, lumpy, notchy, gritty, feels lumpy | * | lumpy | +
groove worn, grooves worn, grooved, groove, grooves, rut, ruts, rutted, worn groove, worn grooves, furrow, furrows, track worn, wear track, tracks worn, cut into, cut through | * | grooved | +
pitted, pitting, pits, pit, pocketed, cratered, pocked | * | pitted | +
marked, marks, light marks, wear marks, running marks | @pinions pallets entry_pallet exit_pallet | worn | +
a flat, flats, flat worn | pin_pallet snail hammer_pin impulse_pin pinwheel_pin | worn | +
ring worn, ridge worn | * | worn | +
worn, wear, wore, wearing, well worn, worn away, worn down, worn out, worn right out, worn to nothing, worn right through, thinned | * | worn | +
thin | tooth click pivot click_spring | worn_thin | +
too thin, too thick, too stiff, too strong, too light, too heavy, far too heavy, wrong strength, wrong size, wrong length, wrong one, too weak, too big, too small, wrong thickness, undersized, oversized, thicker than, thinner than, heavier than, wrong weight | * | wrong_size | +
tapered, taper | * | tapered | +
hooked, undercut, cupped, hooking, shark toothed, shark fin | @toothed | hooked | +
bent over, bent, bend, bends, kink, kinked, bowed, leaning, leans, crooked, tilted, skew, skewed, out of line, pushed over, dog legged, cranked over | @arbors @toothed @hands @springs pin_pallet anchor_pin crutch guard_pin hammer rack_tail chime_pin hammer_pin count_hook lifting_piece pendulum_rod screw trundle | bent | +
kink, kinked, kinks, fold, folded, twist, twisted, creased, crinkled, crimped, buckled, bent, bend | @strip hairspring | twisted | +
kink, kinked, kinks | @lines | twisted | +
twist, twisted | * | twisted | +
kink, kinked, kinks | * | bent | +
bent, bend, bends, bent over, bowed | * | bent | +
straight, dead straight, not bent | * | bent | -
out of true, runout, run out, runs out, running out, wobble, wobbles, wobbling, wobbly, swash, wavers, not running true | @wheels @arbors balance collet count_wheel pallet_arbor roller | out_of_true | +
true, runs true, running true, turns true, spins true, dead true | * | out_of_true | -
dished, out of flat, out in the flat, not flat, up and down in the flat | * | out_of_flat | +
flat, dead flat, lies flat | @flats | out_of_flat | -
out in the round | * | out_of_round | +
out of poise, not in poise | * | out_of_poise | +
in poise, poised | * | out_of_poise | -
out of beat, beat is out, beat is off, uneven beat, limping, limps, uneven tick, not in beat | * | out_of_beat | +
in beat, even beat, beat is good, nicely in beat | * | out_of_beat | -
off centre, not centred, not concentric, not central | * | off_centre | +
concentric, central | * | off_centre | -
snapped, snapped off, broken off, broken, broke, broken through, broken in two, in two pieces, in two, in bits, snapped clean, sheared, sheared off, fractured | * | broken | +
hairline, hairlines, hair crack, hair cracks, hairline crack, hairline cracks, star crack | dial chapter_ring @clear | hairline | +
cracked across, cracked, crack, cracks, split, splits, splitting, cracking, cleft, fracture, break beginning, hairline, hairline crack | * | cracked | +
chip, chips, chipped, chip out | * | chipped | +
been removed, been taken off, been taken out, been cut off, been left off, left out, missing, not there, lost, absent, gone missing, nowhere to be seen, not present, long gone, is away, fallen out, fallen off, come off altogether | * | missing | +
all there, both there, present, all present, complete, in place, accounted for, are all there, there and correct, still there, all accounted for | * | missing | -
stripped out, stripped | * | stripped | +
cross threaded, crossthreaded, damaged thread, thread damaged, thread gone | * | damaged_thread | +
good thread | * | damaged_thread | -
backed out, loose, slack, rock, rocks, rocking, rattle, rattles, rattling, rattly, wobbly, wobbles, moves with a finger, floppy, flops, flops about, flaps, flaps about, turns on, spins on, shakes about, waggles, wiggles, moves about, comes off in your hand, rickety, worked loose, come loose, working loose, shaky, falls off, drops off, play | @fixed pendulum_rod hinge click count_wheel | loose | +
sloppy | click @fixed | loose | +
loose, slack | * | loose | +
tight | @turning | tight | +
tight enough, good and tight, nice and tight, tight, firm, solid, secure, snug, firmly fixed, done up, done up tight, done up properly, well fixed, rock solid, fast, holding tight, finger tight | * | loose | -
firm, solid, secure | * | loose | -
a bit tight, a touch tight, a little tight, too tight, very tight, tightish | * | tight | +
bind, binding, binds, stiff, stiffly, pinched, pinching, stiff as a gate | * | tight | +
no endshake, no end play, no end float | * | no_endshake | +
too much endshake | * | too_much_endshake | +
too much side shake, too much sideshake, too much play, slop, sloppy, side play, side shake, daylight, lot of play, play, wide | @holes @wheels | too_much_sideshake | +
side play, side shake, lost motion, too wide, too far apart, too open, too much gap, too much play, play, slop, sloppy, backlash, slack | crutch fork regulator_pins crutch_pin torsion_fork roller | too_wide | +
play, slop | hands minute_hand hour_hand | loose | +
play, slop, sloppy | * | too_much_sideshake | +
too wide, too far apart, wide open | * | too_wide | +
too narrow, too close, too close together | * | too_narrow | +
close enough | * | good | +
too deep, depth is deep, depthed too deep, engages too deep | @depths | too_deep | +
too shallow, shallow depth, way too shallow, depth is shallow, too far out | @depths | too_shallow | +
too deep | * | too_deep | +
deep, deep in one place | contrate_wheel | too_deep | +
catches, still catches | fusee_stop stop_work rack_hook | good | +
holds, holds fine, holds well, catches, drops in, drops in clean | click ratchet_wheel locking_lever rack_hook screw count_hook stop_work warning barrel_hook hook | good | +
and in the round, and in round, and the round | * | out_of_round | -
marked the same, same pattern, same weight, same size | weight hands key foot screw | mismatched | -
been swapped, swapped | weight hands pendulum bob | mismatched | +
a hair | * | hair | +
equal, even | locks | unequal_lock | -
equal, even | drops | unequal_drop | -
unequal, uneven, not equal | locks | unequal_lock | +
unequal, uneven, not equal | drops | unequal_drop | +
wrong | depth | mis_set | +
shallow, way too shallow, too shallow | depth | too_shallow | +
deep, too deep | depth | too_deep | +
right, about right | depth | good | +
poor, low, very low, feeble, miserable, weak, small | swing | low_amplitude | +
too shallow | * | too_shallow | +
too short | * | too_short | +
too long | * | too_long | +
rubbing, rubs, rub, touching, touches, touch, catching, catches, scraping, scrapes, fouling, fouls, hits, hitting, clips, clipping, binding on, dragging on, drags on, rests on, resting on, leans on, rides on, riding on, bears on, grazes, grazing, in contact with, knocking | * | rubbing | +
foul of, in the way of | * | fouling | +
clear of, clears, clear each other, free from each other, free of each other, miss each other, not touching, plenty of clearance, plenty of room | * | rubbing | -
bright mark, rub mark, bright line, witness mark, bright ring, shiny mark, rubbing mark, shiny patch, witness line | * | rubbing_mark | +
slipping, slips, slip, slipped | * | slipping | +
sticking, sticks, stick, stuck, snagging, snags, hangs up, hanging up, sluggish, hesitates, catchy, stuck down, slow to drop, does not drop, does not fall, will not drop, runs heavy, heavy | @movers calendar_ring warning_wheel bellows cannon_pinion bob pulley | sticking | +
stuck together, coils touching, coils touch, coils stuck, touching, stuck | hairspring | coils_touching | +
sticking, sticks, stuck, snagging, snags, hangs up, hang up | * | sticking | +
moves freely, free, freely, runs free, moves easily, moves easy, drops freely, swings free, easy, turns freely, falls freely, drops nicely, free and easy, nice and free | @movers @wheels @arbors movement rating_nut pulley winding_square hammer | sticking | -
does not move, froze, froze up, seized, seized solid, seized up, stuck solid, stuck fast, rusted solid, rusted up, will not move, will not turn, does not turn, will not budge, frozen, locked solid, solid as a rock | * | seized | +
jammed, jams, locked up, bound up, jammed up | * | jammed | +
set, tired, weak, feeble, had it, lost its temper, soft, no life, exhausted, gone soft, past it, does not open, lazy, knackered, shot | @main | set | +
weak as water, weak, feeble, had it, no life, no snap, tired, lost the force, lost its snap, no strength, set, soft, limp, lost its tension, past it | @springs fly @strip | weak | +
weak as water, weak, feeble | * | weak | +
treacle, like treacle, gone like varnish, like varnish, varnish, gone sticky, gone thick, gone green, gone gummy, gone black, gone hard, black, thick, sticky, gummy, old, dried, dried up, dried out, congealed, green, brown, like toffee, toffee, like tar, tar, like glue, past it, gone off, solid | oil oil_sink | old_oil | +
dirty, filthy, muck, mucky, gummed, gummed up, gunged, gunged up, dirt, grime, grimy, gunk, crud, cruddy, sludge, gunge, gunky, gooey, caked, clogged, black, full of dirt, nicotine, grubby, soot, sooty | * | dirty | +
old oil, thick oil, black oil, sticky oil, dried oil, green oil, oil gone green, oil gone black, stale oil, black with oil, gummy oil, dried up oil, congealed oil | * | old_oil | +
no oil, without oil | @wheels tooth @pinions | over_oiled | -
dry as a bone, dry as bone, dry, bone dry, no oil, short of oil, dried out, starved of oil, without oil, rather dry | * | dry | +
over oiled, swimming in oil, too much oil, drowned in oil, flooded, swimming, oil everywhere, running with oil, oiled to death, soaked in oil | * | over_oiled | +
spray stuff, household spray, penetrating oil, sprayed, water displacer, sewing machine oil, cooking oil, three in one, spray oil, spray lubricant, been sprayed | * | wrong_lubricant | +
dust, fluff, lint, dusty, fluffy, fibres | * | dust | +
hair wound, a hair round, a hair wrapped, hairs | * | hair | +
rust, rusty, rusted, rusting, rust spots, rust spot, surface rust | * | rusty | +
verdigris, gone green, green crust, green spots, green stuff, a bit green, green | * | verdigris | +
white bloom, white powder, zinc pest, furry | * | white_bloom | +
corroded, corrosion, eaten away | * | corroded | +
tarnished, tarnish, dull, gone brown, discoloured, discolored, a bit brown, gone dull, dulled | * | tarnished | +
silvering is gone, silvering gone, silvering worn, silvering rubbed, silvering rubbed off, silvering worn through, silvering more or less gone, silver rubbed off, silvering worn off, silvering thin, silvering going | * | silvering_worn | +
plating worn, plating is worn, plating gone, plating is gone, gilding gone, gilding is gone, gilding worn, gilding is worn, gilding rubbed, base metal showing, plating thin, plating worn through, gilt worn, gilt gone, worn gilding | * | plating_worn | +
plating lifting, plating flaking, plating blistered, blistered, blistering, blisters, plating bubbling, plating peeling | @plated hands balance * | plating_lifting | +
lacquer gone, lacquer is gone, lacquer worn, lacquer is worn, lacquer worn off, lacquer off, lacquer gone in patches, lacquer patchy, lacquer coming off | * | lacquer_worn | +
lacquered, lacquer | * | lacquered | +
flaking, flakes, flaked, paint flaking, paint lifting, paint loss, paint losses, peeling, paint is flaking | @painted * | flaking | +
lifting, blown, lifted, come unstuck, coming away, coming unstuck, unglued, come unglued, bubbled | veneer moulding case bellows label celluloid | lifting | +
faded, rubbed, ghosted, fading, rubbed away | * | faded | +
stain, stained, stains, staining, foxed, foxing, water mark, water marks, water stain, water stained, spotting, spotted, yellowed | * | stained | +
scratch, scratches, scratched, scuffed, scuff, scuffs, scuffing | * | scratched | +
dent, dents, dented, ding, dings, dinged, bruised, bruise | * | dented | +
repainted, repaint, touched up, touched in, redone, re silvered, resilvered, retouched, restored | * | repainted | +
overpainted, painted over | * | overpainted | +
punch marks, punch mark, punched, punched up, centre punched, centre punch marks, dots round, ring of dots, pinged up, pinged, closed with a punch, round the holes with a punch, punching, closed up with a punch, dot punched, punched around, stake marks, staked | * | punched | +
put a bushing in, put a bush in, a bushing in there, bushed before, been bushed, rebushed, old bush, old bushes, already bushed, has a bush in, bushed | * | bushed_before | +
blob of solder, soft soldered, soft solder, soldered, solder, soldering | * | soldered | +
hot glue, superglue, super glue, glued, glue, epoxied, epoxy, araldite, glued back, glued on, stuck on with | * | glued | +
a pair, matching, match, matched, matches, match each other, all match | * | mismatched | -
mismatched, odd, odd one, odd ones, does not match, do not match, not a match, wrong thread, wrong ones, wrong screw, wrong screws, does not belong, do not belong, not a pair, metric | screw case_screw taper_pin hands weight foot finial spandrel @slots key pendulum bob | mismatched | +
mismatched, odd, does not match, do not match, wrong thread | * | mismatched | +
untouched, not been touched, never been touched | * | altered | -
right one, the right one, right ones, original, originals, genuine, right for it, right for the clock, right for this, right for them, as made, from new, born with, the one it was born with, factory, period, authentic, belongs, right to me | * | replaced | -
not original, replacement, replacements, replaced, later, later one, newer, modern, a modern one, is new, off something else, from something else, off something bigger, off something smaller, off another clock, from another clock, came off another, not the original, reproduction, repro, home made, homemade, been replaced, renewed, is not the right one, a new one | * | replaced | +
been turned, turned with pliers | eccentric regulator balance_screw screw | altered | +
altered, filed, modified, been shifted, been moved, cut down, filed down, shortened, ground down, been altered, filed away, filed out, messed with, been filed, been adjusted, plier marks, pliers marks, turned with pliers | * | altered | +
been straightened, straightened before, been repaired, repaired before, repaired, repair, mended, patched, joined before, been joined, old repair, strapped, tape on it, strap across, been mended, previous repair, spliced | * | repaired | +
engraved date,  repair dates, repair date, scratched date, date scratched, initials, signature, signed, scratched a date, scratched his name, scratched name, repair marks, repair mark, repairer's mark, wrote in pencil, written in pencil, pencil, pencilled, names scratched, scratched in, dated | * | signed | +
a number stamped, number stamped, a number scratched, numbered, stamped number, a number on, serial number | * | numbered | +
not magnetic, not magnetised, no magnetism, magnet does not stick, non magnetic | * | magnetised | -
magnetised, magnetic, magnetism | * | magnetised | +
trips, tripping, races, runs away, skipping teeth, skips, skipping, jumping teeth | * | trips | +
poor swing, weak swing, low amplitude, not swinging enough, poor amplitude | * | low_amplitude | +
standing proud, proud, sticking out, sticks out, stands proud, standing out, sticks up, poking out | bush screw taper_pin steady_pin jewel impulse_pin pallet_stone rivet fusee_chain case_screw banking_pin pillar trundle end_stone collet hammer_pin anchor_pin | proud | +
over banked, overbanked, wrong side of the fork | * | over_banked | +
gone hard, hard as a rock, hard, hardened, stiff as a board, like wood, like stone, rock hard, gone stiff, like iron | @soft | hardened | +
perished, crumbling, rotted, rotten, gone to dust, falling to bits, pinholes, full of holes, porous, leaking | * | perished | +
worm, wormed, woodworm, worm holes, worm hole, wormy, old worm, live worm, like biscuit | * | wormed | +
got at, bodged, bodge, butchered, messed about, messed about with, had a go at, hacked, mangled, been got at, botched, made a mess | * | got_at | +
chewed, chewed up, burred, slots chewed, slot chewed, chewed slot, chewed slots, slots burred, mangled slot, slots mangled | @slots | chewed | +
burr, burrs, burred, burred over | * | burred | +
mushroomed, spread over, hammered over | * | mushroomed | +
chewed, chewed up | * | worn | +
torn, tore, ripped, tear, pulled out, pulled through, torn out, rip | * | torn | +
frayed, fraying, strands broken, broken strands, strands gone, going at the ends, whiskery, unravelling | @lines hands balance_wire wheel * | frayed | +
out of step, out of sync, out of synch, out of phase | * | out_of_step | +
in step, in sync | * | out_of_step | -
out of position, set wrong, set wrongly, mis set, set too high, set too low, in the wrong place, wrongly set, one turn too many, moved round, turned round, knocked round, not set right, set up wrong, between tunes, in the wrong position, too high, too low | * | mis_set | +
run is short, run short, runs short, short run, a bit short, too short, short | warning | short_run | +
gets her half turn, gets its half turn, gets the half turn, gets his half turn, gets half a turn | warning | good | +
short | suspension_spring torsion_strip pendulum_rod gut_line rope screw | too_short | +
wound right in, wound right over, right over to fast, right over to slow, over to fast, over to slow, all the way to fast, all the way to slow, hard over to slow, hard over to fast, as far as it will go, all the way over, end of its travel, end of travel, at the end of its thread, hard over, right at the end, right at the top of its thread, wound right up, wound right down | * | end_of_travel | +
drops are unequal, unequal drops, unequal drop, drop is bigger, drop is a good deal bigger, drop bigger, drops uneven, uneven drop, uneven drops, drops unequal, more drop on | pallets anchor * | unequal_drop | +
locks are unequal, unequal locks, unequal lock, locks unequal, lock is deeper | * | unequal_lock | +
foil under, shim under, paper under, card under, shimmed, foil packed, foil shim, packed with foil, packed with paper, packing behind, packed out, packed up | * | shimmed | +
bulged, bulging, bulges, domed out | * | bulged | +
warped, warping, warp | * | warped | +
off its hinge, off its hinges, popped out, come off, came off, come away, adrift, come unstuck, unhooked, hanging off, come adrift, fallen off, hanging loose, hanging there, detached, off its pin, come apart, coming adrift, dropped off | * | detached | +
not seated, not home, not in the fork, off its hook, not in its slot, not engaged | * | not_seated | +
back to front, wrong way round, upside down, in backwards | * | reversed | +
put back wrong, swapped over, assembled wrong, put together wrong | * | fitted_wrong | +
crossed over, piled up, ridden over, crossed, overlapping, cross wound | @lines | crossed | +
off the pulley, jumped off, off its pulley, off the sprocket, off its seat | * | off_its_seat | +
will not hold, does not hold, runs back, spins back, does not catch, lets go, letting go | click ratchet_wheel winding_square fusee_click sprocket mainspring | wont_hold | +
flutters, fluttering | * | flutters | +
squeak, squeal, groan, creak, squeaks, squeals, groans, creaks, squeaking, squeaky, creaking, squealing | * | squeaks | +
dead note, dead as mutton, dead, weak blow, hardly rings, thuds, dull thud, dull note, no ring, clunks, clunk, buzzes, buzz, clanks | bell gong chime_rod hammer | weak_blow | +
strikes wrong, miscounts, one too many, strikes one too many | * | strikes_wrong | +
will not strike, does not strike | movement | no_strike | +
not with it, not with the clock, kept it at home, left it at home, let it at home, came without, not supplied, kept at home, did not come with it, at her house | * | not_with_clock | +
caught on, caught, hooked over, hooked round, tangled | hairspring fusee_chain hammer | caught | +
not wound, run right down, has not been wound | * | not_wound | +
not level, out of level, not plumb, case leans | * | not_level | +
radium | * | radium_suspect | +
cobweb, cobwebs, spider, moth, mouse nest, mouse droppings, insect | * | insect_debris | +
polish left, wax, waxed, furniture polish, polish in the corners, polish residue | * | polish_residue | +
season crack, season cracked, stress crack, stress cracked | * | stress_cracked | +
over polished, buffed, polished to death, buffed to death, scrubbed | * | over_polished | +
marriage, married, married up, not born together | * | marriage | +
gains, gaining | movement | gains | +
loses, losing | movement | loses | +
clean, spotless | * | good | +
lumpy, rough | * | lumpy | +
"""

# What a surface is called, and the condition when it is said to be worn or gone.
SURFACES = {
    "silvering": "silvering_worn",
    "silver": "silvering_worn",
    "plating": "plating_worn",
    "gilding": "plating_worn",
    "gilt": "plating_worn",
    "nickel": "plating_worn",
    "lacquer": "lacquer_worn",
    "gold": "plating_worn",
    "chrome": "plating_worn",
    "varnish": "lacquer_worn",
    "enamel paint": "flaking",
    "lume": "missing",
    "paint": "flaking",
}
SURFACE_GONE = (
    "gone",
    "worn",
    "worn through",
    "worn off",
    "worn away",
    "rubbed",
    "rubbed off",
    "rubbed through",
    "thin",
    "patchy",
    "going",
    "coming off",
    "gone in patches",
    "gone thin",
    "lost",
    "flaked off",
    "gone off",
    "wearing thin",
    "worn thin",
    "come off",
)

# Spoken forms of the trade's list that are too common, or that the lines above settle.
NOT_STATES = listed("""
    moves solid dies slow fast heavy short hair here thread egg later filed set moved thin caught clean nice gone
    lost rough flaking light off weak stops stopped stalls loses losing gains gaining absent lifting set flat races
    number a number on the back plate hardly rings marriage wax music slack solid daylight sloppy eccentric touching
    needs it together check later signature ding speaks numbers catch slow
""") | {
    "no strike",
    "no chime",
    "tired",
    "weak",
    "set",
    "no life in it",
    "no snap",
    "feeble",
    "wrong pin",
    "eccentric",
    "daylight",
    "sloppy",
    "lot of slop",
    "one too many",
    "a hair round it",
    "not good",
    "teeth gone",
    "wont move",
    "not there",
    "not checked",
    "haven't looked",
    "a number on the back plate",
    "check later",
    "needs it together",
    "not tested",
    "runs out",
    "run out",
}
