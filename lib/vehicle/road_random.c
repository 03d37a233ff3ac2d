// Road kind: random roughness of an ISO 8608 class, as a sum of cosines.
//
// LINES bands of equal ratio cover low..high; each has one line at the geometric mean of its ends,
// with the variance that the spectrum has over the band, so that the sum's variance is exact. The
// phases are GSL's mt19937 with the seed, one draw a line, lowest first.
//
// A line is summed on the coarsest grid that still has WAVE_POINTS points a wave; grids are halved
// by the midpoint rule through 16 points, which is off by 1e-10 of the shortest wave on the grid.
#include <gsl/gsl_rng.h>
#include <stdlib.h>

#include "vehicle/ground.h"

enum {
  LINES = 1000,
  WAVE_POINTS = 12,
  BLOCK = 8,                  // lines summed side by side
  RUN = 1024,                 // points between fresh starts of the recurrence, whose rounding grows
  PAD = 16,                   // points beyond either end that the midpoint rule feeds on
  HALVINGS_MAX = 16           // bounds the number of grids; 0.01 c/m at 1 mm needs 12
};

struct random_keys {
  double class;               // word: A 0 .. F 5
  double length;              // m
  double seed;                // 1
  double waviness;            // 1
  double low, high;           // 1/m, cycles a metre
};

static const char *const class_words[] = { "A", "B", "C", "D", "E", "F", NULL };

static const struct df_param rows[] = {
  { .key = "class", .form = DF_WORD_NUMBER, .at = offsetof(struct random_keys, class),
    .has = DF_NO_OFFSET, .unit = "1", .usual = NAN, .need = DF_REQUIRED, .words = class_words,
    .meaning = "roughness class: A very good, B good, C worn, D poor, E and F tracks",
    .measure = "by eye, or a roughness survey: 2.2, 4.4, 8.9, 18, 36, 71 mm/m for A to F",
    .mistake = "most paved roads are A to C; D is a bad track",
    .source = "ISO 8608" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct random_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = 300, .low = 11, .high = 4900,
    .likely_low = 50, .likely_high = 2000, .need = DF_OPTIONAL,
    .meaning = "length of the road",
    .measure = "the longer, the less its roughness depends on the seed",
    .mistake = "the first 10 m only fade in and are not judged",
    .source = "chosen here" },
  { .key = "seed", .form = DF_COUNT, .at = offsetof(struct random_keys, seed),
    .has = DF_NO_OFFSET, .unit = "1",
    .usual = 1, .low = 1, .high = 4294967295,
    .need = DF_OPTIONAL,
    .meaning = "number that chooses one of the roads of this class; the same number, the same road",
    .source = "chosen here" },
  { .key = "waviness", .form = DF_QUANTITY, .at = offsetof(struct random_keys, waviness),
    .has = DF_NO_OFFSET, .unit = "1",
    .usual = 2, .low = 0, .high = 4,
    .likely_low = 1.5, .likely_high = 3, .need = DF_OPTIONAL,
    .meaning = "exponent by which the spectrum falls with frequency; higher: more long waves",
    .measure = "slope of a surveyed spectrum on logarithmic axes",
    .source = "ISO 8608: 2" },
  { .key = "low", .form = DF_QUANTITY, .at = offsetof(struct random_keys, low),
    .has = DF_NO_OFFSET, .unit = "1/m",
    .usual = 0.01, .low = 1e-4, .high = 100,
    .likely_low = 0.005, .likely_high = 1, .need = DF_OPTIONAL,
    .meaning = "lowest frequency, cycles a metre: one over the longest wave",
    .source = "ISO 8608: 0.01 cycles a metre" },
  { .key = "high", .form = DF_QUANTITY, .at = offsetof(struct random_keys, high),
    .has = DF_NO_OFFSET, .unit = "1/m",
    .usual = 10, .low = 1e-3, .high = 100,
    .likely_low = 1, .likely_high = 20, .need = DF_OPTIONAL,
    .meaning = "highest frequency, cycles a metre: one over the shortest wave",
    .source = "ISO 8608: 10 cycles a metre" },
};
static const struct df_section section = DF_SECTION_OF("random", struct random_keys, rows);
DF_KEYS_FIT(struct random_keys);

