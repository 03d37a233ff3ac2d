// Outcome of every operation, and the list of faults found in an input.
#ifndef DAMPFORK_STATUS_H
#define DAMPFORK_STATUS_H

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// Zero is success; negative values are failures. The order is part of the interface.
enum df_status {
  DF_OK = 0,
  DF_BAD_INPUT = -1,          // a file, a key, a value or a unit is wrong; see the faults
  DF_NO_MEMORY = -2,
  DF_CANNOT_READ = -3,        // a named file cannot be opened or read
  DF_NO_REST = -4,            // no static position inside the travel: spring too soft or too stiff
  DF_HYDRAULIC_LOCK = -5,     // the air column has no room left
  DF_TRAVEL_RANGE = -6,       // travel left -5 mm .. travel + 10 mm
  DF_TYRE_ON_RIM = -7,        // tyre deflection above its section height
  DF_NOT_FINITE = -8,         // a state is no longer a number
  DF_STEP_TOO_SMALL = -9,     // error control asks for less than the smallest step
  DF_TOO_MANY_STEPS = -10,    // more steps a second of ride than allowed
  DF_NO_SOLUTION = -11,       // a steady balance has no solution in its bracket
  DF_UNKNOWN_NAME = -12,      // no such key, road, measure, method, kernel
  DF_INTERRUPTED = -13        // the caller's stop flag was set
};

// One sentence for a status, without a final point. Never NULL.
const char *df_status_text(enum df_status status);

// One fault of an input. Lines and columns count from 1; 0 means that there is none.
struct df_fault {
  enum df_status status;
  int warning;                // 1: reported, does not stop the work
  int line, column;           // from 1; 0: none
  char file[128];             // as the user named it; "--set" for the command line
  char key[96];               // dotted path, "" when the fault belongs to no key
  char text[320];             // what is wrong, then what is allowed
  char source[200];           // the offending line, cut when long; "" when there is none
  int caret;                  // character of `source` under which the caret stands, from 1; 0: none
};

// A fixed list: nothing is allocated while faults are collected.
enum { DF_FAULTS_MAX = 64 };
struct df_faults {
  int n;                      // faults kept
  int errors;                 // of all reported, those that are not warnings
  int lost;                   // reported after the list was full
  struct df_fault at[DF_FAULTS_MAX];
};

// Append a fault; text is a printf format. Returns status, so that `return df_fault_add(...)` reads well.
// faults may be NULL: then only the status is returned.
enum df_status df_fault_add(struct df_faults *faults, enum df_status status, const char *key, const char *format, ...)
  __attribute__((format(printf, 4, 5)));

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
