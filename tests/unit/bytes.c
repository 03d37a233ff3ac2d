// The guard over the bytes of a scenario: what it lets pass, what it stops, and where.
#include "near.h"

#include "scenario/bytes.h"

#include <string.h>

static struct df_bad_byte check(const char *text)
{
  return df_bytes_check(text, strlen(text), 1);
}

#define FINE(text) ck_assert_ptr_null(check(text).what)
#define BAD(text, part, l, c) do { \
    struct df_bad_byte bad = check(text); \
    ck_assert_msg(bad.what != NULL, "nothing wrong with: %s", #text); \
    ck_assert_msg(strstr(bad.what, part) != NULL, "%s: said '%s'", #text, bad.what); \
    ck_assert_int_eq(bad.line, l); \
    ck_assert_int_eq(bad.column, c); } while (0)

START_TEST(plain_text_passes)
{
  FINE("");
  FINE("a: 1 mm\n");
  FINE("a: 1 mm\r\nb: 2 mm\r\n");
  FINE("\xef\xbb\xbf" "a: 1 mm\r\n"); // a mark of the byte order at the very beginning
  FINE("title: Gr\xc3\xbc\xc3\x9f" "e \xe2\x82\xac \xf0\x9f\x98\x80\n");
  FINE("a:\t1 mm\t# a tab between, not before\n");
}
END_TEST

START_TEST(control_characters_are_stopped)
{
  struct df_bad_byte zero = df_bytes_check("ab\0c", 4, 1);
  ck_assert_str_eq(zero.what, "a zero byte; a scenario is plain text");
  ck_assert_int_eq(zero.line, 1);
  ck_assert_int_eq(zero.column, 3);
  BAD("a: 1\nb: \x1b[31m\n", "control character", 2, 4);
  BAD("a: \x7f", "control character", 1, 4);
  BAD("a: \xc2\x85", "control character", 1, 4);             // C1
  BAD("a\rb", "carriage return without a line feed", 1, 2);
  BAD("a\r", "carriage return without a line feed", 1, 2);
  BAD("a: 1\n\xe2\x80\xa8", "line separator", 2, 1);         // LS
  BAD("a: \xe2\x80\xa9", "line separator", 1, 4);            // PS
  BAD("a: \xe2\x80\xae" "txt", "writing direction", 1, 4);   // right-to-left override
  BAD("a: \xef\xbf\xbf", "no character", 1, 4);
  BAD("ab\n \xef\xbb\xbf" "c", "byte order", 2, 2);
}
END_TEST

START_TEST(broken_utf8_is_stopped)
{
  BAD("a: \xff", "no UTF-8", 1, 4);
  BAD("a: \xc3", "no UTF-8", 1, 4);                          // cut
  BAD("a: \xc0\xaf", "no UTF-8", 1, 4);                      // overlong
  BAD("a: \xe0\x80\xaf", "no UTF-8", 1, 4);                  // overlong
  BAD("a: \xed\xa0\x80", "no UTF-8", 1, 4);                  // surrogate
  BAD("a: \xf4\x90\x80\x80", "no UTF-8", 1, 4);              // beyond 10ffff
  BAD("a: \xc3\xbc\x80", "no UTF-8", 1, 5);                  // columns count characters
  BAD("%YA\x86L 1.2\n\ra", "no UTF-8", 1, 4); // 13 bytes that hang another YAML library
}
END_TEST

START_TEST(tabs_as_indentation_are_stopped)
{
  BAD("a:\n\tb: 1\n", "a tab at the beginning of a line; indent with blanks", 2, 1);
  BAD("a:\n  \tb: 1\n", "a tab at the beginning", 2, 3);
  ck_assert_ptr_null(df_bytes_check("\ta", 2, 0).what); // an override is not indented
}
END_TEST

START_TEST(one_character)
{
  unsigned c = 0;
  ck_assert_int_eq(df_utf8_next("\xf0\x9f\x98\x80", 4, &c), 4);
  ck_assert_uint_eq(c, 0x1f600);
  ck_assert_int_eq(df_utf8_next("\xf0\x9f\x98\x80", 3, &c), 0);
  ck_assert_int_eq(df_utf8_next("", 0, &c), 0);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("bytes");
  TCase *all = tcase_create("all");
  tcase_add_test(all, plain_text_passes);
  tcase_add_test(all, control_characters_are_stopped);
  tcase_add_test(all, broken_utf8_is_stopped);
  tcase_add_test(all, tabs_as_indentation_are_stopped);
  tcase_add_test(all, one_character);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
