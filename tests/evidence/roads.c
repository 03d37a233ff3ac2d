// Roads: shapes of humps, the rolling disc over an edge.
#include <math.h>
#include <string.h>

#include "base/param.h"
#include "dampfork/road.h"
#include "evidence.h"

static struct df_tyre tyre_with(enum df_contact contact)
{
  return (struct df_tyre){.stiffness = 150e3, .damping = 150, .radius = 0.3, .footprint_length = 0.1,
    .section_height = 0.08, .contact = (int)contact};
}

// Height in mm under the axle at s (m), for a road of this kind with its usual keys, or with those given.
static double height_mm(const char *kind, const double *keys, int n, enum df_contact contact, double s)
{
  struct df_road road = {.kind = df_road_kind_find(kind), .speed = 8, .repeat = 1, .gap = 1, .contact = -1};
  struct df_tyre tyre = tyre_with(contact);
  struct df_profile profile;
  double w = NAN;
  if (road.kind < 0) return NAN;
  memcpy(road.keys, keys, (size_t)n*sizeof *keys);
  if (df_profile_init(&profile, &road, &tyre, 0)) return NAN;
  df_profile_at(&profile, s, &w, 0, 0);
  df_profile_finish(&profile);
  return 1e3*w;
}

// Usual value of a key of a kind, in the unit of its row.
static double usual(const char *kind, const char *key)
{
  int at = df_road_kind_find(kind);
  if (at < 0) return NAN;
  const struct df_section *section = df_road_kinds[at]->keys;
  for (int i = 0; i < section->rows; i++) if (strcmp(section->row[i].key, key) == 0) return section->row[i].usual;
  return NAN;
}

static double round_length(double unused) { (void)unused; return usual("round_hump", "length"); }
static double round_height(double unused) { (void)unused; return usual("round_hump", "height"); }
static double flat_length(double unused) { (void)unused; return usual("flat_hump", "length"); }
static double flat_less_top(double unused) { (void)unused; return usual("flat_hump", "length") - usual("flat_hump", "flat"); }

static double arc(double s)
{
  const double keys[] = {0.1, 3.7};
  return height_mm("round_hump", keys, 2, DF_CONTACT_POINT, s);
}

static double sine_hump(double s)
{
  const double keys[] = {0.12, 4.8};
  return height_mm("haversine", keys, 2, DF_CONTACT_POINT, s);
}

static double disc_on_edge(double s)
{
  const double keys[] = {0.02};
  return height_mm("edge", keys, 1, DF_CONTACT_DISC, s);
}

// Where the disc first feels the edge, m before it.
static double disc_lead(double height)
{
  struct df_road road = {.kind = df_road_kind_find("edge"), .speed = 8, .repeat = 1, .gap = 1, .contact = -1, .keys = {height}};
  struct df_tyre tyre = tyre_with(DF_CONTACT_DISC);
  struct df_profile profile;
  if (df_profile_init(&profile, &road, &tyre, 0)) return NAN;
  double lead = -profile.first_touch;
  df_profile_finish(&profile);
  return lead;
}

// Spectral density at 0.1 cycles a metre, 1e-6 m3, from the mean square height of a road of this class between 0.5 and 2 cycles a metre,
// waviness 2: mean square = Gd(n0) n0^2 (1/0.5 - 1/2). Four roads of 1 km.
static double mean_square(double class, double seed)
{
  struct df_road road = {.kind = df_road_kind_find("random"), .speed = 14, .repeat = 1, .contact = -1,
    .keys = {class, 1000, seed, 2, 0.5, 2}};
  struct df_polyline line = {0};
  double sum = 0;
  if (road.kind < 0 || df_road_kinds[road.kind]->shape(&road, &line, 0)) return NAN;
  for (int i = 0; i < line.n; i++) sum += line.z[i]*line.z[i]/line.n;
  df_polyline_finish(&line);
  return sum;
}

static double density(double class)
{
  double sum = 0;
  for (int seed = 1; seed <= 4; seed++) sum += mean_square(class, seed)/4;
  return 1e6*sum/(0.01*(1/0.5 - 1/2.0));
}

static const char trl[] = "Transport Research Laboratory, road humps";
static const char county[] = "Montgomery County (Maryland), Department of Transportation, Speed humps";
static const char ite[] = "Institute of Transportation Engineers, speed humps (from memory)";
static const char circle[] = "Arc of a circle through both ends and the crown, R = (L^2/4 + "
  "h^2)/(2 h), solved apart";
static const char roller[] = "Disc of 0.3 m over an edge of 20 mm, z = sqrt(R^2 - x^2) + h - R, "
  "solved apart";

static const char iso8608[] = "ISO 8608, table of road classes, Gd at 0.1 cycles a metre, "
  "geometric mean";
static const char sampled[] = "four roads of 1 km have a mean square 1.3 % off by chance (one "
  "standard deviation); three of them";

static const struct evidence rows[] = {
  {"roads", 'P', iso8608, "class A", "16e-6 m3", density, 0, 16, 0.04*16, "1e-6 m3", sampled},
  {"roads", 'P', iso8608, "class B", "64e-6 m3", density, 1, 64, 0.04*64, "1e-6 m3", sampled},
  {"roads", 'P', iso8608, "class C", "256e-6 m3", density, 2, 256, 0.04*256, "1e-6 m3", sampled},
  {"roads", 'P', iso8608, "class D", "1024e-6 m3", density, 3, 1024, 0.04*1024, "1e-6 m3", sampled},
  {"roads", 'P', iso8608, "class E", "4096e-6 m3", density, 4, 4096, 0.04*4096, "1e-6 m3", sampled},
  {"roads", 'P', iso8608, "class F", "16384e-6 m3", density, 5, 16384, 0.04*16384, "1e-6 m3",
    sampled},
  {"roads", 'P', trl, "round-topped hump", "3.66 to 3.7 m long", round_length, 0, 3.68, 0.0201, "m",
    "the range printed"},
  {"roads", 'P', trl, "round-topped hump", "75 to 100 mm high", round_height, 0, 87.5, 12.6, "mm",
    "the range printed"},
  {"roads", 'P', county, "speed hump, the longer kind", "3 in high, 12 or 22 ft long: 6.706 m",
    flat_length, 0, 6.7056, 0.01, "m", "the usual value is rounded to 6.7 m"},
  {"roads", 'M', ite, "flat-topped hump", "the 12 ft hump split by a top of 10 ft: 3.658 m of ramps",
    flat_less_top, 0, 3.6576, 0.05, "m", "feet rounded to 0.05 m"},
  {"roads", 'C', circle, "3.7 m, 100 mm: R 17.1625 m", "75.0504 mm a quarter of the way", arc,
    0.925, 75.0531, 0.01, "mm", "chords of 1 mm"},
  {"roads", 'C', "Sine hump, h (1 - cos 2 pi s/L)/2, by hand", "120 mm, 4.8 m",
    "17.574 mm at 0.6 m", sine_hump, 0.6, 17.5736, 0.001, "mm", "chords of 1 mm"},
  {"roads", 'C', roller, "first touch", "0.1077033 m before the edge", disc_lead, 0.02, 0.1077033,
    1e-7, "m", "digits computed"},
  {"roads", 'C', roller, "half way there", "15.12709 mm", disc_on_edge, -0.05385165, 15.12709, 1e-4,
    "mm", "table of 1 mm, cubic between"},
};
EVIDENCE_GROUP(evidence_roads, "roads", rows);
