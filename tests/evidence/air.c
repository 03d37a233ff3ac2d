// The gas over the oil, and oil and gas at rest.
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <math.h>

#include "evidence.h"
#include "leg/model.h"

// Pressure of the library's column when `start` m3 at `fill` Pa are squeezed to `volume` m3.
struct gas { double start, fill, exponent; };
static double squeezed(const struct gas *gas, double volume)
{
  struct lane_leg g = {0};
  struct leg_kind kind = {0};
  lane left, by_theta;
  g.gas_start = all(gas->start);
  g.gas_offset = all(gas->start);
  g.fill_pressure = all(gas->fill);
  g.exponent = all(gas->exponent);
  return column_at(&g, &kind, all(0), all(0), all(volume - gas->start), all(1), &left, &by_theta).p[0];
}

// ---- accumulator: 2774 cm3 at 90 bar gauge
static double accumulator(double cm3)
{
  struct gas gas = {2774e-6, 91.01325e5, 1.4};
  return squeezed(&gas, cm3*1e-6)/1e5 - 1.01325;
}

// ---- blow-out preventer bottle: 10 gal at 1000 psi, Boyle
static double bottle(double gallons)
{
  struct gas gas = {10, 1000, 1};
  return squeezed(&gas, gallons);
}

// ---- compressor: kJ a kilogram from 100 kPa and 300 K, steady flow, by quadrature over the library's pressures
static double pressure_at(double volume, void *gas)
{
  return squeezed(gas, volume);
}

static double flow_work(double exponent, double from, double to)
{
  struct gas gas = {0.287*300/from, from, exponent}; // m3, kPa
  double end = gas.start*pow(from/to, 1/exponent), area = NAN, error;
  gsl_integration_workspace *room = gsl_integration_workspace_alloc(100);
  gsl_function f = {pressure_at, &gas};
  gsl_error_handler_t *old = gsl_set_error_handler_off();
  gsl_integration_qag(&f, end, gas.start, 0, 1e-12, 100, GSL_INTEG_GAUSS31, room, &area, &error);
  gsl_set_error_handler(old);
  gsl_integration_workspace_free(room);
  return squeezed(&gas, end)*end - from*gas.start + area;
}

static double compressor(double exponent)
{
  return flow_work(exponent, 100, 900);
}

static double compressor_in_two(double exponent)
{
  return flow_work(exponent, 100, 300)*2;
}

// ---- the chamber's oil, by its two formulas: pressure from volume against volume from pressure
static double there_and_back(double bar)
{
  struct df_oil_state state = {.air = 0.005, .modulus = 1.235294e9, .vapour = 1000};
  return df_oil_pressure(&state, df_oil_specific_volume(&state, bar*1e5))/1e5;
}

// Enthalpy against the integral of v dp, from 1 atm, J a litre.
static double volume_at(double pressure, void *state)
{
  return df_oil_specific_volume(state, pressure);
}

static double enthalpy_gap(double bar)
{
  struct df_oil_state state = {.air = 0.005, .modulus = 1.235294e9, .vapour = 1000};
  double area = NAN, error;
  gsl_integration_workspace *room = gsl_integration_workspace_alloc(200);
  gsl_function f = {volume_at, &state};
  gsl_error_handler_t *old = gsl_set_error_handler_off();
  gsl_integration_qag(&f, DF_ATMOSPHERE, bar*1e5, 0, 1e-13, 200, GSL_INTEG_GAUSS61, room, &area, &error);
  gsl_set_error_handler(old);
  gsl_integration_workspace_free(room);
  return (df_oil_enthalpy(&state, bar*1e5) - df_oil_enthalpy(&state, DF_ATMOSPHERE))/area;
}

static const char calculator[] = "machinecalcs.com, Hydraulic accumulator sizing, worked example";
static const char petrol[] = "petrolengineering.com, Accumulator capacity, usable volume a bottle";
static const char cengel[] = "Cengel & Boles, Thermodynamics, comparison of compression "
  "processes (transcription)";
static const char quad[] = "GSL adaptive quadrature of v dp over the library's own state equation";

static const struct evidence rows[] = {
  {"air", 'P', calculator, "n 1.4, 2774 cm3 at 90 bar gauge", "2575 cm3 at 100 bar gauge",
    accumulator, 2575, 100, 0.06, "bar",
    "half a cubic centimetre is 0.03 bar here and in the start"},
  {"air", 'P', calculator, "n 1.4", "1575 cm3 at 200 bar gauge", accumulator, 1575, 200, 0.15,
    "bar", "half a cubic centimetre is 0.09 bar here, 0.05 in the start"},
  {"air", 'P', petrol, "Boyle, 10 gal at 1000 psi", "8.33 gal at 1200 psi", bottle, 8.33, 1200, 0.8,
    "psi", "half of the last digit printed"},
  {"air", 'P', petrol, "Boyle, 10 gal at 1000 psi", "3.33 gal at 3000 psi", bottle, 3.33, 3000, 4.6,
    "psi", "half of the last digit printed"},
  {"air", 'P', cengel, "300 K, 100 to 900 kPa, n 1.4", "263.2 kJ/kg", compressor, 1.4, 263.2, 0.06,
    "kJ/kg", "half of the last digit printed"},
  {"air", 'P', cengel, "n 1.3", "246.4 kJ/kg", compressor, 1.3, 246.4, 0.06, "kJ/kg",
    "half of the last digit printed"},
  {"air", 'P', cengel, "isothermal", "189.2 kJ/kg", compressor, 1, 189.2, 0.06, "kJ/kg",
    "half of the last digit printed"},
  {"air", 'P', cengel, "two stages, n 1.3", "215.3 kJ/kg", compressor_in_two, 1.3, 215.3, 0.06,
    "kJ/kg", "half of the last digit printed"},
  {"chambers", 'C', quad, "0.1 bar", "ratio 1", enthalpy_gap, 0.1, 1, 1e-10, "",
    "quadrature to 1e-13"},
  {"chambers", 'C', quad, "50 bar", "ratio 1", enthalpy_gap, 50, 1, 1e-10, "",
    "quadrature to 1e-13"},
  {"chambers", 'C', "State equation and its closed inverse", "0.02 bar, nearly void", "0.02 bar",
    there_and_back, 0.02, 0.02, 1e-11, "bar", "round-off"},
  {"chambers", 'C', "State equation and its closed inverse", "80 bar", "80 bar", there_and_back, 80,
    80, 1e-9, "bar", "round-off"},
};
EVIDENCE_GROUP(evidence_air, "air and chambers", rows);
