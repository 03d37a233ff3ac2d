// The file of a sweep: rows are put behind one another and reach the disk before the next are
// ridden, so that a sweep that was killed goes on where it stood.
#include "atomic.h"
#include "out_csv.h"
#include "say.h"
#include "sweep_work.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

static const char file_name[] = "sweep.csv";
enum { AMISS_MAX = 20 };
static const char part_key[] = "# part = ";

static int fail(const struct sweep *s, int number)
{
  say_error("%s/%s: %s", s->folder ? s->folder : "", file_name, strerror(number));
  return EXIT_OUTPUT;
}

// ---- head ----
static void head_axes(const struct sweep *s, struct csv *csv)
{
  for (int k = 0; k < s->axis_n; k++) {
    const struct axis *axis = &s->axis[k];
    if (s->design == DESIGN_GRID)
      csv_head(csv, "vary", "%s", s->call->options.of[OPT_VARY].text[k]);
    else csv_head(csv, "vary", "%s=%.17g:%.17g %s", axis->path, axis->low, axis->high, axis->unit);
  }
}

static void head_lines(const struct sweep *s, struct csv *csv)
{
  static const char *const names[] = {"grid", "sample", "one", "total"};
  const struct df_run *run = &s->loaded.scenario->run;
  const char *kernel = s->options.kernel;
  for (int i = 0; !kernel && df_kernel_name(i); i++)
    if (df_kernel_usable(i)) kernel = df_kernel_name(i);
  double tolerance = s->options.tolerance > 0   ? s->options.tolerance
                     : isfinite(run->tolerance) ? run->tolerance
                                                : 1e-3; // as df_cases_run takes it
  head_csv(s->call, &s->loaded, 1, csv);
  csv_head(csv, "design", "%s", names[s->design]);
  head_axes(s, csv);
  if (s->sobol) csv_head(csv, "sample", "%ld", s->sample), csv_head(csv, "seed", "%lu", s->seed);
  csv_head(csv, "method", "%s",
           df_method_name(s->options.method ? s->options.method : run->method + 1));
  csv_head(csv, "tolerance", "%.9g", tolerance);
  csv_head(csv, "kernel", "%s", kernel ? kernel : "");
  csv_head(csv, "digits", "%d", s->call->digits);
  csv_head(csv, "rows", "%ld", s->rows);
  if (s->parts > 1) csv_head(csv, "part", "%d/%d", s->part, s->parts);
}

int sweep_head(struct sweep *s)
{
  FILE *stream = open_memstream(&s->head, &s->head_n);
  if (!stream) return EXIT_OUTPUT;
  struct csv csv = csv_begin(stream, s->call->digits);
  char name[SWEEP_NAME_MAX];
  head_lines(s, &csv);
  csv_text(&csv, "row"), csv_text(&csv, "status");
  for (int k = 0; k < s->axis_n; k++) axis_name(&s->axis[k], name), csv_text(&csv, name);
  for (int i = 0; i < s->wanted_n; i++) wanted_name(s, i, name), csv_text(&csv, name);
  csv_line(&csv);
  return fclose(stream) ? EXIT_OUTPUT : 0;
}

// ---- reading rows ----
// Cut a line into cells, in place. Returns how many.
static int cells_cut(char *text, char **cell, int most)
{
  int n = 0;
  for (char *at = text; n < most; at++) {
    cell[n++] = *at == '"' ? at + 1 : at;
    if (*at != '"') at += strcspn(at, ",");
    else {
      char *to = ++at;
      for (; *at && !(*at == '"' && at[1] != '"'); at++) {
        if (*at == '"') at++;
        *to++ = *at;
      }
      if (!*at) return 0; // no closing quote
      at++;
      *to = 0;
    }
    if (!*at) return n;
    if (*at != ',') return 0;
    *at = 0;
  }
  return 0;
}

static int columns_of_line(const char *line)
{
  int n = 1;
  for (; *line; line++) n += *line == ',';
  return n;
}

