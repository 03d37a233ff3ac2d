// Runs every row. Without arguments: TAP on standard output. --page FILE writes the page; --check FILE compares it with FILE.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "page.h"

static struct verdict verdicts[VERDICTS_MAX];
static struct limit_verdict limits[VERDICTS_MAX];

static int run_rows(void)
{
  int n = 0;
  for (int g = 0; g < evidence_group_count; g++)
    for (int i = 0; i < evidence_groups[g]->n && n < VERDICTS_MAX; i++, n++) {
      const struct evidence *row = &evidence_groups[g]->row[i];
      verdicts[n] = (struct verdict){row, row->run(row->given), n};
    }
  return n;
}

static int run_limits(void)
{
  int n = 0;
  for (int g = 0; g < limit_group_count; g++)
    for (int i = 0; i < limit_groups[g]->n && n < VERDICTS_MAX; i++, n++) {
      const struct limit *row = &limit_groups[g]->row[i];
      limits[n] = (struct limit_verdict){row, limit_groups[g], row->run(row->given)};
    }
  return n;
}

static int tap_row(int number, const struct verdict *v)
{
  const struct evidence *r = v->row;
  int good = verdict_margin(v) <= 1;
  printf("%s %d - %s: %s, %s (margin %.2f)\n", good ? "ok" : "not ok", number, r->part, r->source, r->where, verdict_margin(v));
  if (!good)
    printf("# got %.17g want %.17g off %.3g tolerance %.3g %s; printed: %s\n", v->got, r->want, v->got - r->want, r->tolerance,
      r->unit, r->printed);
  return good;
}

static int tap_limit(int number, const struct limit_verdict *l)
{
  double error = limit_error(l);
  int good = error >= l->row->low && error <= l->row->high;
  printf("%s %d - known limit: %s, %s (%+.1f %%)\n", good ? "ok" : "not ok", number, l->group->name, l->row->what, error);
  if (!good)
    printf("# got %.17g want %.17g, error %.3f %% outside %+.0f .. %+.0f %%; source: %s\n", l->got, l->row->want, error,
      l->row->low, l->row->high, l->row->source);
  return good;
}

static int tap_count(int number, int good, const char *text, int count)
{
  printf("%s %d - %s: %d\n", good ? "ok" : "not ok", number, text, count);
  return good;
}

// The collection itself is held to what was asked of it.
enum { PRINTED_LEAST = 60, SOURCES_LEAST = 30, SOURCE_MOST = 6 };

static int tap_all(int n, int m)
{
  const char *name = "none";
  int most = most_from_one_source(verdicts, n, &name), good = 1, number = 0;
  printf("1..%d\n", n + m + 3);
  for (int i = 0; i < n; i++) good &= tap_row(++number, &verdicts[i]);
  for (int i = 0; i < m; i++) good &= tap_limit(++number, &limits[i]);
  int printed = count_tag(verdicts, n, 'P'), sources = count_sources(verdicts, n);
  good &= tap_count(++number, printed >= PRINTED_LEAST, "figures printed in a named source", printed);
  good &= tap_count(++number, sources >= SOURCES_LEAST, "distinct sources", sources);
  good &= tap_count(++number, most <= SOURCE_MOST, "most figures from one source", most);
  return good;
}

static char *read_all(const char *path)
{
  FILE *in = fopen(path, "rb");
  if (!in) return NULL;
  size_t room = 1 << 20, n = 0;
  char *text = malloc(room + 1);
  if (text) n = fread(text, 1, room, in);
  if (text) text[n] = 0;
  fclose(in);
  return text;
}

static int same_page(const char *path, int n, int m)
{
  char *now = NULL, *then = read_all(path);
  size_t size = 0;
  FILE *out = open_memstream(&now, &size);
  if (!out) return 0;
  page_write(out, verdicts, n, limits, m);
  fclose(out);
  int same = then && strcmp(now, then) == 0;
  int line = 1;
  for (size_t i = 0; then && !same && now[i] && now[i] == then[i]; i++) line += now[i] == '\n';
  printf("1..1\n%s 1 - %s is what the suite writes\n", same ? "ok" : "not ok", path);
  if (!same) printf("# first difference in line %d; ninja evidence-page writes it anew\n", line);
  free(now);
  free(then);
  return same;
}

static int write_page(const char *path, int n, int m)
{
  FILE *out = fopen(path, "wb");
  if (!out) return 0;
  page_write(out, verdicts, n, limits, m);
  return fclose(out) == 0;
}

int main(int argc, char **argv)
{
  int n = run_rows(), m = run_limits();
  if (argc == 3 && strcmp(argv[1], "--page") == 0) return !write_page(argv[2], n, m);
  if (argc == 3 && strcmp(argv[1], "--check") == 0) return !same_page(argv[2], n, m);
  if (argc != 1) return 2;
  return !tap_all(n, m);
}
