// Oil: viscosity, density, blends, and the state equation with entrained air.
#ifndef DAMPFORK_OIL_H
#define DAMPFORK_OIL_H

#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

#define DF_ATMOSPHERE 101325.0  // Pa, the pressure at which all oil volumes are counted

// Fill in what was left out: a blend becomes viscosity_40, viscosity_100 and density_15; a missing
// viscosity_100 comes from viscosity_index (NAN: 150); a missing density_15 is 870 kg/m3.
// Blend shares count by volume and must add up to 1 within 0.5 %.
// DF_BAD_INPUT with a fault for each wrong value.
enum df_status df_oil_resolve(struct df_oil *oil, struct df_faults *faults);

// Kinematic viscosity in m2/s at a temperature in K (resolved oil). ASTM D341 (Walther), 0.7 mm2/s,
// through the values at 40 and 100 C. Good above 2 mm2/s and between cloud point and 150 C;
// always positive and falling.
double df_oil_viscosity(const struct df_oil *oil, double kelvin);

// The constants of log10 log10(nu/(mm2/s) + 0.7) = a - b log10(T/K).
void df_oil_walther(double viscosity_40, double viscosity_100, double *a, double *b);

// Density in kg/m3 at a temperature in K, at atmospheric pressure. ASTM D1250, table 54D.
double df_oil_density(const struct df_oil *oil, double kelvin);

// Viscosity index from m2/s at 40 and 100 C. ASTM D2270 by the quadratics of its appendix X2, within
// 0.3 of its table. NAN below 2 mm2/s at 100 C or if the oil does not thin with heat.
double df_oil_viscosity_index(double viscosity_40, double viscosity_100);

// m2/s at 100 C that gives this viscosity index, NAN where there is none of at least 2 mm2/s.
double df_oil_viscosity_100(double viscosity_40, double viscosity_index);

// m2/s of a mixture at the temperature of its n parts. ASTM D7152 style: double logarithms with
// 0.7 mm2/s, averaged by volume. The shares need not add up to 1, only their ratio counts.
double df_oil_blend(const double *viscosity, const double *share, int n);

// Volume share of the second oil that brings a mix of two (m2/s, one temperature) to `wanted`.
// NAN unless wanted lies between the two.
double df_oil_blend_share(double first, double second, double wanted);

// State equation of oil with isothermal bubbles, for one kilogram's worth of oil counted at p0.
struct df_oil_state {
  double air;                 // 1, volume share of air at p0, above 0
  double modulus;             // Pa, oil and structure in series
  double vapour;              // Pa
};
struct df_oil_state df_oil_state_of(const struct df_oil *oil);

// Volume at pressure p over volume at p0, 1. p in Pa, above the vapour pressure. Strictly falling.
double df_oil_specific_volume(const struct df_oil_state *state, double pressure);

// Its inverse: pressure in Pa at which oil fills `ratio` (above 0) times its volume at p0.
double df_oil_pressure(const struct df_oil_state *state, double ratio);

// Enthalpy and energy of a cubic metre of oil counted at p0, J/m3 = Pa. dh/dp = v, u = h - p v.
double df_oil_enthalpy(const struct df_oil_state *state, double pressure);
double df_oil_energy(const struct df_oil_state *state, double pressure);

// Bulk modulus -v/v' of the state equation, Pa.
double df_oil_modulus(const struct df_oil_state *state, double pressure);

// Bulk modulus in Pa of a liquid (Pa) with `gas` m3 of gas for each m3 of liquid at p0, squeezed with
// polytropic exponent n: the form of the hydraulic handbooks. For comparison; rides use n = 1 above.
double df_oil_modulus_polytropic(double liquid, double gas, double exponent, double atmosphere,
                                 double pressure);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
