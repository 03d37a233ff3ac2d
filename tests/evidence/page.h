// What was run, and the page made of it.
#ifndef DF_TESTS_EVIDENCE_PAGE_H
#define DF_TESTS_EVIDENCE_PAGE_H

#include <stdio.h>

#include "evidence.h"

enum { VERDICTS_MAX = 1000 };

struct verdict { const struct evidence *row; double got; int order; };
struct limit_verdict { const struct limit *row; const struct limit_group *group; double got; };

double verdict_margin(const struct verdict *v);       // 1 is the limit; INFINITY when the answer is no number
double limit_error(const struct limit_verdict *l);    // percent
int count_tag(const struct verdict *v, int n, char tag);
int count_sources(const struct verdict *v, int n);    // distinct sources of printed figures
int most_from_one_source(const struct verdict *v, int n, const char **name);
void page_write(FILE *out, const struct verdict *v, int n, const struct limit_verdict *l, int limits);

extern const char left_out_text[];

#endif
