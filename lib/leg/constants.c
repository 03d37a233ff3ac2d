// Coefficients of each path at the oil's temperature, for people who want to see them.
#include "leg/model.h"

#include <math.h>

// A path that is closed has no coefficients.
static struct df_path_constants constants(const struct df_leg_constants *c, double viscous, double in, double out)
{
  int closed = !(viscous < 1e30); // how prepare.c writes a closed path
  return (struct df_path_constants){closed ? NAN : c->mu*viscous, closed ? NAN : c->rho*in, closed ? NAN : c->rho*out};
}

void df_leg_paths(const struct df_leg_model *leg, struct df_path_constants out[DF_PARTS])
{
  const struct df_leg_constants *c = &leg->c;
  out[DF_PATH_COMPRESSION_HOLES] = constants(c, c->holes_in_viscous, c->holes_in_inertial, c->holes_out_inertial);
  out[DF_PATH_REBOUND_HOLES] = constants(c, c->rebound_in_viscous, c->rebound_in_inertial, c->rebound_out_inertial);
  out[DF_PATH_CHECK] = constants(c, c->check_viscous, c->check_inertial, c->check_inertial);
  out[DF_PATH_CHECK_LEAK] = constants(c, c->leak_viscous, c->leak_inertial, c->leak_inertial);
  out[DF_PATH_RING] = constants(c, c->ring_viscous, c->ring_inertial, c->ring_inertial);
  out[DF_PART_BORE] = constants(c, c->bore_viscous, c->bore_inertial, c->bore_inertial);
  out[DF_PATH_VALVE] = out[DF_PATH_BLEED] = out[DF_PATH_RETURN] = out[DF_PART_PORTS] = (struct df_path_constants){NAN, NAN, NAN};
  if (!leg->kind.valved) return;
  out[DF_PATH_BLEED] = constants(c, c->bleed_viscous, c->bleed_inertial, c->bleed_inertial);
  out[DF_PATH_RETURN] = constants(c, c->return_viscous, c->return_inertial, c->return_inertial);
  out[DF_PART_PORTS] = constants(c, 0, c->valve_ports, c->valve_ports);
}
