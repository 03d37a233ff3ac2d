// One hole asked for its discharge coefficient by any law; shared by the rows and by the known limits.
#ifndef DF_TESTS_EVIDENCE_HOLES_H
#define DF_TESTS_EVIDENCE_HOLES_H

#include "dampfork/path.h"

// Cd = Q/(A sqrt(2 dp/rho)) of one sharp 2 mm hole of length/diameter `slender` at Re = 4 Q/(pi d nu).
double hole_discharge(enum df_law law, double slender, double reynolds);

// The same at a given d sqrt(2 dp/rho)/nu, the argument of Lichtarowicz.
double hole_discharge_at_head(enum df_law law, double slender, double head);

#endif