// One whole line without its end; 0: there is none.
static int line_read(struct rows *rows)
{
  ssize_t n = getline(&rows->text, &rows->size, rows->stream);
  if (n < 1 || rows->text[n - 1] != '\n' || strlen(rows->text) != (size_t)n) return 0;
  rows->text[n - 1] = 0;
  return 1;
}

int rows_begin(struct rows *rows, int file)
{
  *rows = (struct rows){0};
  int copy = dup(file);
  if (copy < 0 || lseek(copy, 0, SEEK_SET) < 0 || !(rows->stream = fdopen(copy, "r"))) return 0;
  while (line_read(rows) && rows->text[0] == '#')
    rows->keys += !strncmp(rows->text, "# vary = ", 9);
  rows->columns = rows->text ? columns_of_line(rows->text) : 0;
  rows->names = rows->text ? strdup(rows->text) : NULL;
  rows->name = calloc((size_t)rows->columns + 1, sizeof *rows->name);
  rows->cell = calloc((size_t)rows->columns + 1, sizeof *rows->cell);
  if ((rows->text && !rows->names) || !rows->name || !rows->cell) say_no_memory();
  return rows->names && rows->name && rows->cell &&
         cells_cut(rows->names, rows->name, rows->columns) == rows->columns &&
         rows->columns > 2 + rows->keys && !strcmp(rows->name[0], "row");
}

// A cell that is empty or a number from end to end.
static int is_number(const char *cell)
{
  char *end;
  strtod(cell, &end);
  return !*cell || !*end;
}

int rows_next(struct rows *rows)
{
  if (!rows->stream || !rows->cell) return 0; // it could not be begun
  if (!line_read(rows) || cells_cut(rows->text, rows->cell, rows->columns) != rows->columns)
    return 0;
  for (int i = 0; i < rows->columns; i++)
    if (i != 1 && !is_number(rows->cell[i])) return 0;
  return rows->cell[0][0] != 0;
}

double rows_number(const struct rows *rows, int column)
{
  return *rows->cell[column] ? strtod(rows->cell[column], NULL) : NAN;
}

void rows_end(struct rows *rows)
{
  if (rows->stream) fclose(rows->stream);
  free(rows->text);
  free(rows->names);
  free(rows->name);
  free(rows->cell);
  *rows = (struct rows){0};
}

// Rows first, first + 1, ... that stand whole in a file; *end: the byte behind the last of them.
static long rows_count(int file, long first, long last, off_t *end)
{
  struct rows rows;
  long n = 0;
  if (rows_begin(&rows, file)) {
    *end = ftello(rows.stream);
    while (first + n <= last && rows_next(&rows) && strtol(rows.cell[0], NULL, 10) == first + n)
      n++, *end = ftello(rows.stream);
  }
  rows_end(&rows);
  return n;
}

// ---- opening ----
static int write_all(int file, const char *text, size_t n)
{
  while (n) {
    ssize_t put = write(file, text, n);
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) return errno ? errno : EIO;
    text += put, n -= (size_t)put;
  }
  return 0;
}

// A folder's own entries reach the disk too.
static void folder_sync(const char *folder)
{
  int file = open(folder, O_RDONLY | O_DIRECTORY);
  if (file < 0) return;
  fsync(file);
  close(file);
}

// The head stands whole in its place, or not at all.
static int file_new(struct sweep *s)
{
  FILE *stream = output_open(s->folder, file_name);
  if (!stream) return EXIT_OUTPUT;
  fwrite(s->head, 1, s->head_n, stream);
  int status = output_commit_all();
  char path[OUTPUT_PATH_MAX];
  snprintf(path, sizeof path, "%s/%s", s->folder, file_name);
  folder_sync(s->folder);
  if (status) return status;
  if ((s->file = open(path, O_RDWR | O_APPEND)) < 0) return fail(s, errno);
  return 0;
}

