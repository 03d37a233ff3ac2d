// Shim stacks against closed forms of one plate, printed tables, and an independent solution of stacks.
#include "near.h"

#include "dampfork/shims.h"
#include "parts/plate.h"

static const double E = 206e9, NU = 0.3, CLAMP = 6e-3; // Pa, 1, m
static const char ROARK[] = "annular plate, Roark table 11.2 cases 1l and 2l, computed from the closed form";
static const char STACK[] = "finite elements and a semi-analytic solution, which agree to 2e-6 (docs/theory.md)";
static const double PAIR = 2e-6;              // 1, how well the two solutions of STACK agree

static struct df_shim shim(double count, double radius_mm, double thickness_mm)
{
  return (struct df_shim){count, 2e-3*radius_mm, 1e-3*thickness_mm};
}

static struct df_shim_load pressed(double pascal, double inner, double outer)
{
  return (struct df_shim_load){.pressure = pascal, .inner = inner, .outer = outer};
}

static struct df_shim_load ringed(double newton, double radius)
{
  return (struct df_shim_load){.ring = newton, .ring_radius = radius};
}

// Lift of the face's edge in m; fails the test if there is none.
static double edge_lift(const struct df_shim *shims, int n, const struct df_shim_load *load)
{
  struct df_shim_bent bent;
  ck_assert_int_eq(df_shim_stack_bend(shims, n, CLAMP, E, NU, load, 0.5*shims[0].diameter, &bent), DF_OK);
  return bent.lift;
}

// ---- one plate -----------------------------------------------------------------------------------------

START_TEST(one_plate_meets_the_closed_form)
{
  static const double ratio[] = {0.1, 0.3, 0.5};
  static const double pressure_w[] = {0.075693054, 0.031818237, 0.0085886361};
  static const double pressure_m[] = {0.96456699, 0.41033828, 0.17356910};
  static const double ring_w[] = {0.26913012, 0.13894717, 0.050454807};
  static const double ring_m[] = {2.5553639, 1.3819990, 0.78887548};
  double a = 15e-3, t = 0.2e-3, d = df_plate_rigidity(E, NU, t), last = 3e-8; // half of the eighth digit
  struct df_shim one = {1, 2*a, t};
  for (int i = 0; i < 3; i++) {
    struct df_shim_bent bent;
    struct df_shim_load load = pressed(1e4, 0, a);
    ck_assert_int_eq(df_shim_stack_bend(&one, 1, ratio[i]*a, E, NU, &load, a, &bent), DF_OK);
    near_share(bent.lift*d/(1e4*pow(a, 4)), pressure_w[i], last, ROARK);
    near_share(bent.clamp_stress*t*t/6/(1e4*a*a), pressure_m[i], last, ROARK);
    load = ringed(2*M_PI*a, a);               // 1 N for each metre of edge
    ck_assert_int_eq(df_shim_stack_bend(&one, 1, ratio[i]*a, E, NU, &load, a, &bent), DF_OK);
    near_share(bent.lift*d/pow(a, 3), ring_w[i], last, ROARK);
    near_share(bent.clamp_stress*t*t/6/a, ring_m[i], last, ROARK);
  }
}
END_TEST

// Lift of the free edge of one plate under pressure all over, m/Pa.
static double closed_form(double a, double b, double rigidity, double nu)
{
  double q = b/a, l = log(q), q2 = q*q;
  double n = q2*q2*q2*(nu - 1) - q2*q2*(4*(1 + nu)*l + 5*nu - 7)
    + q2*(16*(1 + nu)*l*l + (4*nu - 20)*l + 7*nu + 1) - (7 + 3*nu);
  return pow(a, 4)/rigidity*n/(64*(q2*(nu - 1) - (1 + nu)));
}

