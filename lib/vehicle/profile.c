// A road as the wheel feels it: obstacle, repeats, contact, fading, and where it is not smooth.
#include "dampfork/road.h"

#include <stdlib.h>

#include "vehicle/disc.h"
#include "vehicle/ground.h"

static const double fade = 10;           // m, over which rough roads grow to their height
static const double table_step = 1e-3;   // m
static const double steps_a_radius = 300; // 1: small wheels need a finer table
static const double steepest = 5;        // 1, slope of w: that of a face of 0.8 radius
enum {
  MARGIN = 3,                 // steps of level road in the table at either end
  FEATURES_MAX = 400          // of one road; with more it counts as rough all along
};

// What the building of one profile needs.
struct work {
  const struct df_road *road;
  const struct df_tyre *tyre;
  const struct df_road_kind *kind;
  struct df_faults *faults;
  enum df_contact contact;
  struct df_polyline one, ground;   // obstacle; with its repeats
  struct df_disc disc;
  struct df_track track;
};

static enum df_status repeat_ground(struct work *work)
{
  const struct df_road *road = work->road;
  struct df_polyline *one = &work->one, *ground = &work->ground;
  int times = road->repeat >= 1 ? (int)road->repeat : 1;
  if ((double)one->n*times > DF_PROFILE_MAX)
    return df_road_fault(work->faults, DF_BAD_INPUT, road, "repeat",
                         "%d repeats are too long for the table; allowed here: up to %d", times,
                         DF_PROFILE_MAX/one->n);
  if (times == 1) {
    *ground = *one;
    *one = (struct df_polyline){0};
    return DF_OK;
  }
  enum df_status status = df_polyline_init(ground, one->n*times);
  if (status != DF_OK) return status;
  double gap = road->speed > 0 && road->gap > 0 ? road->gap*road->speed : 0; // m
  double pitch = one->s[one->n - 1] + gap, rise = one->z[one->n - 1] - one->z[0]; // m
  for (int t = 0; t < times; t++)
    for (int i = 0; i < one->n; i++) {
      ground->s[t*one->n + i] = one->s[i] + t*pitch;
      ground->z[t*one->n + i] = one->z[i] + t*rise;
    }
  return DF_OK;
}

// How far ahead of the axle, and behind it, the contact feels the ground, m.
static double reach_of(const struct work *work)
{
  switch (work->contact) {
  case DF_CONTACT_DISC:      return work->tyre->radius;
  case DF_CONTACT_FOOTPRINT: return work->tyre->footprint_length/2;
  case DF_CONTACT_POINT:     break;
  }
  return 0;
}

// Whether the touching points are looked at one by one: not on roads that are rough all along.
static int leaps_wanted(const struct work *work)
{
  return work->contact == DF_CONTACT_DISC && !work->kind->faded;
}

static enum df_status place_table(struct work *work, struct df_profile *profile)
{
  const struct df_polyline *ground = &work->ground;
  double step = fmin(table_step, work->tyre->radius/steps_a_radius), reach = reach_of(work);
  double first = floor((ground->s[0] - reach)/step) - MARGIN;
  double last = ceil((ground->s[ground->n - 1] + reach)/step) + MARGIN;
  if (last - first >= DF_PROFILE_MAX)
    return df_road_fault(work->faults, DF_BAD_INPUT, work->road, "kind",
                         "the road is %.0f m long; allowed: up to %.0f m in steps of %g mm",
                         ground->s[ground->n - 1], DF_PROFILE_MAX*step, step*1e3);
  profile->n = (int)(last - first) + 1;
  profile->start = first*step;
  profile->step = step;
  size_t bytes = (size_t)profile->n*sizeof(double);
  profile->w = malloc(bytes);
  profile->slope = malloc(bytes);
  double *touch = leaps_wanted(work) ? malloc(bytes) : NULL;
  work->track = (struct df_track){ .start = profile->start, .step = step, .n = profile->n,
                                   .w = profile->w, .slope = profile->slope, .touch = touch };
  int short_of = !profile->w || !profile->slope || (!touch && leaps_wanted(work));
  return short_of ? DF_NO_MEMORY : DF_OK;
}

static enum df_status refuse_faces(const struct work *work)
{
  const struct df_polyline *ground = &work->ground;
  for (int i = 1; i < ground->n; i++)
    if (ground->s[i] <= ground->s[i - 1])
      return df_road_fault(work->faults, DF_BAD_INPUT, work->road, "contact",
                           "a point cannot climb the face at %g m; allowed: disc, footprint",
                           ground->s[i]);
  return DF_OK;
}

static enum df_status roll(struct work *work)
{
  enum df_status status;
  switch (work->contact) {
  case DF_CONTACT_FOOTPRINT:
    return df_footprint_roll(&work->ground, work->tyre->footprint_length, &work->track);
  case DF_CONTACT_DISC:
    status = df_disc_init(&work->disc, &work->ground, work->tyre->radius);
    return status == DF_OK ? df_disc_roll(&work->disc, &work->track) : status;
  case DF_CONTACT_POINT:
    break;
  }
  status = refuse_faces(work);
  if (status == DF_OK) df_point_roll(&work->ground, &work->track);
  return status;
}