// Say the first line in which two heads differ.
static int head_differs(const struct sweep *s, const char *found)
{
  const char *a = found, *b = s->head;
  size_t n, m;
  for (;; a += n + 1, b += m + 1) {
    n = strcspn(a, "\n"), m = strcspn(b, "\n");
    if (n != m || strncmp(a, b, n) || !a[n] || !b[m]) break;
  }
  char was[90], is[90], was_safe[120], is_safe[120];
  snprintf(was, sizeof was, "%.*s", (int)n, a), snprintf(is, sizeof is, "%.*s", (int)m, b);
  say_error("%s/%s is another sweep: '%s' there, '%s' here", s->folder, file_name,
            clean(was_safe, sizeof was_safe, was, 80), clean(is_safe, sizeof is_safe, is, 80));
  return EXIT_USAGE;
}

static int head_check(struct sweep *s)
{
  char *found = calloc(1, s->head_n + 1);
  if (!found) return EXIT_OUTPUT;
  ssize_t n = pread(s->file, found, s->head_n, 0);
  int status = n < 0 ? fail(s, errno) : 0;
  if (!status && ((size_t)n != s->head_n || memcmp(found, s->head, s->head_n)))
    status = head_differs(s, found);
  free(found);
  return status;
}

static int file_go_on(struct sweep *s)
{
  off_t end = (off_t)s->head_n;
  int status = head_check(s);
  if (status) return status;
  s->done = rows_count(s->file, s->first, s->last, &end);
  return ftruncate(s->file, end) ? fail(s, errno) : 0;
}

// How far a file came that this sweep would write over: rows wanted in *all.
static long rows_there(int file, long *all)
{
  char line[4096];
  int part = 1, parts = 1, copy = dup(file);
  long rows = 0, first, last;
  off_t end;
  *all = 0;
  if (copy < 0) return 0;
  lseek(copy, 0, SEEK_SET);
  FILE *stream = fdopen(copy, "r");
  while (stream && fgets(line, sizeof line, stream) && line[0] == '#')
    if (sscanf(line, "# rows = %ld", &rows) == 1 || sscanf(line, "# part = %d/%d", &part, &parts))
      continue;
  if (stream) fclose(stream);
  if (rows < 1 || part < 1 || parts < part) return 0;
  sweep_part_rows(rows, part, parts, &first, &last);
  *all = last - first + 1;
  return rows_count(file, first, last, &end);
}

static int file_there(struct sweep *s)
{
  if (flock(s->file, LOCK_EX | LOCK_NB)) {
    say_error("%s/%s: another sweep is writing there", s->folder, file_name);
    return EXIT_OUTPUT;
  }
  if (option_given(&s->call->options, OPT_RESUME)) return file_go_on(s);
  long all, there = rows_there(s->file, &all);
  if (there && there < all) {
    say_error("%s holds an unfinished sweep, %ld of %ld rows; --resume goes on with it", s->folder,
              there, all);
    say_note("to begin anew, remove %s/%s first", s->folder, file_name);
    return EXIT_USAGE;
  }
  close(s->file);
  s->file = -1;
  return file_new(s);
}

int sweep_open(struct sweep *s)
{
  char path[OUTPUT_PATH_MAX];
  if (!s->folder) {
    FILE *stream = tmpfile();
    if (!stream || (s->file = dup(fileno(stream))) < 0) return fail(s, errno);
    fclose(stream);
    int bad = write_all(s->file, s->head, s->head_n);
    return bad ? fail(s, bad) : 0;
  }
  if (output_folder(s->folder)) return EXIT_OUTPUT;
  if (snprintf(path, sizeof path, "%s/%s", s->folder, file_name) >= (int)sizeof path)
    return fail(s, ENAMETOOLONG);
  s->file = open(path, O_RDWR | O_APPEND);
  int status = s->file >= 0 ? file_there(s) : errno == ENOENT ? file_new(s) : fail(s, errno);
  if (!status && flock(s->file, LOCK_EX | LOCK_NB)) {
    say_error("%s/%s: another sweep is writing there", s->folder, file_name);
    return EXIT_OUTPUT;
  }
  return status;
}

