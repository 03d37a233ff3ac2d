// YAML to text nodes: what is read, and every way of writing it wrong with its line, column and
// sentence.
#include "near.h"

#include "scenario/yaml.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static struct df_arena arena;
static struct df_faults faults;
static struct df_source source;
static int broken;

static void setup(void)
{
  arena = (struct df_arena){ .limit = 16*1024*1024 };
}

static void teardown(void)
{
  df_arena_finish(&arena);
}

static struct df_node *read_text(const char *text)
{
  memset(&faults, 0, sizeof faults);
  source = (struct df_source){.name = "a.yaml", .folder = "", .text = text, .length = strlen(text)};
  return df_yaml_read(&arena, &source, &faults, &broken);
}

// One fault, at this place, saying this.
static void says(const char *text, int line, int column, const char *part)
{
  read_text(text);
  ck_assert_msg(faults.n >= 1, "no fault in: %s", text);
  const struct df_fault *f = &faults.at[0];
  ck_assert_msg(strstr(f->text, part) != NULL, "%s\nsaid: %s\nnot: %s", text, f->text, part);
  ck_assert_msg(f->line == line && f->column == column, "%s\nat %d:%d, not %d:%d: %s", text,
                f->line, f->column, line, column, f->text);
}

START_TEST(texts_and_places)
{
  struct df_node *root = read_text("bike: {rake: 26 degree, note: 'a: b'}\nlist:\n  - 2 x 6 mm\n  "
                                   "- 92 mm +- 2 %  # note\n  - N.s/m\n");
  ck_assert_int_eq(faults.n, 0);
  ck_assert_int_eq(broken, 0);
  struct df_node *bike = df_node_child(root, "bike"), *rake = df_node_child(bike, "rake"),
                 *list = df_node_child(root, "list");
  ck_assert_str_eq(rake->text, "26 degree");
  ck_assert_int_eq(rake->line, 1);
  ck_assert_int_eq(rake->column, 14);
  ck_assert_int_eq(rake->key_column, 8);
  ck_assert_str_eq(df_node_child(bike, "note")->text, "a: b");
  ck_assert_int_eq(df_node_child(bike, "note")->quoted, 1);
  ck_assert_int_eq(df_node_count(list), 3);
  ck_assert_str_eq(df_node_item(list, 2)->text, "92 mm +- 2 %");
  ck_assert_int_eq(df_node_item(list, 2)->line, 4);
  ck_assert_int_eq(df_node_item(list, 2)->column, 5);
  ck_assert_ptr_null(df_node_item(list, 4));
}
END_TEST

START_TEST(mark_of_byte_order_and_crlf)
{
  struct df_node *root = read_text("\xef\xbb\xbf" "a: 1 mm\r\nb: 2 mm\r\n");
  ck_assert_int_eq(faults.n, 0);
  ck_assert_int_eq(df_node_child(root, "a")->column, 4);
  ck_assert_str_eq(df_node_child(root, "b")->text, "2 mm");
  ck_assert_int_eq(df_node_child(root, "b")->line, 2);
}
END_TEST

START_TEST(block_texts)
{
  struct df_node *root = read_text("note: |\n  first\n  second\n");
  ck_assert_str_eq(df_node_child(root, "note")->text, "first\nsecond\n");
  ck_assert_int_eq(df_node_child(root, "note")->block, 1);
}
END_TEST

START_TEST(wrong_indentation)
{
  says("bike:\n  rake: 26 degree\n   mass: 1 kg\n", 3, 8,
       "indented too far, or the line above it has no colon");
  says("bike:\n    rake: 26 degree\n  mass: 1 kg\n", 3, 3, "not in line with the keys above it");
  says("list:\n  - a\n b: c\n", 3, 2, "not in line with the");
}
END_TEST

START_TEST(colons)
{
  says("note: Fork: 41 mm\n", 1, 11, "a colon with a blank inside a text; put the text in quotes");
  says("bike\nrider: {mass: 1 kg}\n", 1, 1, "no colon after the key");
  says("a: 1 mm\nbike\nrider: {mass: 1 kg}\n", 2, 1,
       "no colon after the key; write 'key: value' (noticed in line 3)");
  says("bike:\n  rake\n  mass: 1 kg\n", 3, 7, "or the line above it has no colon");
}
END_TEST

START_TEST(brackets_and_quotes)
{
  says("a: {b: 1 mm\nc: 2 mm\n", 1, 4, "this { is not closed");
  says("a: [1 mm\nc: 2 mm\n", 1, 4, "this [ is not closed");
  says("a: 'open\nb: 1\n", 1, 4, "this quote is not closed");
  says("a: \"b\\qc\"\n", 1, 6, "a backslash has a meaning inside double quotes");
}
END_TEST

START_TEST(what_yaml_has_and_scenarios_have_not)
{
  says("a: &x 1 mm\nb: *x\n", 1, 4, "anchors (&) have no place");
  says("a: *x\n", 1, 4, "aliases (*) have no place");
  says("a: !!str 1\n", 1, 4, "tags (!) have no place");
  says("a: &x {b: 1}\n", 1, 4, "anchors (&) have no place");
  says("a: !t [b]\n", 1, 4, "tags (!) have no place");
  says("%YAML 1.1\n---\na: 1\n", 1, 1, "lines beginning with % have no place");
  says("a: 1\n---\nb: 2\n", 2, 1, "one scenario a file");
  says("? [a, b]\n: c\n", 1, 3, "a key is a single word");
  says("a: @b\n", 1, 4, "cannot begin with this character; put the text in quotes");
  says("a: `b`\n", 1, 4, "cannot begin with this character; put the text in quotes");
  says("a: \"\\e[31m\"\n", 1, 4, "an escape makes a control character");
  says("a: \"\\0\"\n", 1, 4, "an escape makes a control character");
}
END_TEST