START_TEST(any_radius_ratio_and_poisson)
{
  for (double ratio = 0.05; ratio < 0.96; ratio += 0.05)
    for (double nu = 0; nu < 0.5; nu += 0.15) {
      double a = 12e-3, t = 0.15e-3;
      struct df_shim one = {1, 2*a, t};
      struct df_shim_load load = pressed(1, 0, a);
      struct df_shim_bent bent;
      ck_assert_int_eq(df_shim_stack_bend(&one, 1, ratio*a, E, nu, &load, a, &bent), DF_OK);
      // narrow rings: the closed form loses digits to cancellation, (1 - ratio)^-4 of them
      near_share(bent.lift, closed_form(a, ratio*a, df_plate_rigidity(E, nu, t), nu),
                 1e-12 + 1e-14/pow(1 - ratio, 4), ROARK);
    }
}
END_TEST

START_TEST(printed_tables)
{
  static const double ratio[] = {1.25, 1.5, 2, 3, 4, 5}; // a/b
  static const double all_over[] = {0.00231, 0.0183, 0.0938, 0.28902, 0.448, 0.564};
  static const double at_edge[] = {0.00510, 0.0249, 0.0877, 0.209, 0.29376, 0.350};
  double a = 20e-3, t = 0.3e-3;
  struct df_shim one = {1, 2*a, t};
  for (int i = 0; i < 6; i++) {
    const char *source = "Wahl & Lobo 1930 by way of handbooks; 0.293 cut and 0.293 misprint replaced";
    struct df_shim_bent bent;
    struct df_shim_load load = pressed(1, 0, a);
    ck_assert_int_eq(df_shim_stack_bend(&one, 1, a/ratio[i], E, NU, &load, a, &bent), DF_OK);
    near_share(bent.lift*E*pow(t, 3)/pow(a, 4), all_over[i], 0.005, source); // three digits and slide rule
    load = ringed(1, a);
    ck_assert_int_eq(df_shim_stack_bend(&one, 1, a/ratio[i], E, NU, &load, a, &bent), DF_OK);
    near_share(bent.lift*E*pow(t, 3)/pow(a, 2), at_edge[i], 0.005, source);
  }
}
END_TEST

// Slope and moment of a plate over the radius (rigidity by radius, N m): the plate's equations as they stand.
struct step { double slope, moment, lift; };
static struct step grow(struct step at, double r, double rigidity, double force_outside)
{
  double bend = at.moment/rigidity - NU*at.slope/r, across = rigidity*(at.slope/r + NU*bend);
  return (struct step){bend, -force_outside/(2*M_PI*r) - (at.moment - across)/r, at.slope};
}

static struct step moved(struct step at, struct step by, double h)
{
  return (struct step){at.slope + h*by.slope, at.moment + h*by.moment, at.lift + h*by.lift};
}

// Rigidity at a radius where all shims that reach it are bonded.
static double bonded(const struct df_shim *shims, int n, double r)
{
  double sum = 0;
  for (int i = 0; i < n; i++)
    if (0.5*shims[i].diameter > r) sum += shims[i].count*df_plate_rigidity(E, NU, shims[i].thickness);
  return sum;
}

// From the clamp with this moment to the edge by Runge and Kutta's steps; all edges on whole steps of 1 um.
static struct step shot(const struct df_shim *shims, int n, double pascal, double moment)
{
  struct step at = {0, moment, 0};
  double edge = 0.5*shims[0].diameter, h = 1e-6;
  int steps = (int)lround((edge - CLAMP)/h);
  for (int i = 0; i < steps; i++) {
    double r = CLAMP + i*h, rigid = bonded(shims, n, r + 0.5*h), load[3];
    for (int k = 0; k < 3; k++) load[k] = pascal*M_PI*(edge*edge - pow(r + 0.5*k*h, 2));
    struct step a = grow(at, r, rigid, load[0]), b = grow(moved(at, a, 0.5*h), r + 0.5*h, rigid, load[1]);
    struct step c = grow(moved(at, b, 0.5*h), r + 0.5*h, rigid, load[1]);
    struct step d = grow(moved(at, c, h), r + h, rigid, load[2]);
    at = moved(moved(moved(moved(at, a, h/6), b, h/3), c, h/3), d, h/6);
  }
  return at;
}

