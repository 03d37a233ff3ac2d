// Usual values that are computed from others, in one pass. NAN (numbers) and -1 (words) mean: not
// given.
#include "scenario/reading.h"

#include <math.h>

// Row of the typical fork whose tube is nearest; `same` 1: it is this very size.
static int tube_row(double outside, int *same)
{
  int best = 0;
  for (int i = 1; i < DF_TUBE_SIZES; i++)
    if (fabs(df_tube_sizes[i] - outside*1e3) < fabs(df_tube_sizes[best] - outside*1e3)) best = i;
  *same = fabs(df_tube_sizes[best] - outside*1e3) < 0.06; // mm, what a caliper is off by
  return best;
}

static double typical(const struct df_section *section, const char *key, int tube, double unit)
{
  return df_section_find(section, key)->by_tube[tube]*unit;
}

static void fill(double *value, double usual)
{
  if (isnan(*value)) *value = usual;
}

static void tube_defaults(struct df_side *side)
{
  struct df_leg *leg = &side->leg;
  if (isnan(leg->tube_outside)) return;
  int same, tube = tube_row(leg->tube_outside, &same);
  fill(&leg->tube_bore,
       same ? typical(&df_leg_section, "tube_bore", tube, 1e-3) : leg->tube_outside - 4.4e-3);
  fill(&leg->rod_outside, typical(&df_leg_section, "rod_outside", tube, 1e-3));
  fill(&leg->rod_bore, typical(&df_leg_section, "rod_bore", tube, 1e-3));
  fill(&leg->rod_length, leg->travel + 130e-3);
  fill(&side->spring.rate, typical(&df_spring_section, "rate", tube, 1e3));
  fill(&side->air.oil_level, typical(&df_air_section, "oil_level", tube, 1e-3));
}

static void rod_defaults(struct df_side *side)
{
  struct df_rod *rod = &side->rod;
  if (rod->state < 0)
    rod->state = side->has_valve && rod->has_opened ? DF_ROD_OPENED : DF_ROD_AS_FOUND;
  if (rod->has_as_found || rod->has_opened)
    rod->holes = rod->state == DF_ROD_OPENED && rod->has_opened ? rod->opened
                 : rod->has_as_found                            ? rod->as_found
                                                                : rod->opened;
}

static void valve_defaults(struct df_valve *valve)
{
  if (isnan(valve->preload)) {
    fill(&valve->preload_turns, 3);
    valve->preload = valve->preload_turns*valve->adjuster_pitch;
  }
  fill(&valve->port_inner, 0.7*valve->seat_diameter);
}

// Spring preload that the spacer makes: what is pushed into the tube beyond what room there is.
// NAN: the spacer is not known.
double df_spacer_preload(const struct df_scenario *scenario, const struct df_side *side)
{
  const struct df_spacer *spacer = &side->spacer;
  double depth = spacer->depth_to_spring;
  if (side->has_valve && spacer->depth_taken_valve == DF_OUT) depth -= side->valve.height;
  return spacer->length + spacer->washers + scenario->cap.depth - depth;
}

static void spring_defaults(const struct df_scenario *scenario, struct df_side *side)
{
  fill(&side->spring.solid_length, side->spring.free_length/3);
  fill(&side->spacer.outside, side->leg.tube_bore - 2.5e-3);
  fill(&side->spacer.inside, side->spacer.outside - 4e-3);
  fill(&side->spring.preload, df_spacer_preload(scenario, side));
  fill(&side->spring.preload, 15e-3);
}

void df_side_defaults(struct df_scenario *scenario, struct df_side *side)
{
  tube_defaults(side);
  rod_defaults(side);
  if (side->has_valve) valve_defaults(&side->valve);
  // Without viscosity_100 the index tells it; the oil's own law turns it into viscosity_100.
  if (isnan(side->oil.viscosity_100) && !side->oil.blend_n) fill(&side->oil.viscosity_index, 150);
  spring_defaults(scenario, side);
}

void df_front_defaults(struct df_scenario *scenario)
{
  fill(&scenario->bike.mass_height, 0.43*scenario->bike.wheelbase);
  if (scenario->tyre.slope_force < 0)
    scenario->tyre.slope_force = scenario->tyre.contact == DF_CONTACT_DISC ? DF_ON : DF_OFF;
  for (int i = 0; i < scenario->road_n; i++) {
    struct df_road *road = &scenario->road[i];
    if (!road->has_brake) continue;
    fill(&road->brake.ramp, scenario->braking.ramp);
    fill(&road->brake.hold, scenario->braking.hold);
    fill(&road->brake.release, scenario->braking.release);
  }
}
