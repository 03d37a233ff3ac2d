// Measured sag against the scenario: the middle of a pair says load, rate and spring preload, what
// lies between the two says friction.
#include "studies/measured.h"

#include <stdio.h>

static const double stuck = 10e-3;       // m between the two: more is bad bushes (a trade book)
// 1, up and down: bush friction is known within a factor of three from end to end
static const double friction_unsure = 1.7320508;

// Readings of one load: means of the two ways to settle. NAN: not taken.
struct sag_read { double way[2]; int n[2]; double off; };

static void read_sags(const struct df_data *const *data, int set_n,
                      struct sag_read read[DF_SAG_LOADS])
{
  for (int i = 0; i < DF_SAG_LOADS; i++)
    read[i] = (struct sag_read){.off = df_data_usual(DF_D_TRAVEL, NAN, NAN)};
  for (int k = 0; k < set_n; k++) {
    if (data[k]->kind != DF_DATA_SAG) continue;
    for (int i = 0; i < data[k]->n; i++) {
      struct sag_read *one = &read[(int)data[k]->at[DF_D_LOAD][i]];
      int way = (int)data[k]->at[DF_D_SETTLED][i];
      one->way[way] += data[k]->at[DF_D_TRAVEL][i], one->n[way]++;
      if (isfinite(data[k]->accuracy)) one->off = data[k]->accuracy;
    }
  }
  for (int i = 0; i < DF_SAG_LOADS; i++)
    for (int w = 0; w < 2; w++)
      read[i].way[w] = read[i].n[w] ? read[i].way[w]/read[i].n[w] : NAN;
}

// What moves the sag among the values that are measured, each as far off as its row of the table
// says.
// Returns half the width of the mean sag under a load, m, by the root of the sum of squares.
static double values_allow(const struct df_reading *reading, enum df_sag_load load, double mean)
{
  static const char *const paths[] = {
      "bike.wet_mass", "bike.front_share", "bike.front_unsprung_mass", "bike.rake", "rider.mass",
      "rider.front_share", "load.luggage.mass", "load.passenger.mass", "spring.rate",
      "spring.preload", "spacer.length", "spacer.depth_to_spring", "air.oil_level"};
  double sum = 0;
  for (size_t i = 0; i < sizeof paths/sizeof *paths; i++) {
    struct df_value value;
    struct df_sag sag;
    double off = df_check_how_well(reading, paths[i]);
    struct df_reading *copy = off > 0 ? df_reading_copy(reading) : NULL;
    if (!copy) continue;
    df_reading_value(reading, df_reading_find(reading, paths[i]), &value);
    if (df_reading_set(copy, paths[i], value.si + off, NULL) == DF_OK &&
        df_sag_of(df_reading_scenario(copy), load, &sag, NULL) == DF_OK)
      sum += (sag.mean - mean)*(sag.mean - mean);
    df_reading_destroy(copy);
  }
  return sqrt(sum);
}

static const char *const with[DF_SAG_LOADS] = {"bike alone", "with rider", "loaded"};

// A pair: middle, and what lies between. Returns 1 when the middle agrees.
static int check_pair(const struct df_sag *sag, const struct sag_read *read, double allow, int load,
                      struct df_checks *out)
{
  double below = read->way[0], above = read->way[1], tape = DF_CHECK_SURE*read->off;
  double off = hypot(tape*M_SQRT1_2, allow), band = sag->from_below - sag->from_above;
  double apart = below - above;
  int good = df_check_add(out, DF_CHECK_LENGTH, 0.5*(below + above), sag->mean, off, off,
                          "sag %s, middle of both", with[load]);
  double least = band - band/friction_unsure, most = fmax(band*(friction_unsure - 1), 0);
  if (df_check_add(out, DF_CHECK_LENGTH, apart, band, hypot(tape*M_SQRT2, least),
                   hypot(tape*M_SQRT2, most), "sag %s, below less above", with[load]))
    return good;
  if (apart < 0)
    df_check_reason(out, "Sag %s: from below must be the larger one; %.0f and %.0f mm look swapped",
                    with[load], 1e3*below, 1e3*above);
  else
    df_check_reason(out,
                    "Sag %s: %.0f mm between from below and from above, the scenario's friction "
                    "makes %.0f%s", with[load], 1e3*apart, 1e3*band,
                    apart > stuck ? ": bent, dry or twisted in the clamps; loosen axle and clamps, "
                                    "bounce, measure again"
                                  : ": read again, settling slowly; else fit --free seals.sliding");
  return good;
}

// One way alone: friction may be anything from none to what is allowed.
static int check_single(const struct df_sag *sag, const struct sag_read *read, double allow,
                        int load, struct df_checks *out)
{
  int above = !read->n[0];
  double off = hypot(DF_CHECK_SURE*read->off, allow);
  double half = 0.5*(sag->from_below - sag->from_above), far = friction_unsure*half;
  return df_check_add(out, DF_CHECK_LENGTH, read->way[above],
                      above ? sag->from_above : sag->from_below,
                      off + (above ? far - half : half), off + (above ? half : far - half),
                      "sag %s, from %s", with[load], above ? "above" : "below");
}

