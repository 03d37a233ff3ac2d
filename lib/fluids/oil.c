// Oil at atmospheric pressure (viscosity, density, index, blends) and under pressure (state equation).
#include "dampfork/oil.h"

#include <math.h>
#include <stddef.h>

#include "base/roots.h"

static const double T_40 = 313.15, T_100 = 373.15, T_15 = 288.15; // K
static const double MM2_PER_S = 1e-6;         // m2/s
static const double WALTHER_SHIFT = 0.7;      // mm2/s, ASTM D341 above 2 mm2/s
static const double USUAL_INDEX = 150;        // chosen here: fork oils are thickened, 100 to 200
static const double USUAL_DENSITY_15 = 870;   // kg/m3, common practice
static const double THINNEST_100 = 2e-6;      // m2/s, below it D2270 has no table
static const double SHARES_OFF = 0.005;       // 1, a rounded recipe such as 33 33 33 % may miss 1 by this

// ---- viscosity -------------------------------------------------------------------------------------

static double twice_log(double viscosity)
{
  return log10(log10(viscosity/MM2_PER_S + WALTHER_SHIFT));
}

static double twice_power(double logs)
{
  return (pow(10, pow(10, logs)) - WALTHER_SHIFT)*MM2_PER_S;
}

void df_oil_walther(double viscosity_40, double viscosity_100, double *a, double *b)
{
  double z_40 = twice_log(viscosity_40), z_100 = twice_log(viscosity_100);
  *b = (z_40 - z_100)/(log10(T_100) - log10(T_40));
  *a = z_40 + *b*log10(T_40);
}

double df_oil_viscosity(const struct df_oil *oil, double kelvin)
{
  double a, b;
  df_oil_walther(oil->viscosity_40, oil->viscosity_100, &a, &b);
  return twice_power(a - b*log10(kelvin));
}

double df_oil_density(const struct df_oil *oil, double kelvin)
{
  double rho = oil->density_15, a = 0.6278/rho, warm = kelvin - T_15; // a in 1/K: table 54D
  return rho*exp(-a*warm*(1 + 0.8*a*warm));
}

// ---- viscosity index -------------------------------------------------------------------------------

// L = l2 Y2 + l1 Y + l0 and H alike from Y upwards, mm2/s. ASTM D2270 appendix X2; the rows from 22 to 55
// from memory, held against the standard's table by a test.
static const struct index_row { double from, l2, l1, l0, h2, h1, h0; } index_rows[] = {
  {2, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077},
  {3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183},
  {4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119},
  {5, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557},
  {6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656},
  {7, 0.01191, 21.475, -72.87, 0.79762, -0.7321, 14.61},
  {7.7, 0.41858, 16.1558, -56.04, 0.05794, 10.5156, -28.24},
  {9, 0.88779, 7.5527, -16.6, 0.26665, 6.7015, -10.81},
  {12, 0.7672, 10.7972, -38.18, 0.20073, 8.4658, -22.49},
  {15, 0.97305, 5.3135, -2.2, 0.28889, 5.9741, -4.93},
  {18, 0.97256, 5.25, -0.98, 0.24504, 7.416, -16.73},
  {22, 0.91413, 7.4759, -21.82, 0.20323, 9.1267, -34.23},
  {28, 0.87031, 9.7157, -50.77, 0.18411, 10.1015, -46.75},
  {40, 0.84703, 12.6752, -133.31, 0.17029, 11.4866, -80.62},
  {55, 0.85921, 11.1009, -83.19, 0.1713, 11.368, -76.94},
  {70, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947},
};
enum { INDEX_ROWS = sizeof index_rows/sizeof index_rows[0] };

