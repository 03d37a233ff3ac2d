// Texts of all statuses, and the fault list.
#include "dampfork/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char *df_status_text(enum df_status status)
{
  switch (status) {
  case DF_OK:             return "done";
  case DF_BAD_INPUT:      return "the input is wrong";
  case DF_NO_MEMORY:      return "out of memory";
  case DF_CANNOT_READ:    return "a file cannot be read";
  case DF_NO_REST:        return "the fork finds no rest inside its travel";
  case DF_HYDRAULIC_LOCK: return "hydraulic lock: the air column has no room left";
  case DF_TRAVEL_RANGE:   return "the travel left its range";
  case DF_TYRE_ON_RIM:    return "the tyre is on the rim";
  case DF_NOT_FINITE:     return "a state is not a finite number";
  case DF_STEP_TOO_SMALL: return "the time step collapsed";
  case DF_TOO_MANY_STEPS: return "too many steps for a second of ride";
  case DF_NO_SOLUTION:    return "a balance has no solution";
  case DF_UNKNOWN_NAME:   return "no such name";
  case DF_INTERRUPTED:    return "interrupted";
  }
  return "unknown status";
}

// Texts of a file or a command line stand in faults: no control character, so that they stay one line
// and steer no terminal.
static void make_plain(char *text)
{
  for (; *text; text++)
    if ((unsigned char)*text < 0x20 || *text == 0x7f)
      *text = *text == '\t' || *text == '\n' ? ' ' : '?';
}

enum df_status df_fault_add(struct df_faults *faults, enum df_status status, const char *key, const char *format, ...)
{
  if (!faults) return status;
  faults->errors++;
  if (faults->n == DF_FAULTS_MAX) {
    faults->lost++;
    return status;
  }
  struct df_fault *fault = &faults->at[faults->n++];
  memset(fault, 0, sizeof *fault);
  fault->status = status;
  snprintf(fault->key, sizeof fault->key, "%s", key ? key : "");
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(fault->text, sizeof fault->text, format, arguments);
  va_end(arguments);
  make_plain(fault->key);
  make_plain(fault->text);
  return status;
}
