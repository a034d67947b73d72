"""Turns of speech around a finding: hedges, weight, what is to be done, who did it, what was not looked at.

Each is a list of patterns over words in their normal form, one blank apart. They are matched on a sentence as
a whole and take their words out of it, so that "not sure" is no negation and "bush that" no part.
Certainties are those of the trade's list; a line of our own follows the nearest of it.

Never here: what the turn is said of.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

_IT = (
    r"(?:it|this|that|them|these|those|him|her|the lot|everything|the pair(?: of them)?|both(?: of (?:them|those"
    r"|these))?|the two(?: of them)?|all of (?:it|them)|the both|baith|that one|this one)"
)
_CLOCK = r"(?:it|her|him|the clock|any clock|this clock|the thing|this|the movement)"
_WILL = (
    r"(?:(?:i|we) (?:will|would|can|could|am going to|are going to|gonna|shall|must|might|may|want to|have to"
    r"|should|need to)(?: (?:just|probably|only|also|then|definitely|certainly|simply|always))?|(?:i am |am "
    r"|i )?gonna(?: just)?|going to|wants? to be|needs? to be|has to be|have to be|must be|should be|gets?|get"
    r"|to be"
    r"|wants?|needs?|let us)"
)


@dataclass(frozen=True)
class Turn:
    """A turn found in a sentence: its kind, what it means, and the words it takes."""

    kind: str
    value: str
    start: int
    end: int


HEDGES = r"""
0.97: definitely|no question|for certain|certainly|without (?:a )?doubt|no doubt(?: about it)?|for sure|no mistake
0.75: looks? (?:to me )?(?:like|to be|as (?:if|though))(?: it is| it has| they are| they have)?|looked like
  |to me it looks|it looks to me as though|looks to me|(?:very |most )?likely|probably|pretty sure|fairly sure
  |quite sure|almost certainly|as far as i can (?:see|tell|make out)|so far as i can (?:see|tell)|that i can see
  |from what i can see|from here|at first glance|to all appearances|i gather|not from here|i bet|look to me
  |by the look of (?:it|them|the \w+)
0.7: i think(?: that)?|i reckon|i would say|i should think|i would think|i believe|i fancy|seems?(?: to be| to have
  | to|)|appears?(?: to be| to|)|i am thinking|i suppose|it feels like|feels like|i would have said|i imagine
  |suggests
0.7n: i do not think(?: that)?|i doubt(?: if| whether| that)? (?=it is|it has|they)|(?:do|does|did) not (?:seem
  |appear)(?: to be| to have| to)?|(?:do|does) not look (?:like|to be|as if|as though)|i do not believe(?: that)?
  |i would not say
0.6: i suspect|suspect|would not be surprised|i have a feeling
0.5: i guess|i would guess|i am guessing|supposedly|apparently|at a guess|if i had to guess
0.4: might (?:just )?(?:be|have been|have)|could (?:well )?(?:be|have been)|may (?:well )?(?:be|have been|have)
  |maybe|perhaps|possibly|there may be|there might be|can be
0.3: (?:i am )?not (?:so |entirely |really |quite |a hundred percent )?sure(?: about| of| if| whether| that)?
  |can not (?:really |quite |rightly )?(?:tell|say|decide)(?: if| whether| for sure)?|could not (?:tell|say)
  |hard to (?:say|tell)|i wonder(?: if| whether)?|difficult to say|i do not know (?:if|whether)|not certain
"""

WEIGHTS = f"""
none: (?:would|will|does|do|did|could) not (?:be )?(?:stop|stopping|hurt|matter|affect|harm|trouble
  |bother)(?: anything| {_CLOCK})?(?: dead)?|not enough to stop {_CLOCK}(?: by itself| on its own)?
  |neither here nor there|(?:is |it is )?no (?:matter|bother|trouble at all|worries|biggie|odds|harm|big deal
  |great matter)|not (?:what|the thing that|the one that) (?:is )?(?:stopping|stops|stopped) {_CLOCK}
  |that is not (?:it|your stop\\w*|what stops it)|not your stopping|not what stops {_CLOCK}(?: \\w+){{0,4}}
  |nothing to worry about|not (?:so )?important|(?:quite )?harmless|not dangerous|not worth (?:worrying about
  |chasing|bothering with|the bother)|do not care|not worried about|does no harm|doing no harm|it will still hang
  |no one will (?:notice|see)|not bad enough to \\w+|you can not hear it|will go another \\w+ years|it is no matter
  |would not worry|does not bother me|not a problem|immaterial
