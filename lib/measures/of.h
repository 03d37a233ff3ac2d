// What the rows of the table of measures point to. All give SI values, NAN where not defined.
#ifndef DF_MEASURES_OF_H
#define DF_MEASURES_OF_H

#include "dampfork/measure.h"

// Of a ride. Arguments select a member of a family.
double df_of_travel_peak(const struct df_measured *m, double unused);
double df_of_travel_share(const struct df_measured *m, double unused);
double df_of_travel_reserve(const struct df_measured *m, double unused);
double df_of_acceleration_peak(const struct df_measured *m, double unused);
double df_of_acceleration_low(const struct df_measured *m, double unused);
double df_of_shock(const struct df_measured *m, double unused);
double df_of_jerk(const struct df_measured *m, double unused);
double df_of_impulse_share(const struct df_measured *m, double unused);
double df_of_weighted(const struct df_measured *m, double unused);
double df_of_dose(const struct df_measured *m, double unused);
double df_of_crest_factor(const struct df_measured *m, double unused);
double df_of_tyre_variation(const struct df_measured *m, double unused);
double df_of_airborne_time(const struct df_measured *m, double unused);
double df_of_patter(const struct df_measured *m, double unused);
double df_of_stuck_share(const struct df_measured *m, double unused);
double df_of_cavitating_time(const struct df_measured *m, double unused);
double df_of_void_share(const struct df_measured *m, double unused);
double df_of_void_peak(const struct df_measured *m, double unused);
double df_of_bottoming_speed(const struct df_measured *m, double unused);
double df_of_topping_speed(const struct df_measured *m, double unused);
double df_of_speed_share(const struct df_measured *m, double bin);       // 1..16
double df_of_energy(const struct df_measured *m, double entry);          // enum df_energy
double df_of_energy_residual(const struct df_measured *m, double unused);
double df_of_part(const struct df_measured *m, double channel);          // enum df_channel of leg 0

// Of a manoeuvre, or of what follows an obstacle.
double df_of_dive_depth(const struct df_measured *m, double unused);
double df_of_dive_overshoot(const struct df_measured *m, double unused);
double df_of_dive_overshoot_share(const struct df_measured *m, double unused);
double df_of_dive_speed(const struct df_measured *m, double unused);
double df_of_settling_time(const struct df_measured *m, double unused);
double df_of_braked_rest(const struct df_measured *m, double unused);
double df_of_braked_rest_share(const struct df_measured *m, double unused);
double df_of_lean_overshoot(const struct df_measured *m, double unused);
double df_of_lean_settling(const struct df_measured *m, double unused);
double df_of_push_past_start(const struct df_measured *m, double unused);
double df_of_bounce_decay(const struct df_measured *m, double unused);
double df_of_return_time(const struct df_measured *m, double unused);
double df_of_packing(const struct df_measured *m, double unused);

// Without a ride, or of two.
double df_of_free_travel(const struct df_measured *m, double unused);
double df_of_sag(const struct df_measured *m, double load);           // 0 alone, 1 rider, 2 loaded
double df_of_sag_share(const struct df_measured *m, double load);
double df_of_sag_band(const struct df_measured *m, double unused);
double df_of_cap_force(const struct df_measured *m, double unused);
double df_of_end_force(const struct df_measured *m, double unused);
double df_of_cracking_pressure(const struct df_measured *m, double unused);
double df_of_cracking_speed(const struct df_measured *m, double unused);
double df_of_ratio_compression(const struct df_measured *m, double index); // 0..4
double df_of_ratio_rebound(const struct df_measured *m, double index);
double df_of_cold_ratio(const struct df_measured *m, double unused);
double df_of_heated_ratio(const struct df_measured *m, double unused);

// The shorter travel of the two legs, m.
double df_measured_travel(const struct df_measured *m);

#endif
