// The page of a report: answer, slider, pictures, rides, where it comes from, what it leaves out.
#include "report_work.h"

#include "out_text.h"
#include "render.h"
#include "ride_work.h"
#include "say.h"
#include "shown.h"
#include "templates.h"
#include "version.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct page {
  const struct report *r;
  FILE *out;
  int status;
};

// Text of a file that was compiled in.
static const char *compiled_in(const char *name)
{
  for (int i = 0; i < plot_template_count; i++)
    if (!strcmp(plot_templates[i].name, name)) return plot_templates[i].text;
  return "";
}

static void caution(const struct page *p, const char *text)
{
  fputs("<p class=\"caution\">", p->out), html_text(p->out, text), fputs("</p>\n", p->out);
}

// ---- figures as text ----
static void value_said(int measure, double si, char *out, size_t size)
{
  char number[24], unit[24];
  if (!isfinite(si)) {
    snprintf(out, size, "-");
    return;
  }
  const struct df_measure *m = &df_measures[measure];
  df_unit_text(m->unit, unit, sizeof unit);
  snprintf(out, size, "%s%s%s", figure(number, si * m->per_si), *unit ? " " : "", unit);
}

// An error with two digits at most.
static void error_said(const struct df_measure *m, double error, char *out, size_t size)
{
  char number[24], unit[24];
  double at = error * m->per_si, digits = pow(10, floor(log10(fmax(at, 1e-6))) - 1);
  df_unit_text(m->unit, unit, sizeof unit);
  snprintf(out, size, "\u00b1 %s %s", figure(number, round(at / digits) * digits), unit);
}

// ---- answer ----
static void question_row(const struct page *p, int i)
{
  const struct comparison *c = &p->r->c;
  const struct question *q = &questions[i];
  const struct df_estimate *e = compare_find(c, q->road, q->measure);
  int m = df_measure_find(q->measure);
  char a[48] = "-", b[48] = "-", error[48] = "-", why[80];
  compare_because(c, i, why, sizeof why);
  if (e) {
    value_said(m, e->value[0], a, sizeof a), value_said(m, e->value[1], b, sizeof b);
    error_said(&df_measures[m], e->error, error, sizeof error);
  }
  fputs("<tr><th scope=\"row\">", p->out), html_print(p->out, "%s %s", q->name, q->shown);
  fprintf(p->out, "</th><td>%s</td><td>%s</td><td>%s</td><td>%s</td><td>",
          e ? compare_answer(q, e) : "not defined", a, b, error);
  html_text(p->out, why), fputs("</td></tr>\n", p->out);
}

static void questions_table(const struct page *p)
{
  const struct report *r = p->r;
  fputs("<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Questions and answers\">"
        "<table><caption>Six questions that riders ask</caption><thead><tr>"
        "<th scope=\"col\">question</th><th scope=\"col\">answer</th>", p->out);
  for (int k = 0; k < 2; k++)
    fputs("<th scope=\"col\">", p->out), html_text(p->out, r->label[k]), fputs("</th>", p->out);
  fputs("<th scope=\"col\">error of the difference</th><th scope=\"col\">because</th></tr></thead>"
        "<tbody>\n", p->out);
  for (int i = 0; i < QUESTIONS; i++) question_row(p, i);
  fputs("</tbody></table></div>\n", p->out);
}

static void sentences(const struct page *p)
{
  fputs("<ul>\n", p->out);
  for (int i = 0; i < df_sentence_count; i++) {
    char text[400];
    if (!df_sentence_say(&df_sentences[i], &p->r->c.compared, text, sizeof text)) continue;
    fputs("<li>", p->out), html_text(p->out, text), fputs("</li>\n", p->out);
  }
  fputs("</ul>\n", p->out);
}

// The fork's name at full length: a page has room.
static const char *page_name(const struct comparison *c, int k, char *out, size_t size)
{
  for (int i = 0; i < 2; i++)
    if (c->name[k] == c->loaded[i].name) return load_name(c->loaded[i].path, 70, out, size), out;
  return c->name[k];
}

