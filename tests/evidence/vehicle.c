// The front of the vehicle with linear parts: modes, gains, mean squares, the roughness index.
#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>

#include "dampfork/road.h"
#include "evidence.h"
#include "linear.h"

static const double pi = 3.14159265358979323846;

// ---- rear corner of a saloon car
static struct mode saloon(int which)
{
  struct quarter car = {317.5, 45.4, 22e3, 0, 192e3, 0};
  struct pieces p = quarter_pieces(&car);
  return quarter_mode(&p, which);
}
static double saloon_frequency(double which) { return saloon((int)which).im; }
static double saloon_shape(double which) { return saloon((int)which).wheel_over_body; }

static double wong_hertz(double which)
{
  struct quarter car = {1814, 181, 88e3, 0, 704e3, 0};
  struct pieces p = quarter_pieces(&car);
  return quarter_mode(&p, (int)which).im/(2*pi);
}

// ---- zeros of what a suspension force does, whatever the suspension: the sign of gain times determinant turns there
static const struct quarter active = {300, 60, 16e3, 1000, 190e3, 0};

static double smallest_gain(enum quarter_output out, double from, double to)
{
  struct pieces p = quarter_pieces(&active);
  for (int i = 0; i < 200; i++) {                      // golden section on the size of the gain
    double a = to - 0.6180339887498949*(to - from), b = from + 0.6180339887498949*(to - from);
    if (quarter_size(&p, a, BY_FORCE, out) < quarter_size(&p, b, BY_FORCE, out)) to = b;
    else from = a;
  }
  return 0.5*(from + to);
}

static double tyre_hop(double unused) { (void)unused; return smallest_gain(BODY_ACCELERATION, 45, 70); }
static double rattlespace(double unused) { (void)unused; return smallest_gain(TRAVEL, 15, 30); }

// ---- one mass on one spring: a wheel of 1 mg on a tyre as good as rigid
static struct quarter one_mass(double mass, double rate, double damping)
{
  return (struct quarter){mass, 1e-6, rate, damping, 1e12, 0};
}

static double sine_road(double amplitude)
{
  struct quarter car = one_mass(1200, 400e3, 2*0.5*sqrt(400e3*1200));
  struct pieces p = quarter_pieces(&car);
  return amplitude*quarter_size(&p, 2*pi*(20/3.6)/6, BY_ROAD, BODY);
}

static struct mode motorcycle(void)
{
  struct quarter bike = one_mass(200, 2358.2652, 554.4981);
  struct pieces p = quarter_pieces(&bike);
  return quarter_mode(&p, 0);
}
static double damped_period(double unused) { (void)unused; return 2*pi/motorcycle().im; }
static double half_cycle(double unused) { (void)unused; struct mode m = motorcycle(); return exp(pi*m.re/m.im); }

// ---- invariants of Hedrick & Butsuen, on three suspensions
static double invariant(double which)
{
  struct quarter car = {240, 36, which > 1 ? 40e3 : 16e3, which > 0 ? 3000 : 980, 160e3, 0};
  struct pieces p = quarter_pieces(&car);
  return quarter_size(&p, sqrt(160e3/36), BY_ROAD_VELOCITY, BODY_ACCELERATION);
}

static double travel_invariant(double which)
{
  struct quarter car = {240, 36, which > 1 ? 40e3 : 16e3, which > 0 ? 3000 : 980, 160e3, 0};
  struct pieces p = quarter_pieces(&car);
  return quarter_size(&p, sqrt(160e3/276), BY_ROAD, TRAVEL);
}

// ---- a car on a road of class B at 20 m/s
static double rough_road(enum quarter_output out)
{
  struct quarter car = {240, 36, 16e3, 980, 160e3, 0};
  struct pieces p = quarter_pieces(&car);
  return sqrt(quarter_mean_square(&p, 2*pi*pi*64e-6*0.01*20, out));
}
static double rough_body(double unused) { (void)unused; return rough_road(BODY_ACCELERATION); }
static double rough_travel(double unused) { (void)unused; return 1e3*rough_road(TRAVEL); }

// ---- roughness index: the car of 1 kg that all roads are measured with, 80 km/h
static const struct quarter golden = {1, 0.15, 63.3, 6, 653, 0};
static const double speed = 80/3.6;

static double transition(double place) // 11 .. 44: row, column
{
  double st[4][4];
  struct pieces p = quarter_pieces(&golden);
  quarter_transition(&p, 0.25/speed, st);
  return st[(int)place/10 - 1][(int)place%10 - 1];
}

static double index_gain(double wave)
{
  struct pieces p = quarter_pieces(&golden);
  return quarter_size(&p, 2*pi*speed/wave, BY_ROAD_VELOCITY, TRAVEL_VELOCITY);
}

