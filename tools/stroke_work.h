// One call of stroke, between its computing, its answer and its files.
#ifndef DF_TOOLS_STROKE_WORK_H
#define DF_TOOLS_STROKE_WORK_H

#include "load.h"

#include "dampfork/leg.h"
#include "dampfork/stroke.h"

enum {
  STROKES_MAX = 12,           // runs: as many rows as a screen has room for
  RESPONSES_MAX = 31,         // frequencies of --response: fifteen a decade and a bit
  MEASURED_CYCLES = 3,        // bench standards read the third to the fifth cycle
  STEADY_POINTS = 61
};

// One leg in one run: means over the measured cycles. SI.
struct stroke_figures {
  double compression, rebound;             // N, damping at the greatest fork speed
  double force_compression, force_rebound; // N, without what is left out
  double energy;              // J a cycle, damping and air, air only when it is not left out
  double friction_energy, cone_energy;     // J a cycle
  double compression_lag, rebound_lag;     // s
  double cavitating;          // 1
  double void_lower, void_annulus;         // m3 at most
  double lost;                // m of compression before the damping force turns
  double change;              // 1, of the energy from the last cycle but one to the last
  double steady_compression, steady_rebound; // N, damping by the steady balance; NAN
};

struct stroke_run {
  struct df_stroke_motion motion;
  struct df_stroke leg[DF_SIDES];
  struct stroke_figures of[DF_SIDES];
};

struct stroke_response {
  struct df_stroke_motion motion;
  struct df_stroke_harmonic of[DF_SIDES];
  double gain[DF_SIDES], phase[DF_SIDES]; // N/m, rad by formula for a linear leg; NAN
};

struct stroke_steady { double v, force[DF_SIDES]; /* m/s, N */ };

struct stroke_work {
  struct call *call;
  struct loaded loaded;
  const char *folder;         // NULL: nothing is written
  int legs;                   // 1: both alike, 2: each for itself
  int parts;                  // bits of enum df_stroke_part that are kept
  double middle;              // m
  struct df_leg_model *model[DF_SIDES];
  int run_n;
  struct stroke_run run[STROKES_MAX];
  int steady_n;
  struct stroke_steady steady[STEADY_POINTS];
  int response_n;             // 0: no --response
  struct stroke_response response[RESPONSES_MAX];
};

extern const char *const stroke_side[DF_SIDES]; // left, right
// "force less spring and air", for headings.
const char *stroke_force_name(const struct stroke_work *work);

// Files and what stands in them.
void stroke_csv(const struct stroke_work *work, struct csv *csv);
void stroke_peaks_csv(const struct stroke_work *work, struct csv *csv);
void stroke_response_csv(const struct stroke_work *work, struct csv *csv);
void stroke_json(const struct stroke_work *work);
void plot_stroke(FILE *stream, const struct stroke_work *work);
void plot_stroke_peaks(FILE *stream, const struct stroke_work *work);
void plot_stroke_response(FILE *stream, const struct stroke_work *work);

// The answer as text.
void stroke_answer(const struct stroke_work *work);

#endif
