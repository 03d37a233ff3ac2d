// The tyre's contact with a polyline: rolling disc against closed forms and against a search by
// thirds, footprint against quadrature, point.
#include "near.h"

#include <gsl/gsl_integration.h>
#include <gsl/gsl_rng.h>
#include <string.h>

#include "vehicle/disc.h"

static const double radius = 0.3; // m

// Independent of the code: thirds on z + sqrt(R^2 - xi^2), which is concave over one segment.
struct rest { double height, touch; /* m */ };

static double on_segment(const double *a, const double *b, double s, double at)
{
  double xi = at - s, share = b[0] > a[0] ? (at - a[0])/(b[0] - a[0]) : 0;
  return a[1] + share*(b[1] - a[1]) + sqrt(fmax(radius*radius - xi*xi, 0)) - radius;
}

static struct rest on_one(const double *a, const double *b, double s)
{
  double low = fmax(a[0], s - radius), high = fmin(b[0], s + radius);
  if (low > high) return (struct rest){ -INFINITY, 0 };
  for (int i = 0; i < 200; i++) {
    double left = low + (high - low)/3, right = high - (high - low)/3;
    if (on_segment(a, b, s, left) < on_segment(a, b, s, right)) low = left;
    else high = right;
  }
  return (struct rest){ on_segment(a, b, s, (low + high)/2), (low + high)/2 };
}

static struct rest searched(const struct df_polyline *ground, double s)
{
  int last = ground->n - 1;
  double far = s + 10, before = s - 10;
  struct rest best = { -INFINITY, 0 };
  for (int i = -1; i <= last; i++) {
    double a[2] = { i < 0 ? fmin(before, ground->s[0]) : ground->s[i], ground->z[i < 0 ? 0 : i] };
    double b[2] = { i == last ? fmax(far, ground->s[last]) : ground->s[i + 1],
                    ground->z[i == last ? last : i + 1] };
    struct rest one = on_one(a, b, s);
    if (a[0] == b[0] && b[1] > a[1]) one = on_one(b, b, s);
    if (one.height >= best.height) best = one;
  }
  return best;
}

enum { ROOM = 4000 };
static double grid_s[ROOM], grid_z[ROOM];

// Steps of every size from 0.3 mm to 0.3 m, faces, slopes up to 3.
static struct df_polyline random_ground(gsl_rng *draws, int n)
{
  double s = 0, z = 0;
  int face = 0; // two faces at one place would be one point three times
  for (int i = 0; i < n; i++) {
    grid_s[i] = s;
    grid_z[i] = z;
    face = !face && gsl_rng_uniform(draws) < 0.1;
    double along = 3e-4*pow(1000, gsl_rng_uniform(draws));
    if (face) z += 0.1*(gsl_rng_uniform(draws) - 0.5);
    else z += fmin(3*along, 0.08)*(2*gsl_rng_uniform(draws) - 1) - 0.1*z*fmin(along, 1);
    if (!face) s += along;
  }
  return (struct df_polyline){ n, grid_s, grid_z };
}

static struct df_track track_over(const struct df_polyline *ground, double step)
{
  struct df_track track = { .start = ground->s[0] - 1.1*radius, .step = step };
  track.n = (int)((ground->s[ground->n - 1] + 1.1*radius - track.start)/step) + 2;
  track.w = calloc((size_t)track.n, sizeof(double));
  track.slope = calloc((size_t)track.n, sizeof(double));
  track.touch = calloc((size_t)track.n, sizeof(double));
  return track;
}

static void track_free(struct df_track *track)
{
  free(track->w);
  free(track->slope);
  free(track->touch);
}

