// Exact solutions and published results of small systems, for any integrator: closed forms, or
// linear algebra that is as good.
// Each names its source; exact_values.c holds every function against a printed figure or another
// route.
#ifndef DF_TESTS_EXACT_H
#define DF_TESTS_EXACT_H

// A mass dropped from `height` over a spring: largest deflection, and how long it stays on the
// spring before it leaves.
struct exact_fall { double deflection /* m */, contact /* s */; };
struct exact_fall exact_free_fall(double mass, double stiffness, double height); // kg, N/m, m

// A mass on a spring with dry friction, let go at `start` (> 0): when it stays.
struct exact_sticking { int half_cycles; double place /* m */, lost /* J */; };
// N/m, N, m
struct exact_sticking exact_coulomb_decay(double stiffness, double friction, double start);

// m x'' + a x'|x'| + k x = 0: next amplitude after one of `amplitude`, b = a/m (1/m).
double exact_quadratic_decay(double b, double amplitude); // m

// Energy of one cycle of x = X sin(w t), J.
double exact_cycle_linear(double damping, double w, double amplitude);  // pi c w X2
double exact_cycle_square(double a, double w, double amplitude);        // (8/3) a w2 X3
double exact_cycle_coulomb(double friction, double amplitude);          // 4 F X
// Spring (N/m) and damper (N s/m) in series: force amplitude, N, and energy of a cycle, J.
double exact_series_force(double damping, double stiffness, double w, double amplitude);
double exact_series_energy(double damping, double stiffness, double w, double amplitude);
// Linear damping that loses as much a cycle as a square law, N s/m.
double exact_equivalent_damping(double a, double w, double amplitude);

// Linear quarter vehicle, the suspension anything at the invariant points (Hedrick and Butsuen
// 1990, undamped tyre).
struct exact_point { double w /* rad/s */, gain; };
// |z_s''/z_r'|, 1/s
struct exact_point exact_axle_point(double sprung, double unsprung, double tyre);
// |(z_s - z_u)/z_r|, 1
struct exact_point exact_travel_point(double sprung, double unsprung, double tyre);

struct exact_vehicle { double sprung, unsprung /* kg */, stiffness /* N/m */, damping /* N s/m */,
  tyre /* N/m */; };
// Gain from road velocity amplitude to sprung acceleration, travel, tyre deflection, by complex
// arithmetic.
struct exact_gains { double acceleration /* 1/s */, travel /* s */, tyre /* s */; };
struct exact_gains exact_vehicle_gains(const struct exact_vehicle *, double w);
// Variances on white-noise road velocity of intensity q (m2/s): closed forms; that of the tyre by
// Lyapunov's equation.
struct exact_variances { double acceleration /* m2/s4 */, travel, tyre /* m2 */; };
// q = 2 pi2 Gd n0^2 V, Gd (m3) at n0 = 0.1 c/m
double exact_road_intensity(double roughness, double speed);
struct exact_variances exact_white_noise(const struct exact_vehicle *, double q);
struct exact_variances exact_white_noise_lyapunov(const struct exact_vehicle *, double q);

// International Roughness Index (ASTM E1926, World Bank TP 46): reference vehicle, state (z_s',
// z_s'', z_u', z_u'').
// spacing in m, at 80 km/h
void exact_roughness_step(double spacing, double st[4][4], double pr[4]);
// as printed for 0.25 m
extern const double exact_roughness_st[4][4], exact_roughness_pr[4];
double exact_roughness_index(const double *height, int n, double spacing, int averaged); // m/m
// |z_s' - z_u'|/(V slope amplitude)
double exact_roughness_gain(double wave_length);

// Undamped oscillator on a half-sine base acceleration: greatest response over peak, ratio =
// duration/period (Ayre).
double exact_half_sine(double ratio);
// Forced oscillator with dry friction that never stops (Den Hartog 1931): X k/P at b = w/wn, f =
// F/P.
double exact_den_hartog(double b, double f);
// Logarithmic decrement and damping ratio for an amplitude that falls to `share` in half a cycle
// (Rao, example 2-14).
double exact_damping_ratio(double share);

// Stiff systems of the Bari test set (Hairer and Wanner): rates, start, end, printed result.
struct exact_system {
  const char *name;
  int n;
  void (*rates)(void *, double t, const double *y, double *dy, double *);
  double start[8], end /* s */, result[8];
};
extern const struct exact_system exact_van_der_pol, exact_hires;

#endif
