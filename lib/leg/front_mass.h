// Masses and loads of the front of the vehicle at rest.
#ifndef DF_LEG_FRONT_MASS_H
#define DF_LEG_FRONT_MASS_H

#include "leg/model.h"

// Who is aboard.
enum df_aboard { DF_ABOARD_NOBODY, DF_ABOARD_RIDER, DF_ABOARD_ALL };
struct df_masses { double total, front, sprung; /* kg; on the front wheel; of it what the springs carry */ };
struct df_masses df_masses_of(const struct df_scenario *scenario, enum df_aboard aboard);

static const double df_gravity = 9.80665; // m/s2

// Both legs of a scenario: model[1] is used only where they differ. temperature: K, NAN: each oil's own.
struct df_legs { int modelled, on_vehicle; struct df_leg_model model[DF_SIDES]; };
enum df_status df_legs_init(struct df_legs *legs, const struct df_scenario *scenario, double kelvin, struct df_faults *faults);

// Sum of the forces of all legs at rest at travel x, N. exponent NAN: each leg's own.
double df_legs_rest_force(const struct df_legs *legs, double x, double exponent);
// Travel at which the legs carry `load` N along the fork, friction xi (-1..1) of a level that grows with the load on the wheel.
// NAN when there is none between -2 mm and the end of travel (linear legs: anywhere).
double df_legs_rest_travel(const struct df_legs *legs, const struct df_scenario *scenario, double load, double tyre_load, double exponent, double xi);

#endif