cosmetic: (?:just |only |purely |it is |that is )*(?:cosmetic|only looks|just looks|only appearance|appearance only
  |a beauty mistake|only a beauty mistake)(?: only)?|(?:that is |it is )?only looks|ugly(?: but harmless)?
  |nobody is (?:going to|gonna) see it|(?:just|only) (?:for )?looks|does not look (?:nice|pretty) but|looks only
stops: (?:that|this|it|here|there|which|and that|and this) (?:is|will be|would be|was)(?: \\w+)? (?:what
  |why) (?:is |has been |it |was )?(?:stopp?(?:ing|s|ed)|kill(?:ing|s)|quits?
  |quit)(?: {_CLOCK})?(?: right there)?(?: dead)?
  |what (?:is )?(?:stopp(?:ing|ed)|stops|killing|kills|quits?)(?: {_CLOCK})?|that will be it|(?:there|here
  |that) (?:is|will be) (?:your|the|our|my) (?:culprit|trouble|problem|stopper|stoppage|villain|answer|reason|cause)
  |(?:would|will|to|could just|just be enough to|enough to
  |that will) (?:absolutely |certainly |just |definitely )?stop {_CLOCK}(?: dead)?|that would do it(?: on its own
  | by itself| alone)?|that will do it
  |(?:there
  |that|here) (?:is|will be) your \\w+(?: \\w+)? ?(?:days?|hours?|minutes?|time|stops?|stopping|morning)
  |there we are then|stops {_CLOCK}(?: dead)?|(?:are|is) what quit it|it quits because of
  |that is the one(?: right there)?|that is it right there|quits because of|enough to upset it|stop it dead
  |stops the clock|the cause of the stop\\w*
contributes: (?:will|would|does|do|did|was|is|are|can) not (?:be )?(?:help|helping)(?: it| matters| any)?
  |not helping|(?:robbing|rob|robs|taking|takes?|eating|eats|costs?|costing|steals?|stealing|loses?|losing|wastes?
  |wasting)(?: it of| it| some| a bit of| a lot of| away| the)? (?:power|swing|some power)(?: away)?
  |(?:it )?all adds up|adds? up|adds? to it|marginal(?:ly)?|borderline|on the edge|that drags|(?:could|might
  |may) (?:well )?(?:stop|slow) {_CLOCK}(?: \\w+){{0,5}}|would slow {_CLOCK}|(?:that|this|which)(?: is| will be
  | would be)? (?:why|how|what|making|makes) (?:it|makes? it|she|he|is making it|it is)? ?(?:gain\\w*|los\\w+|slow
  |fast|strik\\w+|strikes?|count\\w*|miscount\\w*|chim\\w+|runs? \\w+|groan\\w*|gain also|lose count|loses count)
  |(?:that|there|here) (?:is|will be) (?:your|his|her|my|the) (?:timekeeping|rate|gain|gaining|slow|losing|loss
  |fast(?: clock)?|striking(?: all night)?|wrong \\w+|groan|muddle(?: in the third quarter)?|noise|lost swing
  |bad striking|wrong count\\w*|buzz|half the lost swing)|mak(?:es|ing) (?:it|her) (?:lose|gain|slow|fast|run slow
  |run fast|gain also|look like it lost time)|that is bad for the power|(?:could|would) account for \\w+ \\w+
  |it is power|but it is power|puts? the (?:strike|chime) out|throws? the (?:strike|chime) out|so it clatters
  |takes? (?:some|a bit of|a lot of) power|kills the note|(?:with|plus) the [\\w ]{{2,30}} helping
  |that is half (?:your|the) trouble|so it never \\w+ \\w+
safety: (?:that is |is )?dangerous|not safe|unsafe|(?:will|could|would) (?:take|have) (?:somebody's|someone's
  |your) (?:finger|eye|hand)\\w*|over (?:somebody|someone) 's foot|could let the weight drop|that could go off
  |goes bang|have someone 's (?:finger|eye)|come back at you|not at all safe|i do not like that
