// Writers of the bench sheet: text and HTML.
#include "sheet_page.h"

#include "say.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

// Black on white, narrow margins, system fonts. No size of paper is asked for: it fits A4 and
// Letter.
static const char style[] =
    "@page{margin:8mm}\n"
    "*{box-sizing:border-box}\n"
    "body{font:7.3pt/1.17 sans-serif;color:#000;background:#fff;width:190mm;margin:3mm auto}\n"
    "h1{font-size:10pt;margin:0;display:inline}\n"
    "header{border-bottom:1.5pt solid #000;padding-bottom:.6mm;margin-bottom:.8mm}\n"
    "header span{float:right;padding-top:.5mm}\n"
    "h2{font-size:8pt;margin:.8mm 0 .3mm;border-bottom:.6pt solid #000;break-after:avoid}\n"
    "p{margin:.25mm 0;padding-left:15mm;text-indent:-15mm}\n"
    "p>b:first-child{display:inline-block;width:15mm;text-indent:0}\n"
    ".columns{columns:2;column-gap:5mm;column-fill:balance}\n"
    ".columns p{padding-left:13mm;text-indent:-13mm}\n"
    ".columns p>b:first-child{width:13mm}\n"
    ".step,.under{margin:.25mm 0 0 7.2mm;text-indent:0}\n"
    ".step{clear:left}\n"
    ".step>i{float:left;margin-left:-7.2mm;font-style:normal;font-weight:bold}\n"
    ".under{margin-top:.1mm}\n"
    ".caution{margin:.5mm 0 .3mm 7.2mm;clear:left;min-height:3mm;font-weight:bold;break-after:avoid;break-inside:avoid}\n"
    ".caution>i{float:left;margin-left:-7.2mm;width:4.4mm;border:.8pt solid #000;text-align:center;"
    "font-style:normal}\n"
    ".refused{border:1.5pt solid #000;padding:.6mm 1.5mm;margin:.6mm 0;font-weight:bold}\n"
    "table{border-collapse:collapse;width:100%;margin:.8mm 0;table-layout:fixed}\n"
    ".wide{font-size:9pt;line-height:1.25}.wide td,.wide th{height:6mm}\n"
    "td,th{border:.5pt solid #000;padding:.15mm .8mm;text-align:left;height:3.7mm}\n"
    "th{font-weight:bold;background:#fff;border-bottom-width:1.2pt}\n"
    ".sketch{float:right;margin:.5mm 0 .5mm 2mm}\n"
    ".box{display:inline-block;text-indent:0;margin-right:2.6mm;white-space:nowrap}\n"
    ".box u{display:inline-block;width:11mm;border-bottom:.6pt solid #000;height:3.4mm}\n"
    ".tick{display:inline-block;width:2.2mm;height:2.2mm;border:.7pt solid #000}\n"
    ".dense{font-size:6.7pt;line-height:1.12}\n"
    "@media print{body{width:auto;margin:0}}\n"
    "@media screen{body{border:.5pt solid #888;padding:5mm;width:200mm}}\n";

static void escaped(FILE *stream, const char *text)
{
  for (; *text; text++) {
    if (*text == '<') fputs("&lt;", stream);
    else if (*text == '>') fputs("&gt;", stream);
    else if (*text == '&') fputs("&amp;", stream);
    else if (*text == '"') fputs("&quot;", stream);
    else fputc(*text, stream);
  }
}

// A format's text with control characters and broken UTF-8 taken out.
static void said(char *out, size_t size, const char *format, va_list arguments)
{
  char text[1600];
  vsnprintf(text, sizeof text, format, arguments);
  clean(out, size, text, 0);
}

#define SAID(out)                                                                                \
  char out[1700];                                                                                \
  va_list arguments;                                                                             \
  va_start(arguments, format);                                                                   \
  said(out, sizeof out, format, arguments);                                                      \
  va_end(arguments)

// Words from `column` on, going on under `indent`.
static void wrapped(FILE *stream, int column, int indent, const char *text)
{
  int first = 1;
  while (*text) {
    size_t n = strcspn(text, " ");
    char word[400];
    snprintf(word, sizeof word, "%.*s", (int)n, text);
    int width = columns_of(word);
    if (!first && column + 1 + width > PAGE_COLUMNS) {
      fprintf(stream, "\n%*s", indent, "");
      column = indent, first = 1;
    }
    fprintf(stream, "%s%s", first ? "" : " ", word);
    column += width + !first;
    first = 0;
    text += n;
    while (*text == ' ') text++;
  }
  fputc('\n', stream);
}

static void open_or_close(struct page *page, const char *tag, int on)
{
  if (page->html) fprintf(page->stream, on ? "<div class=\"%s\">\n" : "</div>\n", tag);
  page->open += on ? 1 : -1;
}

void page_begin(struct page *page, FILE *stream, int html, int dense, const char *title,
                const char *right)
{
  char safe[300];
  *page = (struct page){.stream = stream, .html = html};
  clean(safe, sizeof safe, title, 62);
  if (!html) {
    fprintf(stream, "BENCH SHEET  %s", safe);
    int used = 13 + columns_of(safe), room = PAGE_COLUMNS - columns_of(right) - used;
    if (room > 0) fprintf(stream, "%*s%s\n", room, "", right);
    else fprintf(stream, "\n%*s%s\n", PAGE_COLUMNS - columns_of(right), "", right);
    return;
  }
  fprintf(stream, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta "
                  "charset=\"utf-8\">\n<title>Bench sheet: ");
  escaped(stream, safe);
  fprintf(stream, "</title>\n<style>\n%s</style>\n</head>\n<body%s>\n<header><span>", style,
          dense > 0 ? " class=\"dense\"" : dense < 0 ? " class=\"wide\"" : "");
  escaped(stream, right);
  fprintf(stream, "</span><h1>BENCH SHEET&ensp;");
  escaped(stream, safe);
  fprintf(stream, "</h1></header>\n");
}