static enum df_status refuse_walls(const struct work *work)
{
  const struct df_track *track = &work->track;
  for (int k = 1; k < track->n; k++) {
    double rise = fabs(track->w[k] - track->w[k - 1])/track->step;
    if (rise > steepest || fabs(track->slope[k]) > steepest)
      return df_road_fault(work->faults, DF_BAD_INPUT, work->road, "kind",
                           "too steep to roll over at %.3f m; allowed with a radius of %g mm: "
                           "faces up to %.0f mm, slopes up to %g", track->start + k*track->step,
                           work->tyre->radius*1e3, 0.8*work->tyre->radius*1e3, steepest);
  }
  return DF_OK;
}

// w times S(s/fade), S(u) = u^2 (3 - 2u).
static void fade_in(const struct df_track *track)
{
  for (int k = 0; k < track->n; k++) {
    double u = fmin(fmax((track->start + k*track->step)/fade, 0), 1);
    track->slope[k] = track->slope[k]*u*u*(3 - 2*u) + track->w[k]*6*u*(1 - u)/fade;
    track->w[k] *= u*u*(3 - 2*u);
  }
}

// Features: where the contact arrives at a corner of the ground, leaves it, or leaps over a hollow.

static int is_past(double touch, double mark, int reach)
{
  return reach ? touch >= mark : touch > mark;
}

// Where the touching point passes `mark`, m, or reaches it: it moves forwards only, so halving
// finds the place.
static double passes(const struct work *work, double mark, int reach)
{
  double left = mark - work->tyre->radius, right = mark + work->tyre->radius; // m
  while (right - left > 1e-12*(1 + fabs(left))) {
    double middle = (left + right)/2, touch;
    df_disc_at(&work->disc, middle, NULL, &touch);
    if (is_past(touch, mark, reach)) right = middle;
    else left = middle;
  }
  return right;
}

static void feature_add(struct df_profile *profile, double s)
{
  if (profile->feature_n < FEATURES_MAX) profile->feature[profile->feature_n] = s;
  profile->feature_n++;
}

// Both places of one corner of the ground at s, m.
static void corner_add(const struct work *work, struct df_profile *profile, double s)
{
  if (work->contact == DF_CONTACT_DISC) {
    feature_add(profile, passes(work, s, 1));
    feature_add(profile, passes(work, s, 0));
  } else {
    feature_add(profile, s - reach_of(work));
    feature_add(profile, s + reach_of(work));
  }
}

// A corner: an end of an obstacle, of a segment longer than a curve's, or a sharper turn.
static int is_corner(const struct df_polyline *ground, int i)
{
  static const double long_segment = 2*DF_CURVE_STEP; // m
  static const double sharp = 0.02;                   // 1, turn of slope
  if (i == 0 || i == ground->n - 1) return 1;
  double before = ground->s[i] - ground->s[i - 1], after = ground->s[i + 1] - ground->s[i];
  if (before <= 0 || after <= 0 || before > long_segment || after > long_segment) return 1;
  double slope = (ground->z[i] - ground->z[i - 1])/before;
  return fabs((ground->z[i + 1] - ground->z[i])/after - slope) > sharp;
}

static void leaps_add(const struct work *work, struct df_profile *profile)
{
  const struct df_track *track = &work->track;
  const double leap = 10*track->step; // m in one step: no smooth hollow moves the contact as fast
  for (int k = 1; k < track->n; k++)
    if (track->touch[k] - track->touch[k - 1] > leap)
      feature_add(profile, passes(work, (track->touch[k] + track->touch[k - 1])/2, 0));
}

static int by_size(const void *a, const void *b)
{
  double left = *(const double *)a, right = *(const double *)b;
  return (left > right) - (left < right);
}

static void feature_sort(struct df_profile *profile)
{
  const double same = 1e-7; // m: places as near as this are one
  qsort(profile->feature, (size_t)profile->feature_n, sizeof(double), by_size);
  int n = 0;
  for (int i = 0; i < profile->feature_n; i++)
    if (n == 0 || profile->feature[i] - profile->feature[n - 1] > same)
      profile->feature[n++] = profile->feature[i];
  profile->feature_n = n;
}

static void ends_only(const struct work *work, struct df_profile *profile)
{
  const struct df_polyline *ground = &work->ground;
  profile->feature_n = 0;
  corner_add(work, profile, ground->s[0]);
  corner_add(work, profile, ground->s[ground->n - 1]);
}