double df_oil_viscosity_index(double viscosity_40, double viscosity_100)
{
  double u = viscosity_40/MM2_PER_S, y = viscosity_100/MM2_PER_S;
  if (!(viscosity_100 >= THINNEST_100 && u > y)) return NAN;
  int i = 0;
  while (i < INDEX_ROWS - 1 && y >= index_rows[i + 1].from) i++;
  const struct index_row *r = &index_rows[i];
  double l = (r->l2*y + r->l1)*y + r->l0, h = (r->h2*y + r->h1)*y + r->h0;
  if (u >= h) return 100*(l - u)/(l - h);
  double n = (log10(h) - log10(u))/log10(y);
  return 100 + (pow(10, n) - 1)/0.00715;
}

struct index_wanted { double viscosity_40, index; };

static double index_off(double viscosity_100, double *slope, const void *context)
{
  (void)slope;
  const struct index_wanted *wanted = context;
  return df_oil_viscosity_index(wanted->viscosity_40, viscosity_100) - wanted->index;
}

double df_oil_viscosity_100(double viscosity_40, double viscosity_index)
{
  struct index_wanted wanted = {viscosity_40, viscosity_index};
  double low = THINNEST_100, high = viscosity_40*(1 - 1e-12), found = NAN;
  if (!(high > low)) return NAN;
  if (df_root_find(index_off, &wanted, low, high, 1e-14, 0, &found) != DF_OK) return NAN;
  return found;
}

// ---- blends ----------------------------------------------------------------------------------------

double df_oil_blend(const double *viscosity, const double *share, int n)
{
  double sum = 0, all = 0;
  for (int i = 0; i < n; i++) {
    sum += share[i]*twice_log(viscosity[i]);
    all += share[i];
  }
  return twice_power(sum/all);
}

double df_oil_blend_share(double first, double second, double wanted)
{
  if (!(first > 0 && second > 0 && first != second)) return NAN;
  if (!(wanted >= fmin(first, second) && wanted <= fmax(first, second))) return NAN;
  return (twice_log(wanted) - twice_log(first))/(twice_log(second) - twice_log(first));
}

// ---- filling in ------------------------------------------------------------------------------------

// Viscosity at 100 C where it is missing, density likewise; then what makes no oil is refused.
static enum df_status complete(struct df_blend_part *part, double index, const char *key,
                               struct df_faults *faults)
{
  if (!(part->viscosity_40 > 0 && isfinite(part->viscosity_40)))
    return df_fault_add(faults, DF_BAD_INPUT, key, "viscosity_40 is not a viscosity above 0 mm2/s");
  if (isnan(part->viscosity_100)) part->viscosity_100 = df_oil_viscosity_100(part->viscosity_40, index);
  if (isnan(part->viscosity_100))
    return df_fault_add(faults, DF_BAD_INPUT, key, "no viscosity at 100 degC of at least 2 mm2/s gives "
                        "viscosity index %.4g with %.4g mm2/s at 40 degC: give viscosity_100", index,
                        part->viscosity_40/MM2_PER_S);
  if (!(part->viscosity_100 > 0.3e-6 && part->viscosity_100 < part->viscosity_40)) // log log needs nu + 0.7 > 1
    return df_fault_add(faults, DF_BAD_INPUT, key, "viscosity_100 (%.4g mm2/s) has to be above 0.3 mm2/s "
                        "and below viscosity_40 (%.4g mm2/s)", part->viscosity_100/MM2_PER_S,
                        part->viscosity_40/MM2_PER_S);
  if (isnan(part->density_15)) part->density_15 = USUAL_DENSITY_15;
  if (!(part->density_15 > 0))
    return df_fault_add(faults, DF_BAD_INPUT, key, "density_15 has to be above 0 kg/m3");
  return DF_OK;
}