void page_end(struct page *page)
{
  while (page->open > 0) open_or_close(page, "", 0);
  if (page->html) fprintf(page->stream, "</body>\n</html>\n");
}

void page_section(struct page *page, const char *format, ...)
{
  SAID(text);
  if (!page->html) {
    fprintf(page->stream, "-- %s ", text);
    for (int i = 4 + columns_of(text); i < PAGE_COLUMNS; i++) fputc('-', page->stream);
    fputc('\n', page->stream);
    return;
  }
  fputs("<h2>", page->stream);
  escaped(page->stream, text);
  fputs("</h2>\n", page->stream);
}

void page_columns(struct page *page, int on)
{
  open_or_close(page, "columns", on);
}

void page_line(struct page *page, const char *label, const char *format, ...)
{
  SAID(text);
  if (!page->html) {
    fprintf(page->stream, "%-*s", PAGE_LABEL, label);
    wrapped(page->stream, PAGE_LABEL, PAGE_LABEL, text);
    return;
  }
  fputs("<p><b>", page->stream);
  escaped(page->stream, label);
  fputs("</b>", page->stream);
  escaped(page->stream, text);
  fputs("</p>\n", page->stream);
}

static void block(struct page *page, const char *name, const char *mark, int indent,
                  const char *text)
{
  if (!page->html) {
    fprintf(page->stream, "%-*s", indent, mark);
    wrapped(page->stream, indent, indent, text);
    return;
  }
  fprintf(page->stream, "<div class=\"%s\">", name);
  if (*mark) fprintf(page->stream, "<i>%s</i>", mark);
  escaped(page->stream, text);
  fputs("</div>\n", page->stream);
}

void page_caution(struct page *page, const char *format, ...)
{
  SAID(text);
  block(page, "caution", "!", 6, text);
}

void page_refusal(struct page *page, const char *format, ...)
{
  SAID(text);
  block(page, "refused", "", page->html ? 0 : 0, text);
}

void page_step(struct page *page, const char *format, ...)
{
  SAID(text);
  char mark[80];
  page->step++;
  if (page->html) snprintf(mark, sizeof mark, "%d <span class=\"tick\"></span>", page->step);
  else snprintf(mark, sizeof mark, "%2d[ ]", page->step);
  block(page, "step", mark, 6, text);
}

void page_under(struct page *page, const char *format, ...)
{
  SAID(text);
  block(page, "under", "", 6, text);
}

void page_table(struct page *page, const int *width, int columns)
{
  int all = 0;
  if (!page->html) return;
  for (int i = 0; i < columns; i++) all += width[i];
  fputs("<table>\n<colgroup>", page->stream);
  for (int i = 0; i < columns; i++)
    fprintf(page->stream, "<col style=\"width:%.1f%%\">", 100.0*width[i]/all);
  fputs("</colgroup>\n", page->stream);
}

void page_row(struct page *page, const char *const *cell, const int *width, int columns, int head)
{
  FILE *stream = page->stream;
  if (page->html) fputs("<tr>", stream);
  for (int i = 0; i < columns; i++) {
    char safe[200];
    clean(safe, sizeof safe, cell[i] ? cell[i] : "", page->html ? 0 : width[i]);
    if (page->html) {
      fputs(head ? "<th>" : "<td>", stream);
      escaped(stream, safe);
      fputs(head ? "</th>" : "</td>", stream);
      continue;
    }
    int blank = i > 0 && !*safe && !head;
    fprintf(stream, "%s%s", i ? "|" : "", safe);
    for (int k = columns_of(safe); k < width[i]; k++)
      fputc(blank && k > 0 && k < width[i] - 1 ? '_' : ' ', stream);
  }
  fputs(page->html ? "</tr>\n" : "\n", stream);
}

void page_table_end(struct page *page)
{
  if (page->html) fputs("</table>\n", page->stream);
}

static void boxes_text(struct page *page, const char *label, const struct page_box *box, int n)
{
  FILE *stream = page->stream;
  int column = fprintf(stream, "%-*s", PAGE_LABEL, label);
  for (int i = 0; i < n; i++) {
    char text[160];
    int given = *box[i].unit == '[';
    snprintf(text, sizeof text, "%s %s%s%s", box[i].name, given ? "" : "______",
             *box[i].unit && !given ? " " : "", box[i].unit);
    if (i && column + 2 + columns_of(text) > PAGE_COLUMNS)
      column = fprintf(stream, "\n%-*s", PAGE_LABEL, "") - 1;
    else if (i) column += fprintf(stream, "  ");
    fputs(text, stream);
    column += columns_of(text);
  }
  fputc('\n', stream);
}

void page_boxes(struct page *page, const char *label, const struct page_box *box, int n)
{
  FILE *stream = page->stream;
  if (!page->html) {
    boxes_text(page, label, box, n);
    return;
  }
  fputs("<p><b>", stream);
  escaped(stream, label);
  fputs("</b>", stream);
  for (int i = 0; i < n; i++) {
    fputs("<span class=\"box\">", stream);
    escaped(stream, box[i].name);
    fputs(*box[i].unit == '[' ? " " : " <u></u> ", stream);
    escaped(stream, box[i].unit);
    fputs("</span> ", stream);
  }
  fputs("</p>\n", stream);
}
