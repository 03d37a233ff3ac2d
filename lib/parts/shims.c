// A stack of shims as plates on one clamp. Neighbours may touch at rings, which push and never pull.
// Unknown are the forces of the rings: gaps are a constant plus a symmetric positive matrix times the
// forces, no gap and no force is below 0, and where there is a gap there is no force. Which rings touch is
// found by block principal pivoting (Portugal, Judice & Vicente 1994, Math. Comput. 63, 625), which ends
// for every such matrix. Rings start at the edges; more are added where plates still cross between them.
// Plates are exact (plate.c), so a stack that touches at its edges alone is solved exactly.
#include "dampfork/shims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_linalg.h>

#include "base/interp.h"
#include "parts/plate.h"

enum {
  PLATES_MAX = DF_SHIMS_MAX,
  RADII_MAX = 72,             // past it the rings lie closer than 2 % of the width: 1e-7 of the lift
  PASSES_MAX = 3000,          // guesses of the contact: tens are usual
  PATIENCE = 10,              // guesses without fewer wrong rings before they are turned one at a time
  PROBES = 7                  // places between two rings where plates are looked at
};
static const double CROSSING = 1e-9;          // 1, of the greatest lift: plates that cross by less touch
static const double PULL = 1e-10;             // 1, of the load: a ring that pulls by less is no fault
static const double NEAR = 2e-3;              // 1, share of the radius: rings closer than this are one
static const double SAME = 1e-9;              // 1, radii closer than this share differ by rounding

struct layer {
  struct df_plate plate;      // all shims of this radius that lie together
  double thickness, thickest; // m, of all; of the thickest, where the stress is greatest
  struct df_plate_bend loaded;// by the load and all rings in force
};

struct stack {
  int layers, radii, rings;
  struct df_shim_load load;
  double modulus;             // Pa
  double small_force;         // N
  struct layer layer[PLATES_MAX];
  double radius[RADII_MAX];   // m, sorted; where any two neighbours may touch
  int ring_at[PLATES_MAX][RADII_MAX]; // number of the ring of layer i and i + 1 at radius k; -1: none
  int *pair, *place;          // of each ring: i and k
  unsigned char *touch;
  double *force, *gap;        // N, m
  double *matrix, *part;      // m/N, gaps by forces; room for the part that touches
  double *right;              // room for its right side, m
  int passes;
};

// ---- building --------------------------------------------------------------------------------------

// Groups that bend, neighbours of equal radius as one: they share a load by rigidity everywhere, exactly.
static int layers_of(struct stack *stack, const struct df_shim *shims, int n, double clamp, double poisson)
{
  for (int i = 0; i < n; i++) {
    double radius = 0.5*shims[i].diameter, t = shims[i].thickness;
    if (!(shims[i].count >= 0 && radius > 0 && t > 0)) return 0;
    if (shims[i].count == 0) continue;
    if (radius <= clamp*(1 + NEAR)) break;    // a clamp washer: what lies behind it is never reached
    struct layer *last = stack->layers > 0 ? &stack->layer[stack->layers - 1] : NULL;
    if (last == NULL || fabs(last->plate.edge - radius) > SAME*radius) {
      last = &stack->layer[stack->layers++];
      *last = (struct layer){.plate = {.clamp = clamp, .edge = radius, .poisson = poisson}};
    }
    last->plate.rigidity += shims[i].count*df_plate_rigidity(stack->modulus, poisson, t);
    last->thickness += shims[i].count*t;
    last->thickest = fmax(last->thickest, t);
  }
  return stack->layers > 0;
}

// Outer end of what layer i and the next have in common, m.
static double common_edge(const struct stack *stack, int i)
{
  return fmin(stack->layer[i].plate.edge, stack->layer[i + 1].plate.edge);
}

