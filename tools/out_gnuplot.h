// gnuplot scripts: a head of data and names written here, then a template of plots/. See
// plots/README.md for the names.
#ifndef DF_TOOLS_OUT_GNUPLOT_H
#define DF_TOOLS_OUT_GNUPLOT_H

#include <stdio.h>

enum { GP_CURVES_MAX = 5 };   // more curves in one picture cannot be told apart without colour

struct gp {
  FILE *stream;
  const char *stem;           // file name without ending: [a-z0-9-]+, never text from a user
};

// Begin the script: purpose, how to run it, the house style. `stem` must be a name of ours.
struct gp gp_begin(FILE *stream, const char *stem, const char *purpose);

// A text between single quotes, made harmless: control characters and broken UTF-8 become '?', an
// apostrophe becomes U+2019. (Doubling it is not safe: gnuplot 5.4 misreads a doubled quote at the
// start of a text, and two doubled ones in a row.)
void gp_quote(FILE *stream, const char *text);

void gp_number(struct gp *gp, const char *name,
               double value); // name = value; NAN where it is not finite
void gp_text(struct gp *gp, const char *name, const char *text);      // name = 'text'
void gp_numbers(struct gp *gp, const char *name, const double *values, int n); // array name[n]
void gp_texts(struct gp *gp, const char *name, const char *const *texts, int n);

// A data block $NAME, or $NAME_K when k > 0: n rows, `columns` values each, row by row.
void gp_block_begin(struct gp *gp, const char *name, int k);
void gp_block_row(struct gp *gp, const double *values, int columns);
void gp_block_gap(struct gp *gp);
void gp_block_end(struct gp *gp);

// Places for labels at the ends of curves, pushed apart to at least `gap`, order kept. In place.
void gp_spread(double *place, int n, double gap);

// End with the template of that name (file NAME.gp.in of plots/). Returns 0, or -1 when there is
// none.
int gp_finish(struct gp *gp, const char *template);

struct df_scenario;
// Names short enough for a curve's end: "plain" and "valved" where that tells two forks apart, else the first of each name.
enum { SHORT_NAME = 96 }; // bytes: 20 characters at most
void short_names(const struct df_scenario *const *scenario, const char *const *name, int n, char (*out)[SHORT_NAME]);

#endif