static enum df_status find_features(const struct work *work, struct df_profile *profile)
{
  const struct df_polyline *ground = &work->ground;
  profile->feature = malloc(FEATURES_MAX*sizeof(double));
  if (!profile->feature) return DF_NO_MEMORY;
  int rough = work->kind->faded;
  for (int i = 0; i < ground->n && !rough; i++) {
    if (is_corner(ground, i)) corner_add(work, profile, ground->s[i]);
    rough = profile->feature_n > FEATURES_MAX;
  }
  if (!rough && leaps_wanted(work)) leaps_add(work, profile);
  if (rough || profile->feature_n > FEATURES_MAX) ends_only(work, profile);
  feature_sort(profile);
  profile->first_touch = profile->feature[0];
  profile->last_touch = profile->feature[profile->feature_n - 1];
  if (work->kind->faded) profile->first_touch = profile->feature[0] = 0;
  return DF_OK;
}

static enum df_status build(struct work *work, struct df_profile *profile)
{
  enum df_status status = repeat_ground(work);
  if (status == DF_OK) status = place_table(work, profile);
  if (status == DF_OK) status = roll(work);
  if (status == DF_OK) status = refuse_walls(work);
  if (status == DF_OK) status = find_features(work, profile);
  if (status != DF_OK) return status;
  if (work->kind->faded) fade_in(&work->track);
  profile->faded = work->kind->faded;
  profile->end = work->ground.s[work->ground.n - 1];
  return DF_OK;
}

static enum df_status build_flat(struct work *work, struct df_profile *profile)
{
  *profile = (struct df_profile){ .n = 2, .step = table_step, .w = calloc(2, sizeof(double)),
                                  .slope = calloc(2, sizeof(double)), .first_touch = NAN,
                                  .last_touch = NAN, .end = work->kind->length(work->road) };
  return profile->w && profile->slope ? DF_OK : DF_NO_MEMORY;
}

static enum df_status check_tyre(const struct work *work)
{
  const struct df_tyre *tyre = work->tyre;
  if (!(tyre->radius >= 0.02 && tyre->radius <= 2))
    return df_fault_add(work->faults, DF_BAD_INPUT, "tyre.radius", "%g mm; allowed: 20 to 2000 mm",
                        tyre->radius*1e3);
  if (work->contact == DF_CONTACT_FOOTPRINT
      && !(tyre->footprint_length > 0 && tyre->footprint_length <= 2*tyre->radius))
    return df_fault_add(work->faults, DF_BAD_INPUT, "tyre.footprint_length",
                        "%g mm; allowed: above 0, up to twice the radius, %g mm",
                        tyre->footprint_length*1e3, tyre->radius*2e3);
  return DF_OK;
}

enum df_status df_profile_init(struct df_profile *profile, const struct df_road *road,
                               const struct df_tyre *tyre, struct df_faults *faults)
{
  *profile = (struct df_profile){0};
  if (road->kind < 0 || road->kind >= df_road_kind_count)
    return df_road_fault(faults, DF_UNKNOWN_NAME, road, "kind", "no such kind of road");
  int contact = road->contact < 0 ? tyre->contact : road->contact;
  struct work work = { .road = road, .tyre = tyre, .kind = df_road_kinds[road->kind],
                       .faults = faults, .contact = (enum df_contact)contact };
  enum df_status status = check_tyre(&work);
  if (status == DF_OK) status = work.kind->shape(road, &work.one, faults);
  if (status == DF_OK) status = work.one.n > 0 ? build(&work, profile) : build_flat(&work, profile);
  df_polyline_finish(&work.one);
  df_polyline_finish(&work.ground);
  df_disc_finish(&work.disc);
  free(work.track.touch);
  if (status != DF_OK) df_profile_finish(profile);
  return status;
}

void df_profile_finish(struct df_profile *profile)
{
  free(profile->w);
  free(profile->slope);
  free(profile->feature);
  *profile = (struct df_profile){0};
}

// Cubic Hermite in u = 0..1 of a step: w0 + u (d0 + u (3e - 2 d0 - d1 + u (d0 + d1 - 2e))),
// e = w1 - w0, d = slope times step.
void df_profile_at(const struct df_profile *profile, double s, double *w, double *slope,
                   double *curvature)
{
  double place = (s - profile->start)/profile->step;
  int outside = !(place > 0) || place >= profile->n - 1;
  int i = outside ? (place > 0 ? profile->n - 2 : 0) : (int)place;
  double u = outside ? (place > 0 ? 1 : 0) : place - i, step = profile->step;
  double w0 = profile->w[i], rise = profile->w[i + 1] - w0; // m
  double d0 = profile->slope[i]*step, d1 = profile->slope[i + 1]*step; // m
  double square = 3*rise - 2*d0 - d1, cube = d0 + d1 - 2*rise; // m
  if (w) *w = w0 + u*(d0 + u*(square + u*cube));
  if (slope) *slope = outside ? 0 : (d0 + u*(2*square + 3*u*cube))/step;
  if (curvature) *curvature = outside ? 0 : (2*square + 6*u*cube)/(step*step);
}

void df_profile_shift(struct df_profile *profile, double metres)
{
  profile->start += metres;
  profile->first_touch += metres;
  profile->last_touch += metres;
  profile->end += metres;
  for (int i = 0; i < profile->feature_n; i++) profile->feature[i] += metres;
}