static void radius_add(struct stack *stack, double radius)
{
  int k = 0;
  while (k < stack->radii && stack->radius[k] < radius*(1 - SAME)) k++;
  if (k < stack->radii && stack->radius[k] <= radius*(1 + SAME)) return;
  if (stack->radii == RADII_MAX) return;
  memmove(&stack->radius[k + 1], &stack->radius[k], (size_t)(stack->radii - k)*sizeof stack->radius[0]);
  for (int i = 0; i < stack->layers; i++)
    memmove(&stack->ring_at[i][k + 1], &stack->ring_at[i][k], (size_t)(stack->radii - k)*sizeof(int));
  for (int i = 0; i < stack->layers; i++) stack->ring_at[i][k] = -1;
  stack->radius[k] = radius;
  stack->radii++;
}

// A pair's own edge always bears a ring; another radius does if it is not next to one that does.
static int bears(const struct stack *stack, int i, int k, double last)
{
  double r = stack->radius[k], edge = common_edge(stack, i);
  if (fabs(r - edge) <= SAME*edge) return 1;
  return r > last*(1 + NEAR) && r < edge*(1 - NEAR);
}

// Give every pair its rings, numbered; those of before keep their contact, new ones take their neighbours'.
static enum df_status rings_set(struct stack *stack)
{
  int room = (stack->layers - 1)*stack->radii + 1, next = 0;
  size_t n = (size_t)room;
  char *block = calloc(1, n*(2*sizeof(int) + 1) + 64);
  double *numbers = calloc(2*n*n + 3*n, sizeof *numbers);
  if (block == NULL || numbers == NULL) {
    free(block);
    free(numbers);
    return DF_NO_MEMORY;
  }
  int *pair = (int *)block, *place = pair + n;
  unsigned char *touch = (unsigned char *)(place + n);
  for (int i = 0; i + 1 < stack->layers; i++) {
    double last = stack->layer[0].plate.clamp;
    int before = 1;                           // the clamp holds them together
    for (int k = 0; k < stack->radii; k++) {
      int old = stack->ring_at[i][k];
      stack->ring_at[i][k] = -1;
      if (!bears(stack, i, k, last)) continue;
      int after = old >= 0 ? stack->touch[old] : stack->touch == NULL || before;
      stack->ring_at[i][k] = next;
      pair[next] = i;
      place[next] = k;
      before = touch[next++] = (unsigned char)after;
      last = stack->radius[k];
    }
  }
  free(stack->pair);
  free(stack->matrix);
  stack->rings = next;
  stack->pair = pair;
  stack->place = place;
  stack->touch = touch;
  stack->matrix = numbers;
  stack->part = numbers + n*n;
  stack->force = numbers + 2*n*n;
  stack->gap = stack->force + n;
  stack->right = stack->gap + n;
  return DF_OK;
}

static double load_lift(const struct stack *stack, double radius)
{
  const struct df_plate *plate = &stack->layer[0].plate;
  const struct df_shim_load *load = &stack->load;
  double lift = 0;
  if (load->ring != 0)
    lift += load->ring*df_plate_ring_beyond(plate, load->ring_radius, radius);
  if (load->pressure != 0)
    lift += load->pressure*df_plate_pressure_beyond(plate, load->inner, load->outer, radius);
  return lift;
}

static void bend_add(struct df_plate_bend *sum, struct df_plate_bend more, double times)
{
  sum->tilt += times*more.tilt;
  sum->shear += times*more.shear;
}

static struct df_plate_bend load_bend(const struct stack *stack)
{
  const struct df_plate *plate = &stack->layer[0].plate;
  const struct df_shim_load *load = &stack->load;
  struct df_plate_bend bend = {0, 0};
  if (load->ring != 0) bend_add(&bend, df_plate_ring(plate, load->ring_radius), load->ring);
  if (load->pressure != 0) bend_add(&bend, df_plate_pressure(plate, load->inner, load->outer), load->pressure);
  return bend;
}

