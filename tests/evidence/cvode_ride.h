// A ride integrated by SUNDIALS CVODE over the library's own right-hand side: an oracle for tests, the yardstick of the benchmark.
#ifndef DF_TESTS_CVODE_RIDE_H
#define DF_TESTS_CVODE_RIDE_H

#include "ride/plan.h"

struct cvode_options {
  double tolerance;           // 1, of the same error scales as the library's own steps
  int exact;                  // 1: Jacobian from the slopes; 0: by CVODE's differences
  double most;                // s, largest step
  const double *stop;         // s, ascending: kinks that a step must not span, then no more; NULL: none
  int stop_n;
};
struct cvode_result { double peak; /* m/s2, sprung mass, in the job's window */ long steps, right_hand_sides; double seconds; /* of integration */ };

// travel: every `step` seconds from 0, n values, m. Returns 0, or CVODE's flag.
int cvode_ride(const struct ride_job *job, const struct df_kernel *kernel, const struct cvode_options *options, double step, int n,
               double *travel, struct cvode_result *result);

#endif
