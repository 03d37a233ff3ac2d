// stroke: one leg driven by a sine, as on a test bench: loops, lag, oil vapour, energy; response.
#include "atomic.h"
#include "commands.h"
#include "render.h"
#include "say.h"
#include "shown.h"
#include "stroke_work.h"

#include "base/param.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double usual_stroke = 50e-3;                      // m, end to end
static const double usual_speeds[] = {0.13, 0.26, 0.52, 1.04}; // m/s: QC/T 491
static const double slowest = 1e-4, fastest = 20; // m/s: seals stick below; no road is faster
static const double response_stroke = 10e-3;                   // m: a road's ripple, not a bench
static const double response_low = 0.1, response_high = 20;    // Hz

const char *const stroke_side[DF_SIDES] = {"left", "right"};

// --- What to drive

static int quantity_read(const struct call *call, enum option_id id, const char *unit, double low,
                         double high, double *value)
{
  const struct df_param row = {.key = option_rows[id].name, .form = DF_QUANTITY, .unit = unit,
                               .usual = NAN, .low = low, .high = high};
  const char *text = option_text(&call->options, id, NULL);
  struct df_faults faults = {0};
  char name[32];
  snprintf(name, sizeof name, "--%s", row.key);
  if (!text || !df_quantity_parse(units_get(), &row, name, text, value, &faults)) return 0;
  say_error("%s %s: %s", name, text, faults.n ? faults.at[0].text : "a quantity is wanted");
  return EXIT_USAGE;
}

static int without_read(struct stroke_work *work)
{
  static const struct { const char *word; int part; } words[] = {
      {"friction", DF_STROKE_FRICTION}, {"air", DF_STROKE_AIR}, {"spring", DF_STROKE_SPRING}};
  const char *text = option_text(&work->call->options, OPT_WITHOUT, NULL);
  char list[200], *rest = NULL;
  work->parts = DF_STROKE_ALL;
  if (!text) return 0;
  snprintf(list, sizeof list, "%s", text);
  for (char *word = strtok_r(list, ",", &rest); word; word = strtok_r(NULL, ",", &rest)) {
    int i = 0;
    while (i < 3 && strcmp(word, words[i].word)) i++;
    if (i == 3) {
      say_error("--without %s: friction, air and spring can be left out, with commas between",
                text);
      return EXIT_USAGE;
    }
    work->parts &= ~words[i].part;
  }
  return 0;
}

// "0.13,0.26": peak speeds. Returns their number, 0 after a message.
static int speeds_read(const char *text, double *speed)
{
  int n = 0;
  for (const char *at = text; n < STROKES_MAX; at++) {
    char *end;
    speed[n] = strtod(at, &end);
    if (end == at || !(speed[n] >= slowest && speed[n] <= fastest)) break;
    n++, at = end;
    if (!*at) return n;
    if (*at != ',') break;
  }
  say_error("--speeds %s: up to %d fork speeds in m/s are wanted, each %g to %g, as in "
            "0.13,0.26,0.52",
            text, STROKES_MAX, slowest, fastest);
  return 0;
}

// Stroke, frequency and peak speeds: any two make the third.
static int motions_read(struct stroke_work *work)
{
  const struct options *options = &work->call->options;
  double stroke = NAN, frequency = NAN, speed[STROKES_MAX];
  int status = quantity_read(work->call, OPT_STROKE, "mm", 0.01, 1000, &stroke);
  if (!status) status = quantity_read(work->call, OPT_FREQUENCY, "Hz", 1e-3, 200, &frequency);
  if (status) return status;
  const char *text = option_text(options, OPT_PEAK_SPEEDS, NULL);
  int whole = isfinite(stroke) && isfinite(frequency), n = 4;
  if (text && whole) {
    say_error("--speeds with both --stroke and --frequency: two of the three are enough");
    return EXIT_USAGE;
  }
  if (text && !(n = speeds_read(text, speed))) return EXIT_USAGE;
  if (!text) memcpy(speed, usual_speeds, sizeof usual_speeds);
  int one = !text && isfinite(frequency);
  if (one) n = 1;
  work->run_n = n;
  for (int i = 0; i < n; i++) {
    double s = isfinite(stroke) ? stroke : usual_stroke;
    if (text && isfinite(frequency)) s = speed[i]/(M_PI*frequency);
    double f = isfinite(frequency) ? frequency : speed[i]/(M_PI*s);
    work->run[i].motion = (struct df_stroke_motion){work->middle, s, f};
  }
  return 0;
}