// ---- appending ----
static void row_put(const struct sweep *s, struct csv *csv, long row, const double *value,
                    const double *result, const char *status)
{
  char number[24];
  snprintf(number, sizeof number, "%ld", row);
  csv_text(csv, number);
  csv_text(csv, status);
  for (int k = 0; k < s->axis_n; k++)
    csv_number(csv, isfinite(value[k]) ? value[k] : s->axis[k].now);
  for (int i = 0; i < s->wanted_n; i++)
    csv_number(csv, result[i] * df_measures[s->wanted[i].measure].per_si);
  csv_line(csv);
}

int sweep_append(struct sweep *s, long first, int n, const double *value, const double *result,
                 const char *status)
{
  char *text = NULL;
  size_t size = 0;
  FILE *stream = open_memstream(&text, &size);
  if (!stream) return EXIT_OUTPUT;
  struct csv csv = csv_begin(stream, s->call->digits);
  for (int i = 0; i < n; i++)
    row_put(s, &csv, first + i, value + (long)i * s->axis_n, result + (long)i * s->wanted_n,
            status + (long)i * SWEEP_STATUS_MAX);
  int bad = fclose(stream) ? ENOMEM : 0;
  off_t before = lseek(s->file, 0, SEEK_END);
  errno = 0;
  if (!bad) bad = write_all(s->file, text, size);
  if (!bad && s->folder && fsync(s->file)) bad = errno;
  free(text);
  if (!bad) {
    s->done += n;
    return 0;
  }
  if (before >= 0 && ftruncate(s->file, before)) { /* --resume cuts what is torn */
  }
  fail(s, bad);
  if (s->folder && s->done)
    say_note("%ld rows are kept; --resume goes on once there is room", s->done);
  return EXIT_OUTPUT;
}

// ---- gathering ----
struct piece {
  const char *folder;
  int file, part;
  char *head;
};

static int piece_fault(const char *folder, const char *what)
{
  say_error("%s/%s: %s", folder, file_name, what);
  return EXIT_INPUT;
}

// Head lines and names without the line that says which part it is.
static int piece_read(struct piece *p, int *parts)
{
  char path[OUTPUT_PATH_MAX], *line = NULL, *end;
  size_t size = 0, n = 0;
  snprintf(path, sizeof path, "%s/%s", p->folder, file_name);
  if ((p->file = open(path, O_RDONLY)) < 0) return piece_fault(p->folder, strerror(errno));
  FILE *stream = fdopen(dup(p->file), "r"), *head = open_memstream(&p->head, &n);
  p->part = *parts = 0;
  while (stream && head && getline(&line, &size, stream) > 0) {
    if (strncmp(line, part_key, sizeof part_key - 1)) fputs(line, head);
    else {
      p->part = (int)strtol(line + sizeof part_key - 1, &end, 10);
      if (*end == '/') *parts = (int)strtol(end + 1, NULL, 10);
    }
    if (line[0] != '#') break;
  }
  free(line);
  if (stream) fclose(stream);
  if (head) fclose(head);
  if (*parts < 1 || p->part < 1 || p->part > *parts)
    return piece_fault(p->folder, "not a part of a sweep (made with --part K/N)");
  return 0;
}

static long head_rows(const char *head)
{
  const char *at = strstr(head, "\n# rows = ");
  return at ? strtol(at + 10, NULL, 10) : 0;
}

