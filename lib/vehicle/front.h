// The front of the vehicle in lanes: sprung mass, wheel moving along the raked fork, tyre, brake. One right-hand side for every method,
// width and instruction set, and the linear algebra of one implicit step by its slopes. Sections of docs/theory.md are named.
#ifndef DF_VEHICLE_FRONT_H
#define DF_VEHICLE_FRONT_H

#include "leg/leg.h"

struct lane_front {
#define real lane
#include "vehicle/front_fields.h"
#undef real
};

// The profile under one lane's wheel: height and slope times step, interleaved.
struct lane_road { int n; double start, step, per_step; const double (*node)[2]; };

// Same for every lane of a batch.
struct front_kind {
  int legs;                   // modelled: 1 (like) or 2 (unlike)
  int slope_force, bilateral, braked, leaned, pushed, heating;
  struct leg_kind leg[2];
};

struct front_const {
  const struct lane_front *g;
  struct leg_const leg[2];
  lane per_model;             // legs on the vehicle for each one modelled: 2 or 1
  const struct lane_road *const *road;                 // DF_LANES of them
};

// States: z_s, z_s', x, v, then for each leg its block (W_L, W_A, [W_R, [theta, y, w]]) and the bristle.
enum { U_Z, U_S, U_X, U_V, U_LEGS };
enum { B_L, B_A, B_R, B_THETA, B_Y, B_W };             // places in a block of 2, 3 or 6
enum { BLOCK_PLAIN = 2, BLOCK_VALVED = 3, BLOCK_FULL = 6, STATES_MAX = U_LEGS + 2*(BLOCK_FULL + 1) };


struct by_motion { lane z, s, x, v, t; };              // slopes with z_s, z_s', x, v and time

struct leg_matrix {
  lane a[BLOCK_FULL][BLOCK_FULL];                      // slopes of the block's rates with the block
  lane x[BLOCK_FULL], v[BLOCK_FULL];                   // with travel and fork speed
  lane f[BLOCK_FULL];                                  // slopes of the leg's force with the block
  lane f_xi, xi_xi, xi_v;                              // N; 1/s; 1/m
};

struct front_eval {
  lane speed, place;                                   // m/s, m: V, s
  lane road, slope, curve;                             // m, 1, 1/m
  lane deflection, closing, tyre_signed, tyre;         // m, m/s, N, N
  lane deceleration, brake, transfer, gravity, push;   // m/s2, N, N, m/s2, N
  lane upper, lower;                                   // N: bush reactions of one leg
  lane level[2], friction[2], force[2];                // N
  struct leg_eval leg[2];
  lane r1, r2, acceleration, along;                    // N, N, m/s2: z_s'', m/s2: x''
  struct by_motion r1_by, r2_by;                       // slopes of the two balances, the legs' blocks held
  struct leg_matrix m[2];
};

