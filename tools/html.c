// HTML: text, pictures, tables.
#define _GNU_SOURCE // memmem
#include "html.h"

#include "out_csv.h"
#include "out_text.h"
#include "say.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { HTML_TEXT_MAX = 4096 };

void html_text(FILE *stream, const char *text)
{
  char safe[HTML_TEXT_MAX];
  clean(safe, sizeof safe, text, 0);
  for (const char *at = safe; *at; at++) switch (*at) {
    case '<': fputs("&lt;", stream); break;
    case '>': fputs("&gt;", stream); break;
    case '&': fputs("&amp;", stream); break;
    case '"': fputs("&quot;", stream); break;
    case '\'': fputs("&#39;", stream); break;
    default: fputc(*at, stream);
    }
}

void html_print(FILE *stream, const char *format, ...)
{
  char text[HTML_TEXT_MAX];
  va_list list;
  va_start(list, format);
  vsnprintf(text, sizeof text, format, list);
  va_end(list);
  html_text(stream, text);
}

void html_data_address(FILE *stream, const char *type, const char *bytes, size_t n)
{
  static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~,:";
  fprintf(stream, "data:%s;charset=utf-8,", type);
  for (size_t i = 0; i < n; i++)
    if (bytes[i] && strchr(plain, bytes[i])) fputc(bytes[i], stream);
    else fprintf(stream, "%%%02X", (unsigned char)bytes[i]);
}

// ---- pictures ----
// A line with `prefix` put behind every mark that an id follows.
static void line_prefixed(FILE *stream, const char *line, size_t n, const char *prefix)
{
  static const char *const marks[] = {" id='", " id=\"", "xlink:href='#", "url(#"};
  size_t i = 0;
  while (i < n) {
    size_t length = 0;
    for (int k = 0; k < 4 && !length; k++) {
      size_t m = strlen(marks[k]);
      if (n - i >= m && !memcmp(line + i, marks[k], m)) length = m;
    }
    if (length) fwrite(line + i, 1, length, stream), fputs(prefix, stream), i += length;
    else fputc(line[i++], stream);
  }
}

static int starts(const char *line, size_t n, const char *with)
{
  return n >= strlen(with) && !memcmp(line, with, strlen(with));
}

// "<g id="gnuplot_plot_3a" ><title>setting 3</title>": the group of one setting.
static int setting_line(FILE *stream, const char *line, size_t n, const char *prefix)
{
  static const char mark[] = "<title>setting ";
  const char *at = memmem(line, n, mark, strlen(mark)), *id = memmem(line, n, "gnuplot_plot_", 13);
  char name[16];
  if (!at || !id) return 0;
  int k = atoi(at + strlen(mark));
  snprintf(name, sizeof name, "%.*s", (int)strcspn(id + 13, "\""), id + 13);
  fprintf(stream, "<g id=\"%splot_%s\" class=\"setting\" data-i=\"%d\">\n", prefix, name, k);
  return 1;
}

static void picture_line(FILE *stream, const char *line, size_t n, const char *prefix)
{
  size_t blank = strspn(line, "\t ");
  if (blank >= n) return;
  line += blank, n -= blank;
  if (starts(line, n, "<text>")) fwrite(line, 1, n, stream);
  else if (setting_line(stream, line, n, prefix)) return;
  else line_prefixed(stream, line, n, prefix);
  fputc('\n', stream);
}

static void head_line(FILE *stream, const char *prefix, const char *title, const char *desc)
{
  fprintf(stream, "<title id=\"%st\">", prefix), html_text(stream, title);
  fprintf(stream, "</title>\n<desc id=\"%sd\">", prefix), html_text(stream, desc);
  fputs("</desc>\n", stream);
}

