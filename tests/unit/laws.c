// The laws of flow, swept through zero, cracking and opening: no corner (choking apart), slopes that are those of the flow.
#include "near.h"

#include <string.h>

#include "leg/model.h"

void appendix_a_scenario(struct df_scenario *, int valved);

enum law { HOLES, REBOUND, BLEED, LEAK, RING, CHECK, BACK, VALVE, SHIM_VALVE, LAND_VALVE, LAWS };
static const char *const names[LAWS] = { "holes", "rebound", "bleed", "leak", "ring", "check", "back", "valve", "shim valve", "valve with a land" };

struct fixture { struct df_leg_model *leg; struct leg_single single; };
static void fixture_init(struct fixture *f, enum law law)
{
  struct df_scenario s;
  appendix_a_scenario(&s, 1);
  struct df_valve *v = &s.side[0].valve;
  s.run.choking = DF_OFF;
  if (law == SHIM_VALVE) {
    v->shim_n = 2, v->shims[0] = (struct df_shim){ 2, 0.020, 0.15e-3 }, v->shims[1] = (struct df_shim){ 1, 0.016, 0.15e-3 };
    v->shim_clamp = 0.009, v->port_inner = 0.011, v->stop = 1.2e-3, v->shim_dish = 0.1e-3;
  }
  if (law == LAND_VALVE) v->land = 0.5e-3;
  f->leg = df_leg_create(&s, 0, NULL);
  ck_assert_ptr_nonnull(f->leg);
  df_leg_single_init(&f->single, f->leg);
}

static struct flow flow_of(const struct fixture *f, enum law law, double dp)
{
  const struct leg_paths *at = &f->single.at;
  const struct lane_leg *g = &f->single.g;
  lane from = all(2e7), to = from - dp, lift;          // Pa, far from vapour
  switch (law) {
  case HOLES:   return drilled_flow(at->holes[0], at->holes[1], from, to, g->vapour);
  case REBOUND: return drilled_flow(at->rebound[0], at->rebound[1], from, to, g->vapour);
  case BLEED:   return hole_flow((struct path){ at->bleed.k1, at->bleed.k2 }, at->bleed.choke, from, to, g->vapour);
  case LEAK:    return path_flow(at->leak, all(dp));
  case RING:    return path_flow(at->ring, all(dp));
  case CHECK:   return one_way_flow(at->check, g->check_crack, g->check_per_range, all(dp));
  case BACK:    return one_way_flow(at->back, g->return_crack, g->return_per_range, all(dp));
  default:      return valve_flow(&at->valve, f->single.k.table, all(dp), &lift);
  }
}

// Where a law might have a corner, Pa, and how far the sweep reaches to either side.
struct place { double at, reach; };
static int places(const struct fixture *f, enum law law, struct place *p)
{
  p[0] = (struct place){ 0, 200 };
  if (law == CHECK) { p[1] = (struct place){ 200, 400 }, p[2] = (struct place){ 1500, 400 }; return 3; }
  if (law == BACK) { p[1] = (struct place){ 300, 400 }, p[2] = (struct place){ 2000, 400 }; return 3; }
  if (law >= VALVE) { p[1] = (struct place){ f->single.at.valve.crack[0], 2000 }; return 2; }
  return 1;
}

static double largest_jump(const struct fixture *f, enum law law, struct place p, int n)
{
  double worst = 0, before = 0;
  for (int i = 0; i <= n; i++) {
    double slope = flow_of(f, law, p.at - p.reach + 2*p.reach*i/n).from[0];
    if (i > 0) worst = fmax(worst, fabs(slope - before));
    before = slope;
  }
  return worst;
}

START_TEST(no_corner)
{
  struct fixture f;
  struct place p[3];
  fixture_init(&f, (enum law)_i);
  int n = places(&f, (enum law)_i, p);
  for (int k = 0; k < n; k++) {
    double coarse = largest_jump(&f, (enum law)_i, p[k], 4001), fine = largest_jump(&f, (enum law)_i, p[k], 8002);
    if (coarse == 0) { ck_assert(fine == 0); continue; }
    ck_assert_msg(coarse/fine >= 1.8, "%s at %g Pa: jumps of slope %g, then %g: only %.3f times less", names[_i], p[k].at, coarse, fine, coarse/fine);
  }
  df_leg_destroy(f.leg);
}
END_TEST

