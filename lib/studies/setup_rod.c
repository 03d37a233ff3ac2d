// Opening the rod: where the holes go, what is left of the tube, what it does to both directions.
#include "studies/setup.h"

#include "dampfork/path.h"

static const double alike = 0.03e-3;          // m, two drills that are the same
static const double same_height = 1e-3;       // m: a new hole within this of an old one widens it

static int near_height(const struct df_hole_group *a, const struct df_hole_group *b)
{
  if (isnan(a->height) || isnan(b->height)) return 1;
  return fabs(a->height - b->height) <= same_height;
}

int df_setup_kept(const struct df_rod *rod, const struct df_hole_group *group)
{
  if (!rod->has_as_found) return 0;
  for (int i = 0; i < rod->as_found.compression_holes.n; i++) {
    const struct df_hole_group *old = &rod->as_found.compression_holes.at[i];
    if (fabs(old->diameter - group->diameter) <= alike && old->count == group->count &&
        near_height(old, group))
      return 1;
  }
  return 0;
}

// A drilled group where the rod had a smaller hole before.
static int widens(const struct df_rod *rod, const struct df_hole_group *group)
{
  for (int i = 0; rod->has_as_found && i < rod->as_found.compression_holes.n; i++) {
    const struct df_hole_group *old = &rod->as_found.compression_holes.at[i];
    if (isfinite(group->height) && isfinite(old->height) && near_height(old, group) &&
        old->diameter < group->diameter - alike)
      return 1;
  }
  return 0;
}

static enum df_hole_work work_of(const struct df_rod *rod, const struct df_hole_group *group)
{
  if (!rod->has_opened || rod->state != DF_ROD_OPENED || df_setup_kept(rod, group))
    return DF_HOLE_KEPT;
  return widens(rod, group) ? DF_HOLE_WIDENED : DF_HOLE_NEW;
}

static int by_height(const void *a, const void *b)
{
  const struct df_hole_group *x = a, *y = b;
  if (isnan(x->height) || isnan(y->height)) return isnan(x->height) - isnan(y->height);
  return (x->height > y->height) - (x->height < y->height);
}

// Holes of one group: evenly round the rod, each row half a spacing on from the one below.
static void row_add(struct df_rod_plan *plan, const struct df_rod *rod,
                    const struct df_hole_group *group, int row)
{
  int count = (int)group->count;
  double spacing = count > 0 ? 2*M_PI/count : 0, start = row%2 ? 0.5*spacing : 0;
  enum df_hole_work work = work_of(rod, group);
  for (int i = 0; i < count && plan->n < DF_PLAN_HOLES_MAX; i++) {
    plan->hole[plan->n++] = (struct df_plan_hole){group->height, start + i*spacing, group->diameter,
                                                  group->entry_chamfer, work};
    plan->worked += work != DF_HOLE_KEPT;
  }
  plan->rows_known &= count == 0 || isfinite(group->height);
}

static double ligament_of(const struct df_rod_plan *plan, double radius)
{
  struct df_drill_hole hole[DF_PLAN_HOLES_MAX];
  if (!plan->rows_known) return NAN;
  for (int i = 0; i < plan->n; i++)
    hole[i] = (struct df_drill_hole){plan->hole[i].height, plan->hole[i].angle,
                                     plan->hole[i].diameter};
  return df_drill_ligament(hole, plan->n, radius);
}

// Limit and the travel from which the highest worked hole opens above the check valve's seat.
static void limit_fill(struct df_rod_plan *plan, const struct df_leg *leg)
{
  double largest = 0;
  plan->highest = plan->open_to_annulus = NAN;
  for (int i = 0; i < plan->n; i++) {
    const struct df_plan_hole *hole = &plan->hole[i];
    if (hole->work == DF_HOLE_KEPT) continue;
    largest = fmax(largest, hole->diameter);
    plan->highest = fmax(plan->highest, hole->height);
    double upper = hole->height + 0.5*hole->diameter - leg->tube_end_height;
    double from = leg->travel - (upper - leg->tube_end_thickness);
    if (from < leg->travel) plan->open_to_annulus = fmin(plan->open_to_annulus, from);
  }
  plan->limit = largest > 0 ? df_drill_limit(leg->tube_end_height, largest) : NAN;
}

