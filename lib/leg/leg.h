// One leg in lanes: from oil amounts, travel and fork speed to pressures, flows, forces and all their slopes.
// Sections of docs/theory.md are named at each block. Widths and instruction sets: base/lane.h.
#ifndef DF_LEG_LEG_H
#define DF_LEG_LEG_H

#include "base/lane.h"
#include "dampfork/path.h"
#include "parts/forces.h"
#include "parts/inertia.h"
#include "parts/paths.h"
#include "parts/inertia.h"
#include "parts/valve.h"

struct lane_leg {
#define real lane
#include "leg/leg_fields.h"
#undef real
};

// What a leg is made of: the same for every lane of a batch, so that branches on it cost nothing and never diverge.
struct leg_kind {
  int valved;                 // chamber R exists, with a valve over it
  int linear;                 // the linear leg
  int inertia;                // the plate is a state
  int thermal;                // the gas temperature is a state
  int law;                    // enum df_law
  int covered;                // holes change chamber with travel
  int holes_n, rebound_n;     // groups of holes, where they are covered; 0 otherwise
  int gap;                    // the piston has a gap beside its ring's
  int hot;                    // oil heats up, or hot oil takes room
};

// One group of drilled holes and what covers it. Lanes only: filled like the constants.
struct lane_group { lane viscous[2], inertial[2], choke[2], per_radius, lower_edge, upper_edge; };
// share open to the far side: (y - lower_edge)*per_radius; to the annulus: (upper_edge - y)*per_radius
enum { LEG_GROUPS = DF_HOLE_GROUPS_MAX };
struct lane_groups { struct lane_group holes[LEG_GROUPS], rebound[LEG_GROUPS]; };

// What cannot be a lane: tables and laws looked up one ride at a time.
struct leg_aside {
  struct valve_table valve;
  struct df_hole_set holes, rebound, bleed;
  int holes_n, rebound_n;     // groups, for coverage
  // where each group is covered: m of y = travel - x (holes), of x (rebound); -INFINITY, INFINITY: never
  double travel, lower_edge[DF_HOLE_GROUPS_MAX], upper_edge[DF_HOLE_GROUPS_MAX], rebound_edge[DF_HOLE_GROUPS_MAX]; // m
};

// Coefficients at the oil's temperature.
struct leg_paths {
  struct hole holes[2], rebound[2], bleed;     // [0] in, [1] out; holes with the bore in series
  struct path check, leak, ring, gap, back;
  struct valve valve;
  lane bore_k1, bore_k2, mu, rho, cone_viscous, cone_inertial, hot_room;
};

struct leg_const {
  const struct lane_leg *g;
  const struct leg_paths *at;
  const struct lane_groups *groups;            // NULL unless covered
  const struct leg_aside *const *aside;        // DF_LANES of them
  const struct valve_table *const *table;      // DF_LANES of them; unused without a valve
};

// A chamber's pressure and its slopes with the amount of oil in it and with travel.
struct chamber { lane p, w, x; };              // Pa, Pa/m3, Pa/m

struct leg_eval {
  struct chamber l, a, r, c;                   // lower, annulus, rod, column; c.w holds for any of the amounts
  lane c_theta;                                // Pa, column's slope with the gas temperature
  lane gas;                                    // m3
  struct flow lr, la, leak, ar, ac, rc, bleed, back, valve;  // rc: all three of the valve's paths
  lane lr_x, ar_x;                             // m2/s, slopes of covered holes with travel
  struct plate_at plate;                       // only where the plate is a state
  lane lift;                                   // m
  lane air_damping;                            // N: pressures on all faces
  struct force coil, top_out, stop, cone;
  lane cone_p;                                 // m2, cone's slope with the lower chamber's pressure
};

// ---- oil and chambers (section 2) ----
LANE struct chamber chamber_at(const struct lane_leg *g, lane volume, lane volume_x, lane amount)
{
  lane b = g->half_width*amount - volume, s = lane_sqrt(b*b + g->air_term*amount*amount), far = s + magnitude(b);  // (2.2) times W
  mask pressed = b > 0.0;
  lane over = g->stiffness*choose(pressed, far, g->air_term*amount)/choose(pressed, amount, far);                  // p - pv
  lane slope = -over/s;                                                 // dp/dV
  return (struct chamber){ g->vapour + over, -slope*volume/amount, slope*volume_x };
}

