// Ready roads, written as they would stand in a scenario, and the sets that belong to each use.
#include "scenario/params.h"

#include <string.h>

const struct df_ready_road df_ready_roads[] = {
    {"brake-wet", "{kind: flat, speed: 60 km/h, brake: {deceleration: 3.5 m/s2}}", NULL,
     "braking on a wet road"},
    {"brake-dry", "{kind: flat, speed: 90 km/h, brake: {deceleration: 7 m/s2}}", NULL,
     "hard braking on a dry road"},
    {"edge-15", "{kind: edge, height: 15 mm, speed: 50 km/h}", NULL, "a small edge"},
    {"edge-25", "{kind: edge, height: 25 mm, speed: 40 km/h}", NULL, "a kerb-like edge"},
    {"edge-40", "{kind: edge, height: 40 mm, speed: 60 km/h}", NULL, "a large edge"},
    {"edge-in-dive",
     "{kind: edge, height: 15 mm, speed: 40 km/h, brake: {deceleration: 6 m/s2}, meet: dive_peak}",
     "{kind: edge, height: 15 mm, speed: 40 km/h, brake: {deceleration: 3.5 m/s2}, meet: "
     "dive_peak}",
     "a small edge met at the deepest point of a brake dive"},
    {"edge-braked-rest",
     "{kind: edge, height: 15 mm, speed: 40 km/h, brake: {deceleration: 6 m/s2}, meet: "
     "braked_rest}",
     "{kind: edge, height: 15 mm, speed: 40 km/h, brake: {deceleration: 3.5 m/s2}, meet: "
     "braked_rest}",
     "the same edge met once the braked fork has come to rest"},
    {"second-bump",
     "{kind: half_sine, height: 40 mm, length: 0.8 m, speed: 40 km/h, repeat: 2, gap: 1 s}", NULL,
     "a bump, and another one second later"},
    {"hump", "{kind: haversine, height: 120 mm, length: 4.8 m, speed: 30 km/h}", NULL,
     "a sinusoidal road hump"},
    {"round-hump", "{kind: round_hump, speed: 30 km/h}", NULL, "a round-topped road hump"},
    {"flat-hump", "{kind: flat_hump, speed: 30 km/h}", NULL, "a flat-topped road hump"},
    {"lean-in", "{kind: flat, speed: 60 km/h, lean: {angle: 40 degree}}", NULL,
     "leaning into a corner"},
    {"push", "{kind: flat, speed: 0 km/h, push: {depth: 50 mm}}", NULL,
     "pushing the fork by hand and letting go"},
    {"town-c", "{kind: random, class: C, speed: 50 km/h, length: 300 m, seed: 1}", NULL,
     "a worn town street"},
    {"road-b", "{kind: random, class: B, speed: 90 km/h, length: 300 m, seed: 1}", NULL,
     "a good country road"},
    {"road-c", "{kind: random, class: C, speed: 80 km/h, length: 300 m, seed: 1}", NULL,
     "a worn country road"},
    {"track-d", "{kind: random, class: D, speed: 50 km/h, length: 300 m, seed: 1}", NULL,
     "a gravel track"},
    {"washboard", "{kind: washboard, height: 25 mm, wave_length: 0.6 m, speed: 45 km/h}", NULL,
     "ripples of a gravel road"},
    {"dip", "{kind: dip, depth: 150 mm, length: 6 m, speed: 50 km/h}", NULL, "a dip"},
};
const int df_ready_road_count = sizeof df_ready_roads/sizeof df_ready_roads[0];

const struct df_ready_road *df_ready_road_find(const char *name)
{
  for (int i = 0; i < df_ready_road_count; i++)
    if (!strcmp(df_ready_roads[i].name, name)) return &df_ready_roads[i];
  return NULL;
}

static const char *const commuting[] = {
    "brake-wet", "brake-dry", "edge-in-dive", "edge-braked-rest",
    "edge-15",   "edge-25",   "second-bump",  "hump",
    "lean-in",   "push",      "town-c",       NULL};
static const char *const touring[] = {"brake-wet", "brake-dry", "edge-in-dive", "edge-braked-rest",
                                      "edge-15",   "edge-25",   "second-bump",  "hump",
                                      "lean-in",   "push",      "road-b",       "road-c",
                                      NULL};
static const char *const brisk_road[] = {
    "brake-wet",   "brake-dry", "edge-in-dive", "edge-braked-rest", "edge-25", "edge-40",
    "second-bump", "lean-in",   "push",         "road-b",           "road-c",  NULL};
static const char *const gravel[] = {
    "brake-wet", "edge-in-dive", "edge-braked-rest", "edge-25", "edge-40", "second-bump", "dip",
    "washboard", "push",         "track-d",          NULL};

const char *const *df_roads_of_use(enum df_use use)
{
  switch (use) {
  case DF_USE_COMMUTING:  return commuting;
  case DF_USE_TOURING:    return touring;
  case DF_USE_BRISK_ROAD: return brisk_road;
  case DF_USE_GRAVEL:     return gravel;
  }
  return brisk_road;
}
