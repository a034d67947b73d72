"""Words that a recogniser writes for others: the tables that `mishearing` goes by.

Which words may stand before and behind a part or a state, which everyday words are left alone, which are put right
wherever they stand, and what is misheard beyond the trade's own list.

Never here: a rule of sound or of grammar.
"""

from __future__ import annotations

from underdial.telling.speech.words import listed

BEFORE_PART = listed("""the a an this that these those both all each every my its front back upper lower top bottom
entry exit entrance time strike going chime main second third fourth fifth escape centre great lantern other old new
one his on of in no left right and inner outer hour minute side check gonna""")
BEHIND_PART = listed("""on of at and hole holes wheel both front back it those that from in out strike no loop spring
side""")
BEFORE_STATE = listed("""is are was were 's been be a bit little so very pretty got it and both wheel too not no looks
real kind sort some all has""")
# Everyday words that are left alone unless they stand in the place of a part or a state.
EVERYDAY = listed("""over awful warm born here air hare just try two real well we'll one stuff start stood court week
speaks boat why levels below lover leather letter lever regular ruler clock clip strip bowls cut cub cop sent meant
spoken sat kicked kick type sees ceased type place push pushing butch call collect cool lose looses games fast grips
chips ships ship shipped listing pride crowd parish liquor table style food would final bass mountains seem black ship
road colander calm calms loom lead liter robe barrow wade wait shell shall hulk threat drunk mere moan scandal day
face missile pain pains flame rad fan fine gone good opinion merge private pirate folk fort palace church clutch
crotch got line poorly hole whole morning food nail wine screen duel dual bell bowel flight fry quay truth bundle
bundles hamster anger ballots tied tide bend rots rust dusty thirty dirt trusty bat bought heart parish worm bird heir
lane mean pills pin chain tooth sheer robbing listen sipping ticking knit tracked pitied fitted grieved groomed lime
fuse fuss fussy fuzzy battle beryl emotion canon canyon harbor harbour ours hour our crotch racket rachel rag wreck
doom fiction contract country contrite bazaar basil bevel style then spare""")
# What a rough transcript writes for these words wherever they stand.
AT_ONCE = listed("""push pushing pushings privet privets opinion opinions merge emerge harbor harbors clique cliques
hamster hamsters crotch shrewd warn bundles palettes ballots bushings palate palates pilot pilots onion onions""")
# Mishearings that are too likely to be the word itself, even in the place of a part.
NEVER = listed("""leave thirty call places blued forty dirty comes killing zinc two one real well here air just try
over why start stood strip clip clock table day face final below black food hole whole lead seem then wait would pin
chain line got court rust strain style lever regular""")
# The small words of speech: never put right by their sound.
PLAIN = listed("""the a an it its is are was were be been being i you he she we they them their his her my your our me
us that this these those there what which who and or but so then now also too very quite rather just still only even
well right yes no not oh er um look looks see got get has have had do does did can could will would might may in on at
of for to from with by as if than up down out off over under round around about into onto back again all both each any
some one two three four five six seven eight nine ten first next other another same more less most bit little lot way
far much many few customer owner says said say think mean know guess reckon like really pretty nicely job let put give
made make take took come came go goes going time side sure course enough since until before after need needs want
wants clock movement day days hour hours minute minutes week running run runs ran stop stops keep kitchen oak old new
paper winding case left right top bottom front hundred half quarter inch inches foot okay hungry nail finger never
always ever what when where why how because here thing things place kill kills killing zinc blued glued hot gun glad
nice guess grandson rosewood doing done count counts counted somebody someone already test tested rate line bottom
gets gonna fixed whether likes""")
# Words of one syllable that sound like too many others to be found by their sound.
SOUNDING_LIKE_MANY = listed("set dead fast had stop hand base foot cap head lid door pad tip rub date")
# Beyond the trade's list: what was written, and the name of the part that was said.
MISHEARD_PARTS = {
    "basil": "bezel",
    "basal": "bezel",
    "bassel": "bezel",
    "canon": "cannon",
    "canyon pinion": "cannon pinion",
    "bin pallets": "pin pallets",
    "bin palettes": "pin pallets",
    "pen pallets": "pin pallets",
    "die all": "dial",
    "dye all": "dial",
    "hair spring": "hairspring",
    "here spring": "hairspring",
    "hare spring": "hairspring",
    "raiding nut": "rating nut",
    "rating not": "rating nut",
    "rating net": "rating nut",
    "click wheel": "ratchet wheel",
    "race hook": "rack hook",
    "wreck tail": "rack tail",
    "rag tail": "rack tail",
    "rack tale": "rack tail",
    "snale": "snail",
    "gathering palette": "gathering pallet",
    "gathering ballot": "gathering pallet",
    "impulse spin": "impulse pin",
    "harbour": "arbor",
    "our wheel": "hour wheel",
    "our hand": "hour hand",
    "minute we will": "minute wheel",
    "escape we will": "escape wheel",
    "hour we will": "hour wheel",
    "centre we will": "centre wheel",
    "third we will": "third wheel",
    "fourth we will": "fourth wheel",
    "second we will": "second wheel",
    "great we will": "great wheel",
    "escape well": "escape wheel",
    "count we will": "count wheel",
    "our tube": "hour tube",
    "canon tube": "cannon tube",
    "merge": "verge",
    "emerge": "verge",
    "push": "bush",
    "pushing": "bushing",
    "pushings": "bushings",
    "leathers gone": "leathers gone",
    "gone is": "gong is",
    "place are": "plates are",
    "plays are": "plates are",
    "morning": "warning",
    "opinions": "pinions",
    "harbors": "arbors",
    "privets": "pivots",
    "crotch": "crutch",
    "palate": "pallet",
    "palates": "pallets",
    "pilot": "pivot",
    "pilots": "pivots",
    "onion": "pinion",
    "onions": "pinions",
}
MISHEARD_STATES = {"plate in": "plating"}
# Words whose sound is theirs, though others share it.
SURE_SOUNDS = {
    "verge": "part",
    "bush": "part",
    "worn": "state",
    "loose": "state",
    "tight": "state",
    "bent": "state",
    "rod": "part",
    "click": "part",
    "clicks": "part",
    "ruts": "state",
    "cams": "part",
    "cam": "part",
}