static void answer_section(const struct page *p)
{
  const struct comparison *c = &p->r->c;
  char text[400], name[2][300];
  compare_count(c, text, sizeof text);
  fputs("<section aria-labelledby=\"answer\"><h2 id=\"answer\">What to set and what it does</h2>\n", p->out);
  fputs("<p class=\"answer\">", p->out);
  html_print(p->out, "%s (%s) against %s (%s): %s.", page_name(c, 1, name[1], sizeof name[1]), p->r->label[1],
             page_name(c, 0, name[0], sizeof name[0]), p->r->label[0], text);
  fputs("</p>\n", p->out);
  report_set(p->r, p->out);
  questions_table(p);
  compare_dive_text(c, text, sizeof text);
  if (*text) {
    fputs("<p><strong>How sure.</strong> ", p->out);
    html_print(p->out, "With bush friction 0.01-0.05 and the brake lever taken in 0.15-0.4 s: %s. ",
               text);
    html_text(p->out, "The errors hold what the steps of the computation leave open, three "
                      "published laws of the holes, and every value in doubt.");
    fputs("</p>\n", p->out);
  }
  sentences(p);
  fputs("</section>\n", p->out);
}

// ---- pictures ----
static int svg_put(const struct page *p, const struct report_picture *at, const char *desc)
{
  char *svg = NULL, prefix[32];
  size_t n = 0;
  FILE *script = tmpfile(), *into = open_memstream(&svg, &n);
  int status = script && into ? 0 : EXIT_OUTPUT;
  if (!status) {
    at->plot(script, p->r);
    status = render_svg(script, 480, at->high, 13, into);
  }
  if (script) fclose(script);
  if (into && fclose(into)) status = EXIT_OUTPUT;
  snprintf(prefix, sizeof prefix, "%s-", at->stem);
  if (!status) html_picture(p->out, svg, n, prefix, at->title, desc);
  free(svg);
  return status;
}

static void data_put(const struct page *p, const struct report_picture *at)
{
  struct data data;
  char *csv = NULL;
  size_t n = 0;
  at->data(p->r, &data);
  FILE *into = open_memstream(&csv, &n);
  if (into) data_csv(&data, into, 6), fclose(into);
  fprintf(p->out, "<p class=\"screen\"><a download=\"%s.csv\" href=\"", at->stem);
  if (csv) html_data_address(p->out, "text/csv", csv, n);
  fprintf(p->out, "\">Data of this picture (%s.csv)</a></p>\n", at->stem);
  fputs("<details><summary>Table behind this picture</summary>\n", p->out);
  data_table(&data, p->out, at->title, 24);
  fputs("</details>\n", p->out);
  free(csv);
  data_finish(&data);
}

static void picture_put(struct page *p, const struct report_picture *at)
{
  char desc[600];
  if (p->status) return;
  at->desc(p->r, desc, sizeof desc);
  fprintf(p->out, "<figure id=\"%s\"><h3>", at->stem), html_text(p->out, at->title);
  fputs("</h3>\n", p->out);
  p->status = svg_put(p, at, desc);
  fputs("<figcaption>", p->out), html_text(p->out, desc), fputs("</figcaption>\n", p->out);
  data_put(p, at);
  fputs("</figure>\n", p->out);
}

static void pictures_put(struct page *p, int from, int to)
{
  fputs("<div class=\"pictures\">\n", p->out);
  for (int i = from; i < to; i++)
    if (report_has(p->r, i)) picture_put(p, &report_pictures[i]);
  fputs("</div>\n", p->out);
}

static void pictures_section(struct page *p)
{
  fputs("<section aria-labelledby=\"seen\"><h2 id=\"seen\">Three pictures</h2>\n", p->out);
  pictures_put(p, 0, REPORT_MAIN);
  fputs("</section>\n", p->out);
}

static void more_section(struct page *p)
{
  fputs("<section aria-labelledby=\"more\"><h2 id=\"more\">What moves it</h2>\n", p->out);
  pictures_put(p, REPORT_MAIN, report_picture_count);
  fputs("</section>\n", p->out);
}