static int responses_read(struct stroke_work *work)
{
  const struct options *options = &work->call->options;
  double stroke = response_stroke;
  int status = quantity_read(work->call, OPT_STROKE, "mm", 0.01, 1000, &stroke);
  if (status) return status;
  if (option_given(options, OPT_FREQUENCY) || option_given(options, OPT_PEAK_SPEEDS)) {
    say_error("--response goes through all frequencies by itself; only --stroke goes with it");
    return EXIT_USAGE;
  }
  work->response_n = RESPONSES_MAX;
  for (int i = 0; i < RESPONSES_MAX; i++) {
    double f = response_low*pow(response_high/response_low, i/(RESPONSES_MAX - 1.0));
    work->response[i].motion = (struct df_stroke_motion){work->middle, stroke, f};
  }
  return 0;
}

static int middle_read(struct stroke_work *work)
{
  double all = work->loaded.scenario->side[0].leg.travel;
  work->middle = 0.5*all;
  int status = quantity_read(work->call, OPT_TRAVEL, "mm", -1e4, 1e4, &work->middle);
  if (status) return status;
  if (work->middle >= 0 && work->middle <= all) return 0;
  say_error("--travel %s: %s has 0 to %.6g mm", option_text(&work->call->options, OPT_TRAVEL, ""),
            work->loaded.path, 1e3*all);
  return EXIT_USAGE;
}

static int speed_check(const struct df_stroke_motion *motion)
{
  double speed = M_PI*motion->stroke*motion->frequency;
  if (speed >= slowest*(1 - 1e-12) && speed <= fastest*(1 + 1e-12)) return 0;
  say_error("a stroke of %.4g mm at %.4g Hz reaches %.4g m/s: fork speeds of %g to %g m/s can be "
            "driven",
            1e3*motion->stroke, motion->frequency, speed, slowest, fastest);
  return EXIT_USAGE;
}

// A stroke that the leg has no room for is a wrong command line, not a broken model.
static int room_check(const struct stroke_work *work, const struct df_stroke_motion *motion)
{
  const struct df_leg *leg = &work->loaded.scenario->side[0].leg;
  double room = 2*fmin(motion->middle, leg->travel - motion->middle);
  if (leg->has_linear || motion->stroke <= room*(1 + 1e-12)) return 0;
  say_error("a stroke of %.4g mm about %.4g mm of travel: %s has room for %.4g mm there",
            1e3*motion->stroke, 1e3*motion->middle, work->loaded.path, 1e3*room);
  return EXIT_USAGE;
}

static int work_read(struct stroke_work *work)
{
  int status = load(work->call, work->call->arguments[0], &work->loaded);
  if (!status) status = without_read(work);
  if (!status) status = middle_read(work);
  if (status) return status;
  const struct df_scenario *scenario = work->loaded.scenario;
  work->legs = scenario->unlike && scenario->bike.legs == 2 ? 2 : 1;
  status = option_given(&work->call->options, OPT_RESPONSE) ? responses_read(work)
                                                            : motions_read(work);
  for (int i = 0; i < work->run_n && !status; i++) {
    status = speed_check(&work->run[i].motion);
    if (!status) status = room_check(work, &work->run[i].motion);
  }
  if (!status && work->response_n) status = room_check(work, &work->response[0].motion);
  return status;
}

// --- Driving

static int drive(const struct stroke_work *work, int side, const struct df_stroke_motion *motion,
                 struct df_stroke *out)
{
  struct df_stroke_options options = {.stop = &stop_signal};
  struct df_faults faults = {0};
  enum df_status status = df_stroke_run(work->loaded.scenario, side, motion, &options, out,
                                        &faults);
  if (status == DF_OK) return 0;
  if (status != DF_INTERRUPTED && out->reason[0]) {
    say_error("%s: %s", work->loaded.path, out->reason);
    return EXIT_MODEL;
  }
  return status_exit(work->loaded.path, status, &faults);
}

static double mean_of(const struct df_stroke *s, size_t place)
{
  int n = s->cycles < MEASURED_CYCLES ? s->cycles : MEASURED_CYCLES;
  double sum = 0;
  for (int i = s->cycles - n; i < s->cycles; i++)
    sum += *(const double *)((const char *)&s->cycle[i] + place);
  return sum/n;
}
#define MEAN(s, field) mean_of(s, offsetof(struct df_stroke_cycle, field))

static double force_mean(const struct df_stroke *s, int rebound, int parts)
{
  int n = s->cycles < MEASURED_CYCLES ? s->cycles : MEASURED_CYCLES;
  double sum = 0;
  for (int i = s->cycles - n; i < s->cycles; i++)
    sum += df_stroke_force(rebound ? &s->cycle[i].rebound : &s->cycle[i].compression, parts);
  return sum/n;
}

