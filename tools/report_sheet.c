// What is to be set, and the figures of the bench sheet, for the page of a report.
#include "report_work.h"

#include "say.h"
#include "shown.h"

#include "dampfork/sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void item(FILE *out, const char *name, const char *text)
{
  if (!*text) return;
  fputs("<li><strong>", out), html_text(out, name), fputs("</strong> ", out), html_text(out, text);
  fputs("</li>\n", out);
}

static void valve_text(const struct df_scenario *s, char *out, size_t size)
{
  struct df_valve_setting at;
  const struct df_side *side = &s->side[0];
  *out = 0;
  if (!side->has_valve) return;
  double turns = side->valve.preload / side->valve.adjuster_pitch;
  if (df_valve_setting_of(s, 0, turns, &at, NULL) != DF_OK) return;
  int used = snprintf(out, size, "valve preload %.2f turns from first contact = %.2f mm, %.0f N on the plate",
                      turns, 1e3 * at.preload, at.force);
  if (isfinite(at.cracking_speed))
    snprintf(out + used, size - (size_t)used,
             "; opens at %.2f bar across the valve, a fork speed of %.2f m/s", 1e-5 * at.cracking_pressure,
             at.cracking_speed);
}

static void spring_text(const struct df_scenario *s, char *out, size_t size)
{
  const struct df_side *side = &s->side[0];
  struct df_spacer_sum sum = df_spacer_sum_of(s, 0);
  int used = snprintf(out, size, "%.2f N/mm, spring preload %.1f mm", 1e-3 * side->spring.rate,
                      1e3 * side->spring.preload);
  if (isfinite(sum.cut))
    snprintf(out + used, size - (size_t)used, "; spacer cut to %.1f mm, square", 1e3 * sum.cut);
}

static void oil_text(const struct df_scenario *s, char *out, size_t size)
{
  struct df_oil_fill fill;
  *out = 0;
  if (df_oil_fill_of(s, 0, &fill, NULL) != DF_OK) return;
  int used = snprintf(out, size,
                      "%.1f mm2/s at 40 degC; %.0f mm from the rim (smaller is more oil), leg collapsed, "
                      "spring and spacer out%s",
                      1e6 * fill.viscosity_40, 1e3 * fill.bare, s->side[0].has_valve ? ", valve in" : "");
  if (isfinite(fill.volume))
    snprintf(out + used, size - (size_t)used, "; about %.0f ml into a dry leg", 1e6 * fill.volume);
}

static void rod_text(const struct df_scenario *s, char *out, size_t size)
{
  struct df_rod_plan plan = df_rod_plan_of(s, 0);
  *out = 0;
  if (plan.worked && plan.n)
    snprintf(out, size, "%d compression holes drilled or widened; the sheet has heights and angles",
             plan.worked);
}

static void refused_put(const struct df_scenario *s, FILE *out)
{
  struct df_refused refused[DF_REFUSED_MAX];
  int n = df_setup_refused(s, refused);
  for (int i = 0; i < n; i++) {
    fputs("<p class=\"caution\"><strong>Not to be built:</strong> ", out);
    html_text(out, refused[i].text), fputs("</p>\n", out);
  }
}

static struct df_scenario *rounded(const struct report *r)
{
  struct df_rounding rounding[DF_ROUNDINGS_MAX];
  struct df_scenario *s = malloc(sizeof *s);
  if (!s) return NULL;
  memcpy(s, &r->fork[1], sizeof *s);
  df_setup_rounded(s, rounding);
  return s;
}

void report_set(const struct report *r, FILE *out)
{
  char text[300];
  struct df_spacer_sum sum;
  struct df_scenario *s = r->fork[1].side[0].leg.has_linear ? NULL : rounded(r);
  if (!s) return;
  sum = df_spacer_sum_of(s, 0);
  fputs("<h3>What to set</h3>\n", out);
  refused_put(s, out);
  fputs("<p class=\"caution\">", out);
  html_print(out, "The cap is under %.0f N of spring: press it down while turning the last threads, face aside. "
                  "Support the bike so that the front cannot drop.", sum.cap_force);
  fputs("</p>\n<ul>\n", out);
  valve_text(s, text, sizeof text), item(out, "Drop-in valve", text);
  spring_text(s, text, sizeof text), item(out, "Spring", text);
  oil_text(s, text, sizeof text), item(out, "Oil", text);
  rod_text(s, text, sizeof text), item(out, "Rod", text);
  fputs("</ul>\n", out);
  free(s);
}