struct line { double frequency; /* 1/m */ double height; /* m */ double phase; /* rad */ };

// Gd(0.1 1/m), m3: 16e-6 for class A, four times as much a class.
static double density_of(double class)
{
  return 16e-6*pow(4, class);
}

// Variance, m2, between two frequencies: integral of Gd0 (n/0.1)^-w dn.
static double variance_of(const struct random_keys *keys, double from, double to)
{
  const double at = 0.1; // 1/m
  double w = keys->waviness, scale = density_of(keys->class)*pow(at, w);
  if (fabs(w - 1) < 1e-9) return scale*log(to/from);
  return scale*(pow(to, 1 - w) - pow(from, 1 - w))/(1 - w);
}

static enum df_status lay_lines(const struct random_keys *keys, struct line *line)
{
  gsl_rng *draws = gsl_rng_alloc(gsl_rng_mt19937);
  if (!draws) return DF_NO_MEMORY;
  gsl_rng_set(draws, (unsigned long)keys->seed);
  double ratio = log(keys->high/keys->low)/LINES, from = keys->low; // 1, 1/m
  for (int i = 0; i < LINES; i++) {
    double to = keys->low*exp(ratio*(i + 1));
    line[i].frequency = sqrt(from*to);
    line[i].height = sqrt(2*variance_of(keys, from, to));
    line[i].phase = 2*M_PI*gsl_rng_uniform(draws);
    from = to;
  }
  gsl_rng_free(draws);
  return DF_OK;
}

typedef double block __attribute__((vector_size(8*BLOCK)));

static inline double sum_of(block a)
{
  typedef double four __attribute__((vector_size(32)));
  typedef double two __attribute__((vector_size(16)));
  four b = __builtin_shufflevector(a, a, 0, 1, 2, 3) + __builtin_shufflevector(a, a, 4, 5, 6, 7);
  two c = __builtin_shufflevector(b, b, 0, 1) + __builtin_shufflevector(b, b, 2, 3);
  return c[0] + c[1];
}

// Add a block of lines to z[0..n-1], whose place 0 lies at `start`, m. Each line runs by
// x(k+1) = 2 cos(angle) x(k) - x(k-1).
static void add_block(const struct line *line, int lines, double start, double step, int n,
                      double *z)
{
  block twice = {0}, before = {0}, now = {0};
  for (int first = 0; first < n; first += RUN) {
    for (int i = 0; i < lines; i++) {
      double angle = 2*M_PI*line[i].frequency*step;
      double at = fmod(line[i].frequency*(start + first*step), 1)*2*M_PI + line[i].phase;
      twice[i] = 2*cos(angle);
      now[i] = line[i].height*cos(at);
      before[i] = line[i].height*cos(at - angle);
    }
    int end = first + RUN < n ? first + RUN : n;
    for (int k = first; k < end; k++) {
      z[k] += sum_of(now);
      block next = twice*now - before;
      before = now;
      now = next;
    }
  }
}

// Values halfway between those of `coarse`: Lagrange's polynomial through 16 neighbours.
static double between(const double *at)
{
  return (41409225*(at[0] + at[1]) - 10735725*(at[-1] + at[2]) + 3864861*(at[-2] + at[3])
          - 1254825*(at[-3] + at[4]) + 325325*(at[-4] + at[5]) - 61425*(at[-5] + at[6])
          + 7425*(at[-6] + at[7]) - 429*(at[-7] + at[8]))/67108864;
}

// From a grid to one of half the step; PAD points of either lie before s = 0.
static void halve(const double *coarse, double *fine, int fine_n)
{
  for (int k = 0; k < fine_n; k++) {
    int place = k + PAD; // in fine steps from the first point of `coarse`
    fine[k] = place%2 == 0 ? coarse[place/2] : between(coarse + place/2);
  }
}