static void figures(const struct stroke_work *work, const struct df_stroke *s,
                    const struct df_leg_model *model, struct stroke_figures *out)
{
  const struct df_stroke_cycle *last = &s->cycle[s->cycles - 1];
  out->compression = force_mean(s, 0, DF_STROKE_DAMPING);
  out->rebound = force_mean(s, 1, DF_STROKE_DAMPING);
  out->force_compression = force_mean(s, 0, work->parts);
  out->force_rebound = force_mean(s, 1, work->parts);
  out->energy = MEAN(s, damping_energy) +
                (work->parts & DF_STROKE_AIR ? MEAN(s, air_energy) : 0);
  out->friction_energy = MEAN(s, friction_energy), out->cone_energy = MEAN(s, cone_energy);
  out->compression_lag = MEAN(s, compression_lag), out->rebound_lag = MEAN(s, rebound_lag);
  out->cavitating = MEAN(s, cavitating);
  out->void_lower = last->void_lower, out->void_annulus = last->void_annulus;
  double angle = 2*M_PI*s->motion.frequency*fmax(out->compression_lag, 0);
  out->lost = 0.5*s->motion.stroke*(1 - cos(angle));
  if (isnan(out->compression_lag)) out->lost = out->cavitating > 0 ? s->motion.stroke : 0;
  out->change = s->cycles > 1 ? last->damping_energy/last[-1].damping_energy - 1 : NAN;
  struct df_steady steady;
  double v = M_PI*s->motion.stroke*s->motion.frequency;
  out->steady_compression = out->steady_rebound = NAN;
  if (!df_leg_steady(model, work->middle, v, &steady)) out->steady_compression = steady.damping;
  if (!df_leg_steady(model, work->middle, -v, &steady)) out->steady_rebound = steady.damping;
}

static double steady_force(const struct df_steady *s, int parts)
{
  const struct df_stroke_sample at = {.damping = s->damping, .spring = s->spring, .air = s->air,
                                      .friction = s->friction, .cone = s->cone, .stop = s->stop};
  return df_stroke_force(&at, parts);
}

// The steady curve beneath the peak-speed curve.
static void steady_make(struct stroke_work *work)
{
  double most = 0;
  for (int i = 0; i < work->run_n; i++)
    most = fmax(most, M_PI*work->run[i].motion.stroke*work->run[i].motion.frequency);
  work->steady_n = STEADY_POINTS;
  for (int i = 0; i < STEADY_POINTS; i++) {
    struct stroke_steady *at = &work->steady[i];
    at->v = most*(2.0*i/(STEADY_POINTS - 1) - 1); // names stand beyond
    for (int side = 0; side < work->legs; side++) {
      struct df_steady steady;
      at->force[side] = df_leg_steady(work->model[side], work->middle, at->v, &steady)
                            ? NAN
                            : steady_force(&steady, work->parts);
    }
  }
}

static int runs_drive(struct stroke_work *work)
{
  for (int i = 0; i < work->run_n; i++)
    for (int side = 0; side < work->legs; side++) {
      struct stroke_run *run = &work->run[i];
      int status = drive(work, side, &run->motion, &run->leg[side]);
      if (status) return status;
      figures(work, &run->leg[side], work->model[side], &run->of[side]);
      say_progress("strokes", i*work->legs + side + 1, work->run_n*work->legs);
    }
  if (work->run_n) steady_make(work);
  return 0;
}

// A spring beside a damper: k + i w c. Of a linear leg, only what is kept of it counts.
static void formula(const struct stroke_work *work, struct stroke_response *r, int side)
{
  const struct df_leg *leg = &work->loaded.scenario->side[side].leg;
  double pace = 2*M_PI*r->motion.frequency;
  double k = work->parts & DF_STROKE_SPRING ? leg->linear.rate : 0;
  r->gain[side] = leg->has_linear ? hypot(k, pace*leg->linear.damping) : NAN;
  r->phase[side] = leg->has_linear ? atan2(pace*leg->linear.damping, k) : NAN;
}

static int responses_drive(struct stroke_work *work)
{
  for (int i = 0; i < work->response_n; i++)
    for (int side = 0; side < work->legs; side++) {
      struct stroke_response *r = &work->response[i];
      struct df_stroke s;
      int status = drive(work, side, &r->motion, &s);
      if (!status) df_stroke_first_harmonic(&s, work->parts, &r->of[side]);
      df_stroke_finish(&s);
      if (status) return status;
      formula(work, r, side);
      say_progress("frequencies", i*work->legs + side + 1, work->response_n*work->legs);
    }
  return 0;
}

static int models_make(struct stroke_work *work)
{
  for (int side = 0; side < work->legs; side++) {
    struct df_faults faults = {0};
    work->model[side] = df_leg_create(work->loaded.scenario, side, &faults);
    if (!work->model[side])
      return status_exit(work->loaded.path, faults.n ? faults.at[0].status : DF_NO_MEMORY, &faults);
  }
  return 0;
}

static int compute(struct stroke_work *work)
{
  int status = models_make(work);
  if (!status) status = runs_drive(work);
  if (!status) status = responses_drive(work);
  say_progress_end();
  return status;
}

// --- Files