// Index in mm/m of a road of Gd(1 rad/m) = 1e-6 m3: mean size of a Gaussian slope, 1e-6 rad/m through the car.
static double iso_index(double unused)
{
  (void)unused;
  struct pieces p = quarter_pieces(&golden);
  return 1e3*sqrt(2/pi)*sqrt(quarter_mean_square(&p, pi*1e-6*speed, TRAVEL_VELOCITY))/speed;
}

// ---- bus: determinant at s = j omega against the polynomial of the tutorial's parameters
static double bus(double omega)
{
  struct quarter b = {2500, 320, 80e3, 350, 500e3, 15020};
  struct pieces p = quarter_pieces(&b);
  double re = 8e5*pow(omega, 4) - 1.480857e9*omega*omega + 4e10, im = -3.8537e7*pow(omega, 3) + 1.3766e9*omega;
  double nr = -2820*omega*omega + 5e5, ni = 15020*omega;
  return quarter_size(&p, omega, BY_FORCE, TRAVEL)*hypot(re, im)/hypot(nr, ni);
}

// ---- sine hump of 4.8 m and 120 mm at 30 km/h: greatest upward acceleration of a car's body, in g
struct crossing { struct pieces pieces; struct df_profile road; double speed; };
static int crossing_rates(double t, const double y[], double dy[], void *given)
{
  const struct crossing *c = given;
  double height, slope;
  df_profile_at(&c->road, c->speed*t - 0.5, &height, &slope, 0);
  for (int i = 0; i < 4; i++) {
    dy[i] = c->pieces.a[i][4]*height + c->pieces.a[i][5]*slope*c->speed;
    for (int j = 0; j < 4; j++) dy[i] += c->pieces.a[i][j]*y[j];
  }
  return GSL_SUCCESS;
}

static double sine_hump(double kmh)
{
  struct quarter car = {240, 36, 16e3, 980, 160e3, 0};
  struct crossing c = {.pieces = quarter_pieces(&car), .speed = kmh/3.6};
  struct df_road road = {.kind = df_road_kind_find("haversine"), .speed = kmh/3.6, .repeat = 1, .gap = 1, .contact = -1,
    .keys = {0.12, 4.8}};
  struct df_tyre tyre = {.radius = 0.3, .footprint_length = 0.1, .section_height = 0.1, .contact = DF_CONTACT_DISC};
  if (df_profile_init(&c.road, &road, &tyre, 0)) return NAN;
  gsl_odeiv2_system system = {crossing_rates, 0, 4, &c};
  gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rkf45, 1e-4, 1e-9, 1e-9);
  double y[4] = {0}, dy[4], t = 0, most = 0;
  for (int i = 1; i <= 2000; i++) {
    if (gsl_odeiv2_driver_apply(driver, &t, i*1e-3, y) != GSL_SUCCESS) most = NAN;
    crossing_rates(t, y, dy, &c);
    if (dy[1] > most) most = dy[1];
  }
  gsl_odeiv2_driver_free(driver);
  df_profile_finish(&c.road);
  return most/9.80665;
}

static const char barton[] = "Barton & Fieldhouse, Automotive Chassis Engineering";
static const char mathworks[] = "MathWorks, Robust control of active suspension (example)";
static const char rao[] = "S. S. Rao, Mechanical Vibrations (transcription)";
static const char e1926[] = "ASTM E1926 / Sayers, World Bank technical paper 46";
static const char seven[] = "seven digits printed, single precision";
static const char hedrick[] = "Hedrick & Butsuen 1990, invariants of the quarter car, by hand";
static const char white[] = "Quarter car on white road velocity, closed form, by hand";
static const char peaks[] = "Gain of the roughness index on a sine, solved apart";