// ---- manoeuvre (section 7): deceleration, speed and place are closed forms of time ----
LANE lane ramp_value(lane u, lane length) { return clipped(u/length, zero(), all(1)); }
LANE lane ramp_area(lane u, lane length)               // integral of ramp_value
{
  lane in = clipped(u, zero(), length), past = larger(u - length, zero());
  return 0.5*in*in/length + past;
}
LANE lane ramp_moment(lane u, lane length)             // integral of ramp_area
{
  lane in = clipped(u, zero(), length), past = larger(u - length, zero());
  return in*in*in/(6.0*length) + past*(0.5*length + 0.5*past);
}
LANE void front_manoeuvre(const struct lane_front *g, const struct front_kind *kind, lane t, struct front_eval *e, lane *jerk, lane *push_t,
                          lane *gravity_t)
{
  *jerk = *push_t = *gravity_t = zero();
  e->speed = g->speed, e->place = g->start_place + g->speed*t;
  e->deceleration = zero(), e->gravity = g->gravity, e->push = zero();
  if (kind->braked) {
    lane on = t - g->brake_start, off = t - g->release_start;
    mask moving = t < g->stand_still;
    lane a = g->deceleration*(ramp_value(on, g->brake_ramp) - ramp_value(off, g->release_time));
    lane rise = where((on > 0.0) & (on < g->brake_ramp), g->deceleration/g->brake_ramp);
    lane fall = where((off > 0.0) & (off < g->release_time), g->deceleration/g->release_time);
    lane lost = g->deceleration*(ramp_area(on, g->brake_ramp) - ramp_area(off, g->release_time));
    lane behind = g->deceleration*(ramp_moment(on, g->brake_ramp) - ramp_moment(off, g->release_time));
    e->deceleration = where(moving, a);
    *jerk = where(moving, rise - fall);
    e->speed = where(moving, larger(g->speed - lost, zero()));
    e->place = choose(moving, e->place - behind, g->start_place + g->stop_distance);
  }
  if (kind->leaned) {
    lane u = (t - g->lean_start)*g->lean_per_ramp;
    e->gravity = g->gravity*(1.0 + g->lean_gain*smoothstep(u));
    *gravity_t = g->gravity*g->lean_gain*smoothstep_slope(u)*g->lean_per_ramp;
  }
  if (kind->pushed) {
    lane up = (t - g->push_start)*g->push_per_rise, down = (t - g->push_end)*g->push_per_fall;
    e->push = g->push_force*(smoothstep(up) - smoothstep(down));
    *push_t = g->push_force*(smoothstep_slope(up)*g->push_per_rise - smoothstep_slope(down)*g->push_per_fall);
  }
}

// ---- road: cubic Hermite; looked up one lane at a time, worked out side by side ----
LANE void front_road(const struct front_const *k, struct front_eval *e)
{
  const double *node[DF_LANES];
  lane h0, s0, h1, s1, w, per_step;
  for (int i = 0; i < DF_LANES; i++) {
    const struct lane_road *road = k->road[i];
    double u = (e->place[i] - road->start)*road->per_step, most = road->n - 1;
    u = u > 0 ? u : 0, u = u < most ? u : most;
    int at = (int)u;
    if (at > road->n - 2) at = road->n - 2;
    node[i] = road->node[at], w[i] = u - at, per_step[i] = road->per_step;
  }
  lane_fours(node, &h0, &s0, &h1, &s1);
  lane rise = h1 - h0, c2 = 3.0*rise - 2.0*s0 - s1, c3 = s0 + s1 - 2.0*rise;
  e->road = h0 + w*(s0 + w*(c2 + w*c3));
  e->slope = (s0 + w*(2.0*c2 + w*3.0*c3))*per_step;
  e->curve = (2.0*c2 + w*6.0*c3)*per_step*per_step;
}

// ---- tyre (section 7): no force jump at touch-down ----
LANE void front_tyre(const struct front_const *k, const struct front_kind *kind, const lane *u, struct front_eval *e, struct by_motion *n)
{
  const struct lane_front *g = k->g;
  lane shift = zero(), forward = e->speed;             // m back along the road; m/s over the ground
  if (kind->slope_force) shift = (u[U_X] - g->start_travel)*g->sin_rake, forward -= u[U_V]*g->sin_rake;
  e->place -= shift;
  front_road(k, e);
  e->deflection = e->road - u[U_Z] - u[U_X]*g->cos_rake;
  e->closing = e->slope*forward - u[U_S] - u[U_V]*g->cos_rake;
  lane k_d = g->tyre_stiffness, c_d = g->tyre_damping;
  mask touching = e->deflection > 0.0;
  if (!kind->bilateral) {
    lane share = smaller(e->deflection*1e3, all(1));
    lane damped = g->tyre_damping*share*e->closing;
    k_d += where(share < 1.0, g->tyre_damping*1e3*e->closing);
    c_d = g->tyre_damping*share;
    e->tyre_signed = g->tyre_stiffness*e->deflection + where(touching, damped);
    touching = touching & (e->tyre_signed > 0.0);
    e->tyre = where(touching, e->tyre_signed);
  } else {
    e->tyre = e->tyre_signed = g->tyre_stiffness*e->deflection + g->tyre_damping*e->closing;
    touching |= ~touching;
  }
  k_d = where(touching, k_d), c_d = where(touching, c_d);
  lane sin_shift = kind->slope_force ? g->sin_rake : zero();
  n->z = -k_d, n->s = -c_d;
  n->x = k_d*(-e->slope*sin_shift - g->cos_rake) - c_d*e->curve*sin_shift*forward;
  n->v = c_d*(-e->slope*sin_shift - g->cos_rake);
  n->t = k_d*e->slope*e->speed + c_d*(e->curve*e->speed*forward - e->slope*e->deceleration);
}

