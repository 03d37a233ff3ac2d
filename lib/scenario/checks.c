// Values that contradict each other or physics. Comparisons with NAN are false: what is missing or
// wrong already is not judged again.
#include "scenario/reading.h"

#include "dampfork/shims.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define G_STEEL 81.5e9        // Pa, EN 10270-1
#define RHO_STEEL 7850.0      // kg/m3, EN 10270-1

struct checker {
  struct df_walk *walk;
  const struct df_scenario *scenario;
  const struct df_side *side;
  const char *prefix;         // "" or "right."
};

// Complain about a value; its place is where it was given.
__attribute__((format(printf, 4, 5)))
static void wrong(struct checker *c, int warning, const char *key, const char *format, ...)
{
  char path[DF_KEY_MAX], text[300];
  va_list arguments;
  snprintf(path, sizeof path, "%s%s", c->prefix, key);
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  const struct df_slot *slot = df_slot_find(c->walk->reading, path);
  const struct df_node *node = slot ? slot->node : NULL;
  if (node && !node->line) node = NULL; // of a ready road or a usual list
  const struct df_source *source = node ? node->source : c->walk->reading->sources;
  df_fault_at(c->walk->faults, source, node ? node->line : 0, node ? node->column : 0, DF_BAD_INPUT,
              warning, path, "%s", text);
}

static int given(struct checker *c, const char *key)
{
  char path[DF_KEY_MAX];
  snprintf(path, sizeof path, "%s%s", c->prefix, key);
  const struct df_slot *slot = df_slot_find(c->walk->reading, path);
  return slot && slot->node && !slot->node->assumed;
}

static double disc(double diameter)
{
  return M_PI/4*diameter*diameter;
}

// Of two values that cannot both be right, the one that was given.
static const char *blame(struct checker *c, const char *a, const char *b)
{
  return given(c, a) || !given(c, b) ? a : b;
}

// --- The leg

static void check_diameters(struct checker *c)
{
  const struct df_leg *l = &c->side->leg;
  if (l->tube_bore >= l->tube_outside)
    wrong(c, 0, blame(c, "leg.tube_bore", "leg.tube_outside"),
          "the bore of %.6g mm is not inside the tube of %.6g mm", l->tube_bore * 1e3,
          l->tube_outside * 1e3);
  if (l->rod_outside >= l->tube_bore)
    wrong(c, 0, blame(c, "leg.rod_outside", "leg.tube_bore"),
          "the rod of %.6g mm does not go into the bore of %.6g mm", l->rod_outside * 1e3,
          l->tube_bore * 1e3);
  if (l->rod_bore >= l->rod_outside)
    wrong(c, 0, blame(c, "leg.rod_bore", "leg.rod_outside"),
          "the rod's bore of %.6g mm is not inside the rod of %.6g mm", l->rod_bore * 1e3,
          l->rod_outside * 1e3);
}

// Volumes stay positive from 5 mm before the top-out stop to 10 mm past the bottom stop.
static void check_volumes(struct checker *c)
{
  const struct df_leg *l = &c->side->leg;
  double lower = (disc(l->tube_outside) - disc(l->rod_outside)) * 10e-3,
         annulus = (disc(l->tube_bore) - disc(l->rod_outside)) * 5e-3;
  if (l->lower_dead_volume <= lower)
    wrong(c, 0, "leg.lower_dead_volume",
          "%.6g cm3 leaves no oil under the tube past the stop; more than %.3g cm3 for these "
          "diameters",
          l->lower_dead_volume * 1e6, lower * 1e6);
  if (l->annulus_dead_volume <= annulus)
    wrong(c, 0, "leg.annulus_dead_volume",
          "%.6g cm3 leaves no oil round the rod past the top-out; more than %.3g cm3 for these "
          "diameters",
          l->annulus_dead_volume * 1e6, annulus * 1e6);
  if (l->check_valve.full <= l->check_valve.crack)
    wrong(c, 0, blame(c, "leg.check_valve.full", "leg.check_valve.crack"),
          "fully open at %.6g kPa, before it begins to open at %.6g kPa",
          l->check_valve.full * 1e-3, l->check_valve.crack * 1e-3);
}