static const struct evidence rows[] = {
  {"vehicle", 'P', barton, "page 209", "317.5, 45.4 kg, 22, 192 kN/m: 7.87 rad/s", saloon_frequency,
    0, 7.87, 0.01, "rad/s", "its quadratic has rounded coefficients (4786 for 4783)"},
  {"vehicle", 'P', barton, "page 209", "68.73 rad/s", saloon_frequency, 1, 68.73, 0.03, "rad/s",
    "its quadratic has rounded coefficients (4786 for 4783): 0.03 %"},
  {"vehicle", 'P', barton, "page 209", "wheel over body in the first mode 0.104", saloon_shape, 0,
    0.104, 6e-4, "", "half of the last digit printed"},
  {"vehicle", 'P', mathworks, "300, 60 kg, 16 kN/m, 1000 N s/m, 190 kN/m",
    "tyre-hop zero 56.27 rad/s", tyre_hop, 0, 56.27, 0.006, "rad/s",
    "half of the last digit printed"},
  {"vehicle", 'P', mathworks, "the same", "rattlespace zero 22.97 rad/s", rattlespace, 0, 22.97,
    0.006, "rad/s", "half of the last digit printed"},
  {"vehicle", 'P', rao, "sine road", "1200 kg, 400 kN/m, zeta 0.5, 20 km/h, 0.05 m, 6 m: 0.0550 m",
    sine_road, 0.05, 0.0550, 6e-5, "m", "half of the last digit printed"},
  {"vehicle", 'P', rao, "example 2-14", "200 kg, 2358.2652 N/m, 554.4981 N s/m: damped period 2 s",
    damped_period, 0, 2, 1e-4, "s",
    "its constants carry the rounding of the logarithmic decrement, 2e-5"},
  {"vehicle", 'P', rao, "example 2-14", "a quarter of the amplitude after half a cycle", half_cycle,
    0, 0.25, 1e-4, "", "the same"},
  {"vehicle", 'P', "Belgian Road Research Centre, road humps",
    "sine hump, 4.8 m long, 120 mm high", "about 0.5 g in a car at 30 km/h", sine_hump, 30, 0.5, 0.15,
    "g", "said to be about; a middling car: 240, 36 kg a corner, 16 kN/m, 980 N s/m, 160 kN/m"},
  {"vehicle", 'M', "J. Y. Wong, Theory of Ground Vehicles", "example",
    "1814, 181 kg, 88, 704 kN/m: 1.04 Hz", wong_hertz, 0, 1.04, 0.02, "Hz",
    "its approximate formulas are 2 % off"},
  {"vehicle", 'M', "J. Y. Wong, Theory of Ground Vehicles", "example", "10.5 Hz", wong_hertz, 1,
    10.5, 0.1, "Hz", "its approximate formulas"},
  {"vehicle", 'C', hedrick, "16 kN/m, 980 N s/m", "|z_s''/z_r'| 10 at sqrt(kt/mu)", invariant, 0,
    10, 1e-7, "1/s", "exact; read off by differences"},
  {"vehicle", 'C', hedrick, "40 kN/m, 3000 N s/m", "10 again", invariant, 2, 10, 1e-7, "1/s",
    "exact; read off by differences"},
  {"vehicle", 'C', hedrick, "16 kN/m, 3000 N s/m", "|travel/z_r| 1.15 at sqrt(kt/(ms + mu))",
    travel_invariant, 1, 1.15, 1e-7, "", "exact; read off by differences"},
  {"vehicle", 'C', white, "240, 36 kg, 16 kN/m, 980 N s/m, 160 kN/m, class B, 20 m/s",
    "0.70854 m/s2", rough_body, 0, 0.70854, 6e-6, "m/s2",
    "half of the last digit computed; the library's gain integrated by GSL"},
  {"vehicle", 'C', white, "the same", "5.96481 mm", rough_travel, 0, 5.96481, 6e-6, "mm",
    "half of the last digit computed; the library's gain integrated by GSL"},
  {"vehicle", 'C',
    "University of Michigan control tutorial, bus (parameters printed, polynomial by hand)",
    "5 rad/s", "ratio 1", bus, 5, 1, 1e-7, "", "exact; read off by differences"},
  {"vehicle", 'C',
    "University of Michigan control tutorial, bus (parameters printed, polynomial by hand)",
    "40 rad/s", "ratio 1", bus, 40, 1, 1e-7, "", "exact; read off by differences"},
  {"roughness index", 'P', e1926, "ST, 0.25 m", "row 1, column 1: 0.9966071", transition, 11,
    0.9966071, 1e-6, "", seven},
  {"roughness index", 'P', e1926, "ST, 0.25 m", "row 1, column 2: 0.01091514", transition, 12,
    0.01091514, 1e-8, "", seven},
  {"roughness index", 'P', e1926, "ST, 0.25 m", "row 2, column 3: -0.8324718", transition, 23,
    -0.8324718, 1e-6, "", seven},
  {"roughness index", 'P', e1926, "ST, 0.25 m", "row 3, column 3: 0.7508714", transition, 33,
    0.7508714, 1e-6, "", seven},
  {"roughness index", 'P', e1926, "ST, 0.25 m", "row 4, column 3: -39.12762", transition, 43,
    -39.12762, 4e-5, "", seven},
  {"roughness index", 'P', e1926, "ST, 0.25 m", "row 4, column 4: 0.4347564", transition, 44,
    0.4347564, 1e-6, "", seven},
  {"roughness index", 'C', peaks, "wave of 2.292 m", "1.6765", index_gain, 2.292, 1.6765, 6e-5, "",
    "half of the last digit computed"},
  {"roughness index", 'C', peaks, "wave of 15.777 m", "1.5376", index_gain, 15.777, 1.5376, 6e-5,
    "", "half of the last digit computed"},
  {"roughness index", 'M', "Johannesson & Rychlik 2012", "IRI = 2.21 sqrt(C)", "2.21 mm/m at C = 1",
    iso_index, 0, 2.21, 0.006, "mm/m",
    "half of the last digit printed; without the 250 mm average"},
};
EVIDENCE_GROUP(evidence_vehicle, "vehicle", rows);
