// The drop-in valve in lanes: a plate on a seat, held by a coil spring, by shims, or by both. Sources: docs/theory.md.
#ifndef DF_PARTS_VALVE_H
#define DF_PARTS_VALVE_H

#include "parts/paths.h"

// Constants at the oil's temperature. The curtain's law is k1 = creep/y^2 + land/y^3, k2 = jet_loss/y^2.
struct valve {
  lane area;                  // m2, effective area under the plate
  lane jet;                   // m, momentum of the jet takes jet*y off the area
  lane rate, preload;         // N/m, N
  lane shim_rate;             // N/m
  lane shim_dish;             // m
  lane shim_stiffening;       // 1/m2, force = shim_rate q (1 + shim_stiffening q^2)
  lane stop;                  // m
  lane creep, land, jet_loss; // Pa s/m, Pa s, Pa s2/m4
  lane ports;                 // Pa s2/m6
  lane crack;                 // Pa across the valve
  lane stop_drop;             // Pa across the valve at which the plate meets its stop
  lane table_scale;           // 1/root pascal: nodes per sqrt(dp - crack)
};

enum { VALVE_NODES = 64 };    // lift at equal steps of sqrt(dp - crack); the guess is within 1e-4, see tests
// Lift and its difference to the next node, interleaved; one table a ride.
struct valve_table { double lift[VALVE_NODES + 1][2]; /* m; m a node step */ };

LANE lane valve_spring(const struct valve *g, lane y, lane *slope)
{
  lane q = y + g->shim_dish, square = g->shim_stiffening*q*q;
  *slope = g->rate + g->shim_rate*(1.0 + 3.0*square);
  return g->preload + g->rate*y + g->shim_rate*q*(1.0 + square);
}

// At lift y: seat drop, flow, and their slopes in y. A floor keeps the quotients finite at y = 0.
struct valve_at { lane seat, seat_slope, q, q_slope; };
LANE struct valve_at valve_at_lift(const struct valve *g, lane y)
{
  y = larger(y, all(1e-12));
  lane force_slope, force = valve_spring(g, y, &force_slope);
  lane per_area = 1.0/(g->area - g->jet*y);
  struct valve_at at;
  at.seat = force*per_area;
  at.seat_slope = (force_slope + g->jet*at.seat)*per_area;
  lane a = g->creep*y + g->land, y2 = y*y, y3 = y2*y;
  lane root = lane_sqrt(a*a + 4.0*g->jet_loss*at.seat*y2*y2), sum = a + root, inverse = 1.0/(root*sum);
  at.q = 2.0*at.seat*y3*root*inverse;
  at.q_slope = (at.seat_slope*y3 + 3.0*at.seat*y2 - at.q*(g->creep + g->jet_loss*at.q))*sum*inverse;
  return at;
}

// Lift guessed from the table: cubic Hermite between nodes.
LANE lane valve_guess(const struct valve *g, const struct valve_table *const *table, lane dp)
{
  lane u = lane_sqrt(larger(dp - g->crack, zero()))*g->table_scale;
  u = smaller(u, all(VALVE_NODES - 1e-9));
  lane whole = (u - 0.5 + 6755399441055744.0) - 6755399441055744.0;
  whole = larger(whole, zero());
  mask at = (mask)(whole + 4503599627370496.0) & (VALVE_NODES - 1);   // in range whatever dp is
  lane y0, y1, m0, m1;
  const double *node[DF_LANES];
  for (int i = 0; i < DF_LANES; i++) node[i] = table[i]->lift[at[i]];
  lane_fours(node, &y0, &m0, &y1, &m1);
  lane w = u - whole, rise = y1 - y0;
  return y0 + w*(m0 + w*((3.0*rise - 2.0*m0 - m1) + w*(m0 + m1 - 2.0*rise)));
}

// Flow through the lifted plate for dp across the whole valve, and the lift. One Newton step from the table, carried into the flow,
// leaves 1e-8 of it (measured in tests); slope by the implicit formula. Flow is once continuously differentiable at cracking.
LANE struct flow valve_flow(const struct valve *g, const struct valve_table *const *table, lane dp, lane *lift)
{
  *lift = zero();
  if (!any(dp > g->crack)) return flow_none();
  lane y = valve_guess(g, table, dp);
  struct valve_at at = valve_at_lift(g, y);
  lane drop = at.seat + g->ports*at.q*at.q, drop_slope = at.seat_slope + 2.0*g->ports*at.q*at.q_slope;
  lane per_slope = 1.0/drop_slope, off = (dp - drop)*per_slope;
  lane q = at.q + at.q_slope*off, slope = at.q_slope*per_slope;
  y += off;

  mask open = dp > g->crack, full = dp >= g->stop_drop;
  q = larger(q, zero());
  if (any(full)) {                                     // on the stop: a fixed curtain in series with the ports
    lane s = g->stop, s2 = s*s;
    lane k1 = (g->creep*s + g->land)/(s2*s), k2 = g->jet_loss/s2 + g->ports;
    struct flow wide = path_flow((struct path){ k1, k2 }, larger(dp, zero()));
    y = choose(full, s, y), q = choose(full, wide.q, q), slope = choose(full, wide.from, slope);
  }
  *lift = where(open, y);
  q = where(open, q), slope = where(open, slope);
  return (struct flow){ q, slope, -slope };
}

#endif