// The middle that a load's readings stand for, m below where the fork hangs.
static double middle(const struct df_sag *sag, const struct sag_read *read)
{
  double half = 0.5*(sag->from_below - sag->from_above);
  if (read->n[0] && read->n[1]) return 0.5*(read->way[0] + read->way[1]);
  return read->n[0] ? read->way[0] - half : read->way[1] + half;
}

// Rider's mass (kg) at which the sag with rider is `found` (m), by a straight line: the spring is
// nearly one.
static double rider_for(const struct df_scenario *scenario, double found)
{
  struct df_scenario *s = df_setup_copy(scenario);
  struct df_sag now, more;
  double mass = NAN;
  if (!s) return NAN;
  s->rider.mass += 10; // kg
  if (df_sag_of(scenario, DF_SAG_RIDER, &now, NULL) == DF_OK &&
      df_sag_of(s, DF_SAG_RIDER, &more, NULL) == DF_OK)
    mass = scenario->rider.mass + 10*(found - now.mean)/(more.mean - now.mean);
  free(s);
  return mass;
}

static void blame_two(const struct df_scenario *s, const double *found, int load,
                      struct df_checks *out)
{
  const struct df_spring *spring = &s->side[0].spring;
  double rate, preload;
  if (df_spring_for_sags(s, found[DF_SAG_ALONE], (enum df_sag_load)load, found[load], &rate,
                         &preload) != DF_OK) {
    df_check_reason(out, "Sag: no spring gives %.0f mm alone and %.0f %s: a mass, the zero of the "
                    "tape (wheel off the ground) or a load is wrong", 1e3*found[DF_SAG_ALONE],
                    1e3*found[load], with[load]);
    return;
  }
  double only = df_preload_for_sag(s, spring->rate, (enum df_sag_load)load, found[load]);
  df_check_reason(out,
                  "Sag: both readings want %.1f N/mm with %.1f mm of spring preload; with the "
                  "scenario's %.1f N/mm, %.1f mm instead of %.1f would give the sag %s. Check in "
                  "this order: zero of the tape, masses on the scale, spacer, spring",
                  1e-3*rate, 1e3*preload, 1e-3*spring->rate, 1e3*only, 1e3*spring->preload,
                  with[load]);
}

static void blame(const struct df_scenario *s, const double *found, int alone_good,
                  struct df_checks *out)
{
  int load = isfinite(found[DF_SAG_RIDER]) ? DF_SAG_RIDER
             : isfinite(found[DF_SAG_FULL]) ? DF_SAG_FULL : DF_SAG_ALONE;
  const struct df_spring *spring = &s->side[0].spring;
  if (load == DF_SAG_RIDER && alone_good)
    df_check_reason(out,
                    "Sag alone agrees, so look at what was added first: a rider of about %.0f kg "
                    "(scenario %.0f) would give %.0f mm",
                    rider_for(s, found[load]), s->rider.mass, 1e3*found[load]);
  if (load != DF_SAG_ALONE && isfinite(found[DF_SAG_ALONE])) {
    blame_two(s, found, load, out);
    return;
  }
  df_check_reason(out,
                  "Sag %s: %.0f mm wants %.1f mm of spring preload (scenario %.1f) or %.1f N/mm "
                  "(scenario %.1f), or a mass is wrong. A second load would tell which",
                  with[load], 1e3*found[load],
                  1e3*df_preload_for_sag(s, spring->rate, (enum df_sag_load)load, found[load]),
                  1e3*spring->preload,
                  1e-3*df_rate_for_sag(s, spring->preload, (enum df_sag_load)load, found[load]),
                  1e-3*spring->rate);
}

void df_check_sag(const struct df_reading *reading, const struct df_data *const *data, int set_n,
                  struct df_checks *out)
{
  const struct df_scenario *s = df_reading_scenario(reading);
  struct sag_read read[DF_SAG_LOADS];
  double found[DF_SAG_LOADS] = {NAN, NAN, NAN};
  int wrong = 0, alone_good = 0;
  read_sags(data, set_n, read);
  for (int i = 0; i < DF_SAG_LOADS; i++) {
    struct df_sag sag;
    if (!read[i].n[0] && !read[i].n[1]) continue;
    if (df_sag_of(s, (enum df_sag_load)i, &sag, NULL) != DF_OK || !isfinite(sag.mean)) {
      df_check_reason(out, "Sag %s: the scenario finds no rest within its travel", with[i]);
      out->wrong++;
      continue;
    }
    double allow = values_allow(reading, (enum df_sag_load)i, sag.mean);
    found[i] = middle(&sag, &read[i]);
    int good = read[i].n[0] && read[i].n[1] ? check_pair(&sag, &read[i], allow, i, out)
                                            : check_single(&sag, &read[i], allow, i, out);
    wrong += !good;
    alone_good |= good && i == DF_SAG_ALONE;
  }
  if (wrong) blame(s, found, alone_good, out);
}