// ---- balances without the legs' blocks: bush reactions, friction level, forces along and up (sections 5 and 7) ----
LANE void front_balance(const struct front_const *k, const struct front_kind *kind, lane t, const lane *u, const int block, const int slopes,
                        struct front_eval *e)
{
  const struct lane_front *g = k->g;
  lane jerk, push_t, gravity_t;
  struct by_motion n, slope_push = { zero(), zero(), zero(), zero(), zero() };
  front_manoeuvre(g, kind, t, e, &jerk, &push_t, &gravity_t);
  front_tyre(k, kind, u, e, &n);
  lane most = g->grip*larger(e->tyre, zero()), wanted = g->brake_mass*e->deceleration;
  mask slipping = wanted > most;
  e->brake = kind->braked ? choose(slipping, most, wanted) : zero();
  e->transfer = g->transfer_mass*e->deceleration;
  lane rearward = kind->slope_force ? e->tyre*e->slope : zero();
  lane sin_e = g->sin_rake, cos_e = g->cos_rake, drag = e->brake - g->unsprung_mass*e->deceleration;
  lane across = (e->tyre - g->unsprung_mass*e->gravity)*sin_e - (rearward + drag)*cos_e;       // T

  const struct lane_leg *first = k->leg[0].g;
  lane spread = 1.0/(first->bush_spacing + u[U_X]), reach = first->bush_reach - u[U_X];
  e->upper = (across*reach - e->brake*g->tyre_radius)*spread*g->per_legs;
  e->lower = -across*g->per_legs - e->upper;
  lane h_u = lane_sqrt(e->upper*e->upper + 1.0), h_l = lane_sqrt(e->lower*e->lower + 1.0);
  lane bushes = h_u + h_l;

  lane total = zero();
  struct by_motion force = { zero(), zero(), zero(), zero(), zero() };
  for (int i = 0; i < kind->legs; i++) {
    const struct lane_leg *leg = k->leg[i].g;
    const struct leg_eval *now = &e->leg[i];
    if (kind->leg[i].linear) {
      e->friction[i] = e->level[i] = zero();
      e->force[i] = leg->linear_rate*u[U_X] + leg->linear_damping*u[U_V] + leg->linear_preload;
      force.x += k->per_model*leg->linear_rate, force.v += k->per_model*leg->linear_damping;
      total += k->per_model*e->force[i];
      continue;
    }
    lane xi = u[U_LEGS + i*(block + 1) + block];
    lane over = larger(now->c.p - 101325.0, zero());
    e->level[i] = leg->friction_sliding + leg->friction_pressure*over + leg->friction_bush*bushes;
    e->friction[i] = e->level[i]*xi + leg->friction_viscous*u[U_V];
    e->force[i] = now->air_damping + now->coil.f + now->top_out.f + now->stop.f + now->cone.f + e->friction[i];
    total += k->per_model*e->force[i];
    if (!slopes) continue;
    lane x_faces = leg->bore_area*now->c.x + leg->lower_area*now->l.x - leg->annulus_area*now->a.x;
    lane pressed = where(over > 0.0, leg->friction_pressure*xi);
    force.x += k->per_model*(x_faces + pressed*now->c.x + now->coil.x + now->top_out.x + now->stop.x + now->cone.x + now->cone_p*now->l.x);
    force.v += k->per_model*(now->stop.v + now->cone.v + leg->friction_viscous);
  }
  e->r1 = e->tyre - g->mass*e->gravity - e->transfer - e->push;
  e->r2 = e->tyre*cos_e + rearward*sin_e + drag*sin_e - g->unsprung_mass*e->gravity*cos_e - total;
  e->acceleration = g->i11*e->r1 + g->i12*e->r2;
  e->along = g->i12*e->r1 + g->i22*e->r2;
  if (!slopes) return;

