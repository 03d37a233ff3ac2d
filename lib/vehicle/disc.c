// Rolling disc, footprint and point over a polyline.
//
// Disc: w(s) = max over xi in [-R, R] of z(s + xi) + sqrt(R^2 - xi^2) - R. Each segment of slope m
// is best touched at xi = R m/sqrt(1 + m^2), or as near to it as its ends allow, which are the arcs
// round the vertices. The touching point moves only forwards as the disc rolls, so that the segment
// touched at a place lies between those touched at any two places round it: places are done at wide
// spacing first and halved, each search between the neighbours' segments.
#include "vehicle/disc.h"

#include <math.h>
#include <stdlib.h>

enum { FIRST_STRIDE = 256 };  // places between full searches; 64 to 1024 cost the same within 20 %

enum df_status df_disc_init(struct df_disc *disc, const struct df_polyline *ground, double radius)
{
  int points = ground->n, n = points > 0 ? points + 1 : 1;
  size_t bytes = (size_t)(n + 1)*sizeof(double);
  *disc = (struct df_disc){ .radius = radius, .n = n, .s = malloc(bytes), .z = malloc(bytes),
                            .slope = malloc(bytes), .reach = malloc(bytes) };
  if (!disc->s || !disc->z || !disc->slope || !disc->reach) {
    df_disc_finish(disc);
    return DF_NO_MEMORY;
  }
  disc->s[0] = -INFINITY;
  disc->s[n] = INFINITY;
  disc->z[0] = points > 0 ? ground->z[0] : 0;
  disc->slope[0] = disc->reach[0] = 0;
  for (int i = 0; i < points; i++) {
    int last = i == points - 1;
    double along = last ? INFINITY : ground->s[i + 1] - ground->s[i];
    double up = last ? 0 : ground->z[i + 1] - ground->z[i];
    disc->s[i + 1] = ground->s[i];
    disc->z[i + 1] = ground->z[i]; // of a face: its other end is the next segment's
    disc->slope[i + 1] = along > 0 ? up/along : 0;
    disc->reach[i + 1] = along > 0 ? radius*up/sqrt(along*along + up*up) : 0;
  }
  return DF_OK;
}

void df_disc_finish(struct df_disc *disc)
{
  free(disc->s);
  free(disc->z);
  free(disc->slope);
  free(disc->reach);
  *disc = (struct df_disc){0};
}

// Where the disc with its axle at s best touches segment j: distance before the axle, m.
static double touch_of(const struct df_disc *disc, int j, double s)
{
  double xi = disc->reach[j], least = disc->s[j] - s, most = disc->s[j + 1] - s;
  xi = xi > least ? xi : least; // fmax would be a call
  return xi < most ? xi : most;
}

// Height of the axle, m, resting on segment j alone; -INFINITY out of reach.
static double height_on(const struct df_disc *disc, int j, double s)
{
  double xi = touch_of(disc, j, s), left = disc->radius*disc->radius - xi*xi;
  if (left < 0) return -INFINITY;
  double from = disc->slope[j] != 0 ? disc->slope[j]*(s + xi - disc->s[j]) : 0;
  return disc->z[j] + from + sqrt(left);
}

// The segment that holds the axle highest among first..last; of equals the last.
static int highest(const struct df_disc *disc, double s, int first, int last)
{
  int best = first;
  double height = -INFINITY;
  for (int j = first; j <= last; j++) {
    double here = height_on(disc, j, s);
    if (here >= height) {
      height = here;
      best = j;
    }
  }
  return best;
}

// A curve given as a polyline of short segments that bend gently is rolled over as the quadratic spline
// that touches every segment in its middle: the chords' corners, one a millimetre, would shake a tyre.
static const double short_segment = 2e-3; // m: two steps of a curve's polyline
static const double gentle_bend = 0.02;   // 1: a curve of 50 mm radius turns as much in 1 mm