// Enthalpy of oil, J per m3 at p0 (2.3).
LANE lane oil_enthalpy(const struct lane_leg *g, lane p)
{
  lane d = p - 101325.0;
  return 101325.0 + g->liquid*(d - d*d/(2.0*g->bulk)) + g->air*lane_log((p - g->vapour)/(101325.0 - g->vapour));
}
LANE lane oil_energy(const struct lane_leg *g, lane p)                  // u = h - p v
{
  lane v = g->liquid*(1.0 - (p - 101325.0)/g->bulk) + g->air/(p - g->vapour);
  return oil_enthalpy(g, p) - p*v;
}

// ---- air column (section 4) ----
LANE struct chamber column_at(const struct lane_leg *g, const struct leg_kind *kind, lane hot_room, lane x, lane amounts, lane theta,
                              lane *gas, lane *p_theta)
{
  lane volume = g->gas_offset - g->bore_area*x + amounts;
  if (kind->hot) volume -= hot_room;
  lane floor = 1e-3*g->gas_start;
  mask room = volume > floor;
  volume = choose(room, volume, floor);
  lane per_volume = 1.0/volume, ratio = g->gas_start*per_volume;
  lane p, n;
  if (kind->thermal) {
    *p_theta = g->fill_pressure*ratio;
    p = *p_theta*theta, n = all(1);
  } else {
    n = g->exponent, p = g->fill_pressure*lane_pow(ratio, n), *p_theta = zero();
  }
  lane slope = where(room, -n*p*per_volume);                            // dp/dV
  *gas = volume;
  return (struct chamber){ p, slope, -g->bore_area*slope };
}

// ---- drilled holes that the tube's end or the piston passes (section 3.5) ----
struct share { lane open, x; };
LANE struct share share_at(lane u, lane u_x)
{
  mask inside = magnitude(u) < 1.0;
  lane c = clipped(u, all(-1), all(1)), width = lane_sqrt(1.0 - c*c);
  lane open = 0.5 + (c*width + lane_asin(c))*0.31830988618379067154;
  return (struct share){ where(open >= 1e-6, open), where(inside, 0.63661977236758134308*width*u_x) };
}

struct covered { struct hole h; lane k1_x, k2_x, choke_x; };            // and the slopes of all three with travel
struct gather { lane g1, g2, choke, g1_x, g2_x, choke_x; };             // sums of 1/K1, 1/sqrt(K2) and choke areas
LANE void gather_add(struct gather *sum, const struct lane_group *hole, int side, struct share s)
{
  lane a = 1.0/hole->viscous[side], b = 1.0/lane_sqrt(hole->inertial[side]);
  sum->g1 += s.open*a, sum->g2 += s.open*b, sum->choke += s.open*hole->choke[side];
  sum->g1_x += s.x*a, sum->g2_x += s.x*b, sum->choke_x += s.x*hole->choke[side];
}
// As K1, K2, choke in the oil at hand, with the bore behind; nothing open is as good as closed.
LANE struct covered gather_end(const struct gather *sum, const struct leg_paths *at, int bore)
{
  lane k1 = at->mu/(sum->g1 + 1e-30), per = 1.0/(sum->g2 + 1e-15), k2 = at->rho*per*per;
  lane per_root = 1.0/lane_sqrt(at->rho);
  struct covered c = { { k1, k2, sum->choke*per_root }, -k1*sum->g1_x/(sum->g1 + 1e-30), -2.0*k2*sum->g2_x*per, sum->choke_x*per_root };
  if (bore) c.h.k1 += at->bore_k1, c.h.k2 += at->bore_k2;
  return c;
}
// Flow through covered holes and its slope with travel.
LANE struct flow covered_flow(const struct covered *in, const struct covered *out, lane p_from, lane p_to, lane pv, lane *q_x)
{
  struct flow f = drilled_flow(in->h, out->h, p_from, p_to, pv);
  mask inwards = p_from >= p_to, choked = choose(inwards, f.to, f.from) == 0.0;
  lane size = magnitude(f.q), k1 = choose(inwards, in->h.k1, out->h.k1), k2 = choose(inwards, in->h.k2, out->h.k2);
  lane free = -(choose(inwards, in->k1_x, out->k1_x) + choose(inwards, in->k2_x, out->k2_x)*size)*f.q/(k1 + 2.0*k2*size);
  lane up = choose(inwards, p_from, p_to) - pv;
  lane tight = signed_as(lane_sqrt(up), f.q)*choose(inwards, in->choke_x, out->choke_x);
  *q_x = choose(choked & (size > 0.0), tight, free);
  return f;
}