// Gap of ring a for a force of ring b: both move the layers they share.
static void matrix_set(struct stack *stack)
{
  memset(stack->matrix, 0, (size_t)(stack->rings*stack->rings)*sizeof *stack->matrix);
  for (int i = 0; i < stack->layers; i++) {
    const struct df_plate *plate = &stack->layer[i].plate;
    for (int b = 0; b < stack->rings; b++) {
      int beside_b = i - stack->pair[b];      // 0: below the ring, 1: above
      if (beside_b < 0 || beside_b > 1) continue;
      double at = stack->radius[stack->place[b]];
      struct df_plate_bend bend = df_plate_ring(plate, at);
      for (int a = 0; a < stack->rings; a++) {
        int beside_a = i - stack->pair[a];
        double r = stack->radius[stack->place[a]];
        if (beside_a < 0 || beside_a > 1 || r > at) continue; // the other half follows from symmetry
        double lift = df_plate_lift(plate, bend, r), sign = beside_a == beside_b ? 1 : -1;
        stack->matrix[a*stack->rings + b] += sign*lift;
        if (r < at) stack->matrix[b*stack->rings + a] += sign*lift;
      }
    }
  }
}

// ---- finding the contact -----------------------------------------------------------------------------

// Forces of the rings that touch, gaps of those that do not. 0: the equations cannot be solved.
static int guess_once(struct stack *stack)
{
  int rings = stack->rings, n = 0;
  struct df_plate_bend bend = load_bend(stack);
  for (int a = 0; a < rings; a++) {
    double r = stack->radius[stack->place[a]];
    stack->gap[a] = stack->pair[a] == 0 ? -df_plate_lift(&stack->layer[0].plate, bend, r) - load_lift(stack, r) : 0;
    stack->force[a] = 0;
    if (!stack->touch[a]) continue;
    for (int b = 0, m = 0; b < rings; b++)
      if (stack->touch[b]) stack->part[n*rings + m++] = stack->matrix[a*rings + b];
    stack->right[n++] = -stack->gap[a];
  }
  stack->passes++;
  if (n > 0) {
    size_t size = (size_t)n;
    gsl_matrix_view part = gsl_matrix_view_array_with_tda(stack->part, size, size, (size_t)rings);
    gsl_vector_view right = gsl_vector_view_array(stack->right, size);
    if (gsl_linalg_cholesky_decomp1(&part.matrix) != 0) return 0;
    if (gsl_linalg_cholesky_svx(&part.matrix, &right.vector) != 0) return 0;
  }
  for (int a = 0, m = 0; a < rings; a++)
    if (stack->touch[a]) stack->force[a] = stack->right[m++];
  for (int a = 0; a < rings; a++)
    for (int b = 0; b < rings && !stack->touch[a]; b++)
      stack->gap[a] += stack->matrix[a*rings + b]*stack->force[b];
  return 1;
}

static int is_wrong(const struct stack *stack, int a, double small_gap)
{
  return stack->touch[a] ? stack->force[a] < -stack->small_force : stack->gap[a] < -small_gap;
}

// Lift of the face's edge without help: the measure of small gaps, m.
static double bare_lift(const struct stack *stack)
{
  const struct df_plate *face = &stack->layer[0].plate;
  return fabs(df_plate_lift(face, load_bend(stack), face->edge) + load_lift(stack, face->edge));
}

static int settle(struct stack *stack)
{
  int fewest = stack->rings + 1, patience = PATIENCE;
  double small_gap = 0.1*CROSSING*bare_lift(stack);
  while (stack->passes < PASSES_MAX) {
    if (!guess_once(stack)) return 0;
    int wrong = 0, last = 0;
    for (int a = 0; a < stack->rings; a++)
      if (is_wrong(stack, a, small_gap)) {
        wrong++;
        last = a;
      }
    if (wrong == 0) return 1;
    patience = wrong < fewest ? PATIENCE : patience - 1;
    if (wrong < fewest) fewest = wrong;
    for (int a = patience >= 0 ? 0 : last; a <= last; a++) // all at once, or the last one only
      if (is_wrong(stack, a, small_gap)) stack->touch[a] ^= 1;
  }
  return 0;
}

