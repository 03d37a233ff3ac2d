// The valve's plate with its mass, in lanes: lift y and its speed w are states. Sources: docs/theory.md.
#ifndef DF_PARTS_INERTIA_H
#define DF_PARTS_INERTIA_H

#include "parts/valve.h"

struct plate_at {
  struct flow flow;           // through the ports: what leaves the rod's bore
  lane q_y, q_w;              // its slopes with lift and plate speed
  lane rate, rate_from, rate_to, rate_y, rate_w;  // w' in m/s2 and its slopes
};

// Curtain flow q_c with ports*(q_c + a)|q_c + a| + k1 q_c + k2 q_c|q_c| = dp; a: what the plate's own motion takes.
// The left side rises with q_c and is a quadratic between q_c = 0 and q_c = -a; the signs are found first.
LANE lane plate_curtain(lane ports, lane k1, lane k2, lane a, lane dp)
{
  lane at_zero = ports*a*magnitude(a), at_still = -(k1*a + k2*a*magnitude(a));
  lane sc = choose(dp >= at_zero, all(1), all(-1)), sp = choose(dp >= at_still, all(1), all(-1));
  lane square = sp*ports + sc*k2, linear = k1 + 2.0*sp*ports*a, rest = sp*ports*a*a - dp;
  lane root = lane_sqrt(larger(linear*linear - 4.0*square*rest, zero()));
  mask rising = linear > 0.0;
  return choose(rising, -2.0*rest/(choose(rising, linear, zero()) + root + 1e-300),
                (root - linear)/choose(magnitude(square) > 0.0, 2.0*square, all(1)));
}

LANE struct plate_at plate_at(const struct valve *g, lane mass, lane damping, lane dp, lane y, lane w)
{
  mask above = y > 1e-7;
  lane h = choose(above, y, all(1e-7)), per = 1.0/h, per2 = per*per;
  lane k1 = (g->creep + g->land*per)*per2, k2 = g->jet_loss*per2;
  lane a = g->area*w, qc = plate_curtain(g->ports, k1, k2, a, dp), qp = qc + a;
  lane size = magnitude(qc), through = 2.0*g->ports*magnitude(qp), seat = k1 + 2.0*k2*size;
  lane per_sum = 1.0/(seat + through);
  lane k1_y = where(above, -(2.0*g->creep + 3.0*g->land*per)*per2*per), k2_y = where(above, -2.0*k2*per);
  lane drop = qc*(k1 + k2*size), drop_y = qc*(k1_y + k2_y*size);
  lane qc_p = per_sum, qc_w = -through*g->area*per_sum, qc_y = -drop_y*per_sum;
  lane force_y, force = valve_spring(g, y, &force_y);
  mask low = y < 0.0, high = y > g->stop;
  lane held = where(low, -1e6*y) - where(high, 1e6*(y - g->stop)), held_y = where(low | high, all(-1e6)), held_w = where(low | high, all(20));
  mask lifted = y > 0.0;
  lane arm = g->area - where(lifted, g->jet*y), per_mass = 1.0/mass;
  struct plate_at r;
  r.flow = (struct flow){ qp, qc_p, -qc_p };
  r.q_y = qc_y, r.q_w = qc_w + g->area;
  r.rate = (drop*arm - force - (damping + held_w)*w + held)*per_mass;
  r.rate_from = seat*qc_p*arm*per_mass, r.rate_to = -r.rate_from;
  r.rate_y = ((drop_y + seat*qc_y)*arm - where(lifted, drop*g->jet) - force_y + held_y)*per_mass;
  r.rate_w = (seat*qc_w*arm - damping - held_w)*per_mass;
  return r;
}

#endif