"""

DECISIONS = f"""
leave: (?:i |i would |i will |you |we |just |so |we will )?(?:leave|leaving|left) (?:{_IT}|well)(?: (?:be|alone
  |as (?:it|they) (?:is|are)|in|where it is|at that|there|for now))?|leave(?: the \\w+| the \\w+ \\w+)? (?:be|alone
  |as (?:it|they) (?:is|are)|well alone)|(?:it|that|they|this|these) (?:stays?|can stay|will do|can wait
  |will have to do)(?: so| as it is| put)?|(?:^|\\. )(?:leave|stays)(?=$| \\.)|it will do|that will do|will do
  |live with it|not touching(?: it| that)?|i will not touch(?: it| that)?|leave as is
  |good enough(?: for \\w+)?(?: as it is)?|i (?:am|will be) leaving {_IT}|let it be|doing the job|the rest stays?
  |no need to \\w+(?: it| that)?|part of its history|leave the \\w+|leave
clean: clean and oil|(?:{_WILL} )?(?:be )?(?:clean|cleaned|cleaning|wash|wash out|scrape|degrease|ultrasonic
  |soak)(?: {_IT}| the \\w+| out the \\w+| the works)?(?: off| out| up| down)?|(?:has|have|got
  |must) (?:got )?to come off|come off|comes? off|get that off(?: of there)?|all of it has to come off|clean and oil