// ---- slider ----
static void setting_said(const struct report *r, int i, int brief, char *out, size_t size)
{
  char number[24], mm[48] = "";
  double value = r->setting[i].value;
  if (isfinite(r->pitch)) snprintf(mm, sizeof mm, " = %.2f mm", 1e3 * r->pitch * value);
  snprintf(out, size, "%s %s%s%s%s", figure(number, value), r->unit,
           !strcmp(r->unit, "turn") && value != 1 ? "s" : "", brief ? "" : mm,
           brief || i != r->now ? "" : ", as in the file");
  if (!brief && *r->setting[i].reason) {
    size_t n = strlen(out);
    snprintf(out + n, size - n, ": cannot be, %s", r->setting[i].reason);
  }
}

static void told_said(const struct report *r, int setting, int told, char *out, size_t size)
{
  if (told < 0) snprintf(out, size, "-");
  else value_said(r->told[told].measure, r->setting[setting].told[told], out, size);
}

static const char *key_said(const struct report *r)
{
  return strcmp(r->key, "valve.preload") ? r->key : "Valve preload";
}

static const char *const figure_names[REPORT_FIGURES] = {
    "overshoot in braking, 7 m/s2", "small edge, 15 mm at 50 km/h", "large edge, 40 mm at 60 km/h"};

static void settings_table(const struct page *p)
{
  const struct report *r = p->r;
  char text[200];
  fputs("<details class=\"settings\"><summary>All settings in a table</summary>"
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"All settings\"><table>"
        "<thead><tr><th scope=\"col\">", p->out);
  html_text(p->out, key_said(r)), fputs("</th>", p->out);
  for (int f = 0; f < REPORT_FIGURES; f++) fprintf(p->out, "<th scope=\"col\">%s</th>", figure_names[f]);
  fputs("</tr></thead><tbody>\n", p->out);
  for (int i = 0; i < r->setting_n; i++) {
    setting_said(r, i, 0, text, sizeof text);
    fputs("<tr><th scope=\"row\">", p->out), html_text(p->out, text), fputs("</th>", p->out);
    for (int f = 0; f < REPORT_FIGURES; f++) {
      told_said(r, i, r->figure[f], text, sizeof text);
      fputs("<td>", p->out), html_text(p->out, text), fputs("</td>", p->out);
    }
    fputs("</tr>\n", p->out);
  }
  fputs("</tbody></table></div></details>\n", p->out);
}

static void slider_section(const struct page *p)
{
  const struct report *r = p->r;
  char text[300];
  int now = r->now >= 0 ? r->now : 0;
  if (!r->setting_n) return;
  fputs("<section aria-labelledby=\"try\"><h2 id=\"try\">Before the rebuild: ", p->out);
  html_text(p->out, key_said(r)), fputs("</h2>\n<p>Each setting was ridden beforehand by the program; "
        "nothing is computed here. Moving it changes the figures, the first two pictures and the "
        "last column of the rides.</p>\n", p->out);
  setting_said(r, now, 0, text, sizeof text);
  fprintf(p->out, "<div class=\"slider\"><div id=\"slider\" class=\"screen\" hidden><label for=\"slide\">");
  html_text(p->out, key_said(r));
  fprintf(p->out, "</label><input type=\"range\" id=\"slide\" min=\"0\" max=\"%d\" step=\"1\" value=\"%d\" "
          "aria-valuetext=\"", r->setting_n - 1, now);
  html_text(p->out, text), fputs("\"></div><output id=\"slide-text\" for=\"slide\">", p->out);
  html_text(p->out, text), fputs("</output>\n<dl class=\"figures\">", p->out);
  for (int f = 0; f < REPORT_FIGURES; f++) {
    told_said(r, now, r->figure[f], text, sizeof text);
    fprintf(p->out, "<div><dt>%s</dt><dd data-figure=\"%d\">", figure_names[f], f);
    html_text(p->out, text), fputs("</dd></div>\n", p->out);
  }
  fputs("</dl></div>\n", p->out);
  settings_table(p);
  fputs("</section>\n", p->out);
}

// Text within JSON within a page: no sign that ends a script.
static void json_put(FILE *out, const char *text)
{
  char safe[600];
  clean(safe, sizeof safe, text, 0);
  fputc('"', out);
  for (const char *at = safe; *at; at++)
    if (strchr("<>&\"\\'", *at)) fprintf(out, "\\u%04x", (unsigned)(unsigned char)*at);
    else fputc(*at, out);
  fputc('"', out);
}

