// A page of the bench sheet, line by line, as text of 100 columns or as HTML that prints on one
// page.
#ifndef DF_TOOLS_SHEET_PAGE_H
#define DF_TOOLS_SHEET_PAGE_H

#include <stdio.h>

struct page {
  FILE *stream;
  int html;
  int step;                   // number of the last step
  int open;                   // HTML: depth of what is open
};

enum { PAGE_COLUMNS = 100, PAGE_CELLS = 7, PAGE_LABEL = 10 };

// Title on the left, what identifies the sheet on the right. dense: 1 smaller print,
// for much to say; -1 larger print and room to write.
void page_begin(struct page *page, FILE *stream, int html, int dense, const char *title,
                const char *right);
void page_end(struct page *page);

// A heading; what follows belongs to it.
void page_section(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

// HTML: what stands between the two is set in two columns. Text: nothing.
void page_columns(struct page *page, int on);

// A short label and a text that goes on under itself.
void page_line(struct page *page, const char *label, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

// A caution: at most two lines, one exclamation mark in the margin. Stands above the step it is
// about.
void page_caution(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

// A reason why the set-up is refused, or a measurement that disagrees.
void page_refusal(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

// A numbered step with a box to tick, and what is to be known for it.
void page_step(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_under(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

// A ruled table: a row of up to PAGE_CELLS cells; the first row is its head. Columns are as wide as
// page_table says; NULL and "" leave room to write.
void page_table(struct page *page, const int *width, int columns);
void page_row(struct page *page, const char *const *cell, const int *width, int columns, int head);
void page_table_end(struct page *page);

// Places to fill in: name and unit each; a unit that begins with "[" stands in place of the blank.
struct page_box { const char *name, *unit; };
void page_boxes(struct page *page, const char *label, const struct page_box *box, int n);

#endif
