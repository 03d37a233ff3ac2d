// Coil springs: rate, two in series, stress, solid length.
#include <math.h>

#include "dampfork/spring.h"
#include "evidence.h"

static const double inch = 0.0254, lbf = 4.4482216152605; // m, N

// ---- safety valve spring: 14 mm wire, 84 mm mean diameter, G 81.37 GPa
static double bhandari_rate(double coils)
{
  return df_spring_helical_rate(14e-3, 84e-3, coils, 81.37e9)/1e3;
}

static double bhandari_stress(double wire_mm)
{
  return df_spring_shear_stress(4123.3, wire_mm*1e-3, 6*wire_mm*1e-3)/1e6;
}

static double bhandari_solid(double coils)
{
  struct df_spring spring = {.wire = 14e-3, .outside = 98e-3, .coils = coils};
  return df_spring_made_of(&spring).solid_length*1e3;
}

static double bhandari_force(double compression_mm)
{
  struct df_spring_law law = {df_spring_helical_rate(14e-3, 84e-3, 5.596, 81.37e9), INFINITY, 0, INFINITY, 2e6};
  return df_spring_force(&law, compression_mm*1e-3, 0);
}

// ---- Shigley
static double shigley_10_1(double coils)
{
  return df_spring_helical_rate(0.037*inch, 0.400*inch, coils, 11.85e6*lbf/(inch*inch))*inch/lbf;
}

static double shigley_10_3(double coils)
{
  return df_spring_helical_rate(2.5e-3, 28.5e-3, coils, 81e9)/1e3;
}

// ---- two in series: 8 N/mm bound after 40 mm of its own, over 24 N/mm
static double series_rate(double mm)
{
  struct df_spring_law law = df_spring_series(8e3, 40e-3, 24e3, INFINITY);
  double slope;
  df_spring_force(&law, mm*1e-3, &slope);
  return slope/1e3;
}

static double series_force(double mm)
{
  struct df_spring_law law = df_spring_series(8e3, 40e-3, 24e3, INFINITY);
  return df_spring_force(&law, mm*1e-3, 0);
}

static double series_energy(double mm)
{
  struct df_spring_law law = df_spring_series(8e3, 40e-3, 24e3, INFINITY);
  return df_spring_energy(&law, mm*1e-3);
}

static const char bhandari[] = "V. B. Bhandari, Design of Machine Elements (transcription)";
static const char shigley[] = "Shigley's Mechanical Engineering Design";
static const char series[] = "Two springs, one on the other: 8 N/mm bound after 40 mm of its "
  "own, 24 N/mm; solved by hand";

static const struct evidence rows[] = {
  {"springs", 'P', bhandari, "example 10.9, Wahl's factor", "index 6: 1.2525", df_spring_wahl, 6,
    1.2525, 6e-5, "", "half of the last digit printed"},
  {"springs", 'P', bhandari, "example 10.9, wire", "4123.3 N, index 6, 450 MPa: 13.24 mm",
    bhandari_stress, 13.24, 450, 0.4, "MPa", "half of the last digit of the wire is 0.08 %"},
  {"springs", 'P', bhandari, "example 10.9, working coils",
    "2945.2 N at 25 mm, 117.81 N/mm: 5.596 coils", bhandari_rate, 5.596, 117.81, 0.02, "N/mm",
    "half of the last digit of the coils is 0.009 %, of the force 0.002 %"},
  {"springs", 'P', bhandari, "example 10.9, force at full lift", "35 mm: 4123.3 N", bhandari_force,
    35, 4123.3, 0.6, "N", "the same"},
  {"springs", 'P', bhandari, "example 10.9, solid length", "8 coils in all: 112 mm", bhandari_solid,
    8, 112, 1e-9, "mm", "exact"},
  {"springs", 'M', shigley, "example 10-1",
    "0.037 in wire, 0.400 in, 10.5 coils, 11.85 Mpsi: 4.13 lbf/in", shigley_10_1, 10.5, 4.13, 0.006,
    "lbf/in", "half of the last digit printed"},
  {"springs", 'M', shigley, "problem 10-3 (result seen, inputs from memory)",
    "2.5 mm wire, 31 mm outside, 13 working coils, 81 GPa: 1.314 N/mm", shigley_10_3, 13, 1.314,
    6e-4, "N/mm", "half of the last digit printed"},
  {"springs", 'C', series, "softly", "6 N/mm at 10 mm", series_rate, 10, 6, 1e-12, "N/mm", "exact"},
  {"springs", 'C', series, "past the soft one's bind, at 53.333 mm", "24 N/mm at 60 mm",
    series_rate, 60, 24, 1e-12, "N/mm", "exact"},
  {"springs", 'C', series, "force", "480 N at 60 mm", series_force, 60, 480, 1e-9, "N",
    "exact: 320 N at 53.333 mm, then 24 N/mm"},
  {"springs", 'C', series, "energy", "11.2 J at 60 mm", series_energy, 60, 11.2, 1e-12, "J",
    "exact: 8.5333 J and 2.6667 J"},
};
EVIDENCE_GROUP(evidence_springs, "springs", rows);
