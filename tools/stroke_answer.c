// The answer of stroke on the screen.
#include "say.h"
#include "out_text.h"
#include "shown.h"
#include "stroke_work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_SHOWN = 10 };     // with the lines beneath them they fill a screen
static const double least_lost = 0.5e-3; // m of compression: less, nobody sees on a bench

const char *stroke_force_name(const struct stroke_work *work)
{
  static const char *const names[8] = {
      "damping force", "force without spring and air", "force without spring and friction",
      "force without spring", "force without air and friction", "force without air",
      "force without friction", "force"};
  int spring = !!(work->parts & DF_STROKE_SPRING), air = !!(work->parts & DF_STROKE_AIR),
      friction = !!(work->parts & DF_STROKE_FRICTION);
  return names[spring*4 + air*2 + friction];
}

static int bare(const struct stroke_work *work)
{
  return !(work->parts & (DF_STROKE_SPRING | DF_STROKE_AIR | DF_STROKE_FRICTION));
}

static double speed_of(const struct df_stroke_motion *m)
{
  return M_PI*m->stroke*m->frequency;
}

static int same_stroke(const struct stroke_work *work)
{
  for (int i = 1; i < work->run_n; i++)
    if (fabs(work->run[i].motion.stroke - work->run[0].motion.stroke) > 1e-9) return 0;
  return 1;
}

// To a hundredth: below that the steps of the solver speak.
static const char *milliseconds(char out[24], double s)
{
  double hundredths = round(1e5*s);
  return figure(out, hundredths == 0 ? 0 : hundredths/100);
}

// "0.2 / 0.1 ms": after the turn into compression, into rebound.
static void lag_cell(struct table *table, int row, int column, const struct stroke_figures *f)
{
  char a[24], b[24];
  table_cell(table, row, column, "%s / %s ms", milliseconds(a, f->compression_lag),
             milliseconds(b, f->rebound_lag));
}

static void run_row(const struct stroke_work *work, struct table *table, int row,
                    const struct stroke_run *run, int side)
{
  const struct stroke_figures *f = &run->of[side];
  char a[24], b[24];
  int c = 0;
  table_cell(table, row, c++, "%s", shown(KIND_SPEED, speed_of(&run->motion)));
  if (work->legs > 1) table_cell(table, row, c++, "%s", stroke_side[side]);
  figure(a, run->motion.frequency);
  if (same_stroke(work)) table_cell(table, row, c++, "%s Hz", a);
  else table_cell(table, row, c++, "%s, %s Hz", shown(KIND_LENGTH, run->motion.stroke), a);
  table_cell(table, row, c++, "%s", shown(KIND_FORCE, f->compression));
  table_cell(table, row, c++, "%s", shown(KIND_FORCE, f->rebound));
  if (!bare(work))
    table_cell(table, row, c++, "%s / %s", shown_bare(KIND_FORCE, f->force_compression),
               shown(KIND_FORCE, f->force_rebound));
  table_cell(table, row, c++, "%s J", figure(a, f->energy));
  lag_cell(table, row, c++, f);
  table_cell(table, row, c++, "%s %%", figure(b, 100*f->cavitating));
}

static void table_of_runs(const struct stroke_work *work)
{
  struct table *table = malloc(sizeof *table);
  if (!table) {
    say_no_memory();
    return;
  }
  int c = 0, more = work->legs > 1, whole = !bare(work);
  table_begin(table, 7 + more + whole, "rrrrrrrrr");
  table_cell(table, 0, c++, "fork speed");
  if (more) table_cell(table, 0, c++, "leg");
  table_cell(table, 0, c++, "sine");
  table_cell(table, 0, c++, "compression");
  table_cell(table, 0, c++, "rebound");
  if (whole)
    table_cell(table, 0, c++, work->parts == DF_STROKE_ALL ? "whole force" : "with the rest");
  table_cell(table, 0, c++, "energy");
  table_cell(table, 0, c++, "lag");
  table_cell(table, 0, c++, "oil vapour");
  int n = work->run_n*work->legs < ROWS_SHOWN ? work->run_n : ROWS_SHOWN/work->legs;
  for (int i = 0; i < n; i++)
    for (int side = 0; side < work->legs; side++)
      run_row(work, table, 1 + i*work->legs + side, &work->run[i], side);
  table_print(table);
  if (n < work->run_n) line("and %d more: --format csv", work->run_n - n);
  free(table);
}

