// Comparison of numbers that prints got, want, difference, tolerance and source.
#ifndef DF_TESTS_NEAR_H
#define DF_TESTS_NEAR_H

#include <check.h>
#include <math.h>
#include <stdlib.h>

// |got - want| <= tolerance, absolute.
#define near(got, want, tolerance, source) do { \
    double got_ = (got), want_ = (want), allowed_ = (tolerance); \
    ck_assert_msg(fabs(got_ - want_) <= allowed_, "%s: got %.17g want %.17g off %.3g tolerance %.3g source: %s", \
                  #got, got_, want_, got_ - want_, allowed_, source); } while (0)

// |got/want - 1| <= tolerance.
#define near_share(got, want, tolerance, source) do { \
    double got_ = (got), want_ = (want), allowed_ = (tolerance); \
    ck_assert_msg(fabs(got_ - want_) <= allowed_*fabs(want_), "%s: got %.17g want %.17g off %.3g of it, tolerance %.3g source: %s", \
                  #got, got_, want_, got_/want_ - 1, allowed_, source); } while (0)

// How many of n draws to make: one in thirty in the quick check.
static inline int near_draws(int n) { return getenv("DAMPFORK_QUICK") ? (n + 29)/30 : n; }

// Run one suite as TAP on standard output, for Meson. One process a test, so that a crash is one failure.
static inline int near_run(Suite *suite)
{
  SRunner *runner = srunner_create(suite);
  if (!getenv("CK_TAP_LOG_FILE_NAME")) srunner_set_tap(runner, "-");
  srunner_run_all(runner, CK_SILENT);
  srunner_free(runner);
  return 0;
}

#endif