static struct df_track rolled(const struct df_polyline *ground, double step)
{
  struct df_track track = track_over(ground, step);
  struct df_disc disc;
  ck_assert_int_eq(df_disc_init(&disc, ground, radius), DF_OK);
  ck_assert_int_eq(df_disc_roll(&disc, &track), DF_OK);
  for (int k = 0; k < track.n; k += 97) { // one place alone gives the same
    double slope, touch, w = df_disc_at(&disc, track.start + k*track.step, &slope, &touch);
    near(w, track.w[k], 1e-15, "place by place");
    near(slope, track.slope[k], 1e-12, "place by place");
    near(touch, track.touch[k], 1e-12, "place by place");
  }
  df_disc_finish(&disc);
  return track;
}

START_TEST(envelope_equals_a_search_on_random_polylines)
{
  gsl_rng *draws = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(draws, (unsigned long)_i + 1);
  const int sizes[] = { 2, 5, 40, 300 };
  struct df_polyline ground = random_ground(draws, sizes[_i%4]);
  struct df_track track = rolled(&ground, 1e-3);
  int stride = track.n/150 + 1;
  for (int k = 0; k < track.n; k += stride) {
    double s = track.start + k*track.step;
    struct rest rest = searched(&ground, s);
    near(track.w[k], rest.height, 1e-9, "search by thirds");
    // The slope where the touching point is not one of two: 1e-6 off its place is 1e-5 here.
    double xi = rest.touch - s;
    if (fabs(track.touch[k] - rest.touch) < 1e-6 && fabs(xi) < 0.9*radius)
      near(track.slope[k], xi/sqrt(radius*radius - xi*xi), 1e-4, "xi*/sqrt(R^2 - xi*^2)");
    ck_assert(k < stride || track.touch[k] >= track.touch[k - stride] - 1e-12);
  }
  track_free(&track);
  gsl_rng_free(draws);
}
END_TEST

// Closed form over a step of height h at s = 0.
static double over_step(double h, double s)
{
  double lead = sqrt(2*radius*h - h*h);
  return s <= -lead ? 0 : s >= 0 ? h : sqrt(radius*radius - s*s) + h - radius;
}

START_TEST(step_is_the_closed_form)
{
  double s[] = { 0, 0 }, z[] = { 0, 0.02 };
  struct df_polyline ground = { 2, s, z };
  struct df_track track = rolled(&ground, 1e-3);
  struct df_disc disc;
  for (int k = 0; k < track.n; k++)
    near(track.w[k], over_step(0.02, track.start + k*track.step), 1e-15, "sqrt(R^2 - x^2) + h - R");
  ck_assert_int_eq(df_disc_init(&disc, &ground, radius), DF_OK);
  double lead = sqrt(2*0.3*0.02 - 0.02*0.02), slope;
  near(lead, 0.1077033, 5e-8, "printed lead");
  near(df_disc_at(&disc, -lead/2, NULL, NULL), 15.12709e-3, 5e-9,
       "printed height at half the lead");
  near(df_disc_at(&disc, -lead - 1e-9, &slope, NULL), 0, 1e-15, "level before");
  near(slope, 0, 1e-12, "level before");
  df_disc_at(&disc, -lead + 1e-9, &slope, NULL);
  near(slope, lead/(radius - 0.02), 1e-6, "kink at touch-down: lead/(R - h)");
  df_disc_finish(&disc);
  track_free(&track);
}
END_TEST

START_TEST(cleat_is_two_steps)
{
  double s[] = { 0, 0, 0.05, 0.05 }, z[] = { 0, 0.02, 0.02, 0 };
  struct df_polyline ground = { 4, s, z };
  struct df_track track = rolled(&ground, 1e-3);
  for (int k = 0; k < track.n; k++) {
    double at = track.start + k*track.step;
    near(track.w[k], fmin(over_step(0.02, at), over_step(0.02, 0.05 - at)), 1e-15, "closed form");
  }
  track_free(&track);
}
END_TEST