LANE void partly_covered(const struct leg_const *k, const struct leg_kind *kind, lane x, lane p_l, lane p_a, lane p_r, struct leg_eval *e)
{
  const struct lane_leg *g = k->g;
  lane y = g->travel - x;
  struct gather lower[2] = {0}, annulus[2] = {0}, rebound[2] = {0};
  for (int i = 0; i < kind->holes_n; i++) {
    const struct lane_group *hole = &k->groups->holes[i];
    struct share l = share_at((y - hole->lower_edge)*hole->per_radius, -hole->per_radius);
    struct share a = share_at((hole->upper_edge - y)*hole->per_radius, hole->per_radius);
    for (int side = 0; side < 2; side++) gather_add(&lower[side], hole, side, l), gather_add(&annulus[side], hole, side, a);
  }
  for (int i = 0; i < kind->rebound_n; i++) {
    const struct lane_group *hole = &k->groups->rebound[i];
    struct share s = share_at((x - hole->lower_edge)*hole->per_radius, hole->per_radius);
    for (int side = 0; side < 2; side++) gather_add(&rebound[side], hole, side, s);
  }
  struct covered c[2];
  lane through_x, head_x;
  for (int side = 0; side < 2; side++) c[side] = gather_end(&lower[side], k->at, 1);
  e->lr = covered_flow(&c[0], &c[1], p_l, p_r, g->vapour, &e->lr_x);
  for (int side = 0; side < 2; side++) c[side] = gather_end(&rebound[side], k->at, 0);
  e->ar = covered_flow(&c[0], &c[1], p_a, p_r, g->vapour, &head_x);
  for (int side = 0; side < 2; side++) c[side] = gather_end(&annulus[side], k->at, 1);
  e->ar = flow_sum(e->ar, covered_flow(&c[0], &c[1], p_a, p_r, g->vapour, &through_x));
  e->ar_x = head_x + through_x;
}

// Where holes have a place: all open over most of the travel, as if they had none; looked at more closely only near an edge.
LANE struct flow flow_choose(mask m, struct flow yes, struct flow no)
{
  return (struct flow){ choose(m, yes.q, no.q), choose(m, yes.from, no.from), choose(m, yes.to, no.to) };
}
LANE void covered_holes(const struct leg_const *k, const struct leg_kind *kind, lane x, lane p_l, lane p_a, lane p_r, struct leg_eval *e)
{
  const struct lane_leg *g = k->g;
  mask near = ~((g->travel - x >= g->open_over) & (x >= g->open_past));
  if (!any(near)) return;
  struct flow lr = e->lr, ar = e->ar;
  partly_covered(k, kind, x, p_l, p_a, p_r, e);
  e->lr = flow_choose(near, e->lr, lr), e->ar = flow_choose(near, e->ar, ar);
  e->lr_x = where(near, e->lr_x), e->ar_x = where(near, e->ar_x);
}

// ---- hole laws that are looked up, one ride at a time (section 3.4) ----
enum leg_set { LEG_SET_LOWER, LEG_SET_ANNULUS, LEG_SET_REBOUND, LEG_SET_BLEED };
// Flow of one set of holes at travel x by its law, choked, with slopes by both pressures.
double df_leg_law_flow(const struct leg_aside *aside, enum leg_set which, double x, double mu, double rho, double bore_k1, double bore_k2,
                       double vapour, double p_from, double p_to, double slope[2]);