static const char *const stem[] = {"stroke", "stroke-peaks", "stroke-response"};
enum { STEMS = 3 };

static int stem_used(const struct stroke_work *work, int i)
{
  return (i == 2) == (work->response_n > 0);
}

static int files_open(const struct stroke_work *work, FILE *stream[STEMS][2])
{
  if (output_folder(work->folder)) return EXIT_OUTPUT;
  for (int i = 0; i < STEMS; i++)
    for (int script = 0; script < 2 && stem_used(work, i); script++) {
      char name[40];
      snprintf(name, sizeof name, "%s.%s", stem[i], script ? "gp" : "csv");
      if (!(stream[i][script] = output_open(work->folder, name))) return EXIT_OUTPUT;
    }
  return 0;
}

static void head(const struct stroke_work *work, struct csv *csv)
{
  head_csv(work->call, &work->loaded, 1, csv);
  const struct df_stroke *first = &work->run[0].leg[0];
  if (work->run_n) {
    csv_head(csv, "method", "%s", df_method_name(first->method));
    csv_head(csv, "tolerance", "%g", first->tolerance);
    csv_head(csv, "cycles", "%d driven, figures are means over the last %d", first->cycles,
             first->cycles < MEASURED_CYCLES ? first->cycles : MEASURED_CYCLES);
  }
  csv_head(csv, "middle_mm", "%.9g", 1e3*work->middle);
  csv_head(csv, "force", "%s", stroke_force_name(work));
}

typedef void (*rows)(const struct stroke_work *, struct csv *);
static const rows rows_of[STEMS] = {stroke_csv, stroke_peaks_csv, stroke_response_csv};
static void (*const plot_of[STEMS])(FILE *, const struct stroke_work *) = {
    plot_stroke, plot_stroke_peaks, plot_stroke_response};

static int files_write(const struct stroke_work *work, FILE *stream[STEMS][2],
                       enum render_form form)
{
  for (int i = 0; i < STEMS; i++) {
    if (!stem_used(work, i)) continue;
    struct csv csv = csv_begin(stream[i][0], work->call->digits);
    head(work, &csv);
    rows_of[i](work, &csv);
    plot_of[i](stream[i][1], work);
  }
  if (form == RENDER_NONE || form == RENDER_TERM) return 0;
  if (output_flush_all()) return EXIT_OUTPUT;
  int status = 0;
  for (int i = 0; i < STEMS && !status; i++)
    if (stem_used(work, i)) status = render_file(work->folder, stem[i], form);
  return status;
}

static int draw_here(const struct stroke_work *work)
{
  int status = 0;
  for (int i = 0; i < STEMS && !status; i++) {
    if (!stem_used(work, i)) continue;
    FILE *script = tmpfile();
    if (!script) {
      say_error("no temporary file for the picture");
      return EXIT_OUTPUT;
    }
    plot_of[i](script, work);
    status = render_terminal(script);
    fclose(script);
  }
  return status;
}

static void answer(const struct stroke_work *work)
{
  if (work->call->format == FORMAT_CSV) {
    struct csv csv = csv_begin(stdout, work->call->digits);
    head(work, &csv);
    rows_of[work->response_n ? 2 : 1](work, &csv);
  } else if (work->call->format == FORMAT_JSON) stroke_json(work);
  else stroke_answer(work);
}

static int work_run(struct stroke_work *work)
{
  enum render_form form = option_word(&work->call->options, OPT_RENDER, RENDER_NONE);
  static FILE *stream[STEMS][2];
  int status = work_read(work);
  if (!status && work->folder) status = files_open(work, stream);
  if (!status) status = compute(work);
  if (!status && work->folder) status = files_write(work, stream, form);
  if (!status && work->folder) status = output_commit_all();
  if (status) return status;
  if (!option_given(&work->call->options, OPT_QUIET)) answer(work);
  return form == RENDER_TERM ? draw_here(work) : 0;
}

int cmd_stroke(struct call *call)
{
  struct stroke_work *work = calloc(1, sizeof *work);
  if (!work) return EXIT_OUTPUT;
  work->call = call;
  work->folder = option_text(&call->options, OPT_OUTPUT, NULL);
  int render = option_word(&call->options, OPT_RENDER, RENDER_NONE), status = EXIT_USAGE;
  if (render != RENDER_NONE && render != RENDER_TERM && !work->folder)
    say_error("--render %s needs -o DIR for the pictures",
              option_text(&call->options, OPT_RENDER, ""));
  else status = work_run(work);
  for (int i = 0; i < work->run_n; i++)
    for (int side = 0; side < DF_SIDES; side++) df_stroke_finish(&work->run[i].leg[side]);
  for (int side = 0; side < DF_SIDES; side++) df_leg_destroy(work->model[side]);
  load_finish(&work->loaded);
  free(work);
  return status;
}
