// The valve on the rod: when it opens, how far, what the jet does to it.
#include <math.h>

#include "evidence.h"
#include "leg/model.h"
#include "second_leg.h"

static const double pi = 3.14159265358979323846;
static const double psi = 6894.757293, inch = 0.0254, lbf = 4.4482216152605; // Pa, m, N

// A poppet of this area (m2), spring (N/m) and preload (m) in the library's valve; ports and jet as asked.
static struct valve valve_with(double area, double rate, double preload, double jet, double ports)
{
  struct df_scenario s;
  appendix_a_scenario(&s, 1);
  struct df_valve *v = &s.side[0].valve;
  v->seat_diameter = sqrt(4*area/pi);
  v->spring_rate = rate;
  v->preload = preload;
  v->jet_coefficient = jet;
  v->port_area = ports;
  v->stop = 0.2*v->seat_diameter;
  struct valve out = {0};
  struct df_leg_model *leg = df_leg_create(&s, 0, 0);
  if (!leg) return out;
  struct leg_single single;
  df_leg_single_init(&single, leg);
  out = single.at.valve;
  df_leg_destroy(leg);
  return out;
}

// ---- Esposito 8-1: 0.75 in2, 2500 lb/in, 0.20 in of preload
static struct valve esposito(void)
{
  return valve_with(0.75*inch*inch, 2500*lbf/inch, 0.20*inch, 0, 1);
}

static double opens_at(double unused)
{
  (void)unused;
  struct valve v = esposito();
  return v.crack[0]/psi;
}

// Pressure on the seat at a lift in inches.
static double holds_open(double lift)
{
  struct valve v = esposito();
  return valve_at_lift(&v, all(lift*inch)).seat[0]/psi;
}

// The same from the other side: lift in inches at a pressure across the valve in psi, ports taking nothing.
static double lift_at(double pressure)
{
  struct valve v = esposito();
  double lift;
  df_valve_exact(&v, pressure*psi, 0, &lift, 0);
  return lift/inch;
}

// ---- Bhandari 10.9: a safety valve of 50 mm, 2945.2 N of preload
static double safety_valve(double preload_mm)
{
  struct valve v = valve_with(0.25*pi*0.05*0.05, 117808, preload_mm*1e-3, 0, 1);
  return v.crack[0]/1e6;
}

// ---- jet: what the oil's momentum takes off the plate's load, over curtain area times seat pressure
static double jet_share(double lift)
{
  struct valve with = valve_with(200e-6, 11e3, 3e-3, 0.43, 113e-6), without = valve_with(200e-6, 11e3, 3e-3, 0, 113e-6);
  double seat = valve_at_lift(&with, all(lift)).seat[0], calm = valve_at_lift(&without, all(lift)).seat[0];
  double area = 200e-6, curtain = pi*sqrt(4*area/pi)*lift;
  return (seat - calm)*area/(seat*curtain);
}

// ---- curtain at large Reynolds numbers: Q = Cd pi D y sqrt(2 dp/rho), ports in series
static double curtain_flow(double lift)
{
  struct valve v = valve_with(200e-6, 11e3, 3e-3, 0, 1);
  v.creep = all(0);
  v.land = all(0);
  struct valve_at at = valve_at_lift(&v, all(lift));
  double curtain = pi*sqrt(4*200e-6/pi)*lift;
  return at.q[0]/(curtain*sqrt(2*at.seat[0]/860.5531));
}

static const char book[] = "A. Esposito, Fluid Power with Applications";
static const char bhandari[] = "V. B. Bhandari, Design of Machine Elements (transcription)";

static const struct evidence rows[] = {
  {"valve", 'P', book, "example 8-1", "0.75 in2, 2500 lb/in, preload 0.20 in: opens at 667 psi",
    opens_at, 0, 667, 0.5, "psi", "half of the last digit printed"},
  {"valve", 'P', book, "example 8-1", "0.10 in of lift: 1000 psi", holds_open, 0.10, 1000, 0.5,
    "psi", "half of the last digit printed"},
  {"valve", 'C', book, "example 8-1, the other way round", "1000 psi lift it 0.10 in", lift_at,
    1000, 0.10, 2e-5, "in", "ports of 1 m2 stand in for none"},
  {"valve", 'P', bhandari, "example 10.9", "50 mm seat, preload 25 mm: 1.5 MPa", safety_valve, 25,
    1.5, 1e-4, "MPa", "rate from the rounded force, 0.002 %"},
  {"valve", 'M', "von Mises 1917; Merritt, Hydraulic Control Systems 1967",
    "jet at 69 degrees, Cd 0.611, Cv 0.98", "2 Cd Cv cos 69 = 0.43 of curtain area times pressure",
    jet_share, 0.5e-3, 0.43, 1e-9, "", "the coefficient itself: a check of where it acts"},
  {"valve", 'M', "von Mises 1917; Merritt, Hydraulic Control Systems 1967",
    "plate valve, discharge of the curtain 0.6-0.7", "0.65 at large Reynolds numbers", curtain_flow,
    0.5e-3, 0.65, 1e-6, "", "the coefficient itself; viscous part taken away"},
};
EVIDENCE_GROUP(evidence_valve, "valve", rows);