LANE struct flow law_flow(const struct leg_const *k, enum leg_set which, lane x, lane p_from, lane p_to)
{
  struct flow f;
  const struct leg_paths *at = k->at;
  for (int i = 0; i < DF_LANES; i++) {
    double slope[2];
    f.q[i] = df_leg_law_flow(k->aside[i], which, x[i], at->mu[i], at->rho[i], at->bore_k1[i], at->bore_k2[i], k->g->vapour[i], p_from[i],
                             p_to[i], slope);
    f.from[i] = slope[0], f.to[i] = slope[1];
  }
  return f;
}

// ---- all flows of the leg (section 3); the plate's lift y and speed w count only where it is a state ----
LANE void leg_flows(const struct leg_const *k, const struct leg_kind *kind, lane x, lane lift, lane lift_speed, struct leg_eval *e)
{
  const struct lane_leg *g = k->g;
  const struct leg_paths *at = k->at;
  lane p_l = e->l.p, p_a = e->a.p, p_c = e->c.p, p_r = kind->valved ? e->r.p : e->c.p;
  e->lr_x = e->ar_x = zero();
  if (kind->law) {
    e->lr = law_flow(k, LEG_SET_LOWER, x, p_l, p_r);
    e->ar = law_flow(k, LEG_SET_REBOUND, x, p_a, p_r);
    if (kind->covered) e->ar = flow_sum(e->ar, law_flow(k, LEG_SET_ANNULUS, x, p_a, p_r));
  } else {
    e->lr = drilled_flow(at->holes[0], at->holes[1], p_l, p_r, g->vapour);
    e->ar = drilled_flow(at->rebound[0], at->rebound[1], p_a, p_r, g->vapour);
    if (kind->covered) covered_holes(k, kind, x, p_l, p_a, p_r, e);
  }
  e->leak = path_flow(at->leak, p_l - p_a);
  e->la = one_way_flow(at->check, g->check_crack, g->check_per_range, p_l - p_a);
  e->ac = path_flow(at->ring, p_a - p_c);
  if (kind->gap) e->ac = flow_sum(e->ac, path_flow(at->gap, p_a - p_c));
  e->lift = lift;
  if (!kind->valved) return;
  lane dp = p_r - p_c;
  e->bleed = kind->law ? law_flow(k, LEG_SET_BLEED, x, p_r, p_c)
                       : hole_flow((struct path){ at->bleed.k1, at->bleed.k2 }, at->bleed.choke, p_r, p_c, g->vapour);
  struct flow back = one_way_flow(at->back, g->return_crack, g->return_per_range, -dp);
  e->back = (struct flow){ -back.q, back.from, -back.from };
  if (kind->inertia) {
    e->plate = plate_at(&at->valve, g->plate_mass, g->plate_damping, dp, lift, lift_speed);
    e->valve = e->plate.flow;
  } else {
    e->valve = valve_flow(&at->valve, k->table, dp, &e->lift);
  }
  e->rc = flow_sum(flow_sum(e->bleed, e->back), e->valve);
}

// ---- springs, stops, cone (section 5) ----
LANE void leg_solids(const struct leg_const *k, lane x, lane v, struct leg_eval *e)
{
  const struct lane_leg *g = k->g;
  struct coil coil = { g->spring_soft, g->spring_hard, g->spring_change, g->spring_bind, g->spring_preload };
  struct stops stops = { g->stop_rate, g->stop_damping, g->travel };
  struct cone cone = { g->cone_start, g->cone_per_length, g->cone_gap_start, g->cone_narrowing, g->tube_bore, g->cone_trapped,
                       k->at->cone_viscous, k->at->cone_inertial };
  lane short_of = g->top_out_length - x;
  mask out = short_of > 0.0;
  e->coil = coil_force(&coil, x);
  e->top_out = (struct force){ where(out, -g->top_out_rate*short_of), where(out, g->top_out_rate), zero() };
  e->stop = stop_force(&stops, x, v);
  e->cone = cone_force(&cone, x, v, e->l.p - g->vapour, &e->cone_p);
}