// ---- shapes --------------------------------------------------------------------------------------------

// Sum of all loads of each layer, for df_plate_lift and the parts beyond.
static void shapes_set(struct stack *stack)
{
  for (int i = 0; i < stack->layers; i++)
    stack->layer[i].loaded = i == 0 ? load_bend(stack) : (struct df_plate_bend){0, 0};
  for (int a = 0; a < stack->rings; a++) {
    if (stack->force[a] == 0) continue;
    for (int side = 0; side < 2; side++) {
      struct layer *layer = &stack->layer[stack->pair[a] + side];
      bend_add(&layer->loaded, df_plate_ring(&layer->plate, stack->radius[stack->place[a]]),
               side == 0 ? -stack->force[a] : stack->force[a]);
    }
  }
}

// Lift (moment: 0) or radial moment per length (1) of layer i at a radius.
static double shape_at(const struct stack *stack, int i, double radius, int moment)
{
  const struct layer *layer = &stack->layer[i];
  const struct df_plate *plate = &layer->plate;
  const struct df_shim_load *load = &stack->load;
  double sum = moment ? df_plate_moment(plate, layer->loaded, radius) : df_plate_lift(plate, layer->loaded, radius);
  if (i == 0 && !moment) sum += load_lift(stack, radius);
  if (i == 0 && moment && load->ring != 0)
    sum += load->ring*df_plate_ring_moment_beyond(plate, load->ring_radius, radius);
  if (i == 0 && moment && load->pressure != 0)
    sum += load->pressure*df_plate_pressure_moment_beyond(plate, load->inner, load->outer, radius);
  for (int below = 0; below < 2; below++) {   // rings towards the face push outwards, those behind it back
    int pair = i - 1 + below;
    if (pair < 0 || pair + 1 >= stack->layers) continue;
    for (int k = 0; k < stack->radii && stack->radius[k] < radius; k++) {
      int a = stack->ring_at[pair][k];
      if (a < 0 || stack->force[a] == 0) continue;
      double by_one = moment ? df_plate_ring_moment_beyond(plate, stack->radius[k], radius)
                             : df_plate_ring_beyond(plate, stack->radius[k], radius);
      sum += below ? -stack->force[a]*by_one : stack->force[a]*by_one;
    }
  }
  return sum;
}

// Radius between two rings of pair i where its layers cross most; 0: nowhere by more than *worst (m).
static double crossing(const struct stack *stack, int i, double inner, double outer, double *worst)
{
  double radius = 0;
  if (outer < inner*(1 + 2*NEAR)) return 0;
  for (int p = 1; p <= PROBES; p++) {
    double r = inner + (outer - inner)*p/(PROBES + 1);
    double by = shape_at(stack, i, r, 0) - shape_at(stack, i + 1, r, 0);
    if (by <= *worst) continue;
    *worst = by;
    radius = r;
  }
  return radius;
}

// A radius more between any two rings where layers cross. Returns how many were added.
static int refine(struct stack *stack)
{
  double added[RADII_MAX], small = CROSSING*bare_lift(stack), inner = stack->layer[0].plate.clamp;
  int n = 0, before = stack->radii;
  for (int k = 0; k < stack->radii; inner = stack->radius[k++]) {
    double worst = small, radius = 0;
    for (int i = 0; i + 1 < stack->layers; i++) {
      if (stack->radius[k] > common_edge(stack, i)*(1 + SAME)) continue;
      double here = crossing(stack, i, inner, stack->radius[k], &worst);
      if (here > 0) radius = here;
    }
    if (radius > 0) added[n++] = radius;
  }
  for (int j = 0; j < n; j++) radius_add(stack, added[j]);
  return stack->radii - before;
}

