// The fault list keeps the first faults, counts the rest, and has a sentence for every status.
#include "near.h"

#include <string.h>

#include "dampfork/status.h"

START_TEST(every_status_has_its_own_sentence)
{
  for (int a = DF_INTERRUPTED; a <= DF_OK; a++) {
    ck_assert_str_ne(df_status_text(a), "unknown status");
    for (int b = DF_INTERRUPTED; b < a; b++) ck_assert_str_ne(df_status_text(a), df_status_text(b));
  }
}
END_TEST

START_TEST(list_overflows_without_loss_of_count)
{
  struct df_faults faults = {0};
  for (int i = 0; i < DF_FAULTS_MAX + 5; i++) df_fault_add(&faults, DF_BAD_INPUT, "rod.holes", "number %d", i);
  ck_assert_int_eq(faults.n, DF_FAULTS_MAX);
  ck_assert_int_eq(faults.lost, 5);
  ck_assert_str_eq(faults.at[63].text, "number 63");
  ck_assert_int_eq(df_fault_add(NULL, DF_NO_REST, "", "x"), DF_NO_REST);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("status");
  TCase *cases = tcase_create("status");
  tcase_add_test(cases, every_status_has_its_own_sentence);
  tcase_add_test(cases, list_overflows_without_loss_of_count);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