static void check_group(struct checker *c, const char *section, const char *list,
                        const struct df_hole_group *hole, int i)
{
  const struct df_leg *l = &c->side->leg;
  char key[DF_KEY_MAX];
  double edge = fmax(fmax(hole->entry_radius, hole->entry_chamfer),
                     fmax(hole->exit_radius, hole->exit_chamfer));
  int broken = hole->count > 0 && edge > hole->diameter;
  if (!(hole->diameter > l->rod_bore) && !broken) return;
  snprintf(key, sizeof key, "%s.%s[%d].diameter", section, list, i + 1);
  if (hole->diameter >= l->rod_outside)
    wrong(c, 0, key, "a hole of %.6g mm does not go into a rod of %.6g mm", hole->diameter * 1e3,
          l->rod_outside * 1e3);
  else if (hole->diameter > l->rod_bore)
    wrong(c, 1, key, "a hole of %.6g mm is wider than the rod's bore of %.6g mm; is it?",
          hole->diameter * 1e3, l->rod_bore * 1e3);
  if (broken)
    wrong(c, 0, key, "its edge is broken by %.6g mm, more than its diameter of %.6g mm", edge * 1e3,
          hole->diameter * 1e3);
}

static void check_holes(struct checker *c, const char *section, const struct df_rod_holes *holes)
{
  for (int i = 0; i < holes->compression_holes.n; i++)
    check_group(c, section, "compression_holes", &holes->compression_holes.at[i], i);
  for (int i = 0; i < holes->rebound_holes.n; i++)
    check_group(c, section, "rebound_holes", &holes->rebound_holes.at[i], i);
}

static void check_rod(struct checker *c)
{
  const struct df_rod *rod = &c->side->rod;
  if (rod->has_as_found) check_holes(c, "rod.as_found", &rod->as_found);
  if (rod->has_opened) check_holes(c, "rod.opened", &rod->opened);
  if (!rod->has_as_found && !rod->has_opened) check_holes(c, "rod", &rod->holes);
  if (rod->state == DF_ROD_AS_FOUND && rod->has_opened && !rod->has_as_found)
    wrong(c, 0, "rod.state", "as_found, but only opened holes are given");
}

// Bent to the lift stop, shims must stay below what their steel bears. Linear theory, on the safe side.
static void check_shim_stress(struct checker *c)
{
  const struct df_valve *v = &c->side->valve;
  double stress = df_valve_shim_stress(v);
  if (!(stress > v->shim_yield)) return;
  wrong(c, 1, "valve.stop",
        "at %.6g mm of lift the shims are bent to %.0f MPa, and their steel yields at %.0f MPa: they "
        "would stay bent or break; less than %.2g mm bears",
        v->stop * 1e3, stress * 1e-6, v->shim_yield * 1e-6,
        ((v->stop + v->shim_dish) * v->shim_yield / stress - v->shim_dish) * 1e3);
}

static void check_valve(struct checker *c)
{
  const struct df_valve *v = &c->side->valve;
  double limit = v->jet_coefficient > 0 ? v->seat_diameter/(4*v->jet_coefficient) : INFINITY;
  if (v->stop >= limit/2)
    wrong(c, 0, "valve.stop",
          "%.6g mm of lift; at most %.3g mm, half of where the jet would hold the plate",
          v->stop * 1e3, limit / 2 * 1e3);
  if (v->spring_rate == 0 && !v->shim_n)
    wrong(c, 0, "valve.spring_rate", "0 and no shims: nothing closes the valve");
  if (v->return_full <= v->return_crack)
    wrong(c, 0, blame(c, "valve.return_full", "valve.return_crack"),
          "fully open at %.6g kPa, before it begins to open at %.6g kPa", v->return_full * 1e-3,
          v->return_crack * 1e-3);
  if (v->port_inner >= v->seat_diameter)
    wrong(c, 0, "valve.port_inner", "%.6g mm is not inside the seat of %.6g mm",
          v->port_inner * 1e3, v->seat_diameter * 1e3);
  if (v->preload > 30e-3)
    wrong(c, 0, "valve.preload", "%.6g turn of %.6g mm make %.6g mm; at most 30 mm",
          v->preload_turns, v->adjuster_pitch * 1e3, v->preload * 1e3);
  if (!v->shim_n) return;
  if (v->shims[0].diameter < v->seat_diameter)
    wrong(c, 0, "valve.shims[1].diameter",
          "the face shim of %.6g mm does not reach the seat of %.6g mm", v->shims[0].diameter * 1e3,
          v->seat_diameter * 1e3);
  if (v->shim_clamp >= v->seat_diameter)
    wrong(c, 0, "valve.shim_clamp", "%.6g mm is not inside the seat of %.6g mm",
          v->shim_clamp * 1e3, v->seat_diameter * 1e3);
  check_shim_stress(c);
}