static enum df_status solve(struct stack *stack)
{
  const struct df_shim_load *load = &stack->load;
  stack->small_force = PULL*(fabs(load->ring) + fabs(load->pressure)*M_PI*load->outer*load->outer);
  for (int i = 0; i + 1 < stack->layers; i++) radius_add(stack, common_edge(stack, i));
  do {
    enum df_status status = rings_set(stack);
    if (status != DF_OK) return status;
    matrix_set(stack);
    if (!settle(stack)) return DF_NO_SOLUTION;
    shapes_set(stack);
  } while (refine(stack) > 0);
  return DF_OK;
}

// ---- reading the result --------------------------------------------------------------------------------

// Bending stress of the thickest shim of a layer at a radius, by its share of the rigidity, Pa.
static double stress_at(const struct stack *stack, int i, double radius)
{
  const struct layer *layer = &stack->layer[i];
  double t = layer->thickest, one = df_plate_rigidity(stack->modulus, layer->plate.poisson, t);
  return 6*one/layer->plate.rigidity*fabs(shape_at(stack, i, radius, 1))/(t*t);
}

// Moments peak at the clamp and where a ring pushes; under a pressure alone they fall outwards.
static void stresses(const struct stack *stack, struct df_shim_bent *out)
{
  for (int i = 0; i < stack->layers; i++) {
    out->clamp_stress = fmax(out->clamp_stress, stress_at(stack, i, stack->layer[i].plate.clamp));
    for (int k = 0; k < stack->radii; k++)
      if (stack->radius[k] <= stack->layer[i].plate.edge)
        out->stress = fmax(out->stress, stress_at(stack, i, stack->radius[k]));
  }
  if (stack->load.ring != 0) out->stress = fmax(out->stress, stress_at(stack, 0, stack->load.ring_radius));
  out->stress = fmax(out->stress, out->clamp_stress);
}

// Multiple of the load at which layer i meets layer j across smaller ones between them: at the edge of the
// smaller of the two, where they come closest.
static double meets(const struct stack *stack, int i, int j)
{
  double between = 0, hidden = 0, edge = fmin(stack->layer[i].plate.edge, stack->layer[j].plate.edge);
  for (int m = i + 1; m < j; m++) {
    between += stack->layer[m].thickness;
    hidden = fmax(hidden, stack->layer[m].plate.edge);
  }
  double by = shape_at(stack, i, edge, 0) - shape_at(stack, j, edge, 0);
  return edge > hidden && by > 0 ? between/by : INFINITY;
}

static void read_out(const struct stack *stack, double at_radius, struct df_shim_bent *out)
{
  *out = (struct df_shim_bent){.meets_at = INFINITY, .nodes = stack->radii, .passes = stack->passes};
  out->lift = shape_at(stack, 0, at_radius, 0);
  for (int a = 0; a < stack->rings; a++) out->contacts += stack->touch[a];
  for (int i = 0; i < stack->layers; i++)
    for (int j = i + 2; j < stack->layers; j++) out->meets_at = fmin(out->meets_at, meets(stack, i, j));
  stresses(stack, out);
}

// The load within the face's free ring; a pressure that starts inside the clamp starts at it.
static int load_set(struct stack *stack, const struct df_shim_load *load)
{
  const struct df_plate *face = &stack->layer[0].plate;
  double most = face->edge*(1 + SAME);
  stack->load = *load;
  stack->load.inner = fmax(load->inner, face->clamp);
  stack->load.outer = fmin(load->outer, face->edge);
  stack->load.ring_radius = fmin(load->ring_radius, face->edge);
  int pressed = load->pressure == 0 || (load->outer > stack->load.inner && load->outer <= most);
  int ringed = load->ring == 0 || (load->ring_radius > face->clamp && load->ring_radius <= most);
  return isfinite(load->pressure) && isfinite(load->ring) && pressed && ringed;
}