START_TEST(slope_is_that_of_the_flow)
{
  struct fixture f;
  fixture_init(&f, (enum law)_i);
  for (double dp = -3e5; dp < 9e5; dp += 1234.5) {
    struct flow at = flow_of(&f, (enum law)_i, dp);
    double h = 0.5, up = flow_of(&f, (enum law)_i, dp + h).q[0], down = flow_of(&f, (enum law)_i, dp - h).q[0], slope = (up - down)/(2*h);
    near(at.from[0], slope, 2e-4*fabs(slope) + 2e-16/h, "central difference of the same law");
    near(at.to[0], -slope, 2e-4*fabs(slope) + 2e-16/h, "central difference of the same law");
    ck_assert(at.from[0] >= 0);
  }
  df_leg_destroy(f.leg);
}
END_TEST

// The table with one Newton step against the lift solved to rounding.
START_TEST(valve_from_the_table_is_exact)
{
  struct fixture f;
  fixture_init(&f, (enum law)_i);
  const struct valve *valve = &f.single.at.valve;
  double most = 0;
  for (double over = 1e-3; over < 1; over *= 1.01) {
    double dp = valve->crack[0] + over*1.3*(valve->stop_drop[0] - valve->crack[0]), y, slope, q = df_valve_exact(valve, dp, 0, &y, &slope);
    lane lift;
    struct flow flow = valve_flow(valve, f.single.k.table, all(dp), &lift);
    most = fmax(most, fabs(flow.q[0]/q - 1));
    near_share(flow.q[0], q, 2e-6, "the balance of the plate solved to rounding");
    near(lift[0], y, 2e-9 + 2e-6*y, "the balance of the plate solved to rounding");
    near_share(flow.from[0], slope, 2e-3, "the same");
  }
  ck_assert(most > 0);
  df_leg_destroy(f.leg);
}
END_TEST

// Metal stops: rate times depth, more while it closes; never a pull; slopes are those of the force.
START_TEST(stops_push_and_never_pull)
{
  const struct stops g = { all(4e6), all(0.5), all(0.13) };        // N/m, s/m, m
  static const double at[][2] = { { 0.131, 0 }, { 0.131, 0.8 }, { 0.131, -0.8 }, { 0.131, -3 }, { -0.002, -0.5 }, { -0.002, 3 }, { 0.06, 1 } };
  for (unsigned i = 0; i < sizeof at/sizeof *at; i++) {
    double x = at[i][0], v = at[i][1], step = 1e-7, deep = fmax(x - 0.13, 0), out = fmax(-x, 0);
    struct force f = stop_force(&g, all(x), all(v));
    near(f.f[0], 4e6*(deep*fmax(1 + 0.5*v, 0) - out*fmax(1 - 0.5*v, 0)), 1e-9, "by hand: rate, depth, 1 + damping times speed");
    struct force up = stop_force(&g, all(x + step), all(v)), down = stop_force(&g, all(x - step), all(v));
    near(f.x[0], (up.f[0] - down.f[0])/(2*step), 10, "difference of the force, N/m");
    up = stop_force(&g, all(x), all(v + step)), down = stop_force(&g, all(x), all(v - step));
    near(f.v[0], (up.f[0] - down.f[0])/(2*step), 0.1, "difference of the force, N s/m");
  }
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("laws");
  TCase *cases = tcase_create("laws");
  tcase_add_loop_test(cases, no_corner, 0, LAWS);
  tcase_add_loop_test(cases, slope_is_that_of_the_flow, 0, LAWS);
  tcase_add_loop_test(cases, valve_from_the_table_is_exact, VALVE, LAWS);
  tcase_add_test(cases, stops_push_and_never_pull);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