  if (kind->slope_force) {
    lane curved = e->tyre*e->curve;
    slope_push = (struct by_motion){ e->slope*n.z, e->slope*n.s, e->slope*n.x - curved*sin_e, e->slope*n.v, e->slope*n.t + curved*e->speed };
  }
  lane slip = kind->braked ? where(slipping & (e->tyre > 0.0), g->grip) : zero();
  lane brake_t = kind->braked ? where(~slipping, g->brake_mass*jerk) : zero();
  lane du = e->upper/h_u, dl = e->lower/h_l;
  lane bush = zero();                                  // d(total)/d(bushes)
  for (int i = 0; i < kind->legs; i++)
    if (!kind->leg[i].linear) bush += k->per_model*k->leg[i].g->friction_bush*u[U_LEGS + i*(block + 1) + block];
  // each balance is linear in tyre load n, rearward push p and brake b once x is held
  lane t_n = sin_e - slip*cos_e, u_scale = spread*g->per_legs;
  lane up_n = (t_n*reach - slip*g->tyre_radius)*u_scale, up_p = -cos_e*reach*u_scale;
  lane low_n = -t_n*g->per_legs - up_n, low_p = cos_e*g->per_legs - up_p;
  lane up_x = -across*u_scale - e->upper*spread, low_x = -up_x;
  lane bush_n = bush*(du*up_n + dl*low_n), bush_p = bush*(du*up_p + dl*low_p), bush_x = bush*(du*up_x + dl*low_x);
  lane t_t = -g->unsprung_mass*gravity_t*sin_e - (brake_t - g->unsprung_mass*jerk)*cos_e;
  lane up_t = (t_t*reach - brake_t*g->tyre_radius)*u_scale, low_t = -t_t*g->per_legs - up_t;
  lane r2_n = cos_e + slip*sin_e - bush_n, r2_p = sin_e - bush_p;
  e->r1_by = n;
  e->r1_by.t += -g->mass*gravity_t - g->transfer_mass*jerk - push_t;
  e->r2_by.z = r2_n*n.z + r2_p*slope_push.z;
  e->r2_by.s = r2_n*n.s + r2_p*slope_push.s;
  e->r2_by.x = r2_n*n.x + r2_p*slope_push.x - force.x - bush_x;
  e->r2_by.v = r2_n*n.v + r2_p*slope_push.v - force.v;
  e->r2_by.t = r2_n*n.t + r2_p*slope_push.t + (brake_t - g->unsprung_mass*jerk)*sin_e - g->unsprung_mass*gravity_t*cos_e
             - bush*(du*up_t + dl*low_t);
}