enum df_status df_shim_stack_bend(const struct df_shim *shims, int n, double clamp_radius, double modulus,
                                  double poisson, const struct df_shim_load *load, double at_radius,
                                  struct df_shim_bent *out)
{
  if (!(n > 0 && n <= PLATES_MAX && clamp_radius > 0 && modulus > 0 && poisson >= 0 && poisson < 0.5))
    return DF_BAD_INPUT;
  struct stack *stack = calloc(1, sizeof *stack);
  if (stack == NULL) return DF_NO_MEMORY;
  stack->modulus = modulus;
  int good = layers_of(stack, shims, n, clamp_radius, poisson) && load_set(stack, load);
  double edge = stack->layer[0].plate.edge;
  good = good && at_radius > clamp_radius && at_radius <= edge*(1 + SAME);
  enum df_status status = good ? solve(stack) : DF_BAD_INPUT;
  if (status == DF_OK) read_out(stack, fmin(at_radius, edge), out);
  free(stack->pair);
  free(stack->matrix);
  free(stack);
  return status;
}

// ---- what the valve needs ------------------------------------------------------------------------------

double df_shim_hardening(double radius_ratio)
{
  static const double ratio[] = {0.1, 0.3, 0.5, 0.7}, c[] = {0.302, 0.2535, 0.146, 0.0529};
  return df_interp(ratio, c, 4, radius_ratio, NULL);
}

enum df_status df_shim_stack_solve(const struct df_shim *shims, int n, double clamp_radius,
                                   double seat_radius, double port_inner_radius, double modulus,
                                   double poisson, struct df_shim_stack *out)
{
  struct df_shim_load pressure = {.pressure = 1, .inner = port_inner_radius, .outer = seat_radius};
  struct df_shim_load ring = {.ring = 1, .ring_radius = seat_radius};
  struct df_shim_bent by_pressure, by_ring;
  enum df_status status = df_shim_stack_bend(shims, n, clamp_radius, modulus, poisson, &pressure,
                                             seat_radius, &by_pressure);
  if (status == DF_OK)
    status = df_shim_stack_bend(shims, n, clamp_radius, modulus, poisson, &ring, seat_radius, &by_ring);
  if (status != DF_OK) return status;
  int face = 0;
  while (shims[face].count == 0) face++;      // some group bends, or the stack was refused
  *out = (struct df_shim_stack){
    .pressure_lift = by_pressure.lift, .ring_lift = by_ring.lift, .stiffness = 1/by_ring.lift,
    .area = by_pressure.lift/by_ring.lift, .face_thickness = shims[face].thickness,
    .hardening = df_shim_hardening(clamp_radius/seat_radius),
    .stress_per_lift = by_ring.stress/by_ring.lift,
    .clamp_stress_per_lift = by_ring.clamp_stress/by_ring.lift,
    .free_lift = by_ring.meets_at*by_ring.lift
  };
  return DF_OK;
}

double df_shim_force(const struct df_shim_stack *stack, double lift, double *slope)
{
  double share = lift/stack->face_thickness, grown = stack->hardening*share*share;
  if (slope != NULL) *slope = stack->stiffness*(1 + 3*grown);
  return stack->stiffness*lift*(1 + grown);
}

double df_shim_stress(const struct df_shim_stack *stack, double lift)
{
  return stack->stress_per_lift*lift;
}

double df_valve_shim_stress(const struct df_valve *v)
{
  struct df_shim_stack stack;
  if (v->shim_n < 1 || df_shim_stack_solve(v->shims, v->shim_n, v->shim_clamp/2, v->seat_diameter/2, v->port_inner/2,
                                           v->shim_modulus, DF_SHIM_POISSON, &stack) != DF_OK)
    return NAN;
  return df_shim_stress(&stack, v->stop + v->shim_dish);
}