START_TEST(hole_shorter_than_the_wheel_is_felt_in_part)
{
  double s[] = { 0, 0, 0.2, 0.2 }, z[] = { 0, -0.1, -0.1, 0 };
  struct df_polyline ground = { 4, s, z };
  struct df_disc disc;
  ck_assert_int_eq(df_disc_init(&disc, &ground, radius), DF_OK);
  double slope, touch;
  near(df_disc_at(&disc, 0.1, &slope, &touch), sqrt(0.09 - 0.01) - 0.3, 1e-15,
       "disc on two corners");
  // Both corners touch: the largest xi gives the slope on leaving.
  near(touch, 0.2, 1e-15, "tie goes to the corner ahead");
  near(slope, 0.1/sqrt(0.09 - 0.01), 1e-12, "right-hand slope");
  df_disc_finish(&disc);
}
END_TEST

START_TEST(slope_is_the_right_hand_derivative)
{
  gsl_rng *draws = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(draws, 7);
  struct df_polyline ground = random_ground(draws, 60);
  struct df_disc disc;
  ck_assert_int_eq(df_disc_init(&disc, &ground, radius), DF_OK);
  int close = 0, all = 0;
  for (double s = -0.4; s < ground.s[59] + 0.4; s += 3.7e-3) {
    double slope, w = df_disc_at(&disc, s, &slope, NULL);
    double ahead = (df_disc_at(&disc, s + 1e-7, NULL, NULL) - w)/1e-7;
    all++;
    close += fabs(ahead - slope) < 1e-5; // a kink within 0.1 um is the exception
  }
  ck_assert_msg(close >= all - 1, "%d of %d", close, all);
  df_disc_finish(&disc);
  gsl_rng_free(draws);
}
END_TEST

// Over a curve z(p) the disc that touches at p has its axle at s = p - R z'/sqrt(1 + z'^2), at the height
// z + R/sqrt(1 + z'^2) - R, and moves along the curve's own slope there.
START_TEST(gentle_curve_is_the_analytic_envelope)
{
  const double high = 0.02, length = 0.8, turn = M_PI/length; // m, m, 1/m
  struct df_polyline ground = { 801, grid_s, grid_z };
  struct df_disc disc;
  for (int i = 0; i <= 800; i++) grid_s[i] = i*1e-3, grid_z[i] = high*sin(turn*grid_s[i]);
  ck_assert_int_eq(df_disc_init(&disc, &ground, radius), DF_OK);
  for (double p = 0.0501; p < 0.75; p += 0.37e-3) {
    double z = high*sin(turn*p), rise = high*turn*cos(turn*p), tilt = sqrt(1 + rise*rise), slope, touch;
    double w = df_disc_at(&disc, p - radius*rise/tilt, &slope, &touch);
    near(slope, rise, 1e-6, "slope of the curve where it is touched");
    near(w, z + radius/tilt - radius, 4e-8, "analytic envelope; chords of 1 mm are z'' h^2/8 = 3.9e-8 m low");
    near(touch, p, 1e-6, "analytic envelope");
  }
  df_disc_finish(&disc);
}
END_TEST

static double ground_at(double s, void *context)
{
  const struct df_polyline *ground = context;
  int i = 0;
  if (s < ground->s[0]) return ground->z[0];
  while (i < ground->n - 1 && ground->s[i + 1] <= s) i++;
  if (i == ground->n - 1) return ground->z[i];
  double share = (s - ground->s[i])/(ground->s[i + 1] - ground->s[i]);
  return ground->z[i] + share*(ground->z[i + 1] - ground->z[i]);
}

static double mean_over(struct df_polyline *ground, double from, double to)
{
  gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
  gsl_function of = { ground_at, ground };
  double points[ROOM], result, error;
  size_t n = 0;
  points[n++] = from;
  for (int i = 0; i < ground->n; i++)
    if (ground->s[i] > points[n - 1] && ground->s[i] < to) points[n++] = ground->s[i];
  points[n++] = to;
  gsl_integration_qagp(&of, points, n, 1e-12, 1e-10, 1000, space, &result, &error);
  gsl_integration_workspace_free(space);
  return result/(to - from);
}