struct df_rod_plan df_rod_plan_of(const struct df_scenario *scenario, int side)
{
  const struct df_side *s = &scenario->side[side];
  struct df_hole_list list = s->rod.holes.compression_holes;
  struct df_rod_plan plan = {.rows_known = 1};
  qsort(list.at, (size_t)list.n, sizeof *list.at, by_height);
  for (int i = 0; i < list.n; i++) row_add(&plan, &s->rod, &list.at[i], i);
  limit_fill(&plan, &s->leg);
  plan.ligament = ligament_of(&plan, 0.25*(s->leg.rod_outside + s->leg.rod_bore));
  return plan;
}

// ---- strength ----
double df_top_out_force(double mass, double speed, double rate, double length, double stop)
{
  double energy = mass*speed*speed, spring = rate*length*length; // twice the energies, J
  if (energy <= spring) return speed*sqrt(rate*mass);
  return sqrt(rate*rate*length*length + stop*(energy - spring));
}

double df_rod_load_together(double hydraulic, double top_out)
{
  if (top_out >= 2*hydraulic) return top_out;
  return hydraulic + top_out*top_out/(4*hydraulic);
}

enum df_status df_rod_load_of(const struct df_scenario *scenario, int side, double speed,
                              struct df_rod_load *out, struct df_faults *faults)
{
  struct df_steady steady;
  const struct df_leg *leg = &scenario->side[side].leg;
  enum df_status status = df_setup_steady(scenario, side, -fabs(speed), &steady, faults);
  if (status != DF_OK) return status;
  double annulus =
      M_PI_4*(leg->tube_bore*leg->tube_bore - leg->rod_outside*leg->rod_outside);
  out->hydraulic = (steady.p_annulus - steady.p_column)*annulus;
  double mass = scenario->bike.front_unsprung_mass/scenario->bike.legs;
  out->top_out = df_top_out_force(mass, fabs(speed), scenario->top_out.rate,
                                  scenario->top_out.length, scenario->stops.rate);
  out->together = df_rod_load_together(out->hydraulic, out->top_out);
  return DF_OK;
}

static int same_row(const struct df_plan_hole *a, const struct df_plan_hole *b)
{
  return fabs(a->height - b->height) < 0.5*(a->diameter + b->diameter);
}

enum df_status df_rod_strength_of(const struct df_scenario *scenario, int side, double load,
                                  struct df_drill_strength *out)
{
  const struct df_side *s = &scenario->side[side];
  const struct df_leg *leg = &s->leg;
  struct df_rod_plan plan = df_rod_plan_of(scenario, side);
  enum df_status status = df_drill_check(leg->rod_outside, leg->rod_bore, 1e-3, 0, load,
                                         s->rod.yield_strength, out);
  for (int i = 0; i < plan.n && status == DF_OK; i++) {
    int n = plan.rows_known ? 0 : 2;
    double widest = plan.hole[i].diameter;
    for (int j = 0; plan.rows_known && j < plan.n; j++)
      if (same_row(&plan.hole[i], &plan.hole[j])) n++, widest = fmax(widest, plan.hole[j].diameter);
    struct df_drill_strength row;
    status = df_drill_check(leg->rod_outside, leg->rod_bore, widest, n, load,
                            s->rod.yield_strength, &row);
    if (status == DF_OK && row.safety < out->safety) *out = row;
  }
  return status;
}

// ---- what the oil notices ----
// The worked holes as one group of that many, never covered: what more drilling would bring.
static void worked_put(struct df_side *side, double holes)
{
  struct df_hole_list *list = &side->rod.holes.compression_holes, given = *list;
  const struct df_rod *rod = &side->rod;
  int first = -1;
  for (int i = 0; i < list->n; i++) {
    list->at[i].height = NAN;
    if (work_of(rod, &given.at[i]) == DF_HOLE_KEPT) continue;
    list->at[i].count = first < 0 ? holes : 0;
    if (first < 0) first = i;
  }
}

static enum df_status share_fill(const struct df_scenario *s, int side, double speed,
                                 struct df_rod_share *out, struct df_faults *faults)
{
  struct df_leg_model *leg = df_leg_create(s, side, faults);
  if (!leg) return DF_BAD_INPUT;
  struct df_steady steady;
  struct df_path_constants part[DF_PARTS];
  enum df_status status = df_leg_steady(leg, 0.5*s->side[side].leg.travel, speed, &steady);
  df_leg_paths(leg, part);
  df_leg_destroy(leg);
  if (status != DF_OK) return status;
  double q = steady.flow[DF_PATH_COMPRESSION_HOLES];
  double bore = part[DF_PART_BORE].k1*q + part[DF_PART_BORE].k2_in*q*fabs(q);
  out->pressure = steady.p_lower - steady.p_rod;
  out->of_valve = out->pressure/(steady.p_rod - steady.p_column);
  out->bore = bore/out->pressure;
  return DF_OK;
}