ask_owner: (?:i will |must |we will |to )?ask (?:him|her|them|the owner|the customer|owner|the lady|first
  |owner first)(?: [\\w ]{{0,40}})?|must ask|up to (?:him|her|them)|check with the (?:owner|customer)|(?:his|her
  |their|owner 's) (?:choice|decision|call)
later: (?:i will |we will )?(?:come|coming) back to (?:that|it|this)(?: later| one)?|(?:think|worry) about (?:that
  |it) later|note to self|another day|deal with that later|when the new \\w+ (?:is|are) in|and see$
recheck: (?:{_WILL} )?(?:check|look at|test|try) (?:it|that|them) again|keep an eye on (?:it|that|them)
  |(?:to )?recheck|see what is left|see how it (?:goes|looks)|check again|watch that
must_fix: needs doing|has (?:got )?to be (?:done|fixed|sorted|put right)|(?:can|could) not leave (?:that|it)
  |must be (?:done|sorted|fixed)|gets fixed|no discussion|that is a must|no argument|not a choice
  |that has to be sorted|fix that(?: \\w+)?
bush: (?:will |both |all )*(?:{_WILL} )(?:be )?(?:a |new |re |another )?(?:re)?bush(?:ing|ed|es|ings)?(?: badly)?
  |(?:{_WILL} )?(?:re)?bush(?: {_IT}| the \\w+ (?:hole|end|one|pair|bush)| the (?:pulley|hole|holes|back|front|two
  |lot|pivot hole)| with bronze)+|(?:{_WILL} )(?:re)?bush|{_WILL} (?:be )?bushed|i am bushing {_IT}
  |(?:i am )?putting a (?:new )?(?:bushing|bush) in|(?:i would |i will )?do both(?: while i am there)?
  |put a (?:new )?bush(?:ing)? in|(?:^|(?<= ))bush(?= with| the| both|$)(?: with bronze)?
  |the front i bush(?: with bronze)?
polish: (?:{_WILL} )?(?:polish|burnish|burnished|polished|polishing)(?: {_IT}| the \\w+(?: (?:wheel|hole|pivot
  |spring|screw|pin|pinion|arbor|end|bush|strip|hand|block|leather|glass|line|cover|nut|tooth|strike
  |gauge)s?)?)?(?: out| up)?(?: and see what is left)?
straighten: (?:{_WILL} )?(?:straighten|straightened|straightening)(?: {_IT}| the \\w+(?: (?:wheel|hole|pivot|spring
  |screw|pin|pinion|arbor|end|bush|strip|hand|block|leather|glass|line|cover|nut|tooth|strike
  |gauge)s?)?)?(?: \\w+ carefully| out| very carefully)?|(?:bend|ease|roll|tweak|lift) {_IT} (?:back|over|straight
  |out)(?: a bit)?|i (?:can|could|will|would) (?:roll|ease|lift) {_IT}(?: (?:back|over))?|make it straight
  |i make it straight|true (?:it|up the \\w+)|true them|ease (?:those|them|it) two back|bend them back|bend it back
  |second bend|ease those two back
tighten: (?:{_WILL} )?(?:tighten|tightened|nip up|nip|screw down|do up)(?: {_IT}| the \\w+(?: (?:wheel|hole|pivot
  |spring|screw|pin|pinion|arbor|end|bush|strip|hand|block|leather|glass|line|cover|nut|tooth|strike
  |gauge)s?)?)?(?: up| down)?|just a squeeze|pinch it(?: with pliers)?|close the (?:hole|pipe)(?: up)?(?: on that
  | with the tool)?|i close the pipe(?: with the tool)?
replace: (?:{_WILL} )?(?:be )?(?:replace|replaced|replacing|renew|swap|swapped|change)(?: {_IT}
  | the \\w+(?: (?:wheel|hole|pivot|spring|screw|pin|pinion|arbor|end|bush|strip|hand|block|leather|glass|line|cover
  |nut|tooth|strike|gauge)s?)?)?|new (?:one|ones|spring|springs|\\w+ spring|line|lines|rope|cord|board|gut|hook
  |leather|leathers|glass|cable|bushing|strip|click|screw|screws|pin|pins|rod|gasket|chain|staff|suspension
  |steady pins?|chime spring|\\w+ rod)(?: (?:in any case|must be made|then|please|while it is apart|in))?(?= |$)
  |make (?:a )?(?:new|proper) (?:one|\\w+)|(?:fit|put) (?:a new|new) \\w+(?: \\w+)?|that one comes out|(?:i will
  |i would) (?:make|put|fit|find) (?:a |in a )?(?:one|new one|proper one|third one|right one)(?: in)?|put one in
  |put the right one in|make one|two new lines|wants? a new (?:ones?\\b|\\w+ (?:wheel|hole|pivot|spring|screw|pin
  |pinion|arbor|bush|bushing|strip|hand|block|leather|glass|line|cover|nut|tooth|hook|rod|chain|wire|lever|pallet
  |jewel|stone|staff|board|fork|plate|cap)s?\\b|\\w+)|needs? a new (?:ones?\\b|\\w+ (?:wheel|hole|pivot|spring|screw
  |pin|pinion|arbor|bush|bushing|strip|hand|block|leather|glass|line|cover|nut|tooth|hook|rod|chain|wire|lever
  |pallet|jewel|stone|staff|board|fork|plate|cap)s?\\b|\\w+)|one must change it|get recovered|they go in|new strip
  |(?:has|have) to be replaced
glue: (?:{_WILL} )?(?:glue|reglue|glued)(?: (?:that|it|them|the \\w+))(?: (?:back|down|up))?|get hide glue|glue that
oil: (?:{_WILL} )?(?:oil|grease) (?:{_IT})
repair: needs? (?:silver |soft )?(?:soldering|welding|riveting|re riveting|attention|repair)|(?:{_WILL} )?(?:reface
  |recut|dress|dressing|resolder|re pin|repin|re rivet|rivet|mend|stone|recover|retap|fix|turn|file|pin|shorten
  |repair|retip|weld|splice|bit of steel let in|re leather|patch)(?: {_IT}| the \\w+| that flush| up
  | down)?(?: properly| now| flush| deep enough| both faces)*|a new rivet|bit of steel let in(?: both faces)?|fix it
  |rivet it|i could turn them|the square dressing|pin it properly
adjust: (?:{_WILL} )?(?:adjust|close|open|ease|bend|reset|set|tension|tune|trim|shift|move|correct|regulate|lift
  |sort|lower|raise)(?: {_IT}| the \\w+(?: \\w+)?)(?: (?:up|out|off|forward|back|over|clear|in|a touch|a bit|a hair
  |right|from scratch|with the screw|when it \\w+ \\w+(?: \\w+)?|to where [\\w ]{{0,30}}|a shade
  |when it goes back))*|reset(?: when it goes back)?|tension it|that is an adjustment
  |wants easing(?: [\\w ]{{0,30}})?|bend it off|put it (?:back )?in beat|(?:wants|needs) (?:a bend|setting|adjusting
  |closing|opening)(?: \\w+){{0,3}}|i will see to that|see to that|sort that
  |move it over(?: on the \\w+ to a fresh spot)?|turn both \\w+ around
"""

EARLIER = (
    r"somebody (?:has |have |had |is |was )?|someone (?:has|had|is)?|(?:the )?last (?:man|chap|bloke|fellow|guy"
    r"|repairer)|earlier (?:man|work|repair|hand)|previous (?:man|owner|repairer|repair)"
    r"|whoever did|the \w+ man\b|been (?:got at|bodged)|somebody 's|someone 's|some (?:butcher|bodger|clown|idiot)"
    r"|his handiwork|by (?:somebody|someone|an amateur|a previous)"
    r"|uncle(?: again)?|father(?: again)?|your friend again|they have (?:bushed|punched|soldered|glued|filed)"
    r"|the (?:last|previous|other) (?:man|one|lad) (?:has|did)|a previous hand"
)
OWNER = (
    r"(?:he|she|they|owner|customer|lady|client|gentleman|guy|husband|wife|the owner|the customer|the lady|mrs"
    r"|mr) (?:also )?(?:says?|said|tells?|told|reckons|thinks?|claims?|swears|complains?|mentioned)"
    r"|according to (?:the )?(?:owner|customer|him|her|them)|he reckons|she reckons|so she says|so he says"
)

NOT_SEEN = """
not_accessible: not reached|(?:can|could) not see (?:a (?:damn |blessed )?thing|anything(?! wrong| bad| amiss| the
  | to)|much of)|what i (?:can|could) not (?:see|get at|reach|get to) is|(?:can|could) not (?:be )?(?:seen|got at
  |reached|be seen)|no way (?:in|to see|of seeing|to get at)(?: to)?|(?:can|could) not (?:get|come) (?:near
  |anywhere near|behind|under|round|past)|(?:can|could) not get (?:the|a|my) \\w+(?: \\w+)? (?:in|on|near|to it|off
  |open|out)|would not come (?:off|open|apart)|will not come (?:off|open|apart)|not accessible|inaccessible
  |(?:is |are )?(?:buried|out of sight|hidden|covered up|obscured)(?= (?:by|behind|under)|$)|can not (?:judge
  |see) (?:those
  |that|it|them) (?:till|until|for)|(?:can|could) not (?:get|reach|come) (?:at|to|into|near|in|it)
  |(?:(?<=\\bi )|(?<=\\bwe )|(?<=\\band )|(?<=\\bbut )|^)(?:can|could|did) not (?:quite |really )?reach|no access
  |can not get (?:at|to|my|a)|i do not come to it|(?:can|could) not (?:properly |really )?see (?:the|its|his|her|it
  |that|them|behind|inside|into|under|what)(?! any)|not (?:been )?able to (?:see|get at|reach|look)|out of reach
  |can not be (?:seen|reached)|hidden (?:by|behind)|in the way so
not_tested: (?:have|has|had) not (?:had|got) (?:it|her|him|them) (?:on test|going|running|up|on the wall
  |on the stand|on a stand)|not (?:been )?on test|(?:can|could) not (?:tell you|say|tell|judge|try|test|check
  |hear)(?: \\w+){0,3} (?:until|till) [\\w ]{0,20}together|not until it is (?:back )?together|dare not|did not dare
  |have not dared(?: to)?|not (?:had|got) it (?:going|running)|(?:have|has|had|did|could|can|do) (?:not|no
  |nae) (?:yet )?(?:been )?(?:tested|test|tried|try|run|ran|spun|spin|timed|time|checked the rate|wound
  |let it strike|heard it strike)|not (?:been )?(?:tested|tried|run|timed)|no point (?:in )?testing|not tested
  |(?:untested|not tested yet)|needs it together|can not test|(?:will|would) have to be tested
  |check(?:ed)? (?:that )?(?:later|when it is together|once it is)|test (?:that|it) (?:later|when)
unexamined: (?:has|have|had|was|is) not (?:yet |been )*(?:out(?! of| in)|apart|off(?! the| centre)|opened up
  |stripped|down|dismantled|in bits)(?: yet)?|what i (?:have|did) not (?:looked|look|checked|check|seen|examined
  |examine|done|do|opened|had)(?: (?:at|out|apart|open|in|into|under))? is|(?:i )?(?:have|has|had) yet to (?:look
  |check|open|see|examine|take)(?: at)?|(?:is |are )?(?:still|yet) (?:to be|to) (?:looked at|checked|opened|examined
  |inspected|seen|measured)|(?:i )?(?:did|do|have) not (?:bother|bothered) (?:with|looking at|to look at)
  |(?:i )?(?:have|had) left (?:that|it|them|those|alone)(?= |$)(?= unexamined| unopened| for)|unchecked|uninspected
  |unexamined|unopened|not (?:gone|been) (?:into|there)|no idea about|not (?:had|got) (?:a look|round to|to)(?: at)?
  |(?:i )?(?!has not (?:seen|had) )(?:have|has|had|did|was|were|do) (?:not
  |no) (?:yet |really |properly |actually |even |been )*(?:look(?:ed)?(?: (?:at|in|inside|under|behind|into
  |too closely|close|closely|properly))*
  |check(?:ed)?|see|seen|examin(?:e|ed)|inspect(?:ed)?|measur(?:e|ed)|open(?:ed)?|had (?:it|them|that) (?:out|off
  |apart|open)(?: of the \\w+)?|had(?= (?:the|its|either) \\w+(?: \\w+)? (?:out|off|apart|open))|been (?:at|in|into
  |inside|near|under|through)|got (?:to|round to|into|as far as)|get (?:to|round to|into)|touched|removed
  |taken (?:off|out|apart)|bothered|gone (?:into|near|through|over)|taken|count(?:ed)?|done)(?: (?:at|in|into
  |properly|yet|closely|too closely))*|not (?:yet |been |properly )*(?:looked(?: at| in| into| under)?|checked
  |examined|opened|seen|inspected|done|measured|out yet)(?: (?:at|properly|closely|too closely|yet|close))*
  |nor (?:have|did|has) i(?: (?:looked at|checked|seen|opened|examined|look at|check|measured|been at|been in))*
  |yet to (?:look|check|open|see)(?: at)?|still to (?:look at|check|open|see)|put (?:them|it
  |that) down as not (?:looked at|seen|checked)|(?:still|it is still) (?:at|in) (?:the|his|her) (?:farm|van|house
  |car)|skipped|left (?:that|it) (?:unopened|closed)|i do not know$|who knows about|to be checked|no look at|nor the
"""

TALK = (
    r"kettle|coffee|cup of tea|^(?:right )?tea$|biscuits?\b|lunch|phone|doorbell|postie|postman|radio|the cat\b"
    r"|weather|hungry|camera|microphone|recording|can you hear|buddy|folks|hi everybody"
    r"|thank you|good morning|my (?:wife|back|glasses|knees|torch|lamp|loupe|tweezers|pliers|calipers|micrometer"
    r"|screwdriver)|where (?:is|did i put) my|tripod|battery in the camera|lamp|light 's|parking|football|excuse the"
)
GENERAL = (
    r"\b(?:usually|normally|generally (?=they|these|it|you)|tend to|tends to|often|typically|most of these"
    r"|these always|they always|they all do|always does|the way they|on these|in these|with these|as a rule"
    r"|in theory|the book says|supposed to|(?<!what it is )(?<!as it is )(?<!what they are )meant to"
    r"|ought to|should have|should read|should open|you would expect|people think|whatever they|used to)\b"
)
TARGET = (
    r"\b(?:ought to be|should be|wants? to be|wants? nearer|needs? to be|supposed to be|meant to be|it should"
    r"|wants? (?:a|about) (?:half|quarter)|looking for|the book says|spec is|it wants|like to see|i would be happy"
    r"|what you want is)\b"
)
IF_CLAUSE = (
    r"\b(?:if|unless|in case|otherwise|or else|or the|so that it|to stop it|to see if|before it|before anyone"
    r"|whether)\b"
)


@cache
def _compiled(name: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    tables = {"hedge": HEDGES, "weight": WEIGHTS, "decision": DECISIONS, "not_seen": NOT_SEEN}
    out = []
    # A row goes on in lines that begin with a blank.
    for row in re.sub(r"\n +", "", tables[name].strip()).splitlines():
        value, pattern = row.split(": ", 1)
        out.append((value, re.compile(rf"(?<![\w'])(?:{pattern})(?![\w'])")))
    return tuple(out)


@cache
def _any_of(name: str) -> re.Pattern[str]:
    """All patterns of a kind as one, to pass quickly over sentences that have none."""
    return re.compile("|".join(f"(?:{pattern.pattern})" for _, pattern in _compiled(name)))


@cache
def _single(name: str) -> re.Pattern[str]:
    patterns = {"earlier": EARLIER, "owner": OWNER, "talk": TALK, "general": GENERAL, "target": TARGET, "if": IF_CLAUSE}
    return re.compile(rf"(?<![\w'])(?:{patterns[name]})(?![\w'])")


def found(kind: str, text: str) -> Iterator[Turn]:
    """Turns of one kind in a sentence, with the character places of their words; earlier lines of a table win."""
    taken: list[tuple[int, int]] = []
    if _any_of(kind).search(text) is None:
        return
    for value, pattern in _compiled(kind):
        for match in pattern.finditer(text):
            if match.end() > match.start() and not any(match.start() < e and s < match.end() for s, e in taken):
                taken.append((match.start(), match.end()))
                yield Turn(kind, value, match.start(), match.end())


def says(name: str, text: str) -> bool:
    """Whether a sentence has a turn of the plain kinds: earlier, owner, talk, general, target, if."""
    return _single(name).search(text) is not None