START_TEST(footprint_is_the_mean_of_the_ground)
{
  gsl_rng *draws = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(draws, 3);
  struct df_polyline ground = random_ground(draws, 40);
  struct df_track track = track_over(&ground, 1e-3);
  ck_assert_int_eq(df_footprint_roll(&ground, 0.1, &track), DF_OK);
  for (int k = 0; k < track.n; k += 41) {
    double s = track.start + k*track.step;
    near(track.w[k], mean_over(&ground, s - 0.05, s + 0.05), 1e-10, "GSL's quadrature");
    near(track.slope[k], (ground_at(s + 0.05, &ground) - ground_at(s - 0.05, &ground))/0.1, 1e-11,
         "difference of the heights at both ends");
  }
  track_free(&track);
  gsl_rng_free(draws);
}
END_TEST

START_TEST(point_is_the_ground)
{
  double s[] = { 0, 0.01, 0.02, 0.5, 1 }, z[] = { 0, 0.01, 0.03, 0.03, -0.1 };
  struct df_polyline ground = { 5, s, z };
  struct df_track track = { .start = -0.005, .step = 5e-3, .n = 210 };
  double w[210], slope[210];
  track.w = w;
  track.slope = slope;
  df_point_roll(&ground, &track);
  for (int k = 0; k < track.n; k++)
    near(w[k], ground_at(track.start + k*track.step, &ground), 1e-15, "the polyline");
  near(slope[0], 0, 0, "before");
  near(slope[1], 1, 1e-12, "at a corner the slope ahead");
  near(slope[2], 1, 1e-12, "inside");
  near(slope[4], 2, 1e-12, "no interpolation over long segments");
  near(slope[205], 0, 0, "after");
}
END_TEST

START_TEST(slope_of_a_point_is_smoothed_on_curves_alone)
{
  double s[64], z[64], w, slope;
  struct df_polyline ground = { 64, s, z };
  struct df_track track = { .step = 1e-3, .n = 1, .w = &w, .slope = &slope };
  for (int i = 0; i < 64; i++) { // a curve of 1/m in steps of 1 mm
    s[i] = i*1e-3;
    z[i] = s[i]*s[i]/2;
  }
  track.start = 0.0203;
  df_point_roll(&ground, &track);
  near(slope, 0.0203, 1e-12, "derivative of s^2/2, to second order exact");
  for (int i = 0; i < 64; i++) { // samples 0.25 m apart
    s[i] = i*0.25;
    z[i] = 1e-3*(i%2);
  }
  track.start = 0.26;
  df_point_roll(&ground, &track);
  near(slope, -4e-3, 1e-15, "straight between samples");
}
END_TEST

START_TEST(no_ground_is_level)
{
  struct df_polyline ground = {0};
  struct df_disc disc;
  double slope;
  ck_assert_int_eq(df_disc_init(&disc, &ground, radius), DF_OK);
  near(df_disc_at(&disc, 3, &slope, NULL), 0, 0, "level");
  near(slope, 0, 0, "level");
  df_disc_finish(&disc);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("disc");
  TCase *cases = tcase_create("disc");
  tcase_add_loop_test(cases, envelope_equals_a_search_on_random_polylines, 0, 12);
  tcase_add_test(cases, step_is_the_closed_form);
  tcase_add_test(cases, cleat_is_two_steps);
  tcase_add_test(cases, hole_shorter_than_the_wheel_is_felt_in_part);
  tcase_add_test(cases, slope_is_the_right_hand_derivative);
  tcase_add_test(cases, gentle_curve_is_the_analytic_envelope);
  tcase_add_test(cases, footprint_is_the_mean_of_the_ground);
  tcase_add_test(cases, point_is_the_ground);
  tcase_add_test(cases, slope_of_a_point_is_smoothed_on_curves_alone);
  tcase_add_test(cases, no_ground_is_level);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