// What the whole force holds at the middle of the fastest run, and what of it is shown.
static void say_parts(const struct stroke_work *work)
{
  const struct stroke_run *run = &work->run[work->run_n - 1];
  const struct df_stroke_sample *at = &run->leg[0].cycle[run->leg[0].cycles - 1].compression;
  if (work->loaded.scenario->side[0].leg.has_linear) {
    line("Spring at the middle: %s.", shown(KIND_FORCE, at->spring));
    return;
  }
  char energy[24];
  const char *more =
      work->parts == DF_STROKE_ALL
          ? " The whole force holds them; --without spring,air,friction takes them out."
      : bare(work) ? " All three are taken out."
                   : "";
  paragraph(2, "Besides: spring %s, air %s, friction %s (%s J a cycle).%s",
            shown(KIND_FORCE, at->spring), shown(KIND_FORCE, at->air),
            shown(KIND_FORCE, at->friction), figure(energy, run->of[0].friction_energy), more);
  if (!bare(work) && work->parts != DF_STROKE_ALL)
    line("'with the rest' is the %s.", stroke_force_name(work));
}

// Voids and what they cost, for the fastest run that has any.
static int say_voids(const struct stroke_work *work)
{
  for (int i = work->run_n - 1; i >= 0; i--)
    for (int side = 0; side < work->legs; side++) {
      const struct stroke_figures *f = &work->run[i].of[side];
      if (!(f->cavitating > 0) || !(f->lost > least_lost)) continue;
      char lag[24];
      if (isnan(f->compression_lag)) {
        paragraph(2, "At %s up to %s of the lower chamber stand empty: compression makes no "
                     "damping at all.",
                  shown(KIND_SPEED, speed_of(&work->run[i].motion)),
                  shown(KIND_VOLUME, f->void_lower));
        return 1;
      }
      paragraph(
          2,
          "After rebound at %s up to %s of the lower chamber stand empty: the next compression "
          "makes no damping for its first %s (%s ms).",
          shown(KIND_SPEED, speed_of(&work->run[i].motion)), shown(KIND_VOLUME, f->void_lower),
          shown(KIND_LENGTH, f->lost), milliseconds(lag, f->compression_lag));
      return 1;
    }
  return 0;
}

static double off(double got, double steady)
{
  return fabs(got - steady)/fmax(fabs(steady), 1); // 1 N: less is nothing on a bench
}

// Where the strokes are furthest from the steady balance.
struct apart {
  double most, speed;         // 1, m/s
  int voids;                  // 1: a chamber was empty there
  double none;                // m/s, a run for which no steady balance exists; 0: all have one
};

static struct apart apart_of(const struct stroke_work *work)
{
  struct apart apart = {0};
  for (int i = 0; i < work->run_n; i++)
    for (int side = 0; side < work->legs; side++) {
      const struct stroke_figures *f = &work->run[i].of[side];
      double in = off(f->compression, f->steady_compression);
      double out = off(f->rebound, f->steady_rebound), here = fmax(in, out);
      double speed = speed_of(&work->run[i].motion);
      if (isnan(in) || isnan(out)) apart.none = speed;
      if (here > apart.most)
        apart.most = here, apart.speed = speed, apart.voids = f->lost > least_lost;
    }
  return apart;
}

static void say_steady(const struct stroke_work *work, int voids)
{
  struct apart apart = apart_of(work);
  char share[24];
  figure(share, 100*fmax(apart.most, 1e-3));
  if (apart.none > 0)
    paragraph(2, "At %s no steady flow exists that `curves` could say: holes pass no more.",
              shown(KIND_SPEED, apart.none));
  else if (apart.most > 0.02)
    paragraph(2, "`curves` differs by up to %s %%, at %s: %s.", share,
              shown(KIND_SPEED, apart.speed),
              apart.voids ? "a chamber makes no force until it is full"
                          : "oil and its bubbles give way before they make force");
  else if (voids)
    paragraph(2, "At mid-stroke `curves` says the same within %s %%: by then the chamber is full.",
              share);
  else
    paragraph(2, "Same as `curves` at these speeds within %s %%: the loops are thin, the oil gives "
                 "way little.", share);
}

static void say_settling(const struct stroke_work *work)
{
  for (int i = 0; i < work->run_n; i++)
    for (int side = 0; side < work->legs; side++) {
      double change = fabs(work->run[i].of[side].change);
      if (!(change > 0.01)) continue;
      char share[24];
      figure(share, 100*change);
      line("Not settled at %s: the energy of the last two cycles differs by %s %%.",
           shown(KIND_SPEED, speed_of(&work->run[i].motion)), share);
      return;
    }
}

static const char *ordinal(int n)
{
  static const char *const words[] = {"1st", "2nd", "3rd"};
  static char text[16];
  if (n >= 1 && n <= 3) return words[n - 1];
  snprintf(text, sizeof text, "%dth", n);
  return text;
}