enum df_status df_rod_share_of(const struct df_scenario *scenario, int side, double holes,
                               double speed, struct df_rod_share *out, struct df_faults *faults)
{
  *out = (struct df_rod_share){holes, NAN, NAN, NAN};
  struct df_scenario *s = df_setup_copy(scenario);
  if (!s) return df_setup_no_memory(faults);
  worked_put(&s->side[side], holes);
  enum df_status status = share_fill(s, side, speed, out, faults);
  free(s);
  return status;
}

enum df_status df_opening_effect(const struct df_scenario *scenario, int side, double speed,
                                 double *after, double *before, struct df_faults *faults)
{
  struct df_steady steady;
  *after = *before = NAN;
  enum df_status status = df_setup_steady(scenario, side, speed, &steady, faults);
  if (status != DF_OK) return status;
  *after = steady.damping;
  if (!scenario->side[side].rod.has_as_found) return DF_OK;
  struct df_scenario *s = df_setup_copy(scenario);
  if (!s) return df_setup_no_memory(faults);
  s->side[side].has_valve = 0;
  s->side[side].rod.holes = s->side[side].rod.as_found;
  status = df_setup_steady(s, side, speed, &steady, faults);
  if (status == DF_OK) *before = steady.damping;
  free(s);
  return status;
}

enum df_status df_deburring_effect(const struct df_scenario *scenario, int side, double speed,
                                   double *sharp, double *chamfered, struct df_faults *faults)
{
  struct df_scenario *s = df_setup_copy(scenario);
  *sharp = *chamfered = NAN;
  if (!s) return df_setup_no_memory(faults);
  struct df_hole_list *list = &s->side[side].rod.holes.compression_holes;
  const struct df_rod *rod = &scenario->side[side].rod;
  enum df_status status = DF_OK;
  for (int i = 0; i < 2 && status == DF_OK; i++) {
    for (int k = 0; k < list->n; k++) {
      const struct df_hole_group *given = &rod->holes.compression_holes.at[k];
      if (work_of(rod, given) == DF_HOLE_KEPT) continue;
      list->at[k].entry_radius = list->at[k].exit_radius = list->at[k].exit_chamfer = 0;
      list->at[k].entry_chamfer = i == 0 ? 0 : fmax(given->entry_chamfer, 0.5e-3);
    }
    struct df_rod_share share = {0};
    status = share_fill(s, side, speed, &share, faults);
    *(i == 0 ? sharp : chamfered) = share.pressure;
  }
  free(s);
  return status;
}

enum df_status df_passing_cost(const struct df_scenario *scenario, int side, double speed,
                               double *clear, double *passed, struct df_faults *faults)
{
  struct df_leg_model *leg = df_leg_create(scenario, side, faults);
  *clear = *passed = NAN;
  if (!leg) return DF_BAD_INPUT;
  struct df_steady steady;
  double travel = scenario->side[side].leg.travel;
  enum df_status status = df_leg_steady(leg, 0.5*travel, -fabs(speed), &steady);
  if (status == DF_OK) *clear = -steady.damping;
  if (status == DF_OK) status = df_leg_steady(leg, travel, -fabs(speed), &steady);
  if (status == DF_OK) *passed = -steady.damping;
  df_leg_destroy(leg);
  return status;
}

enum df_status df_limit_cost(const struct df_scenario *scenario, int side, double speed,
                             double *within, double *above, struct df_faults *faults)
{
  struct df_scenario *s = df_setup_copy(scenario);
  double mid;
  *within = *above = NAN;
  if (!s) return df_setup_no_memory(faults);
  const struct df_leg *leg = &s->side[side].leg;
  struct df_hole_list *list = &s->side[side].rod.holes.compression_holes;
  int top = -1;
  for (int i = 0; i < list->n; i++)
    if (isfinite(list->at[i].height) && (top < 0 || list->at[i].height > list->at[top].height))
      top = i;
  enum df_status status = DF_OK;
  if (top >= 0 && isfinite(leg->tube_end_height)) {
    status = df_passing_cost(s, side, speed, &mid, within, faults);
    list->at[top].height =
        leg->tube_end_height + leg->tube_end_thickness + 0.5*list->at[top].diameter;
    if (status == DF_OK) status = df_passing_cost(s, side, speed, &mid, above, faults);
  }
  free(s);
  return status;
}