static enum df_status mix(struct df_oil *oil, double index, struct df_faults *faults)
{
  double at_40[DF_BLEND_MAX], at_100[DF_BLEND_MAX], share[DF_BLEND_MAX], all = 0, mass = 0;
  for (int i = 0; i < oil->blend_n; i++) {
    struct df_blend_part part = oil->blend[i];
    enum df_status status = complete(&part, index, "oil.blend", faults);
    if (status != DF_OK) return status;
    if (!(part.share >= 0))
      return df_fault_add(faults, DF_BAD_INPUT, "oil.blend", "share %d has to be 0 %% or more", i + 1);
    at_40[i] = part.viscosity_40;
    at_100[i] = part.viscosity_100;
    share[i] = part.share;
    all += part.share;
    mass += part.share*part.density_15;
  }
  if (!(fabs(all - 1) <= SHARES_OFF))
    return df_fault_add(faults, DF_BAD_INPUT, "oil.blend", "the shares add up to %.4g %%, not 100 %%", 100*all);
  oil->viscosity_40 = df_oil_blend(at_40, share, oil->blend_n);
  oil->viscosity_100 = df_oil_blend(at_100, share, oil->blend_n);
  oil->density_15 = mass/all;
  return DF_OK;
}

enum df_status df_oil_resolve(struct df_oil *oil, struct df_faults *faults)
{
  double index = isnan(oil->viscosity_index) ? USUAL_INDEX : oil->viscosity_index;
  if (oil->blend_n > DF_BLEND_MAX)
    return df_fault_add(faults, DF_BAD_INPUT, "oil.blend", "at most %d oils", (int)DF_BLEND_MAX);
  if (oil->blend_n > 0) return mix(oil, index, faults);
  struct df_blend_part whole = {oil->viscosity_40, oil->viscosity_100, oil->density_15, 1};
  enum df_status status = complete(&whole, index, "oil", faults);
  if (status != DF_OK) return status;
  oil->viscosity_100 = whole.viscosity_100;
  oil->density_15 = whole.density_15;
  return DF_OK;
}

// ---- state equation: docs/theory.md, section Oil -----------------------------------------------------

struct df_oil_state df_oil_state_of(const struct df_oil *oil)
{
  return (struct df_oil_state){oil->air_fraction, 1/(1/oil->bulk_modulus + 1/oil->wall_modulus),
                               oil->vapour_pressure};
}

double df_oil_specific_volume(const struct df_oil_state *state, double pressure)
{
  double liquid = (1 - state->air)*(1 - (pressure - DF_ATMOSPHERE)/state->modulus);
  return liquid + state->air*(DF_ATMOSPHERE - state->vapour)/(pressure - state->vapour);
}

double df_oil_pressure(const struct df_oil_state *state, double ratio)
{
  double phi = state->air, rest = (DF_ATMOSPHERE - state->vapour)/state->modulus;
  double b = (1 - phi)*(1 + rest) - ratio, c = 4*phi*(1 - phi)*rest, s = sqrt(b*b + c);
  double w = b > 0 ? b + s : c/(s - b);         // the root above 0, without cancellation
  return state->vapour + state->modulus*w/(2*(1 - phi));
}

double df_oil_enthalpy(const struct df_oil_state *state, double pressure)
{
  double over = pressure - DF_ATMOSPHERE, base = DF_ATMOSPHERE - state->vapour;
  return DF_ATMOSPHERE + (1 - state->air)*(over - over*over/(2*state->modulus))
    + state->air*base*log((pressure - state->vapour)/base);
}

double df_oil_energy(const struct df_oil_state *state, double pressure)
{
  return df_oil_enthalpy(state, pressure) - pressure*df_oil_specific_volume(state, pressure);
}

double df_oil_modulus(const struct df_oil_state *state, double pressure)
{
  double over = pressure - state->vapour;
  double slope = (1 - state->air)/state->modulus + state->air*(DF_ATMOSPHERE - state->vapour)/(over*over);
  return df_oil_specific_volume(state, pressure)/slope;
}

double df_oil_modulus_polytropic(double liquid, double gas, double exponent, double atmosphere,
                                 double pressure)
{
  double bubbles = gas*pow(atmosphere/pressure, 1/exponent); // m3 of gas for each m3 of liquid at p0
  return liquid*(1 + bubbles)/(1 + bubbles*liquid/(exponent*pressure));
}