struct bend { double from, length, height, slope, turn; }; // m, m, m, 1, 1/m: spline from the middle of j to that of j + 1
static int bend_of(const struct df_disc *disc, int j, struct bend *bend)
{
  if (j < 1 || j + 2 >= disc->n) return 0;             // the level ends are no part of a curve
  double a = disc->s[j + 1] - disc->s[j], b = disc->s[j + 2] - disc->s[j + 1], step = disc->slope[j + 1] - disc->slope[j];
  if (!(a > 0 && b > 0 && a <= short_segment && b <= short_segment && fabs(step) <= gentle_bend)) return 0;
  bend->from = disc->s[j] + a/2, bend->length = (a + b)/2;
  bend->height = disc->z[j] + disc->slope[j]*a/2, bend->slope = disc->slope[j], bend->turn = step/bend->length;
  return 1;
}

// Touching point of the spline near that of segment j; 0: the ground is not gentle there.
static int gentle_touch(const struct df_disc *disc, int j, double s, double *xi, double *height)
{
  double r2 = disc->radius*disc->radius, at = *xi;
  for (int i = 0; i < 8; i++) {
    struct bend bend;
    while (j > 0 && s + at < disc->s[j]) j--;
    while (j < disc->n - 1 && s + at > disc->s[j + 1]) j++;
    int first = s + at < (disc->s[j] + disc->s[j + 1])/2 ? j - 1 : j;
    if (!bend_of(disc, first, &bend)) return 0;
    double left = r2 - at*at;
    if (!(left > 0.01*r2)) return 0;
    double off = s + at - bend.from, root = sqrt(left);
    double gap = bend.slope + bend.turn*off - at/root, curve = bend.turn - r2/(left*root);
    if (!(curve < 0)) return 0;                        // no top: the disc leaps here
    double step = -gap/curve;
    *xi = at, *height = bend.height + off*(bend.slope + 0.5*bend.turn*off) + root;
    if (fabs(step) < 1e-13) return 1;
    if (fabs(step) > 2*short_segment) return 0;
    at += step;
  }
  return 1;
}

static double result_at(const struct df_disc *disc, int j, double s, double *slope, double *touch)
{
  double gentle_xi = touch_of(disc, j, s), gentle_height;
  if (gentle_touch(disc, j, s, &gentle_xi, &gentle_height)) {
    double r = disc->radius;
    if (slope) *slope = gentle_xi/sqrt(r*r - gentle_xi*gentle_xi);
    if (touch) *touch = s + gentle_xi;
    return gentle_height - r;
  }
  double xi = touch_of(disc, j, s), radius = disc->radius;
  if (slope) *slope = xi/sqrt(fmax(radius*radius - xi*xi, 1e-12*radius*radius));
  if (touch) *touch = xi == disc->s[j] - s ? disc->s[j] : xi == disc->s[j + 1] - s ? disc->s[j + 1]
                    : s + xi;
  return height_on(disc, j, s) - radius;
}

// First segment that ends at s or beyond.
static int first_ending(const struct df_disc *disc, double s)
{
  int low = 0, high = disc->n - 1;
  while (low < high) {
    int middle = low + (high - low)/2;
    if (disc->s[middle + 1] >= s) high = middle;
    else low = middle + 1;
  }
  return low;
}

double df_disc_at(const struct df_disc *disc, double s, double *slope, double *touch)
{
  int first = first_ending(disc, s - disc->radius), last = first_ending(disc, s + disc->radius);
  while (last < disc->n - 1 && disc->s[last + 1] <= s + disc->radius) last++; // a face at the reach
  return result_at(disc, highest(disc, s, first, last), s, slope, touch);
}

static void search_coarse(const struct df_disc *disc, const struct df_track *track, int *best)
{
  int first = 0, last = 0;
  for (int k = 0; k < track->n; k += FIRST_STRIDE) {
    double s = track->start + k*track->step;
    while (disc->s[first + 1] < s - disc->radius) first++;
    if (last < first) last = first;
    while (last < disc->n - 1 && disc->s[last + 1] <= s + disc->radius) last++;
    if (k > 0 && best[k - FIRST_STRIDE] > first) first = best[k - FIRST_STRIDE];
    best[k] = highest(disc, s, first, last);
  }
}

// Places halfway between known ones; beyond the last known one the search ends with the reach.
static void search_between(const struct df_disc *disc, const struct df_track *track, int stride,
                           int *best)
{
  for (int k = stride; k < track->n; k += 2*stride) {
    double s = track->start + k*track->step;
    int last = best[k - stride];
    if (k + stride < track->n) last = best[k + stride];
    else while (last < disc->n - 1 && disc->s[last + 1] <= s + disc->radius) last++;
    best[k] = highest(disc, s, best[k - stride], last);
  }
}