// Edge lift of the bonded stack under pressure: the moment at the clamp that leaves none at the edge.
static double stepped_lift(const struct df_shim *shims, int n, double pascal)
{
  struct step none = shot(shims, n, pascal, 0), one = shot(shims, n, pascal, 1);
  double moment = -none.moment/(one.moment - none.moment);
  return none.lift + moment*(one.lift - none.lift);
}

START_TEST(plates_obey_their_equation)
{
  struct df_shim one = shim(1, 15, 0.2);
  struct df_shim_load load = pressed(1e4, CLAMP, 15e-3);
  near_share(stepped_lift(&one, 1, 1e4), edge_lift(&one, 1, &load), 1e-10, "9000 steps of order four");
}
END_TEST

START_TEST(force_and_lift_trade_places)
{
  struct df_shim one = shim(1, 15, 0.2);
  struct df_shim_load inner = ringed(3, 9e-3), outer = ringed(3, 13e-3);
  struct df_shim_bent a, b;
  ck_assert_int_eq(df_shim_stack_bend(&one, 1, CLAMP, E, NU, &inner, 13e-3, &a), DF_OK);
  ck_assert_int_eq(df_shim_stack_bend(&one, 1, CLAMP, E, NU, &outer, 9e-3, &b), DF_OK);
  near_share(a.lift, b.lift, 1e-12, "Maxwell's theorem");
}
END_TEST

// ---- stacks ----------------------------------------------------------------------------------------------

START_TEST(stacks_in_contact)
{
  struct df_shim three[] = {shim(1, 15, 0.15), shim(1, 12, 0.15), shim(1, 9, 0.15)}, twice = shim(2, 15, 0.15);
  struct df_shim_load load = pressed(1e4, CLAMP, 15e-3), ring = ringed(5, 14e-3);
  near_share(1e6*edge_lift(three, 2, &load), 74.213406, PAIR, STACK);
  near_share(1e6*edge_lift(three, 3, &load), 57.933394, PAIR, STACK);
  near_share(1e6*edge_lift(three, 2, &ring), 115.590286, PAIR, STACK);
  near(1e6*edge_lift(&twice, 1, &load), 70.116241, 5e-7, STACK);
}
END_TEST

START_TEST(equal_shims_add_their_cubes)
{
  struct df_shim mixed[] = {shim(2, 15, 0.15), shim(1, 15, 0.25), shim(3, 15, 0.1)};
  struct df_shim one = shim(1, 15, cbrt(2*pow(0.15, 3) + pow(0.25, 3) + 3*pow(0.1, 3)));
  struct df_shim_load load = pressed(1e4, 8e-3, 14e-3);
  near_share(edge_lift(mixed, 3, &load), edge_lift(&one, 1, &load), 1e-12, "equal deflections: rigidities add");
}
END_TEST

START_TEST(bonded_plate_is_a_lower_bound)
{
  struct df_shim even[] = {shim(1, 15, 0.15), shim(1, 12, 0.15), shim(1, 9, 0.15)};
  struct df_shim backed[] = {shim(1, 15, 0.1), shim(1, 12, 0.3), shim(1, 9, 0.3)};
  struct df_shim_load load = pressed(1e4, CLAMP, 15e-3);
  double low = stepped_lift(even, 3, 1e4)/edge_lift(even, 3, &load);
  ck_assert_msg(low > 0.93 && low < 0.99, "equal thicknesses: bonded is %.4f of the stack; 1-7 %% lower expected", low);
  low = stepped_lift(backed, 3, 1e4)/edge_lift(backed, 3, &load);
  ck_assert_msg(low > 0.70 && low < 1, "thin on thick: bonded is %.4f of the stack; up to 28 %% lower expected", low);
}
END_TEST

static double random_share(unsigned *state)
{
  *state = *state*1664525u + 1013904223u;     // Knuth's numbers, from memory
  return *state/4294967296.0;
}

