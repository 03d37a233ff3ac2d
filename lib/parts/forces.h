// Springs, stops, cone and friction of one leg in lanes, each with its slopes. Sources: docs/theory.md.
#ifndef DF_PARTS_FORCES_H
#define DF_PARTS_FORCES_H

#include "parts/paths.h"

struct force { lane f, x, v; };                // N; df/dx, N/m; df/dv, N s/m

// Coil compressed by c: `soft` up to `change`, `hard` up to `bind`, then 2 MN/m. One rate: change = bind.
struct coil { lane soft, hard, change, bind, preload; };  // N/m, N/m, m, m, m
LANE struct force coil_force(const struct coil *g, lane x)
{
  lane c = larger(x + g->preload, zero());
  lane first = smaller(c, g->change), second = clipped(c - g->change, zero(), g->bind - g->change), bound = larger(c - g->bind, zero());
  lane slope = choose(c < g->change, g->soft, choose(c < g->bind, g->hard, all(2e6)));
  return (struct force){ g->soft*first + g->hard*second + 2e6*bound, where(c > 0.0, slope), zero() };
}
LANE lane coil_energy(const struct coil *g, lane x)       // J
{
  lane c = larger(x + g->preload, zero());
  lane first = smaller(c, g->change), second = clipped(c - g->change, zero(), g->bind - g->change), bound = larger(c - g->bind, zero());
  lane at_change = g->soft*g->change, at_bind = at_change + g->hard*(g->bind - g->change);
  return 0.5*g->soft*first*first + second*(at_change + 0.5*g->hard*second) + bound*(at_bind + 1e6*bound);
}

// Metal stops at both ends; damping grows with the force, so none of them jumps.
struct stops { lane rate, damping, travel; };  // N/m, s/m, m
LANE struct force stop_force(const struct stops *g, lane x, lane v)
{
  lane deep = larger(x - g->travel, zero()), out = larger(-x, zero());
  lane in = 1.0 + g->damping*v, back = 1.0 - g->damping*v;
  mask closing = in > 0.0, opening_ = back > 0.0;
  in = where(closing, in), back = where(opening_, back);
  lane slope_v = where(closing, g->rate*deep*g->damping) + where(opening_, g->rate*out*g->damping);
  return (struct force){ g->rate*(deep*in - out*back), where(deep > 0.0, g->rate*in) + where(out > 0.0, g->rate*back), slope_v };
}

// Bottoming cone: oil squeezed out of a narrowing gap over the last of the travel.
struct cone { lane start, per_length, gap_start, narrowing, tube_bore, trapped, viscous, inertial; };
//            m      1/m         m          m (end-start) m          m2       Pa s m, kg/m3 scale
// suction: most the pressure may fall, Pa; by_suction: d force/d suction, m2.
LANE struct force cone_force(const struct cone *g, lane x, lane v, lane suction, lane *by_suction)
{
  lane depth = x - g->start;
  mask in = depth > 0.0;
  *by_suction = zero();
  if (!any(in)) return (struct force){ zero(), zero(), zero() };
  lane share = depth*g->per_length;
  mask narrowing = share < 1.0;
  lane gap = g->gap_start + g->narrowing*smaller(larger(share, zero()), all(1));
  lane gap_x = where(in & narrowing, g->narrowing*g->per_length);
  lane diameter = g->tube_bore - gap, per_gap = 1.0/gap, per_diameter = 1.0/diameter;
  lane k1 = g->viscous*per_diameter*per_gap*per_gap*per_gap, k2 = g->inertial*(per_diameter*per_gap)*(per_diameter*per_gap);
  lane q = g->trapped*v, size = magnitude(q);
  lane dp = q*(k1 + k2*size), dp_v = g->trapped*(k1 + 2.0*k2*size);
  lane dp_x = q*(k1*(per_diameter - 3.0*per_gap) + k2*size*2.0*(per_diameter - per_gap))*gap_x;
  mask void_under = dp < -suction;             // on the way out the pressure cannot fall below the vapour's
  dp = choose(void_under, -suction, dp), dp_v = choose(void_under, zero(), dp_v), dp_x = choose(void_under, zero(), dp_x);
  lane fade = smoothstep(depth*1e3), fade_x = 1e3*smoothstep_slope(depth*1e3);
  lane a = g->trapped;
  *by_suction = where(in & void_under, -fade*a);
  return (struct force){ where(in, fade*a*dp), where(in, a*(fade*dp_x + fade_x*dp)), where(in, fade*a*dp_v) };
}

// Bristle of the seal's and bushes' friction: xi in about -ratio..ratio, its rate and slopes.
struct bristle { lane per_presliding, over_breakaway, per_speed; };    // 1/m, ratio - 1, s/m
struct bristle_rate { lane rate, xi, v; };                             // 1/s, d/dxi, d/dv
LANE struct bristle_rate bristle_rate(const struct bristle *g, lane xi, lane v)
{
  // over the level G = (1 + u^2 + ratio - 1)/(1 + u^2)
  lane u = v*g->per_speed, square = 1.0 + u*u, sum = square + g->over_breakaway, per_sum = 1.0/sum, per_level = square*per_sum;
  lane speed = magnitude(v);
  lane by_v = 2.0*g->over_breakaway*u*g->per_speed*per_sum*per_sum;    // d(1/G)/dv
  struct bristle_rate r;
  r.rate = (v - speed*xi*per_level)*g->per_presliding;
  r.xi = -speed*per_level*g->per_presliding;
  r.v = (1.0 - xi*(signed_as(per_level, v) + speed*by_v))*g->per_presliding;
  return r;
}
// Steady friction over its level at fork speed v.
LANE lane bristle_level(const struct bristle *g, lane v)
{
  lane u = v*g->per_speed;
  return 1.0 + g->over_breakaway/(1.0 + u*u);
}

#endif