static void heading(const struct stroke_work *work)
{
  const struct df_scenario *s = work->loaded.scenario;
  const struct df_stroke *first = &work->run[0].leg[0];
  char how[60] = "sines", from[16];
  if (same_stroke(work))
    snprintf(how, sizeof how, "sine of %s", shown(KIND_LENGTH, work->run[0].motion.stroke));
  int n = first->cycles < MEASURED_CYCLES ? first->cycles : MEASURED_CYCLES;
  snprintf(from, sizeof from, "%s", ordinal(first->cycles - n + 1));
  if (s->side[0].leg.has_linear)
    line("Damping of one linear leg at mid-stroke: %s about %s of travel", how,
         shown(KIND_LENGTH, work->middle));
  else
    line("Damping of one leg at mid-stroke: %s about %s, %s to %s cycle, oil %s", how,
         shown(KIND_LENGTH, work->middle), from, ordinal(first->cycles),
         shown(KIND_TEMPERATURE,
               s->run.start == DF_START_COLD ? 278.15 : s->side[0].oil.temperature));
}

static void answer_runs(const struct stroke_work *work)
{
  heading(work);
  table_of_runs(work);
  paragraph(
      2,
      "Energy: one cycle of damping%s. Lag: from the turn into compression / into rebound until "
      "the damping force has turned.",
      work->parts & DF_STROKE_AIR ? " and air" : "");
  say_parts(work);
  int linear = work->loaded.scenario->side[0].leg.has_linear;
  int voids = say_voids(work);
  if (!linear) say_steady(work, voids);
  say_settling(work);
  if (!work->folder) line("Next: dampfork stroke %s -o out --render png", work->loaded.path);
  else line("Next: dampfork stroke %s --response", work->loaded.path);
}

// --- Response

static void response_row(struct table *table, int row, const struct stroke_work *work,
                         const struct stroke_response *r, int side)
{
  const struct df_stroke_harmonic *h = &r->of[side];
  char a[24], b[24], c[24], d[24];
  int at = 0;
  table_cell(table, row, at++, "%s Hz", figure(a, r->motion.frequency));
  if (work->legs > 1) table_cell(table, row, at++, "%s", stroke_side[side]);
  table_cell(table, row, at++, "%s", shown(KIND_SPEED, speed_of(&r->motion)));
  table_cell(table, row, at++, "%s", shown(KIND_RATE, h->gain));
  table_cell(table, row, at++, "%s deg", figure(b, h->phase*180/M_PI));
  table_cell(table, row, at++, "%s", shown(KIND_RATE, h->stiffness));
  table_cell(table, row, at++, "%s N.s/m", figure(c, h->damping));
  table_cell(table, row, at++, "%s %%", figure(d, h->rest < 1e-4 ? 0 : 100*h->rest));
}

static void table_of_responses(const struct stroke_work *work)
{
  struct table *table = malloc(sizeof *table);
  if (!table) {
    say_no_memory();
    return;
  }
  int c = 0, more = work->legs > 1, row = 1;
  table_begin(table, 7 + more, "rrrrrrrr");
  table_cell(table, 0, c++, "frequency");
  if (more) table_cell(table, 0, c++, "leg");
  static const char *const names[] = {"fork speed",  "gain",        "ahead by",
                                      "as a spring", "as a damper", "no sine"};
  for (int j = 0; j < 6; j++) table_cell(table, 0, c++, "%s", names[j]);
  for (int i = 0; i < work->response_n; i += 5)
    for (int side = 0; side < work->legs; side++)
      response_row(table, row++, work, &work->response[i], side);
  table_print(table);
  free(table);
}

static void say_formula(const struct stroke_work *work)
{
  double most = 0;
  for (int i = 0; i < work->response_n; i++) {
    const struct stroke_response *r = &work->response[i];
    if (!isfinite(r->gain[0])) return;
    most = fmax(most, fabs(r->of[0].gain/r->gain[0] - 1));
    most = fmax(most, fabs(r->of[0].phase - r->phase[0]));
  }
  line(
      "A spring k beside a damper c gives sqrt(k^2 + (w c)^2) and atan(w c/k): the same within %s.",
      most < 1e-9   ? "1e-9"
      : most < 1e-6 ? "1e-6"
      : most < 1e-3 ? "0.1 %"
                    : "more than 0.1 %");
}

static void answer_responses(const struct stroke_work *work)
{
  line("Response of one leg to a sine, %s stroke about %s of travel: first harmonic of the %s",
       shown(KIND_LENGTH, work->response[0].motion.stroke), shown(KIND_LENGTH, work->middle),
       stroke_force_name(work));
  table_of_responses(work);
  line("Gain: force over travel. As a spring: its part in phase with travel; damper: with fork "
       "speed.");
  if (work->loaded.scenario->side[0].leg.has_linear) say_formula(work);
  else
    line("No sine: what of the force (rms) a spring beside a damper cannot make; 0 %% is a linear "
         "leg.");
  if (!work->folder)
    line("Next: dampfork stroke %s --response -o out --render png", work->loaded.path);
  else line("Next: dampfork stroke %s --response --without spring,air,friction", work->loaded.path);
}

void stroke_answer(const struct stroke_work *work)
{
  if (work->response_n) answer_responses(work);
  else answer_runs(work);
}
