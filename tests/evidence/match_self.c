// The comparison of rides finds a fault put into any channel; the library's table of an edge is as
// good as the closed form in a ride.
#include "near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "second_match.h"

static const double road_speed = 40/3.6; // m/s

static void edge_road(struct df_road *road)
{
  *road = (struct df_road){.kind = df_road_kind_find("edge"), .speed = road_speed, .repeat = 1,
                           .gap = 1, .contact = -1, .window = NAN};
  road->keys[0] = 0.025;
}

static void ride_edge(struct df_scenario *s, double (*height)(const void *, double, double *),
                      const void *road, struct second_ride *ride)
{
  struct second_case c = {.scenario = s, .height = height, .road = road, .speed = road_speed,
                          .start = -1, .end = 0.6, .every = 1e-3, .tolerance = 1e-9};
  second_ride_init(ride, &c);
  ck_assert_int_eq(ride->status, 0);
}

static double tabulated(const void *road, double s, double *slope)
{
  double w;
  df_profile_at(road, s, &w, slope, NULL);
  return w;
}

START_TEST(table_of_an_edge)
{
  struct df_scenario s;
  struct df_road road;
  struct df_profile profile;
  struct second_edge edge = {0.025, 0, 0.3};
  struct second_ride exact, table;
  double travel = 0, load = 0;
  appendix_a_scenario(&s, _i);
  edge_road(&road);
  ck_assert_int_eq(df_profile_init(&profile, &road, &s.tyre, NULL), DF_OK);
  ride_edge(&s, second_edge_height, &edge, &exact);
  ride_edge(&s, tabulated, &profile, &table);
  for (int i = 0; i < exact.n; i++) {
    travel = fmax(travel, fabs(exact.at[i].travel - table.at[i].travel));
    load = fmax(load, fabs(exact.at[i].tyre - table.at[i].tyre));
  }
  near(travel, 0, 3e-7, "closed form of the rolling disc over a step; 74 mm of travel");
  near(load, 0, 0.1, "closed form of the rolling disc over a step; 4281 N at most");
  df_profile_finish(&profile);
  second_ride_finish(&exact), second_ride_finish(&table);
}
END_TEST

// A ride of the library's form with the numbers of the second.
static void disguise(const struct second_ride *from, struct df_ride *to, double *store)
{
  *to = (struct df_ride){.legs = 1, .leg_count = 2, .energy_residual = NAN};
  to->trace = (struct df_trace){.n = from->n, .step = from->at[1].t};
  for (int i = 0; i < from->n; i++) {
    const struct second_sample *s = &from->at[i];
    double row[] = {s->distance, s->travel, s->acceleration, s->damping[0], s->p[0][1], s->lift[0]};
    for (int k = 0; k < 6; k++) store[k*from->n + i] = row[k];
  }
  static const int channels[] = {DF_C_DISTANCE, DF_C_TRAVEL, DF_C_ACCELERATION, DF_C_DAMPING,
                                 DF_C_P_ANNULUS, DF_C_LIFT};
  for (int k = 0; k < 6; k++) to->trace.at[channels[k]] = store + k*from->n;
}

START_TEST(faults_are_found)
{
  struct df_scenario s;
  struct second_edge edge = {0.025, 0, 0.3};
  struct second_ride second;
  struct df_ride first;
  appendix_a_scenario(&s, 1);
  ride_edge(&s, second_edge_height, &edge, &second);
  double *store = malloc(6*second.n*sizeof *store);
  disguise(&second, &first, store);
  struct second_off off = second_match(&first, &second);
  near(off.share, 0, 0, "the same numbers");
  ck_assert_int_eq(off.channels, 6);
  ck_assert_int_eq(off.samples, second.n);
  store[second.n + 77] += 1e-6;
  off = second_match(&first, &second);
  ck_assert_str_eq(off.what, "travel");
  near(off.at, 0.077, 1e-12, "where the fault was put");
  store[5*second.n + 300] = NAN;
  ck_assert_str_eq(second_match(&first, &second).what, "lift");
  free(store);
  second_ride_finish(&second);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("match_self");
  TCase *cases = tcase_create("match_self");
  tcase_set_timeout(cases, 30);
  tcase_add_loop_test(cases, table_of_an_edge, 0, 2);
  tcase_add_test(cases, faults_are_found);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
