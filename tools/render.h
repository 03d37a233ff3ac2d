// Pictures: gnuplot is run on what was written, never through a shell.
#ifndef DF_TOOLS_RENDER_H
#define DF_TOOLS_RENDER_H

#include <stdio.h>

enum render_form { RENDER_NONE = -1, RENDER_SVG, RENDER_PNG, RENDER_PDF, RENDER_TERM };

// Draw FOLDER/STEM.gp, which must be open in atomic.h and flushed, as FOLDER/STEM.<form>, which
// joins the open outputs. Returns 0, or exit status 5 after a message; 130 or 143 when stopped.
int render_file(const char *folder, const char *stem, enum render_form form);

// Draw the script in `script` (a temporary file, any position) on standard output as characters.
int render_terminal(FILE *script);

// Draw the script in `script` (a temporary file, any position) as SVG of that many units, with that
// size of letters, into `picture`.
int render_svg(FILE *script, int wide, int high, int font, FILE *picture);

#endif
