// The rod's compression holes unrolled: heights over the foot, angles round the rod.
#include "sheet_work.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ANGLES_MAX = 8, ROD_COLUMNS = 84 };

static double top_of(const struct df_rod_plan *plan)
{
  double top = isfinite(plan->limit) ? plan->limit : 0;
  for (int i = 0; i < plan->n; i++)
    top = fmax(top, plan->hole[i].height + 0.5*plan->hole[i].diameter);
  return top;
}

// ---- text: a line an angle, a character a millimetre ----
static int angles_of(const struct df_rod_plan *plan, double angle[ANGLES_MAX])
{
  int n = 0;
  for (int i = 0; i < plan->n; i++) {
    int k = 0;
    while (k < n && fabs(angle[k] - plan->hole[i].angle) > 0.01) k++;
    if (k == ANGLES_MAX) return 0;
    if (k == n) angle[n++] = plan->hole[i].angle;
  }
  for (int i = 0; i < n; i++)
    for (int k = i + 1; k < n; k++)
      if (angle[k] < angle[i]) {
        double swap = angle[i];
        angle[i] = angle[k], angle[k] = swap;
      }
  return n;
}

static void text_sketch(FILE *stream, const struct df_rod_plan *plan)
{
  double angle[ANGLES_MAX], top = top_of(plan);
  int n = angles_of(plan, angle), columns = (int)ceil(1e3*top) + 2;
  if (!n || columns > ROD_COLUMNS) return;
  fprintf(stream, "      foot, a character a millimetre; o: is there, O: drill or widen%s\n",
          isfinite(plan->limit) ? ", |: limit" : "");
  for (int k = 0; k < n; k++) {
    char row[ROD_COLUMNS + 1];
    memset(row, '.', sizeof row);
    row[columns] = 0;
    if (isfinite(plan->limit)) row[(int)(1e3*plan->limit)] = '|';
    for (int i = 0; i < plan->n; i++)
      if (fabs(plan->hole[i].angle - angle[k]) < 0.01)
        row[(int)lround(1e3*plan->hole[i].height)] =
            plan->hole[i].work == DF_HOLE_KEPT ? 'o' : 'O';
    fprintf(stream, "%9.0f %s\n", angle[k]*180/M_PI, row);
  }
}

// ---- HTML: half size, foot below, a hole at 0 degrees stands an eighth of the way round ----
static void svg_holes(FILE *stream, const struct df_rod_plan *plan, double round, double high)
{
  double said = -1;
  for (int i = 0; i < plan->n; i++) {
    const struct df_plan_hole *h = &plan->hole[i];
    double turn = h->angle/(2*M_PI) + 0.125, y = high - 1e3*h->height;
    fprintf(stream, "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"%.2f\" fill=\"%s\" "
            "stroke=\"#000\" stroke-width=\".6\"/>\n",
            round*(turn - floor(turn)), y, 0.5e3*h->diameter,
            h->work == DF_HOLE_KEPT ? "#fff" : "#000");
    if (h->height == said) continue;
    said = h->height;
    fprintf(stream, "<text x=\"-1\" y=\"%.2f\" text-anchor=\"end\">%s</text>\n", y + 1.5,
            stepped_bare(KIND_LENGTH, h->height, 0.5e-3));
  }
}

static void svg_sketch(FILE *stream, const struct df_rod_plan *plan, double outside)
{
  double round = 1e3*M_PI*outside, high = ceil(1e3*top_of(plan)) + 3; // mm
  double left = 13, right = 26, above = 6, wide = left + round + right, tall = above + high + 6;
  fprintf(stream,
          "<svg class=\"sketch\" role=\"img\" aria-label=\"rod unrolled\" style=\"width:%.1fmm\" "
          "viewBox=\"%.2f %.2f %.2f %.2f\" font-size=\"4.6\" fill=\"#000\">\n"
          "<rect width=\"%.2f\" height=\"%.2f\" fill=\"none\" stroke=\"#000\" stroke-width=\".5\"/>\n",
          0.5*wide, -left, -above, wide, tall, round, high);
  for (int i = 0; i < 4; i++)
    fprintf(stream, "<text x=\"%.2f\" y=\"-1\" text-anchor=\"middle\">%d\u00b0</text>\n",
            round*(0.125 + 0.25*i), 90*i);
  if (isfinite(plan->limit))
    fprintf(stream,
            "<path d=\"M0 %.2fh%.2f\" stroke=\"#000\" stroke-width=\".7\" "
            "stroke-dasharray=\"3 2\"/>\n<text x=\"%.2f\" y=\"%.2f\">limit %s</text>\n",
            high - 1e3*plan->limit, round, round + 0.5, high - 1e3*plan->limit - 1.5,
            stepped_bare(KIND_LENGTH, plan->limit, 0.5e-3));
  svg_holes(stream, plan, round, high);
  fprintf(stream, "<text x=\"0\" y=\"%.2f\">foot; unrolled, half size; black: drill</text>\n</svg>\n",
          high + 5);
}

void sheet_sketch(struct page *page, const struct df_rod_plan *plan, double outside)
{
  if (!plan->rows_known || !plan->n) return;
  if (page->html) svg_sketch(page->stream, plan, outside);
  else text_sketch(page->stream, plan);
}
