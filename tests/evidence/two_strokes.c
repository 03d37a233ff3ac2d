// The library's strokes against the second writing of the leg driven by the same sine: logarithms
// of pressures as states, Radau IIA as integrator.
#include "near.h"

#include <math.h>
#include <string.h>

#include "dampfork/stroke.h"
#include "random_scenario.h"
#include "second_match.h"

// Agreement asked for: 1e-6 of a channel's largest size in the run; seen: 5e-8 at worst over the
// example.
static const double share = 1e-6, tolerance = 1e-8;
enum { CHANNELS = 13, CYCLES = 2, PER_CYCLE = 200 };

struct channels { double of[CHANNELS]; };
static const char *const names[CHANNELS] = {"damping",  "spring",    "air",      "friction",
                                            "cone",     "p_lower",   "p_annulus", "p_column",
                                            "lift",     "void_lower", "void_annulus",
                                            "stop",     "p_rod"};
// N, Pa, m, m3: a channel that stays below this is compared with it
static const double floors[CHANNELS] = {1, 1, 1, 1, 1, 1e4, 1e4, 1e4, 1e-4, 1e-7, 1e-7,
                                         1, 1e4};

static struct channels of_first(const struct df_stroke_sample *s)
{
  return (struct channels){{s->damping, s->spring, s->air, s->friction, s->cone, s->p_lower,
                            s->p_annulus, s->p_column, s->lift, s->void_lower, s->void_annulus,
                            s->stop, s->p_rod}};
}

static struct channels of_second(const struct second_sample *s)
{
  const double *p = s->p[0];
  return (struct channels){{s->damping[0], s->spring[0], s->air[0], s->friction[0], s->cone[0],
                            p[SECOND_LOWER], p[SECOND_ANNULUS], p[SECOND_COLUMN], s->lift[0],
                            s->void_lower[0], s->void_annulus[0], s->stop[0], p[SECOND_ROD]}};
}

static void compare(const struct df_stroke *first, const struct second_ride *second)
{
  double size[CHANNELS], off[CHANNELS] = {0};
  int at[CHANNELS] = {0};
  memcpy(size, floors, sizeof size);
  ck_assert_int_eq(first->n, second->n);
  for (int i = 0; i < first->n; i++) {
    struct channels a = of_first(&first->sample[i]), b = of_second(&second->at[i]);
    near(first->sample[i].t, second->at[i].t, 1e-9, "the same times");
    for (int j = 0; j < CHANNELS; j++) {
      size[j] = fmax(size[j], fabs(b.of[j]));
      double here = fabs(a.of[j] - b.of[j]);
      // no number is kept, and fails
      if (!isnan(off[j]) && !(here <= off[j])) off[j] = here, at[j] = i;
    }
  }
  for (int j = 0; j < CHANNELS; j++)
    ck_assert_msg(off[j] <= share*size[j], "%s off by %.3g of its size %.6g at %.4f s, want %.3g",
                  names[j], off[j]/size[j], size[j], first->sample[at[j]].t, share);
}

// What a cycle says against the second writing's quadratures and samples.
static void cycles_agree(const struct df_stroke_cycle *c, const struct second_sample *at,
                         double threshold)
{
  const double *from = at[0].energy, *to = at[PER_CYCLE].energy;
  double work = to[SECOND_E_STROKE] - from[SECOND_E_STROKE];
  double friction = to[SECOND_E_FRICTION] - from[SECOND_E_FRICTION];
  double cone = to[SECOND_E_CONE] - from[SECOND_E_CONE];
  double most = fmax(fabs(work) + fabs(friction) + fabs(cone), 1e-3); // J
  near(c->damping_energy + c->air_energy, work, share*most, "work of the second writing");
  near(c->friction_energy, friction, share*most, "friction of the second writing");
  near(c->cone_energy, cone, share*most, "cone of the second writing");
  double below = 0, lower = 0, annulus = 0, lower_step = 1e-9, annulus_step = 1e-9;
  for (int i = 0; i < PER_CYCLE; i++) {
    const struct second_sample *s = &at[i];
    below += fmin(s->p[0][SECOND_LOWER], s->p[0][SECOND_ANNULUS]) < threshold;
    lower = fmax(lower, s->void_lower[0]), annulus = fmax(annulus, s->void_annulus[0]);
    lower_step = fmax(lower_step, fabs(s[1].void_lower[0] - s->void_lower[0]));
    annulus_step = fmax(annulus_step, fabs(s[1].void_annulus[0] - s->void_annulus[0]));
  }
  // four crossings at most, each between two samples; a void is largest between two of them
  near(c->cavitating, below/PER_CYCLE, 4.0/PER_CYCLE, "count of samples");
  near(c->void_lower, lower, lower_step, "largest of the samples");
  near(c->void_annulus, annulus, annulus_step, "largest of the samples");
}

