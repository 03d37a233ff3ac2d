// Areas, coefficients, static results.
#include "derived.h"

#include "dampfork/shims.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

struct filling { struct derived *list; int n; };

static void put(struct filling *filling, double value, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void put(struct filling *filling, double value, const char *format, ...)
{
  if (filling->n == DERIVED_MAX) return;
  struct derived *item = &filling->list[filling->n++];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(item->name, sizeof item->name, format, arguments);
  va_end(arguments);
  item->value = value;
}

static double circle(double diameter)
{
  return 0.25*3.14159265358979323846*diameter*diameter;
}

static void areas(struct filling *filling, const struct df_leg *leg, const char *side)
{
  put(filling, 1e6*circle(leg->tube_outside), "tube_area%s_mm2", side);
  put(filling, 1e6*circle(leg->tube_bore), "bore_area%s_mm2", side);
  put(filling, 1e6*circle(leg->rod_outside), "rod_area%s_mm2", side);
  put(filling, 1e6*circle(leg->rod_bore), "rod_bore_area%s_mm2", side);
  put(filling, 1e6 * (circle(leg->tube_outside) - circle(leg->rod_outside)), "lower_area%s_mm2",
      side);
  put(filling, 1e6*(circle(leg->tube_bore) - circle(leg->rod_outside)), "annulus_area%s_mm2", side);
}

static void paths(struct filling *filling, const struct df_leg_model *leg, const char *side)
{
  struct df_path_constants constants[DF_PARTS];
  df_leg_paths(leg, constants);
  for (int i = 0; i < DF_PARTS; i++) {
    const char *name = i < DF_PATHS ? df_path_names[i] : i == DF_PART_BORE ? "bore" : "ports";
    if (i == DF_PATH_VALVE) continue; // its lift changes
    put(filling, constants[i].k1, "K1_%s%s_Pa_s_per_m3", name, side);
    put(filling, constants[i].k2_in, "K2_%s%s_Pa_s2_per_m6", name, side);
    if (constants[i].k2_out != constants[i].k2_in && isfinite(constants[i].k2_out))
      put(filling, constants[i].k2_out, "K2_%s_outwards%s_Pa_s2_per_m6", name, side);
  }
}

static void statics_fill(struct filling *filling, const struct df_scenario *scenario,
                         const struct df_statics *s)
{
  double travel = scenario->side[0].leg.travel;
  put(filling, s->total_mass, "total_mass_kg");
  put(filling, 100*s->front_share, "front_share_percent");
  put(filling, s->sprung_mass, "sprung_mass_kg");
  put(filling, s->unsprung_mass, "unsprung_mass_kg");
  put(filling, s->front_load_alone, "front_load_alone_N");
  put(filling, s->front_load_rider, "front_load_rider_N");
  put(filling, 1e3*s->free_travel, "free_travel_mm");
  put(filling, 1e3*(s->x_alone - s->free_travel), "sag_alone_mm");
  put(filling, 1e3*(s->x_rider - s->free_travel), "sag_rider_mm");
  put(filling, 1e3*(s->x_loaded - s->free_travel), "sag_loaded_mm");
  put(filling, 100*(s->x_alone - s->free_travel)/travel, "sag_alone_share_percent");
  put(filling, 100*(s->x_rider - s->free_travel)/travel, "sag_rider_share_percent");
  put(filling, 1e3*s->sag_band, "sag_band_mm");
  put(filling, 1e3*s->x_ride, "static_travel_mm");
  put(filling, 1e3*s->spring_preload, "spring_preload_mm");
  put(filling, s->cap_force, "cap_force_N");
  put(filling, s->end_force, "end_force_N");
  put(filling, 1e6*s->gas_start, "gas_volume_extended_cm3");
  put(filling, 1e6*s->gas_end, "gas_volume_full_travel_cm3");
  put(filling, 1e6*s->solids, "solids_cm3");
  put(filling, 1e-5*s->pressure_end, "gas_pressure_full_travel_bar");
  put(filling, 1e-5*s->cracking_pressure, "cracking_pressure_bar");
  put(filling, s->cracking_speed, "cracking_speed_m_per_s");
  double stress = df_valve_shim_stress(&scenario->side[0].valve); // Pa
  if (isfinite(stress)) put(filling, 1e-6*stress, "shim_stress_MPa");
  put(filling, 1e6*s->viscosity, "viscosity_mm2_per_s");
  put(filling, s->density, "density_kg_per_m3");
  static const int speed[5] = {50, 100, 300, 1000, 3000};
  for (int i = 0; i < 5; i++)
    put(filling, s->damping_ratio_compression[i], "damping_ratio_compression_%d_1", speed[i]);
  for (int i = 0; i < 5; i++)
    put(filling, s->damping_ratio_rebound[i], "damping_ratio_rebound_%d_1", speed[i]);
}

int derived_fill(const struct df_scenario *scenario, const struct df_statics *statics,
                 struct df_leg_model *const leg[DF_SIDES], struct derived *list)
{
  struct filling filling = {list, 0};
  statics_fill(&filling, scenario, statics);
  int sides = scenario->unlike ? DF_SIDES : 1;
  for (int i = 0; i < sides; i++) {
    const char *side = sides == 1 ? "" : i ? "_right" : "_left";
    areas(&filling, &scenario->side[i].leg, side);
    paths(&filling, leg[i], side);
  }
  return filling.n;
}
