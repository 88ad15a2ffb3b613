"""Causes in words: what the model says, what practice says, what to change."""

from __future__ import annotations

from thermo.show.wording.cause import Words

DRILL = "Drill for a gap of 0.05 to 0.13 mm per side (Machinery's Handbook, 31st ed., Table 1a)"
NO_SECOND = "no second ball in this case: give [second_ball] and ask again."
NOTHING = "nothing: it is not in the model."
NOT_READY = "the gap never gets ready."
COLD = "the gap never gets hot enough for it."
GRIPPED = "ball and rod are gripped: what they bear is not known."
HELD = "what holds ball and rod bears what this water can do."
SOLID = "the filler does not melt where it lies."
WORDS: dict[str, Words] = {
    "waits": Words(
        "filler molten before the gap can take it",
        "Filler molten while the gap is cold balls up, or runs over the ball toward the heat.",
        "Lay it opposite the flame or under the rod, or feed it when the mouth melts it at once.",
        {
            "": "molten at {molten_s:.0f} s, the gap takes the first of it at {first_s:.0f} s: it "
            "waits {waits_s:.0f} s (limit {limit_s:.0f} s, assumed).",
            "in vain": "molten at {molten_s:.0f} s, it finds no open gap: it waits {waits_s:.0f} s "
            "(limit {limit_s:.0f} s, assumed).",
            "solid": SOLID,
        },
        {
            "": "it waits {waits_s:.0f} s",
            "in vain": "it waits {waits_s:.0f} s in vain",
            "solid": "it does not melt",
        },
        asks="Did the filler lie there as a bright bead for some seconds before it ran?",
    ),
    "too-much": Words(
        "more filler than gap and fillet hold",
        "What the fillet cannot hold runs over the ball or down the rod.",
        "Cut less: `brazeclock fill` says how much.",
        {
            "": "{given_mm3:.2f} mm³ given; the joint takes {aim_mm3:.2f} mm³, with the largest "
            "fillet {most_mm3:.2f} mm³ (legs assumed); {over_mm3:.2f} mm³ runs out."
        },
        {"": "{over_mm3:.2f} mm³ runs out"},
        asks="Is all that ran out more than a fillet, and the gap full all the same?",
    ),
    "too-little": Words(
        "too little filler",
        "What ran outside or stayed on the wire is missing in the gap.",
        "Cut more: `brazeclock fill` says how much.",
        {
            "": "{given_mm3:.2f} mm³ given; the gap alone needs {least_mm3:.2f} mm³, with a fillet "
            "{aim_mm3:.2f} mm³; {dry_percent:.0f} % of the gap stays dry."
        },
        {"": "{dry_percent:.0f} % of the gap stays dry"},
        asks="Was the wire used up before the ring closed?",
    ),
    "rod-ahead": Words(
        "rod ahead of the gap",
        "Filler runs toward the heat. A bare thin rod in the flame runs far ahead of the ball.",
        "Keep the flame on the ball, never on the bare rod; heat the thick part first.",
        {
            "": "while it could melt filler, the rod was up to {lead_K:.0f} K ahead of the gap's "
            "coldest wall (limit {limit_K:.0f} K, assumed), {rod_C:.0f} °C at its hottest."
        },
        {"": "the rod is up to {lead_K:.0f} K ahead"},
        asks="Did filler run down the rod, away from the ball?",
    ),
    "ball-ahead": Words(
        "outside of the ball ahead of the gap",
        "Filler runs toward the heat and over what flux has wetted.",
        "Heat more slowly, or nearer the mouth, so that heat has time to reach the gap.",
        {
            "": "while it could melt filler, the ball was up to {lead_K:.0f} K ahead of the gap's "
            "coldest wall (limit {limit_K:.0f} K, assumed as for the rod)."
        },
        {"": "the ball is up to {lead_K:.0f} K ahead"},
    ),
    "too-tight": Words(
        "gap too tight",
        "Flux and filler do not get into a press fit; filler then stays outside.",
        f"{DRILL}.",
        {
            "": "{gap_mm:.3f} mm per side when hot; below {limit_mm:.3f} mm strength falls (read "
            "in a filler maker's chart)."
        },
    ),
    "too-wide": Words(
        "gap too wide",
        "A wide gap does not hold filler up, and takes more of it.",
        f"{DRILL}; centre the rod.",
        {
            "": "{gap_mm:.3f} mm at its widest when hot, {limit_mm:.2f} mm per side is the most "
            "that is usual (handbook)."
        },
    ),
    "flame-weak": Words(
        "flame too weak for this joint",
        "A joint that gains no more colour will not get there: more time only spends flux.",
        "A stronger torch, a brick behind the work, the clamp farther off.",
        {
            "": "at {until_s:.0f} s, the gap ready or the flame away, the joint has lost "
            "{lost_percent:.0f} % of its best pace (at 100 % it stalls).",
            "never": "the gap's coldest wall comes to {coldest_C:.0f} °C in {off_s:.0f} s, it "
            "needs {level_C:.0f} °C: never ready.",
        },
        {
            "": "{lost_percent:.0f} % of the pace lost",
            "never": "coldest wall at most {coldest_C:.0f} °C",
        },
        asks="Did the colour stop rising while the flame was still on?",
    ),
    "off-early": Words(
        "flame taken away too soon",
        "Clear flux is not the cue: filler drawn in all round the mouth is.",
        "Keep the flame on after the flux is clear, until a bright ring stands all round.",
        {
            "": "flux outside is clear at {clear_s:.0f} s, the gap is ready at {ready_s:.0f} s: "
            "by the flux, the flame goes {wait_s:.0f} s too soon.",
            "rising": "taken away at {off_s:.0f} s, the gap's coldest wall at {coldest_C:.0f} °C "
            "of {level_C:.0f} °C and rising by {pace_K_s:.1f} K/s.",
            "absent": "clear flux is not seen, or the gap never gets ready.",
        },
        {
            "": "{wait_s:.0f} s from clear flux to the gap",
            "rising": "taken away at {off_s:.0f} s",
            "absent": "no such wait",
        },
        asks="Did a bright ring stand all round the mouth before you took the flame away?",
    ),
    "uneven": Words(
        "gap heated unevenly",
        "Filler stops where the gap is cold.",
        "Aim nearer the cold end, or go round the work.",
        {
            "": "at {at_s:.0f} s, the gap ready or the flame away, hottest to coldest wall "
            "{spread_K:.0f} K: end to end {ends_K:+.0f} K (mouth less bottom), side to side "
            "{sides_K:+.0f} K; the filler's range above liquidus is {room_K:.0f} K."
        },
        {"": "hottest to coldest {spread_K:.0f} K, end to end {ends_K:+.0f} K"},
        asks="Is the dry part on the side or at the end away from the flame?",
    ),
    "spent": Words(
        "flux spent",
        "Flux full of oxide goes green or black; its life is known to a factor of two at best.",
        "Heat quicker, brush the coat thicker, take fresh flux for every try.",
        {
            "": "{gap_percent:.0f} % of its life spent in the gap, {mouth_percent:.0f} % at the "
            "mouth, when the flame is taken away at {off_s:.0f} s.",
            "absent": "there is no flux.",
        },
        {"": "{gap_percent:.0f} % spent in the gap, {mouth_percent:.0f} % at the mouth"},
        asks="Was the flux green, black or crusted when the filler melted?",
    ),
    "no-flux": Words(
        "flux left off",
        "Without flux the filler wets no steel, whatever the heat.",
        "Flux hole, rod and filler before they go together.",
        {"": "a coat of {coat_mm:g} mm."},
        {"": "a coat of {coat_mm:g} mm"},
    ),
    "thin-coat": Words(
        "coat of flux too thin",
        "A thin coat is saturated with oxide sooner.",
        "Brush it thicker, all over the ball and down the rod.",
        {
            "": "{coat_mm:g} mm where {usual_mm:g} mm is usual: were its life to go with its "
            "thickness (assumed), {spent_percent:.0f} % would be spent.",
            "absent": "a coat of {coat_mm:g} mm, {usual_mm:g} mm is usual.",
        },
    ),
    "wrong-flux": Words(
        "flux not made for stainless",
        "Chromium's oxide needs a flux made for it, with boron.",
        "FH12 or FB3-C for stainless steel.",
        {
            "": "a part is stainless, the flux is of a class that is not made for it.",
            "made for it": "a part is stainless, the flux is of a class made for it.",
            "absent": "no part is stainless.",
            "not told": "a part is stainless, what the flux is made for is not known.",
        },
        source="from memory of EN 1045 and AWS A5.31",
    ),
    "flux-hot": Words(
        "flux hotter than it bears",
        "Overheated flux blackens within seconds, first on the flame's side.",
        "Hold the flame farther off or keep it moving; keep the bright cone off the flux.",
        {"": "flux comes to {flux_C:.0f} °C, its class works up to {limit_C:.0f} °C."},
        {"": "flux comes to {flux_C:.0f} °C"},
        asks="Did the flux darken on the flame's side first?",
    ),
    "flux-late": Words(
        "flux clears too late for this filler",
        "Flux is to be active some 50 K below the filler's solidus.",
        "A flux that works lower, or a filler that melts higher.",
        {
            "": "flux clear from {clear_C:.0f} °C, filler solid up to {solidus_C:.0f} °C; "
            "{before_K:.0f} K between them are usual."
        },
    ),
    "overheated": Words(
        "filler overheated",
        "Zinc boils off: what is left melts higher and is full of pores.",
        "Take the flame away as soon as the ring stands; a filler without zinc.",
        {
            "": "the gap comes to {gap_C:.0f} °C; the filler's brazing range ends at "
            "{limit_C:.0f} °C."
        },
        {"": "the gap comes to {gap_C:.0f} °C"},
        asks="Did white smoke rise, or is the filler full of pores?",
    ),
    "not-molten": Words(
        "filler itself too cold where it lies",
        "Filler must touch the work: it melts by the work's heat.",
        "Press it to the joint, in flux; lay it where the joint gets hot.",
        {
            "": "the gap is ready at {ready_s:.0f} s, the filler molten at {molten_s:.0f} s.",
            "never": "the gap is ready at {ready_s:.0f} s, the filler never melts where it lies.",
            "absent": NOT_READY,
        },
        {
            "": "the filler is molten at {molten_s:.0f} s",
            "never": "the filler never melts",
            "absent": "the gap is never ready",
        },
        asks="Did the filler keep its shape to the end?",
    ),
    "liquates": Words(
        "filler parted into liquid and skull",
        "An alloy of wide melting range, heated slowly, leaves a skull that does not flow.",
        "Heat quickly through the range, feed the filler late, or take one of narrow range.",
        {
            "": "melting range of {range_K:.0f} K, {within_s:.0f} s within it.",
            "solid": "the filler does not begin to melt.",
        },
        {"": "{within_s:.0f} s within its range", "solid": "it does not begin to melt"},
        source="from memory",
    ),
    "shut-in": Words(
        "bottom shut off behind the filler",
        "Filler from the mouth shuts gas and flux in a closed hole: the bottom stays hollow.",
        "Lay the filler under the rod, or drill a vent.",
        {
            "": "{bottom_mm3:.2f} mm³ at the bottom, {share_percent:.0f} % of all, are shut off.",
            "absent": "filler does not shut the bottom in.",
        },
        {"": "{share_percent:.0f} % shut off", "absent": "nothing is shut off"},
        asks="Sawn open: is the bottom hollow and the annulus full?",
    ),
    "steam-fast": Words(
        "damp flux heated too fast",
        "Free water boils off at 100 °C, all at once if the flame is quick.",
        "Dry slowly, rod out and mouth open, up to 300 °C; drill a vent; keep the face away.",
        {
            "": "at {rate_K_s:.2g} K/s steam that leaves by the open gap presses with "
            "{excess_kPa:.2g} kPa, {push_mN:.3g} mN on the rod; {holds_mN:.2g} mN hold it "
            "(paste's own grip not counted).",
            "absent": "no water in the flux.",
            "no way": "paste fills the gap: how steam leaves is not known.",
            "gripped": GRIPPED,
        },
        {
            "": "steam pushes with {push_mN:.2g} mN against {holds_mN:.2g} mN",
            "absent": "no water",
            "no way": "not known",
            "gripped": "not known",
        },
        asks="Did it burst in the first seconds, while the flux still steamed?",
    ),
    "free-water": Words(
        "free water behind a plug of paste",
        "Damp paste plugs the gap, steam behind it bursts out.",
        "Dry the flux with the rod out and the mouth open; keep one way out clear of paste.",
        {
            "": "{water_mg:.2g} mg of free water in the hole; were the gap plugged, "
            "{excess_kPa:.2g} kPa part ball and rod, reached by {parts_C:.0f} °C.",
            "absent": "no free water.",
            "held": HELD,
            "cold": COLD,
            "gripped": GRIPPED,
        },
        {"": "{water_mg:.2g} mg of free water", "absent": "no free water"},
        asks="Was the paste still wet when the rod went in?",
    ),
    "bound-water": Words(
        "water bound in flux that looks dry",
        "Boric acid goes on giving off water up to about 300 °C, long after it looks dry.",
        "Go slowly up to 300 °C and beyond, with a way out; no drying takes the danger away.",
        {
            "": "{water_mg:.2g} mg of bound water in the hole; were the gap plugged, "
            "{excess_kPa:.2g} kPa part ball and rod, reached by {parts_C:.0f} °C.",
            "absent": "no bound water.",
            "held": HELD,
            "cold": COLD,
            "gripped": GRIPPED,
        },
        source="from memory of a handbook of chemistry",
        asks="Did it burst later, when the flux had already puffed up?",
    ),
    "rod-hot": Words(
        "rod hotter than its metal bears",
        "Steel held far above the filler's heat coarsens and scales.",
        "Take the flame off the rod, and away sooner.",
        {"": "the rod comes to {rod_C:.0f} °C; its metal bears {limit_C:.0f} °C."},
        {"": "the rod comes to {rod_C:.0f} °C"},
    ),
    "kept-on": Words(
        "flame kept on too long",
        "A small joint is ready and burnt within the same breath.",
        "Take the flame away as soon as the ring stands; a softer flame leaves more time.",
        {
            "": "at the end the rod gains {pace_K_s:.2g} K/s; {overstay_s:.0f} s too long (an "
            "oversight, assumed) are weighed against its room up to {limit_C:.0f} °C.",
            "absent": NOT_READY,
        },
        {"": "the rod gains {pace_K_s:.2g} K/s at the end", "absent": "never ready"},
        asks="Was the flame still on after the ring stood?",
    ),
    "bare-rod": Words(
        "rod bare beyond the flux",
        "Bare steel scales black in the flame's tail.",
        "Flux the rod farther down; grind the scale off.",
        {
            "": "where the coat ends, {at_mm:.1f} mm from the mouth, the rod comes to "
            "{rod_C:.0f} °C; it scales from {limit_C:.0f} °C.",
            "absent": "no temperature is known from which this rod scales.",
        },
    ),
    "along-rod": Words(
        "heat along the rod",
        "Joints on one rod want fillers of falling solidus, or a clamp between them.",
        "Clamp between the balls, a longer or thinner arm, first joint of higher solidus.",
        {
            "": "the second joint comes to {joint_C:.0f} °C, its filler begins to melt at "
            "{solidus_C:.0f} °C: a margin of {margin_K:.0f} K.",
            "unknown": NO_SECOND,
        },
        {"": "the second joint comes to {joint_C:.0f} °C"},
    ),
    "flame-on-it": Words(
        "flame on the second ball",
        "What lies beside or behind the work in the flame's tail is heated too.",
        "Turn the work so that the jet passes the second ball; shield it with brick or sheet.",
        {
            "": "the jet could give the second ball {given_J:.0f} J, {needs_J:.0f} J bring it to "
            "its filler's solidus.",
            "unknown": NO_SECOND,
        },
        {"": "the jet could give it {given_J:.0f} J"},
    ),
    "overstayed": Words(
        "flame kept on too long",
        "The neighbour goes on getting hotter after this joint is ready, and after the flame.",
        "Take the flame away as soon as the ring stands; cool the rod between the balls.",
        {
            "": "at the end the second joint gains {pace_K_s:.2g} K/s; {overstay_s:.0f} s too long "
            "(an oversight, assumed) are weighed against its way to {solidus_C:.0f} °C.",
            "absent": NOT_READY,
            "unknown": NO_SECOND,
        },
        {"": "the second joint gains {pace_K_s:.2g} K/s at the end", "absent": "never ready"},
    ),
    "moved": Words(
        "joint touched or loaded while soft",
        "A joint near its solidus parts under a touch or its own weight.",
        "Support both balls, touch nothing until all is dull.",
        {"unknown": NOTHING},
        asks="Was it touched or tilted before all was dull?",
    ),
    "dirty": Words(
        "dirt, oil, scale or a sooty flame",
        "Flux takes off fresh oxide, not scale, oil or soot.",
        "Bright, degreased metal, clean wire; a flame that leaves no soot.",
        {"unknown": NOTHING},
        asks="Were ball, rod and wire bright and free of grease?",
    ),
    "other-water": Words(
        "oil, or water left from washing or pickling",
        "What a closed hole has drawn in comes out as steam.",
        "Degrease, rinse and bake dry with the hole open before the flame.",
        {"unknown": NOTHING},
        asks="Was the ball washed, pickled or oiled after it was drilled?",
    ),
}
