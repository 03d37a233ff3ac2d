// The pictures of a report, in the order of the page, with what each shows in words.
#include "report_work.h"

#include "atomic.h"
#include "render.h"
#include "say.h"

static int has_dive(const struct report *r)
{
  return r->dive >= 0;
}

static void say_stroke_used(const struct report *r, char *out, size_t size)
{
  const struct df_ride *a = &r->ride[r->dive][0].ride, *b = &r->ride[r->dive][1].ride;
  snprintf(out, size,
           "Braking at %.2g m/s2, a 15 mm edge is met at 40 km/h when the fork is deepest. The %s fork "
           "goes to %.0f mm, the %s to %.0f mm of %.0f mm. Below: the road under the wheel, and the "
           "acceleration that reaches the rider's side.",
           r->fork[0].road[r->dive].brake.deceleration, r->label[0], 1e3 * a->peak[DF_P_TRAVEL].most,
           r->label[1], 1e3 * b->peak[DF_P_TRAVEL].most, 1e3 * r->fork[1].side[0].leg.travel);
}

static void say_force_speed(const struct report *r, char *out, size_t size)
{
  snprintf(out, size,
           "One leg at half its travel. Grey and hatched: where nine tenths of 80 draws of all that is in doubt "
           "lie. Dotted lines: the fastest compression of the %s fork on each road. Lower left: the "
           "same from 0 to 0.4 m/s; lower right: coming back up.",
           r->label[1]);
}

static void say_peak_parts(const struct report *r, char *out, size_t size)
{
  (void)r;
  snprintf(out, size,
           "Forces of both legs at the moment of the greatest acceleration. The oil's force is shared "
           "out as the paths share the loss of a steady leg that moves as fast.");
}

static void say_trade(const struct report *r, char *out, size_t size)
{
  (void)r;
  snprintf(out, size, "What less overshoot in braking at 7 m/s2 costs over a 15 mm edge at 50 km/h and "
                      "a 40 mm edge at 60 km/h. The ring: as in the file.");
}

static void say_worth(const struct report *r, char *out, size_t size)
{
  (void)r;
  snprintf(out, size, "Each value from its low to its high end, all else as in the file: given values by "
                      "what a careful person measures them to, assumed ones by what is likely. The table "
                      "has the ends and the effects.");
}

static void say_energy(const struct report *r, char *out, size_t size)
{
  (void)r;
  snprintf(out, size, "Where the energy of a ride over a 40 mm edge at 60 km/h goes, both legs and tyre.");
}

static void say_level(const struct report *r, char *out, size_t size)
{
  const struct report_level *at = &r->level[REPORT_LEVELS / 2];
  snprintf(out, size,
           "Force of spring and air at full travel, and sag with rider. 5 mm more oil: %+.0f N at the end "
           "of the travel; 5 mm less: %+.0f N.",
           at[-1].end_force - at->end_force, at[1].end_force - at->end_force);
}

static void say_heat(const struct report *r, char *out, size_t size)
{
  snprintf(out, size,
           "The %s fork with oil at %.0f degC (first kilometres in the cold), at %.0f degC as in the file, "
           "and at %.0f degC (a long descent in summer).",
           r->label[1], r->heat[0] - 273.15, r->heat[1] - 273.15, r->heat[2] - 273.15);
}

static int not_linear(const struct report *r)
{
  return !r->fork[1].side[0].leg.has_linear;
}

const struct report_picture report_pictures[] = {
    {"stroke-used", "Stroke used in a dive with an edge in it", 460, has_dive, say_stroke_used,
     plot_stroke_used, data_stroke_used},
    {"force-speed", "Damping force against fork speed", 460, NULL, say_force_speed,
     plot_force_speed, data_force_speed},
    {"peak-parts", "What made the peak", 430, NULL, say_peak_parts, plot_peak_parts,
     data_peak_parts},
    {"trade", "What less overshoot costs over edges", 460, has_trade, say_trade, plot_trade,
     data_trade},
    {"sensitivity", "What each value is worth", 460, has_worth, say_worth, plot_worth, data_worth},
    {"energy-paths", "Energy by path", 430, has_edge, say_energy, plot_energy, data_energy},
    {"oil-level", "Oil level", 430, has_level, say_level, plot_level, data_level},
    {"cold-hot", "Cold and hot oil", 430, not_linear, say_heat, plot_heat, data_heat},
};
const int report_picture_count = sizeof report_pictures / sizeof *report_pictures;

int report_has(const struct report *r, int picture)
{
  const struct report_picture *at = &report_pictures[picture];
  return !at->has || at->has(r);
}

static int files_write(const struct report *r, const struct report_picture *at, char *name,
                       size_t size)
{
  struct data data;
  snprintf(name, size, "%s.csv", at->stem);
  FILE *csv = output_open(r->folder, name);
  snprintf(name, size, "%s.gp", at->stem);
  FILE *script = csv ? output_open(r->folder, name) : NULL;
  if (!script) return EXIT_OUTPUT;
  at->data(r, &data);
  data_csv(&data, csv, r->call->digits);
  data_finish(&data);
  at->plot(script, r);
  return 0;
}

int report_pictures_write(const struct report *r)
{
  enum render_form form = option_word(&r->call->options, OPT_RENDER, RENDER_NONE);
  char name[64];
  int status = 0;
  if (form == RENDER_NONE || form == RENDER_TERM) return 0;
  for (int i = 0; i < report_picture_count && !status; i++)
    if (report_has(r, i)) status = files_write(r, &report_pictures[i], name, sizeof name);
  if (!status) status = output_flush_all();
  for (int i = 0; i < report_picture_count && !status; i++)
    if (report_has(r, i)) status = render_file(r->folder, report_pictures[i].stem, form);
  return status;
}

int report_pictures_here(const struct report *r)
{
  int status = 0;
  for (int i = 0; i < REPORT_MAIN && !status; i++) {
    FILE *script = report_has(r, i) ? tmpfile() : NULL;
    if (!script) continue;
    report_pictures[i].plot(script, r);
    status = render_terminal(script);
    fclose(script);
  }
  return status;
}