static void agree(const struct df_scenario *s, double middle, double amplitude, double frequency)
{
  struct df_stroke_motion motion = {middle, 2*amplitude, frequency};
  struct df_stroke_options options = {.cycles = CYCLES, .samples = PER_CYCLE,
                                      .tolerance = tolerance};
  struct df_stroke first;
  enum df_status status = df_stroke_run(s, 0, &motion, &options, &first, NULL);
  ck_assert_msg(status == DF_OK, "%s", first.reason);
  struct second_sine sine = {middle, amplitude, frequency};
  struct second_shims shims = second_shims_of(&s->side[0]);
  struct second_case c = {.scenario = s, .shims = &shims, .end = CYCLES/frequency,
                          .every = 1/(frequency*PER_CYCLE), .tolerance = 1e-9,
                          .motion = second_sine_motion, .drive = &sine};
  struct second_ride second;
  second_ride_init(&second, &c);
  ck_assert_int_eq(second.status, 0);
  compare(&first, &second);
  for (int k = 0; k < CYCLES; k++)
    cycles_agree(&first.cycle[k], &second.at[k*PER_CYCLE], s->side[0].oil.cavitation_threshold);
  second_ride_finish(&second);
  df_stroke_finish(&first);
}

START_TEST(appendix)
{
  static const double amplitude[] = {0.005, 0.025, 0.05, 0.063}, frequency[] = {8, 2, 2, 1};
  struct df_scenario s;
  appendix_a_scenario(&s, _i%2);
  agree(&s, 0.065, amplitude[_i/2], frequency[_i/2]);
}
END_TEST

static const unsigned kinds[] = {0, RANDOM_VALVE, RANDOM_COVERED, RANDOM_COVERED | RANDOM_VALVE,
                                 RANDOM_TWO_RATES, RANDOM_GAS, RANDOM_GAS | RANDOM_VALVE,
                                 RANDOM_LAWS, RANDOM_LAWS | RANDOM_VALVE,
                                 RANDOM_VALVE | RANDOM_SHIMS};
enum { KINDS = sizeof kinds/sizeof *kinds, DRAWS = 3 };

START_TEST(random_forks)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(r, 700 + _i);
  for (int i = 0; i < near_draws(DRAWS); i++) {
    struct df_scenario s;
    random_scenario(r, kinds[_i], &s);
    double travel = s.side[0].leg.travel, middle = travel*(0.3 + 0.4*gsl_rng_uniform(r));
    double room = fmin(middle, travel - middle), amplitude = room*(0.2 + 0.75*gsl_rng_uniform(r));
    double speed = 0.05*pow(20, gsl_rng_uniform(r)); // m/s, up to 1
    agree(&s, middle, amplitude, speed/(2*M_PI*amplitude));
  }
  gsl_rng_free(r);
}
END_TEST

START_TEST(plate_with_mass)
{
  struct df_scenario s;
  appendix_a_scenario(&s, 1);
  for (int i = 0; i < 2; i++) s.side[i].valve.plate_mass = 8e-3, s.side[i].valve.plate_damping = 30;
  agree(&s, 0.065, 0.03, 3);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("two_strokes");
  TCase *cases = tcase_create("two_strokes");
  tcase_set_timeout(cases, 60);
  tcase_add_loop_test(cases, appendix, 0, 8);
  tcase_add_loop_test(cases, random_forks, 0, KINDS);
  tcase_add_test(cases, plate_with_mass);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
