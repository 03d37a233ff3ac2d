// Complaints. What tells the causes apart is common practice.
#include "complaints.h"

#include <stddef.h>

const struct complaint complaints[] = {
    {"dives-too-far", "dives too far under braking", "brake-dry.braked_rest_share",
     "deep at the end of a slow hard stop: spring or oil level; deep on quick grabs only: damping"},
    {"drops-fast", "drops fast, then bobs", "brake-dry.dive_overshoot",
     "the O-ring stands 10 mm or more beyond the place held by hand at the end of the stop"},
    {"kicks", "kicks over sharp edges", "edge-40.shock_transmitted",
     "worse with road speed: damping (rod, check valve); the same at walking pace: friction, "
     "spring preload, tyre"},
    {"hits-braking", "hits hard on bumps while braking", "edge-in-dive.shock_transmitted",
     "O-ring at the end: travel is used up; O-ring in the middle: damping"},
    {"wallows", "wallows in corners", "lean-in.lean_settling",
     "front only, throttle steady: the fork; the rear too: the rear first"},
    {"bounces", "keeps nodding after bumps", "second-bump.bounce_decay",
     "push test: passes its start by more than 15 mm"},
    {"stays-down", "comes back slowly", "hump.return_time",
     "packs on ripples too: rebound; after a single push as well: friction"},
    {"packs", "sinks on ripples", "washboard.packing",
     "travel grows over five ripples: rebound; it does not: too stiff"},
    {"bottoms", "knocks at the end", "bottoming_speed",
     "knock with the O-ring short of the end: play in the bushes, not the end of travel"},
    {"tops-out", "clanks when the front lifts", "topping_speed",
     "spring preload above 25 mm, a weak top-out spring, weak rebound"},
    {"small-bumps", "hardly moves on small bumps", "stuck_share",
     "settled from above and below more than 10 mm apart: friction"},
    {"patters", "buzzes or patters at lean", "patter",
     "changes with 0.2 bar of tyre pressure: the tyre first"},
    {"skips", "loses contact, rough braking", "airborne_time",
     "rebound too strong or spring too stiff: the O-ring stops short"},
    {"stiff-cold", "stiff when cold", "cold_ratio", "gone after 15 minutes: the oil"},
    {"soft-hot", "goes soft after an hour", "heated_ratio", "oil level on return, foam"},
    {"worse-than-before", "worse than before the change", NULL,
     "compare the plain and the valved scenario on the road of the complaint"},
    {"steering", "heavy, nervous, pulls, shakes", NULL,
     "look elsewhere: tyres, steering head, alignment, clamps"},
    {"noise-or-oil", "knocks, hisses, oil on the tube", NULL,
     "stop riding: bushes, seal, rod bolt"},
};
const int complaint_count = sizeof complaints/sizeof *complaints;