// --- Oil and air

static void check_oil(struct checker *c)
{
  const struct df_oil *o = &c->side->oil;
  double sum = 0;
  if (o->viscosity_100 >= o->viscosity_40)
    wrong(c, 0, "oil.viscosity_100", "%.6g mm2/s at 100 degC is not below %.6g mm2/s at 40 degC",
          o->viscosity_100 * 1e6, o->viscosity_40 * 1e6);
  if (!isnan(o->viscosity_100) && !isnan(o->viscosity_index))
    wrong(c, 0, "oil.viscosity_index",
          "given beside viscosity_100; one of the two tells the other");
  if (o->vapour_pressure >= o->cavitation_threshold)
    wrong(c, 0, blame(c, "oil.cavitation_threshold", "oil.vapour_pressure"),
          "the threshold of %.6g kPa is not above the vapour pressure of %.6g kPa",
          o->cavitation_threshold * 1e-3, o->vapour_pressure * 1e-3);
  if (!o->blend_n) return;
  static const char *const instead[] = {"oil.viscosity_40", "oil.viscosity_100",
                                        "oil.viscosity_index", "oil.density_15"};
  for (int i = 0; i < 4; i++)
    if (given(c, instead[i])) wrong(c, 0, instead[i], "given beside blend, which stands in for it");
  for (int i = 0; i < o->blend_n; i++) {
    char key[DF_KEY_MAX];
    sum += o->blend[i].share;
    snprintf(key, sizeof key, "oil.blend[%d].viscosity_100", i + 1);
    if (o->blend[i].viscosity_100 >= o->blend[i].viscosity_40)
      wrong(c, 0, key, "not below the viscosity at 40 degC");
  }
  if (fabs(sum - 1) > 0.005)
    wrong(c, 0, "oil.blend[1].share", "all parts together make %.6g %%; 100 %% is wanted",
          sum * 100);
}

static void check_air(struct checker *c)
{
  const struct df_side *s = c->side;
  double room = disc(s->leg.tube_bore)*s->air.oil_level;
  int bare = s->air.level_taken.spring == DF_OUT && s->air.level_taken.spacer == DF_OUT;
  double steel = s->spring.mass/RHO_STEEL;
  if (bare && s->air.solids >= room)
    wrong(c, 0, "air.solids",
          "%.6g cm3 fill the %.6g cm3 above the oil; no air is left at full travel",
          s->air.solids * 1e6, room * 1e6);
  else if (bare && isnan(s->air.solids) && steel + c->scenario->cap.volume >= room)
    wrong(c, 0, "air.oil_level",
          "spring and cap fill the %.6g cm3 above the oil; no air is left at full travel",
          room * 1e6);
  if (s->air.sealed_travel > s->leg.travel)
    wrong(c, 0, "air.sealed_travel", "%.6g mm is more than the travel of %.6g mm",
          s->air.sealed_travel * 1e3, s->leg.travel * 1e3);
}

// --- Spring and spacer

