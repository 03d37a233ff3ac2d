// Overrides and files that a scenario is based on.
#include "reading.h"

#include <sys/stat.h>
#include <unistd.h>

// --- Overrides

static void with(const char *text, int n, const char *const *set)
{
  options = (struct df_reading_options){ .set = set, .set_n = n };
  try(text);
  options = (struct df_reading_options){ 0 };
}

#define WITH(text, ...)                                                                            \
  with(text, (int)(sizeof(const char *[]){__VA_ARGS__} / sizeof(char *)),                          \
       (const char *const[]){__VA_ARGS__})

START_TEST(overrides)
{
  WITH(LEAST "valve: {}\n", "valve=none", "spring.rate=9.5 N/mm",
       "rod.compression_holes[1].diameter=5 mm", "use=gravel");
  ck_assert_ptr_nonnull(reading);
  ck_assert_int_eq(got->side[0].has_valve, 0);
  near(got->side[0].spring.rate, 9500, 1e-9, RULE);
  near(got->side[0].rod.holes.compression_holes.at[0].diameter, 0.005, 1e-15, RULE);
  ck_assert_int_eq(got->use, DF_USE_GRAVEL);
  struct df_value v = value("spring.rate");
  ck_assert_str_eq(v.file, "--set");
  ck_assert_int_eq(v.line, 2);
  ck_assert_int_eq(v.column, 13);
  ck_assert_str_eq(v.text, "9.5 N/mm");
  WITH(LEAST, "valve={preload: 2 turn}", "valve.bleed_holes[1].diameter=1.2 mm",
       "roads.edge-25.speed=60 km/h");
  ck_assert_ptr_nonnull(reading);
  near(got->side[0].valve.preload, 0.002, 1e-15, RULE);
  near(got->side[0].valve.bleed_holes[0].diameter, 0.0012, 1e-15, RULE);
  near(got->side[0].valve.bleed_holes[0].count, 2, 0, "the usual count");
  ck_assert_int_eq(got->roads_of_use, 1);
  ck_assert_int_eq(got->road_n, 11);
  ck_assert_str_eq(got->road[4].name, "edge-25");
  near(got->road[4].speed, 60/3.6, 1e-12, RULE);
  WITH(LEAST
       "roads: {a: {kind: edge, height: 25 mm, speed: 40 km/h}, b: {kind: flat, speed: 50 km/h}}\n",
       "roads.a=none");
  ck_assert_int_eq(got->road_n, 1);
  WITH(LEAST "have: {springs: [9 N/mm, 10 N/mm, 11 N/mm]}\n", "have.springs[2]=none");
  ck_assert_int_eq(got->have.springs_n, 2);
  near(got->have.springs[1], 11000, 1e-9, RULE);
}
END_TEST

static void override_says(const char *set, const char *key, int column, const char *sentence)
{
  WITH(LEAST, "use=touring", set);
  ck_assert_ptr_null(reading);
  const struct df_fault *f = &faults.at[0];
  ck_assert_msg(faults.n == 1, "%s: %d faults: %s / %s", set, faults.n, f->text, f[1].text);
  ck_assert_str_eq(f->file, "--set");
  ck_assert_str_eq(f->key, key);
  ck_assert_str_eq(f->text, sentence);
  ck_assert_int_eq(f->line, 2);
  ck_assert_int_eq(f->column, column);
  if (!strchr(set, '\x1b'))
    ck_assert_str_eq(f->source, set); // what would move a terminal is not repeated
}

START_TEST(wrong_overrides)
{
  override_says("spring.rate 9", "", 1, "an override is written path.to.key=VALUE");
  override_says("=9", "", 1, "an override is written path.to.key=VALUE");
  override_says("spring.rate=9", "spring.rate", 13, "no unit; write 9 N/mm");
  override_says("sprng.rate=9 N/mm", "sprng", 1, "no such key; did you mean spring?");
  override_says("valve={preload: 2 turm}", "valve.preload", 17,
                "'turm' is not a unit known here; did you mean turn?");
  override_says("valve={preload: 2 turn", "", 7,
                "this { is not closed, or a comma is missing after it");
  override_says("rod.compression_holes[2].diameter=5 mm", "rod.compression_holes[2].diameter", 1,
                "there is no such place in the scenario");
  override_says("rod.compression_holes[2]=none", "rod.compression_holes[2]", 1,
                "the list has 1 item; [k] counts from 1");
  override_says("rod.compression_holes[0]=none", "rod.compression_holes[0]", 1,
                "there is no such place in the scenario");
  override_says("title=a\x1b[31m", "", 8, "a control character; a scenario is plain text");
}
END_TEST

// --- Files

static char folder[] = "/tmp/dampfork-read-XXXXXX";

static void file(const char *name, const char *text)
{
  char path[200];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *stream = fopen(path, "wb");
  ck_assert_ptr_nonnull(stream);
  fputs(text, stream);
  fclose(stream);
}

static enum df_status open_file(const char *name)
{
  char path[200];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  memset(&faults, 0, sizeof faults);
  df_reading_destroy(reading);
  reading = NULL;
  enum df_status status = df_reading_create(&reading, units, path, &options, &faults);
  got = status ? NULL : df_reading_scenario(reading);
  return status;
}