static void settings_json(const struct page *p)
{
  const struct report *r = p->r;
  char text[300];
  if (!r->setting_n) return;
  fputs("<script type=\"application/json\" id=\"settings\">", p->out);
  fprintf(p->out, "{\"now\":%d,\"text\":[", r->now);
  for (int brief = 0; brief < 2; brief++) {
    if (brief) fputs("],\"brief\":[", p->out);
    for (int i = 0; i < r->setting_n; i++) {
      setting_said(r, i, brief, text, sizeof text);
      fputs(i ? "," : "", p->out), json_put(p->out, text);
    }
  }
  fputs("],\n\"figure\":[", p->out);
  for (int i = 0; i < r->setting_n; i++)
    for (int f = 0; f < REPORT_FIGURES; f++) {
      told_said(r, i, r->figure[f], text, sizeof text);
      fputs(f ? "," : i ? "],[" : "[", p->out), json_put(p->out, text);
    }
  fputs("]],\n\"ride\":[", p->out);
  for (int i = 0; i < r->setting_n; i++)
    for (int t = 0; t < r->told_n; t++) {
      told_said(r, i, t, text, sizeof text);
      fputs(t ? "," : i ? "],[" : "[", p->out), json_put(p->out, text);
    }
  fputs("]]}</script>\n<script>", p->out);
  fputs(compiled_in("report.js"), p->out);
  fputs("</script>\n", p->out);
}

// ---- rides ----
static void ride_row(const struct page *p, int t)
{
  const struct report *r = p->r;
  const struct df_wanted *w = &r->told[t];
  const char *road = r->fork[0].road[w->road].name;
  const struct df_measure *m = &df_measures[w->measure];
  const struct df_estimate *e = compare_find(&r->c, road, m->name);
  char text[64], error[48] = "-";
  const char *verdict = "-";
  if (!e) return;
  if (m->better != DF_NEITHER) {
    enum df_verdict v = df_verdict_of(w->measure, e);
    verdict = v == DF_BETTER ? "better" : v == DF_WORSE ? "worse" : "same within error";
  }
  error_said(m, e->error, error, sizeof error);
  fputs("<tr><th scope=\"row\">", p->out), html_text(p->out, road), fputs("</th><td>", p->out);
  for (const char *at = m->name; *at; at++) fputc(*at == '_' ? ' ' : *at, p->out);
  for (int k = 0; k < 2; k++) {
    value_said(w->measure, e->value[k], text, sizeof text);
    fputs("</td><td>", p->out), html_text(p->out, text);
  }
  fprintf(p->out, "</td><td>%s</td><td>%s</td>", error, verdict);
  if (r->setting_n) {
    told_said(r, r->now >= 0 ? r->now : 0, t, text, sizeof text);
    fprintf(p->out, "<td data-told=\"%d\">", t), html_text(p->out, text), fputs("</td>", p->out);
  }
  fputs("</tr>\n", p->out);
}

static void rides_section(const struct page *p)
{
  const struct report *r = p->r;
  char text[64];
  fputs("<section aria-labelledby=\"rides\"><h2 id=\"rides\">Rides</h2>\n"
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Rides\"><table>"
        "<caption>The same roads under both forks</caption><thead><tr>"
        "<th scope=\"col\">road</th><th scope=\"col\">measure</th>", p->out);
  for (int k = 0; k < 2; k++)
    fputs("<th scope=\"col\">", p->out), html_text(p->out, r->label[k]), fputs("</th>", p->out);
  fputs("<th scope=\"col\">error</th><th scope=\"col\">verdict</th>", p->out);
  if (r->setting_n) {
    setting_said(r, r->now >= 0 ? r->now : 0, 1, text, sizeof text);
    fputs("<th scope=\"col\" data-setting>", p->out), html_text(p->out, text), fputs("</th>", p->out);
  }
  fputs("</tr></thead><tbody>\n", p->out);
  for (int t = 0; t < r->told_n; t++) ride_row(p, t);
  fputs("</tbody></table></div>\n</section>\n", p->out);
}