enum df_status df_disc_roll(const struct df_disc *disc, const struct df_track *track)
{
  int *best = malloc((size_t)track->n*sizeof *best);
  if (!best) return DF_NO_MEMORY;
  search_coarse(disc, track, best);
  for (int stride = FIRST_STRIDE/2; stride > 0; stride /= 2)
    search_between(disc, track, stride, best);
  for (int k = 0; k < track->n; k++)
    track->w[k] = result_at(disc, best[k], track->start + k*track->step, &track->slope[k],
                            track->touch ? &track->touch[k] : NULL);
  free(best);
  return DF_OK;
}

// Segment of the ground that holds s, searched forwards from `from`; -1 before the first point,
// n - 1 after the last. At a vertex, and at a face, the one ahead.
static int segment_at(const struct df_polyline *ground, double s, int from)
{
  int i = from < -1 ? -1 : from;
  while (i < ground->n - 1 && ground->s[i + 1] <= s) i++;
  return i;
}

static double slope_of(const struct df_polyline *ground, int i)
{
  if (i < 0 || i >= ground->n - 1) return 0;
  double along = ground->s[i + 1] - ground->s[i];
  return along > 0 ? (ground->z[i + 1] - ground->z[i])/along : 0;
}

static double height_in(const struct df_polyline *ground, int i, double s)
{
  if (ground->n == 0) return 0;
  if (i < 0) return ground->z[0];
  return ground->z[i] + slope_of(ground, i)*(s - ground->s[i]);
}

enum df_status df_footprint_roll(const struct df_polyline *ground, double length,
                                 const struct df_track *track)
{
  int n = ground->n;
  double *area = malloc((size_t)(n > 0 ? n : 1)*sizeof *area); // m2, integral from point 0
  if (!area) return DF_NO_MEMORY;
  area[0] = 0;
  for (int i = 1; i < n; i++)
    area[i] = area[i - 1] + (ground->z[i] + ground->z[i - 1])/2*(ground->s[i] - ground->s[i - 1]);
  int end[2] = { -1, -1 };
  for (int k = 0; k < track->n; k++) {
    double s = track->start + k*track->step, height[2], total[2];
    for (int side = 0; side < 2; side++) {
      double at = s + (side ? length/2 : -length/2);
      int i = end[side] = segment_at(ground, at, end[side]);
      height[side] = height_in(ground, i, at);
      double from = n == 0 ? 0 : i < 0 ? ground->s[0] : ground->s[i];
      double before = n == 0 ? 0 : i < 0 ? ground->z[0] : ground->z[i];
      total[side] = (i < 0 ? 0 : area[i]) + (before + height[side])/2*(at - from);
    }
    track->w[k] = (total[1] - total[0])/length;
    track->slope[k] = (height[1] - height[0])/length;
    if (track->touch) track->touch[k] = s;
  }
  free(area);
  return DF_OK;
}

// Slope of a curve at s in segment i: linear between the middles of segments, where they are short
// (at most short_segment) and bend by less than gentle_bend.
static double gentle_slope(const struct df_polyline *ground, int i, double s)
{
  double own = slope_of(ground, i);
  if (i < 0 || i >= ground->n - 1) return own;
  double half = (ground->s[i + 1] - ground->s[i])/2, off = s - ground->s[i] - half;
  int next = off < 0 ? i - 1 : i + 1;
  if (next < 0 || next >= ground->n - 1) return own;
  double other_half = (ground->s[next + 1] - ground->s[next])/2, other = slope_of(ground, next);
  if (fmax(half, other_half) > short_segment/2 || fabs(other - own) > gentle_bend) return own;
  return own + (other - own)*fabs(off)/(half + other_half);
}

void df_point_roll(const struct df_polyline *ground, const struct df_track *track)
{
  int i = -1;
  for (int k = 0; k < track->n; k++) {
    double s = track->start + k*track->step;
    i = segment_at(ground, s, i);
    track->w[k] = height_in(ground, i, s);
    track->slope[k] = gentle_slope(ground, i, s);
    if (track->touch) track->touch[k] = s;
  }
}
