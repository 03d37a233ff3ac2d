// Steady curves of one leg, gathered once for text, CSV, JSON and pictures.
#ifndef DF_TOOLS_CURVES_H
#define DF_TOOLS_CURVES_H

#include "dampfork/leg.h"
#include "out_csv.h"
#include "out_json.h"

// One point of the curve against fork speed.
struct velocity_point { struct df_steady steady; double slope; /* d ln damping / d ln speed, 1 */ };

// One point of the curve against travel, fork all but still.
struct travel_point {
  double x; /* m */
  double spring, air, friction_compression, friction_rebound; /* N */
  double p_column; /* Pa */
  double gas_volume; /* m3 */
};

// A reading of a bench: fork speed m/s, damping N as measured and as computed there.
struct measured_point { double v, damping, computed; };

struct curves {
  const char *name;           // as the user named it, for headings and pictures
  const struct df_scenario *scenario;
  struct df_leg_model *leg;
  struct df_statics statics;
  double x;                   // m, travel of the curve against speed
  int n;
  struct velocity_point *velocity;
  int m;
  struct travel_point *travel;
  int measured_n;
  struct measured_point *measured; // laid over the curve; NULL: none
};

// Speeds in m/s, ascending. Returns DF_OK or why it could not be computed; curves_finish is due in
// either case.
enum df_status curves_init(struct curves *curves, const struct df_scenario *scenario,
                           const char *name, double x, const double *speeds, int speed_n,
                           struct df_faults *faults);
void curves_finish(struct curves *curves);

// d ln damping / d ln speed at a speed, by central difference over 0.02 %. NAN where damping
// changes sign.
double curves_slope(const struct df_leg_model *leg, double x, double v);

// Fork speeds (m/s, compression) where two legs make equal damping, from 0.02 m/s up to `most`; at
// most `room`. Returns their number.
int curves_crossings(const struct curves *a, const struct curves *b, double most, double *at,
                     int room);

// Share of a path in the power of all paths, 1; NAN when nothing flows.
double path_share(const struct df_steady *steady, int path);

// "valve 85 %, check 4 %": the two that matter most.
const char *path_shares(char *out, size_t size, const struct df_steady *steady);

// Header rows, and the rows; `scenario`: a first column with that text, NULL: none.
void curves_velocity_names(struct csv *csv, int with_scenario);
void curves_travel_names(struct csv *csv);
void curves_velocity_csv(const struct curves *curves, struct csv *csv, const char *scenario);
void curves_travel_csv(const struct curves *curves, struct csv *csv, const char *scenario);
void curves_json(const struct curves *curves, struct json *json);

// Lay a file of bench data over the curve. Returns 0 or an exit status after a message.
int curves_measured(struct curves *curves, const char *file);
void curves_measured_say(const struct curves *curves); // how far off, one line

// Scripts for pictures of several legs.
void plot_force_velocity(FILE *stream, const struct curves *curves, int n);
void plot_force_travel(FILE *stream, const struct curves *curves, int n);

#endif
