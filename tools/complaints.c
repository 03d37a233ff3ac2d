// Complaints. What tells the causes apart, what to look at first and the rules of thumb are common practice.
#include "complaints.h"

#include <stddef.h>
#include <string.h>

const struct complaint complaints[] = {
    {"dives-too-far", "dives too far under braking", "brake-dry.braked_rest_share",
     "deep at the end of a slow hard stop: spring or oil level; deep on quick grabs only: damping",
     "sag with rider, load on the rack, oil level alike in both legs", "o_ring_held",
     "turn the valve in against dive", "valve.preload", 1},
    {"drops-fast", "drops fast, then bobs", "brake-dry.dive_overshoot",
     "the O-ring stands 10 mm or more beyond the place held by hand at the end of the stop",
     "brake that grabs, head bearings, oil in both legs", "o_ring_worst",
     "a stiffer spring stops the bobbing", "spring.rate", 1},
    {"kicks", "kicks over sharp edges", "edge-40.shock_transmitted",
     "worse with road speed: damping (rod, check valve); the same at walking pace: friction, "
     "spring preload, tyre",
     "tyre pressure, a bent tube, an axle clamped under strain", "o_ring_worst",
     "turn the valve out against harsh edges", "valve.preload", -1},
    {"hits-braking", "hits hard on bumps while braking", "edge-in-dive.shock_transmitted",
     "O-ring at the end: travel is used up; O-ring in the middle: damping",
     "oil level in both legs, sag with rider", "o_ring_worst",
     "a softer valve takes the hits", "valve.preload", -1},
    {"wallows", "wallows in corners", "lean-in.lean_settling",
     "front only, throttle steady: the fork; the rear too: the rear first",
     "rear shock, swing arm, tyre pressures, head bearings", "o_ring_worst",
     "more spring preload against wallowing", "spring.preload", 1},
    {"bounces", "keeps nodding after bumps", "second-bump.bounce_decay",
     "push test: passes its start by more than 15 mm",
     "oil in both legs, a rod bolt that is loose", "o_ring_worst",
     "thicker oil against nodding", "oil.viscosity_40", 1},
    {"stays-down", "comes back slowly", "hump.return_time",
     "packs on ripples too: rebound; after a single push as well: friction",
     "an axle clamped under strain, bent tube, dry seals", "o_ring_hump",
     "thinner oil brings it back", "oil.viscosity_40", -1},
    {"packs", "sinks on ripples", "washboard.packing",
     "travel grows over five ripples: rebound; it does not: too stiff",
     "sag with rider, the oil's thickness", "o_ring_worst",
     "thinner oil against packing", "oil.viscosity_40", -1},
    {"bottoms", "knocks at the end", "bottoming_speed",
     "knock with the O-ring short of the end: play in the bushes, not the end of travel",
     "play in bushes and head bearings, oil level in both legs", "o_ring_worst",
     "turn the valve in against bottoming", "valve.preload", 1},
    {"tops-out", "clanks when the front lifts", "topping_speed",
     "spring preload above 25 mm, a weak top-out spring, weak rebound",
     "head bearings, wheel hop on the throttle, top-out springs", "o_ring_worst",
     "less spring preload against clanking", "spring.preload", -1},
    {"small-bumps", "hardly moves on small bumps", "stuck_share",
     "settled from above and below more than 10 mm apart: friction",
     "an axle clamped under strain, bent tube, dry seals, tyre pressure", "o_ring_worst",
     "a softer spring for small bumps", "spring.rate", -1},
    {"patters", "buzzes or patters at lean", "patter",
     "changes with 0.2 bar of tyre pressure: the tyre first",
     "tyre pressure, its wear and balance, wheel bearings", "o_ring_worst",
     "turn the valve out against patter", "valve.preload", -1},
    {"skips", "loses contact, rough braking", "airborne_time",
     "rebound too strong or spring too stiff: the O-ring stops short",
     "tyre pressure, brake discs that are not true", "o_ring_worst",
     "a softer spring keeps the tyre down", "spring.rate", -1},
    {"stiff-cold", "stiff when cold", "edge-25.cold_ratio", "gone after 15 minutes: the oil",
     "grease at seals and bushes, the oil's age", NULL,
     "thinner oil for the cold", "oil.viscosity_40", -1},
    {"soft-hot", "goes soft after an hour", "road-c.heated_ratio", "oil level on return, foam",
     "oil level on return, foam under the cap, oil that is old", NULL,
     "thicker oil against fading", "oil.viscosity_40", 1},
    {"worse-than-before", "worse than before the change", "plain",
     "compare the plain and the valved scenario on the road of the complaint",
     "valve seated, turns and level alike left and right, timed push and pull of both legs", "o_ring_worst",
     "turn the valve out", "valve.preload", -1},
    {"steering", "heavy, nervous, pulls, shakes", NULL,
     "look elsewhere: tyres, steering head, alignment, clamps",
     "tyre pressures and wear, head bearings, wheels in line, clamps", NULL, NULL, NULL, 0},
    {"noise-or-oil", "knocks, hisses, oil on the tube", NULL,
     "stop riding: bushes, seal, rod bolt",
     "a hiss at speed alone is oil passing the valve, and harmless", NULL, NULL, NULL, 0},
};
const int complaint_count = sizeof complaints/sizeof *complaints;

const struct complaint *complaint_find(const char *name)
{
  for (int i = 0; i < complaint_count; i++)
    if (!strcmp(complaints[i].name, name)) return &complaints[i];
  return NULL;
}

// In the order of their enum. O-ring readings are from the ring to the seal, wheel off the ground.
const struct observation observations[] = {
    {"o_ring_held", "mm", "brake-dry", "braked_rest", "held by hand at the end of a slow hard stop"},
    {"o_ring_hump", "mm", "hump", "travel_peak", "after a road hump at 30 km/h"},
    {"o_ring_worst", "mm", NULL, "travel_peak", "after the ride or the place complained about"},
    {"sag_from_below", "mm", NULL, NULL, "travel with rider, pushed down and let come up slowly"},
    {"sag_from_above", "mm", NULL, NULL, "travel with rider, lifted and let sink slowly"},
    {"oil_temperature", "degC", NULL, NULL, "on the slider after the ride"},
    {"tyre_pressure", "bar", NULL, NULL, "of the front tyre, cold"},
    {"speed", "km/h", NULL, NULL, "road speed at the place complained about"},
    {"leg", "", NULL, NULL, "left or right: only that leg does it"},
};
const int observation_count = sizeof observations/sizeof *observations;

int observation_find(const char *name)
{
  for (int i = 0; i < observation_count; i++)
    if (!strcmp(observations[i].name, name)) return i;
  return -1;
}