// Pressures, flows and forces at travel x, fork speed v and the amounts of oil. theta: gas over wall temperature.
LANE void leg_evaluate(const struct leg_const *k, const struct leg_kind *kind, lane x, lane v, lane w_l, lane w_a, lane w_r, lane theta,
                       lane lift, lane lift_speed, struct leg_eval *e)
{
  const struct lane_leg *g = k->g;
  e->l = chamber_at(g, g->lower_full - g->lower_area*x, -g->lower_area, w_l);
  e->a = chamber_at(g, g->annulus_start + g->annulus_area*x, g->annulus_area, w_a);
  lane amounts = w_l + w_a;
  if (kind->valved) {
    e->r = chamber_at(g, g->rod_volume, zero(), w_r);
    amounts += w_r;
  }
  e->c = column_at(g, kind, k->at->hot_room, x, amounts, theta, &e->gas, &e->c_theta);
  leg_flows(k, kind, x, lift, lift_speed, e);
  e->air_damping = e->c.p*g->bore_area + e->l.p*g->lower_area - e->a.p*g->annulus_area - 101325.0*g->tube_area;
  leg_solids(k, x, v, e);
}

// Coefficients at viscosity mu (Pa s) and density rho (kg/m3). hot_room: m3 that hot oil takes from the column.
LANE struct hole hole_in_oil(lane viscous, lane inertial, lane choke, lane mu, lane rho, lane per_root)
{
  return (struct hole){ mu*viscous, rho*inertial, choke*per_root };
}
LANE void leg_paths_set(const struct lane_leg *g, lane mu, lane rho, struct leg_paths *p)
{
  lane per = 1.0/lane_sqrt(rho);
  p->mu = mu, p->rho = rho;
  p->bore_k1 = mu*g->bore_viscous, p->bore_k2 = rho*g->bore_inertial;
  p->holes[0] = hole_in_oil(g->holes_in_viscous, g->holes_in_inertial, g->holes_in_choke, mu, rho, per);
  p->holes[1] = hole_in_oil(g->holes_out_viscous, g->holes_out_inertial, g->holes_out_choke, mu, rho, per);
  for (int side = 0; side < 2; side++) p->holes[side].k1 += p->bore_k1, p->holes[side].k2 += p->bore_k2;
  p->rebound[0] = hole_in_oil(g->rebound_in_viscous, g->rebound_in_inertial, g->rebound_in_choke, mu, rho, per);
  p->rebound[1] = hole_in_oil(g->rebound_out_viscous, g->rebound_out_inertial, g->rebound_out_choke, mu, rho, per);
  p->bleed = hole_in_oil(g->bleed_viscous, g->bleed_inertial, g->bleed_choke, mu, rho, per);
  p->check = (struct path){ mu*g->check_viscous, rho*g->check_inertial };
  p->leak = (struct path){ mu*g->leak_viscous, rho*g->leak_inertial };
  p->ring = (struct path){ mu*g->ring_viscous, rho*g->ring_inertial };
  p->gap = (struct path){ mu*g->gap_viscous, rho*g->gap_inertial };
  p->back = (struct path){ mu*g->return_viscous, rho*g->return_inertial };
  p->valve = (struct valve){ g->valve_area, g->valve_jet, g->valve_rate, g->valve_preload, g->valve_shim_rate, g->valve_shim_dish,
    g->valve_shim_stiffening, g->valve_stop, mu*g->valve_creep, mu*g->valve_land, rho*g->valve_jet_loss, rho*g->valve_ports, g->valve_crack,
    zero(), g->valve_table_scale };
  struct valve_at stop = valve_at_lift(&p->valve, g->valve_stop);
  p->valve.stop_drop = stop.seat + p->valve.ports*stop.q*stop.q;
  p->cone_viscous = mu*g->cone_viscous, p->cone_inertial = rho*g->cone_inertial;
  p->hot_room = where(g->oil_volume > 0.0, g->oil_volume*(g->level_density/rho - 1.0));
}

#endif