// Stacks of any diameters in any order settle, and a shim more behind never softens them.
START_TEST(any_stack_settles)
{
  unsigned seed = 7;
  for (int trial = 0; trial < 30; trial++) {
    struct df_shim stack[12] = {shim(1, 15, 0.1 + 0.2*random_share(&seed))};
    struct df_shim_load load = pressed(1e4, CLAMP, 14e-3), ring = ringed(5, 13e-3);
    double before = INFINITY, before_ring = INFINITY;
    for (int n = 1; n <= 12; n++) {
      double now = edge_lift(stack, n, &load), now_ring = edge_lift(stack, n, &ring);
      ck_assert_msg(now > 0 && now <= before*(1 + 1e-7), "stack %d of %d: %g after %g m", trial, n, now, before);
      ck_assert_msg(now_ring > 0 && now_ring <= before_ring*(1 + 1e-7), "stack %d of %d, ring: %g after %g m", trial, n,
                    now_ring, before_ring);
      before = now;
      before_ring = now_ring;
      if (n < 12)
        stack[n] = shim(1 + floor(3*random_share(&seed)), 5 + 9.5*random_share(&seed), 0.1 + 0.2*random_share(&seed));
    }
  }
}
END_TEST

START_TEST(load_scales_the_lift)
{
  struct df_shim stack[] = {shim(2, 15, 0.15), shim(1, 9, 0.1), shim(1, 14, 0.2), shim(1, 11, 0.2)};
  struct df_shim_load one = pressed(1e3, 8e-3, 14e-3), ten = pressed(1e4, 8e-3, 14e-3);
  near_share(edge_lift(stack, 4, &ten), 10*edge_lift(stack, 4, &one), 1e-9, "contact without gaps is homogeneous");
}
END_TEST

// ---- what the valve needs --------------------------------------------------------------------------------

START_TEST(stack_of_one)
{
  struct df_shim one = shim(1, 20, 0.2);
  struct df_shim_stack stack;
  double a = 20e-3, d = df_plate_rigidity(E, NU, 0.2e-3);
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, CLAMP, a, 0, E, NU, &stack), DF_OK); // b/a = 0.3
  near_share(stack.pressure_lift, 0.031818237*pow(a, 4)/d, 4e-8, ROARK);
  near_share(stack.ring_lift, 0.13894717*a*a/(2*M_PI)/d, 4e-8, ROARK);
  near_share(stack.area, 2*M_PI*a*a*0.031818237/0.13894717, 4e-8, ROARK);
  double loaded = M_PI*(a*a - CLAMP*CLAMP);
  ck_assert_msg(stack.area < 0.55*loaded, "pressure acts on %.3f of the loaded area; half is expected", stack.area/loaded);
  near(stack.hardening, 0.2535, 0, "von Karman plate, b/a 0.3");
  near(stack.stiffness*stack.ring_lift, 1, 1e-15, "definition");
  near_share(df_shim_stress(&stack, 1e-3), 6/(4e-8)*1.3819990/(2*M_PI)*stack.stiffness*1e-3, 4e-8, ROARK);
  ck_assert(isinf(stack.free_lift));
  struct df_valve valve = {.seat_diameter = 2*a, .shim_n = 1, .shims = {one}, .shim_clamp = 2*CLAMP, .shim_modulus = E,
                           .stop = 0.7e-3, .shim_dish = 0.3e-3};
  near_share(df_valve_shim_stress(&valve), df_shim_stress(&stack, 1e-3), 1e-12, "lift from flat: stop and dish");
  valve.shim_n = 0;
  ck_assert(isnan(df_valve_shim_stress(&valve)));
}
END_TEST