static int pieces_read(const char *const *folder, int n, struct piece *piece, int *parts)
{
  int status = 0;
  for (int i = 0; i < n; i++) {
    int of, bad;
    piece[i] = (struct piece){.folder = folder[i], .file = -1};
    if ((bad = piece_read(&piece[i], &of))) {
      status = bad;
      continue;
    }
    if (!*parts) *parts = of;
    if (of != *parts) status = piece_fault(folder[i], "of another number of parts than the first");
    else if (piece[0].head && strcmp(piece[i].head, piece[0].head))
      status = piece_fault(folder[i], "its head differs from the first's: not the same sweep");
    for (int j = 0; j < i; j++)
      if (piece[j].part == piece[i].part) status = piece_fault(folder[i], "a part given twice");
  }
  return status;
}

// Every part must be there and whole; what is amiss is said. A head may claim any number of parts: no
// more than a screen of them are named.
static int pieces_check(struct piece *piece, int n, int parts, long rows)
{
  int status = 0, amiss = 0;
  for (int k = 1; k <= parts; k++) {
    long first, last;
    off_t end = 0;
    sweep_part_rows(rows, k, parts, &first, &last);
    int at = 0;
    while (at < n && piece[at].part != k) at++;
    long there = at < n ? rows_count(piece[at].file, first, last, &end) : 0;
    if (at < n && there == last - first + 1) continue;
    status = EXIT_INPUT;
    if (++amiss > AMISS_MAX) {
      say_error("and more: %d of %d parts were given", n, parts);
      break;
    }
    if (at == n)
      say_error("part %d/%d is missing, rows %ld to %ld; run it alone with --part %d/%d", k, parts,
                first, last, k, parts);
    else
      say_error("%s: part %d/%d is unfinished, %ld of %ld rows; run it with --part %d/%d --resume",
                piece[at].folder, k, parts, there, last - first + 1, k, parts);
  }
  return status;
}

static int piece_copy(struct piece *p, FILE *to)
{
  FILE *stream = fdopen(dup(p->file), "r");
  char *line = NULL;
  size_t size = 0;
  int names = 0;
  if (!stream) return EXIT_OUTPUT;
  rewind(stream);
  while (getline(&line, &size, stream) > 0) {
    if (line[0] == '#' && !names) continue;
    if (names) fputs(line, to);
    names = 1;
  }
  free(line);
  fclose(stream);
  return 0;
}

static int pieces_write(struct sweep *s, struct piece *piece, int n)
{
  char path[OUTPUT_PATH_MAX];
  if (output_folder(s->folder)) return EXIT_OUTPUT;
  FILE *to = output_open(s->folder, file_name);
  if (!to) return EXIT_OUTPUT;
  fputs(piece[0].head, to);
  for (int k = 1; k <= n; k++)
    for (int i = 0; i < n; i++)
      if (piece[i].part == k && piece_copy(&piece[i], to)) return EXIT_OUTPUT;
  int status = output_commit_all();
  snprintf(path, sizeof path, "%s/%s", s->folder, file_name);
  if (!status && (s->file = open(path, O_RDONLY)) < 0) status = fail(s, errno);
  return status;
}

int sweep_gather(struct sweep *s)
{
  const struct option_value *given = &s->call->options.of[OPT_GATHER];
  int n = given->n + s->call->argument_n, parts = 0, at = 0;
  const char **folder = calloc((size_t)n + 1, sizeof *folder);
  struct piece *piece = calloc((size_t)n + 1, sizeof *piece);
  if (!folder || !piece) return free(folder), free(piece), EXIT_OUTPUT;
  for (int i = 0; i < given->n; i++) folder[at++] = given->text[i];
  for (int i = 0; i < s->call->argument_n; i++) folder[at++] = s->call->arguments[i];
  int status = pieces_read(folder, n, piece, &parts);
  if (!status) s->rows = s->last = head_rows(piece[0].head), s->first = 1;
  if (!status) status = pieces_check(piece, n, parts, s->rows);
  if (!status) status = pieces_write(s, piece, n);
  for (int i = 0; i < n; i++) {
    if (piece[i].file >= 0) close(piece[i].file);
    free(piece[i].head);
  }
  free(folder);
  free(piece);
  return status;
}