// Rate, mass and length of a coil from its wire, each told only when it is far off: they are
// measured with their own errors.
static void check_coil(struct checker *c)
{
  const struct df_spring *s = &c->side->spring;
  double mean = s->outside - s->wire;
  if (s->wire >= s->outside / 2)
    wrong(c, 0, "spring.wire", "a wire of %.6g mm makes no coil of %.6g mm", s->wire * 1e3,
          s->outside * 1e3);
  if (!(s->wire > 0 && mean > s->wire && s->coils > 0)) return;
  double rate = G_STEEL * pow(s->wire, 4) / (8 * pow(mean, 3) * s->coils); // N/m, Shigley
  double mass = disc(s->wire) * M_PI * mean * (s->coils + 2) * RHO_STEEL,
         solid = s->coils * s->wire; // two dead coils
  if (fabs(rate/s->rate - 1) > 0.2)
    wrong(c, 1, "spring.rate",
          "%.3g N/mm, but wire, outside and coils make %.3g N/mm; measure again", s->rate * 1e-3,
          rate * 1e-3);
  if (given(c, "spring.mass") && fabs(mass/s->mass - 1) > 0.3)
    wrong(c, 1, "spring.mass", "%.3g kg, but wire, outside and coils make %.3g kg; measure again",
          s->mass, mass);
  if (given(c, "spring.solid_length") &&
      (s->solid_length < 0.9 * solid || s->solid_length > 1.1 * (solid + 4 * s->wire)))
    wrong(c, 1, "spring.solid_length", "%.4g mm, but wire and coils make %.4g mm; measure again",
          s->solid_length * 1e3, solid * 1e3);
}

static void check_spring(struct checker *c)
{
  const struct df_spring *s = &c->side->spring;
  if (s->solid_length >= s->free_length)
    wrong(c, 0, blame(c, "spring.solid_length", "spring.free_length"),
          "the coils close at %.6g mm, the free spring is %.6g mm long", s->solid_length * 1e3,
          s->free_length * 1e3);
  else if (s->preload >= s->free_length - s->solid_length)
    wrong(c, 0, "spring.preload", "%.6g mm; the coils close after %.6g mm", s->preload * 1e3,
          (s->free_length - s->solid_length) * 1e3);
  if (isnan(s->second_rate) != isnan(s->change_at))
    wrong(c, 0, isnan(s->second_rate) ? "spring.change_at" : "spring.second_rate",
          "second_rate and change_at belong together");
  if (s->second_rate <= s->rate)
    wrong(c, 0, "spring.second_rate", "%.6g N/mm is not stiffer than the first rate of %.6g N/mm",
          s->second_rate * 1e-3, s->rate * 1e-3);
  if (s->outside >= c->side->leg.tube_bore)
    wrong(c, 0, "spring.outside", "a spring of %.6g mm does not go into the bore of %.6g mm",
          s->outside * 1e3, c->side->leg.tube_bore * 1e3);
  check_coil(c);
}

static void check_spacer(struct checker *c)
{
  const struct df_spacer *s = &c->side->spacer;
  double made = df_spacer_preload(c->scenario, c->side), off = fabs(c->side->spring.preload - made);
  if (s->outside >= c->side->leg.tube_bore)
    wrong(c, 0, "spacer.outside", "a spacer of %.6g mm does not go into the bore of %.6g mm",
          s->outside * 1e3, c->side->leg.tube_bore * 1e3);
  if (s->inside >= s->outside)
    wrong(c, 0, blame(c, "spacer.inside", "spacer.outside"),
          "the spacer's inside of %.6g mm is not inside its outside of %.6g mm", s->inside * 1e3,
          s->outside * 1e3);
  if (off > 0.5e-3)
    wrong(c, 0, "spring.preload",
          "%.6g mm is given, but the spacer makes %.6g mm (length + washers + cap - depth); they "
          "may differ by 0.5 mm",
          c->side->spring.preload * 1e3, made * 1e3);
}