// Points on the grid of this many halvings, with its pads.
static int grid_points(int n, int halvings)
{
  return ((n - 1) >> halvings) + 2 + 2*PAD;
}

// Highest number of doublings of `step` that leaves WAVE_POINTS points in a wave.
static int halvings_of(const struct line *line, double step)
{
  int halvings = 0;
  double waves = line->frequency*step*WAVE_POINTS;
  while (halvings < HALVINGS_MAX && waves*(2 << halvings) <= 1) halvings++;
  return halvings;
}

// Sum all lines at n places from s = 0 on; grid and spare have room for grid_points(n, 0) each.
// Returns the one that holds the sum, from its place PAD on.
static double *sum_lines(const struct line *line, double step, int n, double *grid, double *spare)
{
  int done = 0, halvings = halvings_of(&line[0], step);
  memset(grid, 0, (size_t)grid_points(n, halvings)*sizeof *grid);
  for (; ; halvings--) {
    double wide = step*(1 << halvings);
    int points = grid_points(n, halvings), end = done;
    while (end < LINES && (halvings == 0 || halvings_of(&line[end], step) >= halvings)) end++;
    for (; done < end; done += BLOCK) {
      int lines = end - done < BLOCK ? end - done : BLOCK;
      add_block(line + done, lines, -PAD*wide, wide, points, grid);
    }
    done = end;
    if (halvings == 0) return grid;
    halve(grid, spare, grid_points(n, halvings - 1));
    double *other = grid;
    grid = spare;
    spare = other;
  }
}

static enum df_status fill(const struct random_keys *keys, struct df_polyline *out)
{
  struct line *line = malloc(LINES*sizeof *line);
  size_t room = (size_t)grid_points(out->n, 0)*sizeof(double);
  double *grid = malloc(room), *spare = malloc(room), step = keys->length/(out->n - 1);
  enum df_status status = line && grid && spare ? lay_lines(keys, line) : DF_NO_MEMORY;
  if (status == DF_OK) {
    const double *sum = sum_lines(line, step, out->n, grid, spare) + PAD;
    for (int k = 0; k < out->n; k++) out->s[k] = k*step;
    memcpy(out->z, sum, (size_t)out->n*sizeof(double));
  }
  free(line);
  free(grid);
  free(spare);
  return status;
}

static enum df_status check(const struct df_road *road, const struct random_keys *keys,
                            struct df_faults *faults)
{
  const struct { const char *key, *unit; double value, least, most; } checks[] = {
    { "class", "(A to F)", keys->class, 0, 5 },
    { "length", "m", keys->length, 11, 4900 },
    { "seed", "(whole)", keys->seed, 0, 4294967295.0 },
    { "waviness", "(number)", keys->waviness, 0, 4 },
    { "low", "cycles a metre", keys->low, 1e-4, 100 },
    { "high", "cycles a metre", keys->high, keys->low*1.001, 100 },
  };
  for (int i = 0; i < (int)(sizeof checks/sizeof *checks); i++) {
    enum df_status status = df_road_within(faults, road, checks[i].key, checks[i].value,
                                           checks[i].least, checks[i].most, 1, checks[i].unit);
    if (status != DF_OK) return status;
  }
  return DF_OK;
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct random_keys keys;
  df_road_keys(road, &keys);
  enum df_status status = check(road, &keys, faults);
  if (status == DF_OK) status = df_polyline_init(out, df_curve_points(keys.length));
  if (status == DF_OK) status = fill(&keys, out);
  if (status != DF_OK) df_polyline_finish(out);
  return status;
}

static double length_of(const struct df_road *road)
{
  struct random_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_random = {
  .name = "random", .keys = &section, .length = length_of, .shape = shape, .faded = 1,
  .source = "ISO 8608: classes A to F, Gd(0.1 1/m) 16 to 16384e-6 m3, waviness 2"
};