// ---- figures of the sheet ----
static void row(FILE *out, const char *name, const char *text)
{
  fputs("<tr><th scope=\"row\">", out), html_text(out, name), fputs("</th><td>", out);
  html_text(out, text), fputs("</td></tr>\n", out);
}

static void sag_rows(const struct df_scenario *s, FILE *out)
{
  static const char *const names[DF_SAG_LOADS] = {"Sag, bike alone", "Sag with rider", "Sag with rider and load"};
  char text[160];
  for (int i = 0; i < DF_SAG_LOADS; i++) {
    struct df_sag sag;
    if (df_sag_of(s, (enum df_sag_load)i, &sag, NULL) != DF_OK || !isfinite(sag.mean)) continue;
    snprintf(text, sizeof text, "%.0f mm, %.0f %% of the travel (%.0f from above, %.0f from below)",
             1e3 * sag.mean, 100 * sag.share, 1e3 * sag.from_above, 1e3 * sag.from_below);
    row(out, names[i], text);
  }
}

static void oil_rows(const struct df_scenario *s, FILE *out)
{
  struct df_oil_fill fill;
  char text[200];
  if (df_oil_fill_of(s, 0, &fill, NULL) != DF_OK) return;
  snprintf(text, sizeof text, "%.0f cm3 of gas, %.1f bar absolute; %.1f bar with oil at 60 degC",
           1e6 * fill.gas_end, 1e-5 * fill.pressure_end, 1e-5 * fill.pressure_hot);
  row(out, "Left at full travel", text);
  snprintf(text, sizeof text, "%+.0f N at the end of the travel; 5 mm less: %+.0f N", fill.force_for_more,
           fill.force_for_less);
  row(out, "5 mm more oil", text);
}

static void test_rows(const struct df_scenario *s, FILE *out)
{
  struct df_acceptance test;
  char text[200];
  if (df_acceptance_of(s, 0, &test, NULL) != DF_OK) return;
  for (int i = 0; i < 2; i++) {
    if (!isfinite(test.time[i])) continue;
    snprintf(text, sizeof text, "%.2f s for %.0f mm under %.0f N of all that moves (%.2f to %.2f s is right)",
             test.time[i], 1e3 * test.distance, df_acceptance_force(&test, (enum df_timed_direction)i),
             test.low[i], test.high[i]);
    row(out, i ? "Timed pull, spring out" : "Timed push, spring out", text);
  }
}

static void rebound_row(const struct df_scenario *s, FILE *out)
{
  double after, before;
  char text[160];
  if (df_opening_effect(s, 0, -0.3, &after, &before, NULL) != DF_OK || !isfinite(before)) return;
  snprintf(text, sizeof text, "%.0f N after opening the rod, %.0f N before, at 0.3 m/s of fork speed",
           fabs(after), fabs(before));
  row(out, "Rebound", text);
}

void report_sheet(const struct report *r, FILE *out)
{
  struct df_scenario *s = r->fork[1].side[0].leg.has_linear ? NULL : rounded(r);
  if (!s) return;
  fputs("<section aria-labelledby=\"sheet\"><h2 id=\"sheet\">For the bench</h2>\n"
        "<p class=\"caution\">Support the frame so that the front cannot drop; strap it. Drilling cannot be "
        "undone, and one chip scores tube and seal.</p>\n"
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"For the bench\"><table>"
        "<caption>Figures of the bench sheet, left leg, as hand tools can make it</caption><tbody>\n", out);
  sag_rows(s, out);
  oil_rows(s, out);
  rebound_row(s, out);
  test_rows(s, out);
  fputs("</tbody></table></div>\n<p>The whole sheet, with every step in order, is made by "
        "<code>dampfork sheet</code> from the same scenario.</p>\n<p class=\"caution\">After it: axle, clamps, calipers and hoses by the workshop manual; pump the "
        "brake until firm before the wheel turns; first stop at walking pace on empty level ground.</p>\n"
        "</section>\n", out);
  free(s);
}
