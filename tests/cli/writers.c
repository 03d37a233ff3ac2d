// Writers of the driver: quoting, escaping, rounding, placing.
#include "near.h"

#include "atomic.h"
#include "commands.h"
#include "nearest.h"
#include "out_csv.h"
#include "out_gnuplot.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"

#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

volatile sig_atomic_t stop_signal; // no signals here
int stop_status(void)
{
  return 0;
}

static char *text;
static size_t size;

static FILE *begin(void)
{
  return open_memstream(&text, &size);
}

static void expect(FILE *stream, const char *want)
{
  fclose(stream);
  ck_assert_str_eq(text, want);
  free(text);
}

START_TEST(csv_quotes_what_needs_it)
{
  FILE *stream = begin();
  struct csv csv = csv_begin(stream, 9);
  csv_text(&csv, "plain");
  csv_text(&csv, "a,b");
  csv_text(&csv, "say \"x\"");
  csv_text(&csv, "two\nlines");
  csv_text(&csv, "");
  csv_line(&csv);
  expect(stream, "plain,\"a,b\",\"say \"\"x\"\"\",\"two\nlines\",\n");
}
END_TEST

START_TEST(csv_text_is_never_a_formula)
{
  static const char *const bad[] = {"=1+1", "+1", "-1", "@x", "\tx", "\rx"};
  for (int i = 0; i < 6; i++) {
    FILE *stream = begin();
    struct csv csv = csv_begin(stream, 9);
    csv_text(&csv, bad[i]);
    fclose(stream);
    ck_assert_msg(!strncmp(text, "\"'", 2), "%s", text);
    free(text);
  }
}
END_TEST

START_TEST(csv_numbers)
{
  FILE *stream = begin();
  struct csv csv = csv_begin(stream, 9);
  csv_number(&csv, -1.5);
  csv_number(&csv, NAN);
  csv_number(&csv, INFINITY);
  csv_number(&csv, -0.0);
  csv_number(&csv, 1.0/3);
  csv_line(&csv);
  expect(stream, "-1.5,,,0,0.333333333\n");
}
END_TEST

START_TEST(csv_head_is_one_line)
{
  FILE *stream = begin();
  struct csv csv = csv_begin(stream, 9);
  csv_head(&csv, "set", "a\nb\r=%s", "c");
  expect(stream, "# set = a b =c\n");
}
END_TEST

START_TEST(seventeen_digits_give_a_number_back)
{
  static const double values[] = {0.1, 1.0/3, 1e-300, 123456789.123456789, 5e-324};
  for (int i = 0; i < 5; i++) {
    char digits[40];
    ck_assert(strtod(number_text(digits, values[i], 17), NULL) == values[i]);
  }
}
END_TEST

START_TEST(json_escapes)
{
  FILE *stream = begin();
  struct json json = {.stream = stream, .digits = 9};
  json_array(&json, NULL);
  json_text(&json, NULL, "a\"b\\c\nd\x01");
  json_text(&json, NULL, "\xff\xc3\xa9");
  json_text(&json, NULL, NULL);
  json_number(&json, NULL, NAN);
  json_number(&json, NULL, 2.5);
  json_truth(&json, NULL, 1);
  json_end(&json);
  expect(
      stream,
      "[\n  \"a\\\"b\\\\c\\u000ad\\u0001\",\n  \"\\ufffd\xc3\xa9\",\n  null,\n  null,\n  2.5,\n  "
      "true\n]");
}
END_TEST

START_TEST(clean_text_steers_no_terminal)
{
  char out[80];
  ck_assert_str_eq(clean(out, sizeof out, "a\033[31mb", 0), "a?[31mb");
  ck_assert_str_eq(clean(out, sizeof out, "\xc2\x9b" "31m", 0), "?31m");
  ck_assert_str_eq(clean(out, sizeof out, "\xe2\x80\xae" "x", 0), "?x");
  ck_assert_str_eq(clean(out, sizeof out, "\xc0\xaf\xed\xa0\x80", 0), "?????");
  ck_assert_str_eq(clean(out, sizeof out, "caf\xc3\xa9 noir", 7), "caf\xc3\xa9...");
  char small[10];
  ck_assert_int_lt(strlen(clean(small, sizeof small, "a long text that does not fit", 0)),
                   sizeof small);
}
END_TEST

