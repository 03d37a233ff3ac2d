// Quantities as a screen shows them, in the usual unit of their kind or the one of --units.
#ifndef DF_TOOLS_SHOWN_H
#define DF_TOOLS_SHOWN_H

#include "commands.h"

enum kind {
  KIND_LENGTH,
  KIND_FORCE,
  KIND_RATE,
  KIND_PRESSURE,
  KIND_TEMPERATURE,
  KIND_VOLUME,
  KIND_MASS,
  KIND_VISCOSITY,
  KIND_SPEED,
  KIND_TORQUE,
  KINDS
};

// Unit-word machinery of the library, made at the first call; NULL after a message.
struct df_units;
struct df_units *units_get(void);
void units_drop(void);

// Read --units. Returns 0 or exit status 2 after a message.
int shown_start(const struct call *call);

// "37.2 mm". The text lies in one of a few static buffers: usable for one printing with up to 16
// quantities.
const char *shown(enum kind kind, double si);
const char *shown_bare(enum kind kind, double si); // without the unit
const char *shown_unit(enum kind kind);

#endif
