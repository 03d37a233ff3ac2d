// Restrictions of the oil in lanes: every path returns its flow and the flow's slopes. Laws and sources: docs/theory.md.
// Flows are oil volumes at p0, m3/s; pressures Pa.
#ifndef DF_PARTS_PATHS_H
#define DF_PARTS_PATHS_H

#include "base/lane.h"

struct path { lane k1, k2; };                  // Pa s/m3, Pa s2/m6
struct hole { lane k1, k2, choke; };           // choke: m3/s per root pascal, the most flow is choke*sqrt(p_up - pv)
struct flow { lane q, from, to; };             // m3/s; dq/d(pressure it comes from), dq/d(pressure it goes to), m3/(s Pa)

LANE struct flow flow_none(void) { return (struct flow){ zero(), zero(), zero() }; }
LANE struct flow flow_sum(struct flow a, struct flow b) { return (struct flow){ a.q + b.q, a.from + b.from, a.to + b.to }; }

// Two-term law dp = k1 q + k2 q|q|, solved for q without cancellation; one division serves flow and slope.
LANE struct flow path_flow(struct path p, lane dp)
{
  lane drop = magnitude(dp);                   // Pa
  lane root = lane_sqrt(p.k1*p.k1 + 4.0*p.k2*drop);
  lane sum = p.k1 + root, inverse = 1.0/(root*sum);
  lane slope = sum*inverse;                    // 1/root
  return (struct flow){ signed_as(2.0*drop*root*inverse, dp), slope, -slope };
}

// The same with the limit of a vapour-choked jet: the flow then hangs on the pressure it comes from alone.
// Work that no lane needs is skipped here and below; a lane's numbers are the same either way.
LANE struct flow hole_flow(struct path p, lane choke, lane p_from, lane p_to, lane pv)
{
  struct flow f = path_flow(p, p_from - p_to);
  mask forward = f.q >= 0.0;
  lane up = choose(forward, p_from, p_to) - pv;
  mask choked = f.q*f.q > choke*choke*up;
  if (!any(choked)) return f;
  lane most = choke*lane_sqrt(up), slope = 0.5*choke*choke/(most + 1e-300);
  f.q = choose(choked, signed_as(most, f.q), f.q);
  f.from = choose(choked, where(forward, slope), f.from);
  f.to = choose(choked, where(~forward, -slope), f.to);
  return f;
}

// Both edges of a drilled hole: `in` for flow into the rod (from > to), `out` for flow out of it.
LANE struct flow drilled_flow(struct hole in, struct hole out, lane p_from, lane p_to, lane pv)
{
  mask inwards = p_from >= p_to;
  struct path p = { choose(inwards, in.k1, out.k1), choose(inwards, in.k2, out.k2) };
  return hole_flow(p, choose(inwards, in.choke, out.choke), p_from, p_to, pv);
}

// Opening of a spring-held plate between `crack` and `full`, and its slope in dp, 1/Pa.
LANE lane opening(lane dp, lane crack, lane per_range, lane *slope)
{
  lane u = (dp - crack)*per_range;
  *slope = smoothstep_slope(u)*per_range;
  return smoothstep(u);
}

// One-way area path that opens smoothly with the pressure difference; nothing flows back.
LANE struct flow one_way_flow(struct path p, lane crack, lane per_range, lane dp)
{
  if (!any(dp > crack)) return flow_none();
  lane steep, open = opening(dp, crack, per_range, &steep);
  struct flow f = path_flow(p, larger(dp, zero()));
  lane slope = open*f.from + steep*f.q;
  return (struct flow){ open*f.q, slope, -slope };
}

#endif