// ---- where it comes from, what it leaves out ----
static void provenance_section(const struct page *p)
{
  const struct report *r = p->r;
  static const char *const laws[] = {"two_term", "handbook", "lichtarowicz"};
  const struct df_run *run = &r->fork[1].run;
  double tolerance = option_number(&r->call->options, OPT_TOLERANCE, 0);
  if (!(tolerance > 0)) tolerance = isfinite(run->tolerance) ? run->tolerance : 1e-3;
  fputs("<section aria-labelledby=\"source\"><h2 id=\"source\">Where it comes from</h2>\n"
        "<p>To cite:</p><p class=\"cite\">", p->out);
  html_print(p->out, "dampfork %s, scenario", DAMPFORK_VERSION);
  for (int i = 0; i < (r->c.twin ? 1 : 2); i++) {
    const struct loaded *l = &r->c.loaded[i];
    html_print(p->out, "%s %s (hash %s)", i ? " and" : "", l->name, l->hash);
  }
  html_print(p->out, "%s; hole law %s; tolerance of the time steps %g, curves of the pictures 1e-4.",
             r->c.twin ? " and its twin" : "", laws[run->law], tolerance);
  fputs("</p>\n", p->out);
  for (int i = 0; i < (r->c.twin ? 1 : 2); i++) {
    int given, assumed;
    df_reading_given(r->c.loaded[i].reading, &given, &assumed);
    fputs("<p>", p->out);
    html_print(p->out, "%s: %d values given, %d assumed as typical.", r->c.loaded[i].name, given,
               assumed);
    fputs("</p>\n", p->out);
  }
  fputs("</section>\n", p->out);
}

static void limits_section(const struct page *p)
{
  static const char *const limits[] = {
      "The front alone: no rear of the bike, no steering, no grip in a lean, no durability.",
      "The rider and the bike's front are one mass above the fork; arms, seat and frame do not yield.",
      "The tyre is a spring with some damping under a rolling disc; it does not slip.",
      "Left and right bend nothing: bush friction follows the load, its coefficient is known within "
      "a factor of three.",
      "Foam and heat change oil in a long ride; a ride here lasts seconds, at one temperature unless "
      "the scenario says otherwise.",
  };
  fputs("<section aria-labelledby=\"limits\"><h2 id=\"limits\">What the model leaves out</h2>\n<ul>\n",
        p->out);
  for (size_t i = 0; i < sizeof limits / sizeof *limits; i++)
    fputs("<li>", p->out), html_text(p->out, limits[i]), fputs("</li>\n", p->out);
  fputs("</ul>\n", p->out);
  caution(p, "A model, not a release to ride. Where life depends on it, a licensed workshop and local "
             "rules decide.");
  caution(p, "A changed fork may need approval, or the insurer's consent, where you live.");
  fputs("</section>\n", p->out);
}

static const char *title_of(const struct report *r)
{
  const char *title = r->fork[1].title;
  return *title ? title : r->c.name[1];
}

static void head(const struct page *p)
{
  fputs("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>", p->out);
  html_print(p->out, "%s: report", title_of(p->r));
  fputs("</title>\n<style>\n", p->out), fputs(compiled_in("report.css"), p->out);
  fputs("</style></head>\n<body><a class=\"skip\" href=\"#answer\">To the answer</a>\n<header><h1>",
        p->out);
  html_text(p->out, title_of(p->r));
  fputs("</h1>\n<p class=\"soft\">", p->out);
  char name[2][300];
  html_print(p->out, "Report of %s beside %s", page_name(&p->r->c, 1, name[1], sizeof name[1]), page_name(&p->r->c, 0, name[0], sizeof name[0]));
  fputs("</p></header>\n<main>\n", p->out);
}

int report_page(const struct report *r, FILE *stream)
{
  struct page p = {.r = r, .out = stream};
  head(&p);
  answer_section(&p);
  slider_section(&p);
  pictures_section(&p);
  rides_section(&p);
  report_sheet(r, p.out);
  more_section(&p);
  provenance_section(&p);
  limits_section(&p);
  fputs("</main>\n", p.out);
  settings_json(&p);
  fputs("</body></html>\n", p.out);
  return p.status;
}