// ---- rates of one leg's block (sections 4.3, 3.8, 4) and their slopes ----
LANE void front_leg_rates(const struct front_const *k, const struct front_kind *kind, const int i, const lane *u, const int block,
                          const int slopes, struct front_eval *e, lane *du)
{
  const struct lane_leg *g = k->leg[i].g;
  const struct leg_kind *leg = &kind->leg[i];
  const struct leg_eval *now = &e->leg[i];
  const lane *b = u + U_LEGS + i*(block + 1);
  lane *rate = du + U_LEGS + i*(block + 1), v = u[U_V];
  if (leg->linear) {
    for (int j = 0; j <= block; j++) rate[j] = zero();
    return;
  }
  struct flow la = flow_sum(now->la, now->leak);
  rate[B_L] = -now->lr.q - la.q;
  rate[B_A] = la.q - now->ar.q - now->ac.q;
  lane into_c = now->ac.q + (leg->valved ? now->rc.q : now->lr.q + now->ar.q);
  if (block > 2) rate[B_R] = leg->valved ? now->lr.q + now->ar.q - now->rc.q : zero();
  struct bristle bristle = { g->per_presliding, g->over_breakaway, g->per_stribeck_speed };
  struct bristle_rate xi = bristle_rate(&bristle, b[block], v);
  rate[block] = xi.rate;
  lane squeeze = zero(), theta = zero();
  if (block > 3) {
    rate[B_THETA] = rate[B_Y] = rate[B_W] = zero();
    if (leg->thermal) {
      theta = b[B_THETA], squeeze = (-g->bore_area*v - into_c)/now->gas;
      rate[B_THETA] = -0.4*theta*squeeze - (theta - 1.0)*g->per_thermal_time;
    }
    if (leg->inertia && leg->valved) rate[B_Y] = b[B_W], rate[B_W] = now->plate.rate;
  }
  if (!slopes) return;

  struct leg_matrix *m = &e->m[i];
  struct chamber l = now->l, a = now->a, r = now->r, c = now->c;
  struct flow lr = now->lr, ar = now->ar, ac = now->ac, rc = now->rc;
  lane column = c.w;                                   // the column's pressure rises with any of the amounts
  // slopes of the three flows that touch the column or the bore, by their two ends
  if (!leg->valved) {
    m->a[B_L][B_L] = -(lr.from + la.from)*l.w - lr.to*column;
    m->a[B_L][B_A] = -la.to*a.w - lr.to*column;
    m->a[B_A][B_L] = la.from*l.w - (ar.to + ac.to)*column;
    m->a[B_A][B_A] = (la.to - ar.from - ac.from)*a.w - (ar.to + ac.to)*column;
    m->x[B_L] = -(lr.from + la.from)*l.x - la.to*a.x - lr.to*c.x - now->lr_x;
    m->x[B_A] = la.from*l.x + (la.to - ar.from - ac.from)*a.x - (ar.to + ac.to)*c.x - now->ar_x;
  } else {
    m->a[B_L][B_L] = -(lr.from + la.from)*l.w;
    m->a[B_L][B_A] = -la.to*a.w;
    m->a[B_L][B_R] = -lr.to*r.w;
    m->a[B_A][B_L] = la.from*l.w - ac.to*column;
    m->a[B_A][B_A] = (la.to - ar.from - ac.from)*a.w - ac.to*column;
    m->a[B_A][B_R] = -ar.to*r.w - ac.to*column;
    m->a[B_R][B_L] = lr.from*l.w - rc.to*column;
    m->a[B_R][B_A] = ar.from*a.w - rc.to*column;
    m->a[B_R][B_R] = (lr.to + ar.to - rc.from)*r.w - rc.to*column;
    m->x[B_L] = -(lr.from + la.from)*l.x - la.to*a.x - now->lr_x;
    m->x[B_A] = la.from*l.x + (la.to - ar.from - ac.from)*a.x - ac.to*c.x - now->ar_x;
    m->x[B_R] = lr.from*l.x + ar.from*a.x + now->lr_x + now->ar_x - rc.to*c.x;
  }
  for (int j = 0; j < block; j++) m->v[j] = zero();
  lane pressed = where(c.p > 101325.0, g->friction_pressure*b[block]);
  lane on_column = (g->bore_area + pressed)*column;
  m->f[B_L] = on_column + (g->lower_area + now->cone_p)*l.w;
  m->f[B_A] = on_column - g->annulus_area*a.w;
  if (block > 2) m->f[B_R] = leg->valved ? on_column : zero();
  m->f_xi = e->level[i], m->xi_xi = xi.xi, m->xi_v = xi.v;
  if (block < 3) return;
  if (!leg->valved) {
    for (int j = 0; j < block; j++) m->a[B_R][j] = m->a[j][B_R] = zero();
    m->x[B_R] = zero();
  }
  if (block < 4) return;

  for (int j = B_THETA; j < block; j++) {
    m->f[j] = zero(), m->x[j] = zero();
    for (int n = 0; n < block; n++) m->a[j][n] = m->a[n][j] = zero();
  }
  if (leg->thermal) {
    lane hot = now->c_theta, q_to = ac.to + (leg->valved ? rc.to : lr.to + ar.to);     // into_c by the column's pressure
    lane by_l = leg->valved ? zero() : lr.from*l.w, by_a = ac.from*a.w + (leg->valved ? zero() : ar.from*a.w);
    lane by_r = leg->valved ? rc.from*r.w : zero(), k1 = 0.4*theta/now->gas;
    m->f[B_THETA] = (g->bore_area + pressed)*hot;
    m->a[B_L][B_THETA] = leg->valved ? zero() : -lr.to*hot;
    m->a[B_A][B_THETA] = -(ac.to + (leg->valved ? zero() : ar.to))*hot;
    if (leg->valved) m->a[B_R][B_THETA] = -rc.to*hot;
    lane gas_w = k1*squeeze;                           // theta' rises as the gas volume under the rate grows
    m->a[B_THETA][B_L] = k1*(by_l + q_to*column) + gas_w;
    m->a[B_THETA][B_A] = k1*(by_a + q_to*column) + gas_w;
    if (leg->valved) m->a[B_THETA][B_R] = k1*(by_r + q_to*column) + gas_w;
    m->a[B_THETA][B_THETA] = -0.4*squeeze - g->per_thermal_time + k1*q_to*hot;
    lane through_x = (leg->valved ? zero() : lr.from*l.x + ar.from*a.x + now->lr_x + now->ar_x) + ac.from*a.x + q_to*c.x;
    m->x[B_THETA] = k1*through_x - gas_w*g->bore_area;
    m->v[B_THETA] = k1*g->bore_area;
  }
  if (leg->inertia && leg->valved) {
    const struct plate_at *p = &now->plate;
    m->a[B_R][B_Y] = -p->q_y, m->a[B_R][B_W] = -p->q_w;
    if (leg->thermal) m->a[B_THETA][B_Y] = 0.4*theta/now->gas*p->q_y, m->a[B_THETA][B_W] = 0.4*theta/now->gas*p->q_w;
    m->a[B_Y][B_W] = all(1);
    m->a[B_W][B_L] = m->a[B_W][B_A] = p->rate_to*column;
    m->a[B_W][B_R] = p->rate_from*r.w + p->rate_to*column;
    m->a[B_W][B_THETA] = p->rate_to*now->c_theta;
    m->a[B_W][B_Y] = p->rate_y, m->a[B_W][B_W] = p->rate_w;
    m->x[B_W] = p->rate_to*c.x;
  }
}

