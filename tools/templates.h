// Templates of plots/, compiled in so that the program draws from anywhere.
#ifndef DF_TOOLS_TEMPLATES_H
#define DF_TOOLS_TEMPLATES_H

struct plot_template { const char *name, *text; };
extern const struct plot_template plot_templates[];
extern const int plot_template_count;

#endif