void html_picture(FILE *stream, const char *svg, size_t n, const char *prefix, const char *title,
                  const char *desc)
{
  const char *end = svg + n;
  for (const char *at = svg; at < end;) {
    const char *stop = memchr(at, '\n', (size_t)(end - at));
    size_t length = (size_t)((stop ? stop : end) - at);
    if (starts(at, length, "<?xml") || starts(at, length, "<desc>")) length = 0;
    else if (starts(at, length, "<svg"))
      fprintf(stream, "<svg role=\"img\" aria-labelledby=\"%st %sd\"\n", prefix, prefix);
    else if (starts(at, length, "<title>")) head_line(stream, prefix, title, desc);
    else if (length) picture_line(stream, at, length, prefix);
    at = stop ? stop + 1 : end;
  }
}

// ---- data ----
void data_begin(struct data *data, const char *first, int columns, const char *const *name)
{
  *data = (struct data){.columns = columns};
  snprintf(data->first, sizeof data->first, "%s", first);
  for (int j = 0; j < columns; j++) snprintf(data->name[j], DATA_NAME, "%s", name[j]);
}

void data_row(struct data *data, const char *text, const double *value)
{
  if (data->rows == data->room) {
    int room = data->room ? 2 * data->room : 64;
    double *more = realloc(data->value, (size_t)room * (size_t)data->columns * sizeof *more);
    if (more) data->value = more;
    char(*texts)[DATA_NAME] = realloc(data->text, (size_t)room * sizeof *texts);
    if (texts) data->text = texts;
    if (!more || !texts) {
      data->bad = 1;
      return;
    }
    data->room = room;
  }
  memcpy(data->value + (size_t)data->rows * (size_t)data->columns, value,
         (size_t)data->columns * sizeof *value);
  snprintf(data->text[data->rows++], DATA_NAME, "%s", text);
}

void data_finish(struct data *data)
{
  free(data->value);
  free(data->text);
  *data = (struct data){0};
}

void data_csv(const struct data *data, FILE *stream, int digits)
{
  struct csv csv = csv_begin(stream, digits);
  if (*data->first) csv_text(&csv, data->first);
  for (int j = 0; j < data->columns; j++) csv_text(&csv, data->name[j]);
  csv_line(&csv);
  for (int i = 0; i < data->rows; i++) {
    if (*data->first) csv_text(&csv, data->text[i]);
    for (int j = 0; j < data->columns; j++)
      csv_number(&csv, data->value[i * data->columns + j]);
    csv_line(&csv);
  }
}

// A column's name as a person reads it: underscores are blanks.
static void name_said(FILE *stream, const char *name)
{
  char text[DATA_NAME];
  snprintf(text, sizeof text, "%s", name);
  for (char *at = text; *at; at++)
    if (*at == '_') *at = ' ';
  html_text(stream, text);
}

void data_table(const struct data *data, FILE *stream, const char *caption, int most)
{
  int n = data->rows < most ? data->rows : most;
  fputs("<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"", stream);
  html_text(stream, caption);
  fputs("\"><table><caption>", stream), html_text(stream, caption);
  fputs("</caption><thead><tr>", stream);
  if (*data->first)
    fputs("<th scope=\"col\">", stream), name_said(stream, data->first), fputs("</th>", stream);
  for (int j = 0; j < data->columns; j++)
    fputs("<th scope=\"col\">", stream), name_said(stream, data->name[j]), fputs("</th>", stream);
  fputs("</tr></thead><tbody>\n", stream);
  for (int k = 0; k < n; k++) {
    int i = n > 1 ? (int)lround((double)k * (data->rows - 1) / (n - 1)) : 0;
    fputs("<tr>", stream);
    if (*data->first)
      fputs("<th scope=\"row\">", stream), html_text(stream, data->text[i]),
          fputs("</th>", stream);
    for (int j = 0; j < data->columns; j++) {
      char number[24];
      fprintf(stream, "<td>%s</td>", figure(number, data->value[i * data->columns + j]));
    }
    fputs("</tr>\n", stream);
  }
  fputs("</tbody></table></div>\n", stream);
}