// ---- the right-hand side: rates of all states at time t; with slopes, also everything front_factor needs ----
LANE void front_rates(const struct front_const *k, const struct front_kind *kind, lane t, const lane *u, const int block, const int slopes,
                      struct front_eval *e, lane *du)
{
  for (int i = 0; i < kind->legs; i++) {
    const lane *b = u + U_LEGS + i*(block + 1);
    if (kind->leg[i].linear) continue;
    leg_evaluate(&k->leg[i], &kind->leg[i], u[U_X], u[U_V], b[B_L], b[B_A], block > 2 ? b[B_R] : zero(),
                 block > 3 ? b[B_THETA] : all(1), block > 3 ? b[B_Y] : zero(), block > 3 ? b[B_W] : zero(), &e->leg[i]);
  }
  front_balance(k, kind, t, u, block, slopes, e);
  du[U_Z] = u[U_S], du[U_S] = e->acceleration, du[U_X] = u[U_V], du[U_V] = e->along;
  for (int i = 0; i < kind->legs; i++) front_leg_rates(k, kind, i, u, block, slopes, e, du);
}

// ---- (g I - J) u = r by elimination: each leg's block down to fork speed, then two unknowns ----
struct leg_factor { lane lu[BLOCK_FULL][BLOCK_FULL], per_pivot[BLOCK_FULL], x[BLOCK_FULL], by_v[BLOCK_FULL], f[BLOCK_FULL], xi, xi_v, f_xi; };
struct front_factor {
  lane g, per_g;
  struct leg_factor leg[2];
  lane m11, m12, i11, i12, i21, i22;                   // mass matrix rows; inverse of the last two equations
  struct by_motion r1, r2;
  lane mass22;
};

