// Drilling a rod: what is left, how it is stressed, where the holes go.
#include "near.h"

#include "dampfork/drill.h"

// Area left of a ring with n holes, counted on a grid: holes at equal angles, as wide as they are drilled.
static double counted(double outside, double bore, double diameter, int n)
{
  int cells = 2000, inside = 0;
  double step = outside/cells;
  for (int i = 0; i < cells; i++)
    for (int j = 0; j < cells; j++) {
      double x = (i + 0.5)*step - 0.5*outside, y = (j + 0.5)*step - 0.5*outside, r = hypot(x, y);
      if (r > 0.5*outside || r < 0.5*bore) continue;
      int cut = 0;
      for (int k = 0; k < n; k++) {
        double angle = 2*M_PI*k/n, along = x*cos(angle) + y*sin(angle), across = y*cos(angle) - x*sin(angle);
        cut |= along > 0 && fabs(across) < 0.5*diameter;
      }
      inside += !cut;
    }
  return inside*step*step;
}

START_TEST(section_left)
{
  for (int n = 0; n <= 4; n += 2)
    near_share(df_drill_section(22e-3, 14e-3, 6.35e-3, n), counted(22e-3, 14e-3, 6.35e-3, n), 2e-3,
               "counted on a grid of 2000 x 2000");
  near_share(df_drill_section(22e-3, 14e-3, 0, 0), M_PI/4*(484 - 196)*1e-6, 1e-14, "whole ring");
  ck_assert(isnan(df_drill_section(22e-3, 14e-3, 14e-3, 1)));
  ck_assert(isnan(df_drill_section(22e-3, 14e-3, 10e-3, 4)));
}
END_TEST

START_TEST(stress_concentration)
{
  near(df_drill_concentration(0), 3, 0, "Kirsch 1898: exactly 3 in a wide plate");
  near(df_drill_concentration(0.5), 2.156, 5e-4, "Howland 1930, Peterson's polynomial (from memory)");
  for (double share = 0.01; share < 0.9; share += 0.01)
    ck_assert(df_drill_concentration(share) < df_drill_concentration(share - 0.01));
}
END_TEST

START_TEST(strength_of_a_drilled_rod)
{
  struct df_drill_strength whole, drilled;
  ck_assert_int_eq(df_drill_check(22e-3, 14e-3, 6.35e-3, 0, 3000, 350e6, &whole), DF_OK);
  ck_assert_int_eq(df_drill_check(22e-3, 14e-3, 6.35e-3, 2, -3000, 350e6, &drilled), DF_OK);
  near(whole.share, 1, 0, "nothing drilled");
  near_share(whole.stress, 3000/(M_PI/4*(484 - 196)*1e-6), 1e-12, "force over section");
  near(drilled.share, 0.770, 5e-4, "1/4 in pair in a 22/14 mm rod, computed");
  double k = df_drill_concentration(6.35/(M_PI*9));
  near_share(drilled.stress, k*3000/drilled.section, 1e-12, "definition");
  near_share(drilled.safety*drilled.stress, 350e6, 1e-12, "definition");
  ck_assert_int_eq(df_drill_check(14e-3, 22e-3, 6e-3, 2, 3000, 350e6, &drilled), DF_BAD_INPUT);
  ck_assert_int_eq(df_drill_check(22e-3, 14e-3, 14e-3, 2, 3000, 350e6, &drilled), DF_BAD_INPUT);
}
END_TEST

START_TEST(lay_out_of_pairs)
{
  struct df_drill_hole hole[8];
  int pairs = df_drill_layout(18e-3, DF_DRILL_SPACING, 4, 6.35e-3, INFINITY, hole);
  ck_assert_int_eq(pairs, 4);
  near(hole[6].height, 48e-3, 1e-15, "10 mm apart");
  near(fabs(remainder(hole[0].angle - hole[1].angle, 2*M_PI)), M_PI, 1e-12, "opposite each other");
  near(fabs(remainder(hole[0].angle - hole[2].angle, M_PI)), M_PI_2, 1e-12, "a quarter turn to the next pair");
  near(fabs(remainder(hole[0].angle - hole[4].angle, M_PI)), 0, 1e-12, "in line with the next but one");
  double limit = df_drill_limit(48.175e-3, 6.35e-3);
  near(limit, 44e-3, 1e-15, "tube's end less half a hole less 1 mm");
  ck_assert_int_eq(df_drill_layout(28e-3, 10e-3, 3, 6.35e-3, limit, hole), 2);
  ck_assert_int_eq(df_drill_layout(24e-3, 10e-3, 3, 6.35e-3, limit, hole), 3); // 44 mm is allowed
  ck_assert_int_eq(df_drill_layout(45e-3, 10e-3, 3, 6.35e-3, limit, hole), 0);
}
END_TEST

START_TEST(wall_between_holes)
{
  struct df_drill_hole hole[6];
  df_drill_layout(18e-3, 10e-3, 3, 6.35e-3, INFINITY, hole);
  double radius = 9e-3, quarter = radius*M_PI_2;
  near(df_drill_wall_between(&hole[0], &hole[2], radius), hypot(10e-3, quarter) - 6.35e-3, 1e-15, "unrolled");
  near(df_drill_wall_between(&hole[0], &hole[4], radius), 20e-3 - 6.35e-3, 1e-15, "in line");
  near(df_drill_wall_between(&hole[0], &hole[1], radius), M_PI*radius - 6.35e-3, 1e-15, "half round");
  struct df_drill_hole late = {18e-3, 1.5*M_PI, 6.35e-3};
  near(df_drill_wall_between(&hole[0], &late, radius), quarter - 6.35e-3, 1e-15, "the short way round");
  near(df_drill_ligament(hole, 6, radius), (hypot(10e-3, quarter) - 6.35e-3)/6.35e-3, 1e-12, "the least of all");
  ck_assert(df_drill_ligament(hole, 6, radius) > DF_DRILL_LIGAMENT);
  hole[2].angle = hole[0].angle;              // two pairs in line, 10 mm apart: too close
  ck_assert(df_drill_ligament(hole, 6, radius) < DF_DRILL_LIGAMENT);
  ck_assert(isinf(df_drill_ligament(hole, 1, radius)));
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("drill");
  TCase *cases = tcase_create("drill");
  tcase_add_test(cases, section_left);
  tcase_add_test(cases, stress_concentration);
  tcase_add_test(cases, strength_of_a_drilled_rod);
  tcase_add_test(cases, lay_out_of_pairs);
  tcase_add_test(cases, wall_between_holes);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