START_TEST(columns_are_characters)
{
  ck_assert_int_eq(columns_of("caf\xc3\xa9"), 4);
  ck_assert_int_eq(columns_of("\xff\xff"), 2);
}
END_TEST

START_TEST(figures_are_rounded_for_reading)
{
  char out[24];
  ck_assert_str_eq(figure(out, 1234.5), "1234");
  ck_assert_str_eq(figure(out, 99.96), "100");
  ck_assert_str_eq(figure(out, 37.24), "37.2");
  ck_assert_str_eq(figure(out, -2.346), "-2.35");
  ck_assert_str_eq(figure(out, 0.2086), "0.21");
  ck_assert_str_eq(figure(out, 0.0123456), "0.0123");
  ck_assert_str_eq(figure(out, 15), "15");
  ck_assert_str_eq(figure(out, 9.5), "9.5");
  ck_assert_str_eq(figure(out, 1200), "1200");
  ck_assert_str_eq(figure(out, 0), "0");
  ck_assert_str_eq(figure(out, NAN), "-");
}
END_TEST

START_TEST(gnuplot_text_cannot_end_its_quotes)
{
  FILE *stream = begin();
  gp_quote(stream, "it's '' `x` \n\\");
  expect(stream, "'it\xe2\x80\x99s \xe2\x80\x99\xe2\x80\x99 `x` ?\\'");
}
END_TEST

START_TEST(labels_are_spread)
{
  double place[4] = {10, 10.5, 30, 10.2};
  gp_spread(place, 4, 2);
  ck_assert_double_ge(place[3] - place[0], 2 - 1e-3);
  ck_assert_double_ge(place[1] - place[3], 2 - 1e-3);
  near(place[2], 30, 1e-9, "far away: stays");
}
END_TEST

START_TEST(nearest_words)
{
  static const char *const words[] = {"inspect", "curves", "ride", "new", NULL};
  ck_assert_str_eq(nearest_word("inspekt", words), "inspect");
  ck_assert_str_eq(nearest_word("rdie", words), "ride");
  ck_assert_str_eq(nearest_word("insp", words), "inspect");
  ck_assert_ptr_null(nearest_word("xylophone", words));
}
END_TEST

// Parts of one sweep start at the same moment and all make its folder. A closing pipe lets them go together.
static int failed_of_many(const char *folder)
{
  int gate[2], failed = 0;
  enum { PROCESSES = 6 };
  ck_assert_int_eq(pipe(gate), 0);
  for (int i = 0; i < PROCESSES; i++)
    if (!fork()) {
      char byte;
      close(gate[1]);
      ck_assert_int_eq(read(gate[0], &byte, 1), 0);
      _exit(output_folder(folder));
    }
  close(gate[0]);
  close(gate[1]);
  for (int i = 0, status; i < PROCESSES; i++) {
    wait(&status);
    failed += !!status;
  }
  return failed;
}

START_TEST(one_folder_is_made_by_many_at_once)
{
  char top[] = "/tmp/dampfork-writers-XXXXXX", deep[sizeof top + 32];
  ck_assert_ptr_nonnull(mkdtemp(top));
  for (int round = 0; round < 100; round++) {
    snprintf(deep, sizeof deep, "%s/%d/out", top, round);
    ck_assert_int_eq(failed_of_many(deep), 0);
    rmdir(deep);
    *strrchr(deep, '/') = 0;
    rmdir(deep);
  }
  ck_assert_int_eq(rmdir(top), 0);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("writers");
  TCase *all = tcase_create("all");
  tcase_add_test(all, csv_quotes_what_needs_it);
  tcase_add_test(all, csv_text_is_never_a_formula);
  tcase_add_test(all, csv_numbers);
  tcase_add_test(all, csv_head_is_one_line);
  tcase_add_test(all, seventeen_digits_give_a_number_back);
  tcase_add_test(all, json_escapes);
  tcase_add_test(all, clean_text_steers_no_terminal);
  tcase_add_test(all, columns_are_characters);
  tcase_add_test(all, figures_are_rounded_for_reading);
  tcase_add_test(all, gnuplot_text_cannot_end_its_quotes);
  tcase_add_test(all, labels_are_spread);
  tcase_add_test(all, nearest_words);
  tcase_add_test(all, one_folder_is_made_by_many_at_once);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