// Parts that are given beside a linear leg are not used: said once.
static void check_linear(struct checker *c)
{
  static const char *const parts[] = {"rod", "valve", "oil", "air", "spring", "spacer"};
  char list[80] = "", path[DF_KEY_MAX];
  for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++) {
    int n = snprintf(path, sizeof path, "%s%s.", c->prefix, parts[k]), found = 0;
    const struct df_reading *reading = c->walk->reading;
    for (int i = 0; i < reading->slot_n && !found; i++) {
      const struct df_slot *slot = &reading->slot[i];
      found = slot->node && !slot->node->assumed && !strncmp(slot->path, path, (size_t)n);
    }
    size_t at = strlen(list);
    if (found) snprintf(list + at, sizeof list - at, "%s%s", at ? ", " : "", parts[k]);
  }
  if (*list)
    wrong(c, 1, "leg.linear.rate", "a linear leg stands in for the whole leg; not used: %s", list);
}

static void check_side(struct checker *c)
{
  if (c->side->leg.has_linear) {
    check_linear(c);
    return;
  }
  check_diameters(c);
  check_volumes(c);
  check_rod(c);
  if (c->side->has_valve) check_valve(c);
  check_oil(c);
  check_air(c);
  check_spring(c);
  check_spacer(c);
}

// --- The front and its roads

static void check_front(struct checker *c)
{
  const struct df_scenario *s = c->scenario;
  const struct df_load *load = &s->load;
  double front = s->bike.wet_mass * s->bike.front_share + s->rider.mass * s->rider.front_share +
                 load->luggage.mass * load->luggage.front_share +
                 load->passenger.mass * load->passenger.front_share;
  if (front <= s->bike.front_unsprung_mass)
    wrong(c, 0, "bike.front_unsprung_mass",
          "%.6g kg, but the front wheel carries %.6g kg in all; nothing is left to spring",
          s->bike.front_unsprung_mass, front);
  if (s->cone.gap_end > s->cone.gap_start)
    wrong(c, 0, blame(c, "cone.gap_end", "cone.gap_start"),
          "the gap of %.6g mm at the end is wider than %.6g mm at the start", s->cone.gap_end * 1e3,
          s->cone.gap_start * 1e3);
  if (!s->side[0].leg.has_linear && s->cone.length >= s->side[0].leg.travel)
    wrong(c, 0, "cone.length", "%.6g mm is not less than the travel of %.6g mm",
          s->cone.length * 1e3, s->side[0].leg.travel * 1e3);
  if (!s->side[0].leg.has_linear && s->top_out.length >= s->side[0].leg.travel)
    wrong(c, 0, "top_out.length", "%.6g mm is not less than the travel of %.6g mm",
          s->top_out.length * 1e3, s->side[0].leg.travel * 1e3);
  if (s->tyre.section_height > s->tyre.radius)
    wrong(c, 0, "tyre.section_height", "%.6g mm is more than the tyre's radius of %.6g mm",
          s->tyre.section_height * 1e3, s->tyre.radius * 1e3);
}

static void check_road(struct checker *c, const struct df_road *road)
{
  char speed[DF_KEY_MAX], meet[DF_KEY_MAX];
  int still = road->speed == 0, loose = road->meet != DF_MEET_NONE && !road->has_brake;
  if (still == road->has_push && !loose) return;
  snprintf(speed, sizeof speed, "roads.%s.speed", road->name);
  snprintf(meet, sizeof meet, "roads.%s.meet", road->name);
  if (road->has_push && road->speed > 0)
    wrong(c, 0, speed, "%.6g km/h, but a push is done at a standstill; write 0 km/h",
          road->speed * 3.6);
  if (!road->has_push && still)
    wrong(c, 0, speed, "0 km/h never gets anywhere; only a push is done at a standstill");
  if (loose) wrong(c, 0, meet, "the obstacle is met under braking, but the road has no brake");
}

void df_check(struct df_walk *walk)
{
  const struct df_scenario *scenario = &walk->reading->scenario;
  struct checker c = {.walk = walk, .scenario = scenario, .side = &scenario->side[0], .prefix = ""};
  check_side(&c);
  check_front(&c);
  for (int i = 0; i < scenario->road_n; i++) check_road(&c, &scenario->road[i]);
  if (!scenario->unlike) return;
  c.side = &scenario->side[1];
  c.prefix = "right.";
  check_side(&c);
}