LANE void block_factor(const lane a[BLOCK_FULL][BLOCK_FULL], lane g, const int block, struct leg_factor *f)
{
  for (int i = 0; i < block; i++)
    for (int j = 0; j < block; j++) f->lu[i][j] = i == j ? g - a[i][j] : -a[i][j];
  for (int i = 0; i < block; i++) {
    f->per_pivot[i] = 1.0/f->lu[i][i];
    for (int j = i + 1; j < block; j++) {
      lane share = f->lu[j][i]*f->per_pivot[i];
      f->lu[j][i] = share;
      for (int n = i + 1; n < block; n++) f->lu[j][n] -= share*f->lu[i][n];
    }
  }
}
LANE void block_solve(const struct leg_factor *f, const int block, lane *r)
{
  for (int i = 1; i < block; i++)
    for (int j = 0; j < i; j++) r[i] -= f->lu[i][j]*r[j];
  for (int i = block - 1; i >= 0; i--) {
    for (int j = i + 1; j < block; j++) r[i] -= f->lu[i][j]*r[j];
    r[i] *= f->per_pivot[i];
  }
}

LANE void front_factor(const struct front_const *k, const struct front_kind *kind, const struct front_eval *e, lane g, const int block,
                       struct front_factor *f)
{
  f->g = g, f->per_g = 1.0/g, f->r1 = e->r1_by, f->r2 = e->r2_by;
  f->m11 = k->g->m11, f->m12 = k->g->m12, f->mass22 = k->g->m22;
  lane legs_v = zero();
  for (int i = 0; i < kind->legs; i++) {
    struct leg_factor *leg = &f->leg[i];
    if (kind->leg[i].linear) continue;
    const struct leg_matrix *m = &e->m[i];
    block_factor(m->a, g, block, leg);
    leg->xi = 1.0/(g - m->xi_xi), leg->xi_v = m->xi_v, leg->f_xi = m->f_xi;
    lane sum = leg->f_xi*leg->xi*leg->xi_v;
    for (int j = 0; j < block; j++) leg->x[j] = m->x[j], leg->by_v[j] = m->x[j]*f->per_g + m->v[j], leg->f[j] = m->f[j];
    block_solve(leg, block, leg->by_v);
    for (int j = 0; j < block; j++) sum += leg->f[j]*leg->by_v[j];
    legs_v += k->per_model*sum;
  }
  lane a11 = f->m11*g - f->r1.z*f->per_g - f->r1.s, a12 = f->m12*g - f->r1.x*f->per_g - f->r1.v;
  lane a21 = f->m12*g - f->r2.z*f->per_g - f->r2.s, a22 = f->mass22*g - f->r2.x*f->per_g - f->r2.v + legs_v;
  lane per = 1.0/(a11*a22 - a12*a21);
  f->i11 = a22*per, f->i12 = -a12*per, f->i21 = -a21*per, f->i22 = a11*per;
}

// r: right-hand side on entry, solution on return.
LANE void front_solve(const struct front_const *k, const struct front_kind *kind, const struct front_factor *f, const int block, lane *r)
{
  lane z = r[U_Z]*f->per_g, x = r[U_X]*f->per_g, legs = zero();
  for (int i = 0; i < kind->legs; i++) {
    if (kind->leg[i].linear) continue;
    const struct leg_factor *leg = &f->leg[i];
    lane *b = r + U_LEGS + i*(block + 1);
    for (int j = 0; j < block; j++) b[j] += leg->x[j]*x;
    block_solve(leg, block, b);
    b[block] *= leg->xi;
    lane sum = leg->f_xi*b[block];
    for (int j = 0; j < block; j++) sum += leg->f[j]*b[j];
    legs += k->per_model*sum;
  }
  lane b1 = f->m11*r[U_S] + f->m12*r[U_V] + f->r1.z*z + f->r1.x*x;
  lane b2 = f->m12*r[U_S] + f->mass22*r[U_V] + f->r2.z*z + f->r2.x*x - legs;
  lane s = f->i11*b1 + f->i12*b2, v = f->i21*b1 + f->i22*b2;
  r[U_S] = s, r[U_V] = v, r[U_Z] = z + s*f->per_g, r[U_X] = x + v*f->per_g;
  for (int i = 0; i < kind->legs; i++) {
    lane *b = r + U_LEGS + i*(block + 1);
    if (kind->leg[i].linear) {
      for (int j = 0; j <= block; j++) b[j] *= f->per_g;
      continue;
    }
    const struct leg_factor *leg = &f->leg[i];
    for (int j = 0; j < block; j++) b[j] += leg->by_v[j]*v;
    b[block] += leg->xi*leg->xi_v*v;
  }
}

#endif