static void remove_folder(void)
{
  char command[300];
  snprintf(command, sizeof command, "rm -rf '%s'", folder);
  if (system(command)) return;
}

START_TEST(based_on)
{
  ck_assert_ptr_nonnull(mkdtemp(folder));
  file("base.yaml", "title: Base\nexpect: {static.sag_rider: 30 mm +- 5 mm}\n" LEAST
                    "valve: {preload: 2 turn}\nbike: {rake: 25 degree, wheelbase: 1400 mm}\n");
  file("top.yaml", "based_on: base.yaml\nvalve: none\nbike: {rake: 27 degree}\n"
       "rod: {compression_holes: [{count: 4, diameter: 5 mm}, {count: 2, diameter: 4 mm}]}\n");
  ck_assert_int_eq(open_file("top.yaml"), DF_OK);
  ck_assert_str_eq(got->title, "top"); // never taken over
  ck_assert_int_eq(df_reading_expect_count(reading), 0);
  ck_assert_int_eq(got->side[0].has_valve, 0);
  near(got->bike.rake, 27*M_PI/180, 1e-15, RULE);
  near(got->bike.wheelbase, 1.4, 1e-15, "mappings merge");
  ck_assert_int_eq(got->side[0].rod.holes.compression_holes.n, 2);
  near(got->side[0].rod.holes.rebound_holes.at[0].diameter, 0.0022, 1e-15, "lists replace");
  char where[200];
  snprintf(where, sizeof where, "%s/base.yaml", folder);
  ck_assert_str_eq(value("bike.wheelbase").file, where);

  file("a.yaml", "based_on: b.yaml\n");
  file("b.yaml", "based_on: a.yaml\n");
  ck_assert_int_eq(open_file("a.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "the files are based on each other in a circle");
  file("c1.yaml", "based_on: c2.yaml\n"), file("c2.yaml", "based_on: c3.yaml\n"),
      file("c3.yaml", "based_on: c4.yaml\n");
  file("c4.yaml", "based_on: c5.yaml\n"), file("c5.yaml", "based_on: base.yaml\n");
  ck_assert_int_eq(open_file("c2.yaml"), DF_OK); // four files below
  ck_assert_int_eq(open_file("c1.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "more than 4 files one upon the other");
  file("up.yaml", "based_on: ../base.yaml\n");
  ck_assert_int_eq(open_file("up.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text,
                   "the name leads upwards; only files in the scenario's folder or below are read");
  file("abs.yaml", "based_on: /etc/passwd\n");
  ck_assert_int_eq(open_file("abs.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].key, "based_on");
  char link[200];
  snprintf(link, sizeof link, "%s/out.yaml", folder);
  ck_assert_int_eq(symlink("/etc/passwd", link), 0);
  file("link.yaml", "based_on: out.yaml\n");
  ck_assert_int_eq(open_file("link.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(
      faults.at[0].text,
      "a link leads out of the folder; only files in the scenario's folder or below are read");
  file("gone.yaml", "based_on: nothing.yaml\n");
  ck_assert_int_eq(open_file("gone.yaml"), DF_BAD_INPUT);
  ck_assert_int_eq(faults.at[0].line, 1);
  ck_assert_int_eq(open_file("not-there.yaml"), DF_CANNOT_READ);
  ck_assert_int_eq(open_file("."), DF_CANNOT_READ);
  // A fault in the file below names that file.
  file("base.yaml", LEAST "bike: {rake: 64 degree}\n");
  file("top.yaml", "based_on: base.yaml\n");
  ck_assert_int_eq(open_file("top.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].file, where);
  ck_assert_int_eq(faults.at[0].line, 4);
  // The scenario itself comes first, then what it is based on.
  file("top.yaml", "based_on: base.yaml\n\n\n\n\nrider: {mass: 900 kg}\n");
  ck_assert_int_eq(open_file("top.yaml"), DF_BAD_INPUT);
  ck_assert_int_eq(faults.n, 2);
  ck_assert_int_eq(faults.at[0].line, 6);
  ck_assert_str_eq(faults.at[1].file, where);
  remove_folder();
}
END_TEST

START_TEST(too_large_a_file)
{
  char *text = malloc(1024*1024 + 10);
  memset(text, '#', 1024*1024 + 9);
  text[1024*1024 + 9] = 0;
  ck_assert_int_eq(try(text), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "more than 1 MiB; a scenario has some kilobytes");
  free(text);
}
END_TEST

START_TEST(recorded_road_stays_below)
{
  good(LEAST "roads: {x: {kind: recorded, file: profiles/a.csv, speed: 50 km/h}}\n");
  ck_assert_str_eq(got->road[0].file, "profiles/a.csv");
  says(LEAST "roads: {x: {kind: recorded, file: ../a.csv, speed: 50 km/h}}\n", "roads.x.file", 4,
       35, "the name leads upwards; only files in the scenario's folder or below are read");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("override");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_set_timeout(all, 60);
  tcase_add_test(all, overrides);
  tcase_add_test(all, wrong_overrides);
  tcase_add_test(all, based_on);
  tcase_add_test(all, too_large_a_file);
  tcase_add_test(all, recorded_road_stays_below);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