START_TEST(shims_share_the_moment)
{
  struct df_shim one = shim(1, 15, 0.2), three = shim(3, 15, 0.2), mixed[] = {shim(1, 15, 0.3), shim(2, 15, 0.2)};
  struct df_shim_load load = ringed(5, 14e-3);
  struct df_shim_bent alone, shared, unlike;
  ck_assert_int_eq(df_shim_stack_bend(&one, 1, CLAMP, E, NU, &load, 15e-3, &alone), DF_OK);
  ck_assert_int_eq(df_shim_stack_bend(&three, 1, CLAMP, E, NU, &load, 15e-3, &shared), DF_OK);
  ck_assert_int_eq(df_shim_stack_bend(mixed, 2, CLAMP, E, NU, &load, 15e-3, &unlike), DF_OK);
  near_share(shared.clamp_stress, alone.clamp_stress/3, 1e-12, "three equal shims");
  near_share(shared.stress, alone.stress/3, 1e-12, "three equal shims");
  near_share(unlike.stress/unlike.lift, 1.5*alone.stress/alone.lift, 1e-12, "at one lift stress goes as thickness");
}
END_TEST

START_TEST(lift_hardens_the_stack)
{
  static const double ratio[] = {0.1, 0.3, 0.5, 0.7}, high[] = {0.22, 0.18, 0.11, 0.04};
  for (int i = 0; i < 4; i++) {
    struct df_shim_stack stack = {.stiffness = 1, .face_thickness = 1, .hardening = df_shim_hardening(ratio[i])};
    near(df_shim_force(&stack, 0.85, NULL)/0.85 - 1, high[i], 0.006, "linear theory too high at 0.85 t, printed to 1 %");
    double slope, step = 1e-6;
    df_shim_force(&stack, 0.6, &slope);
    near((df_shim_force(&stack, 0.6 + step, NULL) - df_shim_force(&stack, 0.6 - step, NULL))/(2*step), slope, 1e-9,
         "difference quotient");
  }
  near(df_shim_hardening(0.05), 0.302, 0, "constant outside");
  near(df_shim_hardening(0.9), 0.0529, 0, "constant outside");
}
END_TEST

START_TEST(shims_meet_across_a_small_one)
{
  struct df_shim crossed[] = {shim(1, 15, 0.15), shim(1, 9, 0.1), shim(1, 14, 0.15)};
  struct df_shim pyramid[] = {shim(1, 15, 0.15), shim(1, 14, 0.15), shim(1, 9, 0.1)};
  struct df_shim_stack stack;
  ck_assert_int_eq(df_shim_stack_solve(crossed, 3, CLAMP, 14e-3, 9e-3, E, NU, &stack), DF_OK);
  // at 14 mm the face has to bend 0.1 mm more than the shim behind the small one, which hardly bends
  ck_assert_msg(stack.free_lift > 0.1e-3 && stack.free_lift < 0.2e-3, "free lift %g m", stack.free_lift);
  ck_assert_int_eq(df_shim_stack_solve(pyramid, 3, CLAMP, 14e-3, 9e-3, E, NU, &stack), DF_OK);
  ck_assert(isinf(stack.free_lift));
}
END_TEST

START_TEST(nonsense_is_refused)
{
  struct df_shim one = shim(1, 15, 0.15), small = shim(1, 5, 0.15), none = shim(0, 15, 0.15);
  struct df_shim_stack out;
  ck_assert_int_eq(df_shim_stack_solve(&one, 0, CLAMP, 14e-3, 9e-3, E, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, CLAMP, 15.1e-3, 9e-3, E, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, CLAMP, 5e-3, 0, E, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, CLAMP, 14e-3, 14e-3, E, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, 0, 14e-3, 9e-3, E, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, CLAMP, 14e-3, 9e-3, NAN, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&small, 1, CLAMP, 14e-3, 9e-3, E, NU, &out), DF_BAD_INPUT);
  ck_assert_int_eq(df_shim_stack_solve(&none, 1, CLAMP, 14e-3, 9e-3, E, NU, &out), DF_BAD_INPUT);
  one.thickness = NAN;
  ck_assert_int_eq(df_shim_stack_solve(&one, 1, CLAMP, 14e-3, 9e-3, E, NU, &out), DF_BAD_INPUT);
}
END_TEST

