// gnuplot scripts.
#include "out_gnuplot.h"

#include "out_csv.h"
#include "say.h"

#include "dampfork/scenario.h"
#include "templates.h"
#include "version.h"

#include <math.h>
#include <string.h>

static const struct plot_template *template_find(const char *name)
{
  for (int i = 0; i < plot_template_count; i++)
    if (!strcmp(plot_templates[i].name, name)) return &plot_templates[i];
  return NULL;
}

struct gp gp_begin(FILE *stream, const char *stem, const char *purpose)
{
  struct gp gp = {stream, stem};
  fprintf(stream, "# %s (dampfork %s)\n", purpose, DAMPFORK_VERSION);
  fprintf(stream, "# Run: gnuplot -d %s.gp            makes %s.svg\n", stem, stem);
  fprintf(
      stream,
      "#      gnuplot -d -e \"form='png'\" %s.gp   another form: png, pdf, term (draws on the "
      "terminal)\n\n",
      stem);
  fprintf(stream, "if (!exists('form')) form = 'svg'\nstem = '%s'\n", stem);
  fputs(template_find("style")->text, stream);
  fputc('\n', stream);
  return gp;
}

void gp_quote(FILE *stream, const char *text)
{
  char safe[1024];
  clean(safe, sizeof safe, text, 80);
  fputc('\'', stream);
  for (const char *at = safe; *at; at++) {
    if (*at == '\'') fputs("\u2019", stream);
    else fputc(*at, stream);
  }
  fputc('\'', stream);
}

static void number(FILE *stream, double value)
{
  char text[40];
  fputs(isfinite(value) ? number_text(text, value, 9) : "NaN", stream);
}

void gp_number(struct gp *gp, const char *name, double value)
{
  fprintf(gp->stream, "%s = ", name);
  number(gp->stream, value);
  fputc('\n', gp->stream);
}

void gp_text(struct gp *gp, const char *name, const char *text)
{
  fprintf(gp->stream, "%s = ", name);
  gp_quote(gp->stream, text);
  fputc('\n', gp->stream);
}

void gp_numbers(struct gp *gp, const char *name, const double *values, int n)
{
  fprintf(gp->stream, "array %s[%d] = [", name, n);
  for (int i = 0; i < n; i++) {
    if (i) fputs(", ", gp->stream);
    number(gp->stream, values[i]);
  }
  fputs("]\n", gp->stream);
}

void gp_texts(struct gp *gp, const char *name, const char *const *texts, int n)
{
  fprintf(gp->stream, "array %s[%d] = [", name, n);
  for (int i = 0; i < n; i++) {
    if (i) fputs(", ", gp->stream);
    gp_quote(gp->stream, texts[i]);
  }
  fputs("]\n", gp->stream);
}

void gp_block_begin(struct gp *gp, const char *name, int k)
{
  if (k > 0) fprintf(gp->stream, "$%s_%d << END\n", name, k);
  else fprintf(gp->stream, "$%s << END\n", name);
}

void gp_block_row(struct gp *gp, const double *values, int columns)
{
  for (int j = 0; j < columns; j++) {
    if (j) fputc(' ', gp->stream);
    number(gp->stream, values[j]);
  }
  fputc('\n', gp->stream);
}

void gp_block_gap(struct gp *gp)
{
  fputc('\n', gp->stream);
}

void gp_block_end(struct gp *gp)
{
  fputs("END\n\n", gp->stream);
}

void gp_spread(double *place, int n, double gap)
{
  int order[64] = {0};
  if (n > 64) return;
  for (int i = 0; i < n; i++) { // few: insertion sort
    int j = i;
    for (; j && place[order[j - 1]] > place[i]; j--) order[j] = order[j - 1];
    order[j] = i;
  }
  for (int sweep = 0; sweep < 50; sweep++)
    for (int i = 1; i < n; i++) {
      double *low = &place[order[i - 1]], *high = &place[order[i]], lack = gap - (*high - *low);
      if (lack > 0) *low -= 0.5*lack, *high += 0.5*lack;
    }
}

int gp_finish(struct gp *gp, const char *template)
{
  const struct plot_template *body = template_find(template);
  if (!body) return -1;
  fputs(body->text, gp->stream);
  return 0;
}

void short_names(const struct df_scenario *const *scenario, const char *const *name, int n, char (*out)[SHORT_NAME])
{
  int told_apart = n == 2 && scenario[0]->side[0].has_valve != scenario[1]->side[0].has_valve;
  for (int i = 0; i < n; i++) {
    if (told_apart) snprintf(out[i], SHORT_NAME, "%s", scenario[i]->side[0].has_valve ? "valved" : "plain");
    else clean_name(out[i], SHORT_NAME, name[i], 14);
  }
}