START_TEST(odd_roots)
{
  says("", 0, 0, "no keys");
  says("# only a comment\n", 0, 0, "no keys");
  says("- a\n- b\n", 1, 1, "a scenario is made of keys with values");
  says("just a text\n", 1, 1, "no colon after the key");
  ck_assert_int_eq(broken, 1);
}
END_TEST

START_TEST(twice_and_empty)
{
  says("a: 1\na: 2\n", 2, 1, "given twice, first in line 1");
  says("b: {x: 1, y: 2, x: 3}\n", 1, 17, "given twice, first in line 1");
  says("'': 1\n", 1, 1, "an empty key");
}
END_TEST

START_TEST(decimal_comma_and_missing_blank)
{
  says("a: {height: 25,4 mm, gap:1 mm}\n", 1, 16, "decimal comma? write 25.4 mm");
  ck_assert_int_eq(faults.n, 2);
  ck_assert_int_eq(faults.at[1].column, 22);
  ck_assert_str_eq(faults.at[1].text, "a blank is missing after the colon; write gap: 1 mm");
  ck_assert_int_eq(broken, 0); // the rest is read all the same
}
END_TEST

START_TEST(caret_under_a_long_line)
{
  char text[600];
  memset(text, 'x', sizeof text);
  memcpy(text, "a: {b: '", 8);
  memcpy(text + 500, "', c: 1, c: 2}\n", 16);
  says(text, 1, 510, "given twice");
  ck_assert_int_lt(faults.at[0].caret, 190);
  ck_assert_int_eq(faults.at[0].source[faults.at[0].caret - 1], 'c');
  ck_assert_int_eq(strncmp(faults.at[0].source, "...", 3), 0);
}
END_TEST

static double seconds(void)
{
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9*(double)t.tv_nsec;
}

// libyaml alone needs more than 20 s for these: its scan of nested brackets is quadratic. 2 s
// leaves room for valgrind.
static void bounded(const char *piece, const char *part)
{
  size_t n = strlen(piece), room = 1024*1024, at = 3;
  char *text = malloc(room + 1);
  memcpy(text, "a: ", at);
  for (; at + n <= room; at += n) memcpy(text + at, piece, n);
  text[at] = 0;
  double start = seconds();
  read_text(text);
  ck_assert_msg(seconds() - start < 2, "%s took %g s", piece, seconds() - start);
  if (part)
    ck_assert_msg(faults.n >= 1 && strstr(faults.at[0].text, part) != NULL, "%s: %s", piece,
                  faults.at[0].text);
  else ck_assert_int_eq(faults.n, 0);
  ck_assert_uint_lt(arena.taken, 8*1024*1024);
  free(text);
}

START_TEST(bounded_time_and_memory)
{
  bounded("[", "nested deeper");
  df_arena_reset(&arena);
  bounded("{a: ", "nested deeper");
  df_arena_reset(&arena);
  bounded("''", NULL); // half a million doubled quotes: one text
}
END_TEST

START_TEST(too_many_values)
{
  char *text = malloc(100000), *at = text;
  for (int i = 0; i < 5000; i++) at += sprintf(at, "k%d: 1\n", i);
  read_text(text);
  ck_assert_int_eq(faults.n, 1);
  ck_assert_str_eq(faults.at[0].text, "more values than any scenario needs; at most 4096");
  ck_assert_int_eq(faults.at[0].line, 4096); // the root is one of them
  free(text);
}
END_TEST

START_TEST(merging)
{
  struct df_node *base = read_text("a: {x: 1, y: 2}\nb: [1, 2, 3]\nc: 5\n");
  struct df_node *over = read_text("a: {y: 7, z: 8}\nb: [9]\nd: none\n");
  df_node_merge(base, over);
  ck_assert_str_eq(df_node_child(df_node_child(base, "a"), "x")->text, "1");
  ck_assert_str_eq(df_node_child(df_node_child(base, "a"), "y")->text, "7");
  ck_assert_str_eq(df_node_child(df_node_child(base, "a"), "z")->text, "8");
  ck_assert_int_eq(df_node_count(df_node_child(base, "b")), 1);
  ck_assert_int_eq(df_node_none(df_node_child(base, "d")), 1);
  ck_assert_int_eq(df_node_count(base), 4);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("yaml");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_set_timeout(all, 60);
  tcase_add_test(all, texts_and_places);
  tcase_add_test(all, mark_of_byte_order_and_crlf);
  tcase_add_test(all, block_texts);
  tcase_add_test(all, wrong_indentation);
  tcase_add_test(all, colons);
  tcase_add_test(all, brackets_and_quotes);
  tcase_add_test(all, what_yaml_has_and_scenarios_have_not);
  tcase_add_test(all, odd_roots);
  tcase_add_test(all, twice_and_empty);
  tcase_add_test(all, decimal_comma_and_missing_blank);
  tcase_add_test(all, caret_under_a_long_line);
  tcase_add_test(all, bounded_time_and_memory);
  tcase_add_test(all, too_many_values);
  tcase_add_test(all, merging);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