// Radial moment = rigidity (w'' + nu w'/r), by differences of the deflection, inside and outside of where the load acts.
static double deflection(const struct df_plate *plate, int pressure, double r)
{
  double at = 10e-3, to = 12e-3;
  struct df_plate_bend bend = pressure ? df_plate_pressure(plate, at, to) : df_plate_ring(plate, at);
  double beyond = r <= at ? 0 : !pressure ? df_plate_ring_beyond(plate, at, r) : df_plate_pressure_beyond(plate, at, fmin(to, r), r);
  return df_plate_lift(plate, bend, r) + beyond;
}

START_TEST(moments_are_those_of_the_shape)
{
  struct df_plate plate = {CLAMP, 15e-3, df_plate_rigidity(E, NU, 0.2e-3), NU};
  static const double radius[] = {7e-3, 9e-3, 12.5e-3, 14e-3};
  for (int pressure = 0; pressure < 2; pressure++)
    for (int i = 0; i < 4; i++) {
      double r = radius[i], h = 2e-5, at = 10e-3;
      struct df_plate_bend bend = pressure ? df_plate_pressure(&plate, at, 12e-3) : df_plate_ring(&plate, at);
      double moment = df_plate_moment(&plate, bend, r);
      if (r > at) moment += pressure ? df_plate_pressure_moment_beyond(&plate, at, 12e-3, r) : df_plate_ring_moment_beyond(&plate, at, r);
      double here = deflection(&plate, pressure, r), out = deflection(&plate, pressure, r + h), in = deflection(&plate, pressure, r - h);
      double curved = (out - 2*here + in)/(h*h), slope = (out - in)/(2*h);
      near(moment, plate.rigidity*(curved + NU*slope/r), 2e-3*fabs(moment) + 1e-9, "Kirchhoff's plate, differences of the deflection");
    }
  // A free edge bears no moment.
  double edge = df_plate_moment(&plate, df_plate_ring(&plate, 10e-3), 15e-3) + df_plate_ring_moment_beyond(&plate, 10e-3, 15e-3);
  near(edge, 0, 1e-9, "a free edge");
}
END_TEST

// A thin face over a thick, smaller shim bends where that ends: as if it were clamped there.
START_TEST(stress_is_greatest_where_a_stiff_shim_ends)
{
  struct df_shim stack[] = {shim(1, 15, 0.1), shim(1, 10, 3)};
  struct df_shim_load load = ringed(20, 15e-3);
  struct df_shim_bent bent, held;
  ck_assert_int_eq(df_shim_stack_bend(stack, 2, CLAMP, E, NU, &load, 15e-3, &bent), DF_OK);
  ck_assert_int_eq(df_shim_stack_bend(stack, 1, 10e-3, E, NU, &load, 15e-3, &held), DF_OK);
  near_share(bent.stress, held.clamp_stress, 0.05, "the same plate clamped at 10 mm; a shim pushes only, so the face turns a little there");
  ck_assert_msg(bent.stress > 1.3*bent.clamp_stress, "%g, %g", bent.stress, bent.clamp_stress);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("shims");
  TCase *cases = tcase_create("shims");
  tcase_set_timeout(cases, 60);
  tcase_add_test(cases, one_plate_meets_the_closed_form);
  tcase_add_test(cases, any_radius_ratio_and_poisson);
  tcase_add_test(cases, printed_tables);
  tcase_add_test(cases, plates_obey_their_equation);
  tcase_add_test(cases, moments_are_those_of_the_shape);
  tcase_add_test(cases, stress_is_greatest_where_a_stiff_shim_ends);
  tcase_add_test(cases, force_and_lift_trade_places);
  tcase_add_test(cases, stacks_in_contact);
  tcase_add_test(cases, equal_shims_add_their_cubes);
  tcase_add_test(cases, bonded_plate_is_a_lower_bound);
  tcase_add_test(cases, any_stack_settles);
  tcase_add_test(cases, load_scales_the_lift);
  tcase_add_test(cases, stack_of_one);
  tcase_add_test(cases, shims_share_the_moment);
  tcase_add_test(cases, lift_hardens_the_stack);
  tcase_add_test(cases, shims_meet_across_a_small_one);
  tcase_add_test(cases, nonsense_is_refused);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
