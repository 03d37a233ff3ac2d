// Recorded profiles: what is read, and how every fault is told.
#include "near.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/param.h"
#include "vehicle/record.h"

static char path[64];

static void write_bytes(const char *text, size_t n)
{
  snprintf(path, sizeof path, "record-%ld.csv", (long)getpid());
  FILE *file = fopen(path, "wb");
  ck_assert(file != NULL);
  ck_assert_uint_eq(fwrite(text, 1, n, file), n);
  ck_assert_int_eq(fclose(file), 0);
}

static void remove_file(void) { unlink(path); }

static struct df_polyline read_text(const char *text, struct df_faults *faults, enum df_status want)
{
  struct df_polyline line;
  write_bytes(text, strlen(text));
  ck_assert_int_eq(df_record_read(path, "roads.test.file", &line, faults), want);
  return line;
}

static struct df_road recorded_road(double scale, double detrend)
{
  struct df_road road = { .name = "test", .kind = df_road_kind_find("recorded"), .speed = 10,
                          .window = NAN, .repeat = 1, .gap = 1, .contact = DF_CONTACT_POINT };
  road.keys[0] = scale;
  road.keys[1] = detrend;
  snprintf(road.file, sizeof road.file, "%s", path);
  return road;
}

START_TEST(columns_are_found_by_name)
{
  struct df_faults faults = {0};
  const char *text = "\xef\xbb\xbf# of a survey\r\nheight_mm , time_s,distance_m\r\n\r\n"
                     "-1.5, 0, 2\r\n2.5e1,1,2.25\r\n+3,2, 4.125";
  struct df_polyline line = read_text(text, &faults, DF_OK);
  const double s[] = { 2, 2.25, 4.125 }, z[] = { -1.5e-3, 25e-3, 3e-3 };
  ck_assert_int_eq(line.n, 3);
  for (int i = 0; i < 3; i++) {
    near(line.s[i], s[i], 0, "as written");
    near(line.z[i], z[i], 1e-17, "mm to m");
  }
  ck_assert_int_eq(faults.n, 0);
  df_polyline_finish(&line);
}
END_TEST

#define HEADER "allowed: a header that names distance_m and height_mm"
#define TOO_FEW(n) "rows of numbers: " n \
  "; allowed: at least 2, under a header that names distance_m and height_mm"
#define NUMBER(name, text) name " is not a number: \"" text "\"; " \
  "allowed: digits with a decimal point"

static const struct { const char *text; int line, column; const char *says; } wrong[] = {
  { "", 0, 0, TOO_FEW("0") },
  { "# only a remark\n", 0, 0, TOO_FEW("0") },
  { "distance_m,height_mm\n0,1\n", 0, 0, TOO_FEW("1") },
  { "0,1\n1,2\n", 1, 1, "no column distance_m; " HEADER },
  { "distance_m;height_mm\n0;1\n", 1, 1,
    "no column distance_m; " HEADER " (commas between columns, not semicolons)" },
  { "distance_m,height_m\n0,1\n1,1\n", 1, 1, "no column height_mm; " HEADER },
  { "distance_m,height_mm,distance_m\n0,1,2\n1,1,2\n", 1, 22, "column named twice; allowed: once" },
  { "distance_m,height_mm\n0,1\n1,nan\n", 3, 3, NUMBER("height_mm", "nan") },
  { "distance_m,height_mm\n0,1\n1,inf\n", 3, 3, NUMBER("height_mm", "inf") },
  { "distance_m,height_mm\n0,0x10\n1,1\n", 2, 3, NUMBER("height_mm", "0x10") },
  { "distance_m,height_mm\n0,1e400\n1,1\n", 2, 3,
    "height_mm 1e400 is out of range; allowed: -1e+07 to 1e+07" },
  { "distance_m,height_mm\n2e6,1\n3e6,1\n", 2, 1,
    "distance_m 2e6 is out of range; allowed: -1e+06 to 1e+06" },
  { "distance_m,height_mm\n0,1-2\n1,1\n", 2, 3, NUMBER("height_mm", "1-2") },
  { "distance_m,height_mm\n0,e\n1,1\n", 2, 3, NUMBER("height_mm", "e") },
  { "distance_m,height_mm\n0, \n1,1\n", 2, 4, "no height_mm; allowed: a number" },
  { "distance_m,height_mm\n0,5,1,5\n1,5,2,5\n", 2, 1,
    "4 values under 2 columns; allowed: one value a column, decimal points, no decimal commas" },
  { "distance_m,height_mm\n0,1\n1,1\n0.5,1\n", 4, 1,
    "distance falls from 1 to 0.5 m; allowed: rising, or twice the same for a vertical face" },
  { "distance_m,height_mm\n0,1\n0,2\n0,3\n", 4, 1,
    "distance 0 m for the third time; allowed: twice, for a vertical face" },
};

START_TEST(faults_say_where_and_what_is_allowed)
{
  struct df_faults faults = {0};
  struct df_polyline line = read_text(wrong[_i].text, &faults, DF_BAD_INPUT);
  ck_assert(line.n == 0 && line.s == NULL);
  ck_assert_int_ge(faults.n, 1);
  ck_assert_str_eq(faults.at[0].text, wrong[_i].says);
  ck_assert_int_eq(faults.at[0].line, wrong[_i].line);
  ck_assert_int_eq(faults.at[0].column, wrong[_i].column);
  ck_assert_str_eq(faults.at[0].file, path);
  ck_assert_str_eq(faults.at[0].key, "roads.test.file");
}
END_TEST

START_TEST(all_faults_are_told_at_once)
{
  struct df_faults faults = {0};
  read_text("distance_m,height_mm\n0,x\n1,1\ny,z\n0.5,1\n", &faults, DF_BAD_INPUT);
  ck_assert_int_eq(faults.n, 4);
  ck_assert_int_eq(faults.at[0].line, 2);
  ck_assert_int_eq(faults.at[1].line, 4);
  ck_assert_int_eq(faults.at[2].column, 3);
  ck_assert_int_eq(faults.at[3].line, 5);
  ck_assert_str_eq(faults.at[0].source, "0,x");
  struct df_polyline line;
  ck_assert_int_eq(df_record_read(path, "k", &line, NULL), DF_BAD_INPUT);
}
END_TEST

START_TEST(control_bytes_do_not_reach_the_screen)
{
  struct df_faults faults = {0};
  read_text("distance_m,height_mm\n0,\x1b[2Jx\n1,1\n", &faults, DF_BAD_INPUT);
  ck_assert(strchr(faults.at[0].text, 0x1b) == NULL && strchr(faults.at[0].source, 0x1b) == NULL);
  struct df_polyline line;
  memset(&faults, 0, sizeof faults);
  write_bytes("distance_m,height_mm\n0,\0001\n1,1\n", 28);
  ck_assert_int_eq(df_record_read(path, "k", &line, &faults), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "a zero byte; allowed: text");
  ck_assert_int_eq(faults.at[0].line, 2);
  ck_assert_int_eq(faults.at[0].column, 3);
}
END_TEST

START_TEST(what_is_no_file_is_refused)
{
  struct df_faults faults = {0};
  struct df_polyline line;
  ck_assert_int_eq(df_record_read("no-such-file.csv", "k", &line, &faults), DF_CANNOT_READ);
  ck_assert_int_eq(df_record_read(".", "k", &line, &faults), DF_CANNOT_READ);
  snprintf(path, sizeof path, "record-%ld.csv", (long)getpid());
  ck_assert_int_eq(mkfifo(path, 0600), 0);
  ck_assert_int_eq(df_record_read(path, "k", &line, &faults), DF_CANNOT_READ); // does not wait
  ck_assert_int_eq(faults.n, 3);
}
END_TEST

START_TEST(size_and_rows_are_bounded)
{
  struct df_faults faults = {0};
  struct df_polyline line;
  write_bytes("distance_m,height_mm\n", 21);
  ck_assert_int_eq(truncate(path, (off_t)DF_RECORD_BYTES_MAX + 1), 0);
  ck_assert_int_eq(df_record_read(path, "k", &line, &faults), DF_CANNOT_READ);
  ck_assert(strstr(faults.at[0].text, "allowed: up to 64 MiB") != NULL);
  FILE *file = fopen(path, "wb");
  fputs("distance_m,height_mm\n", file);
  for (int i = 0; i <= DF_RECORD_ROWS_MAX; i++) fprintf(file, "%d.%03d,0\n", i/1000, i%1000);
  ck_assert_int_eq(fclose(file), 0);
  memset(&faults, 0, sizeof faults);
  ck_assert_int_eq(df_record_read(path, "k", &line, &faults), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "too many rows; allowed: up to 1000000");
  ck_assert_int_eq(faults.at[0].line, DF_RECORD_ROWS_MAX + 2);
}
END_TEST

static struct df_polyline shape_of(const struct df_road *road)
{
  struct df_polyline line;
  ck_assert_int_eq(df_road_kinds[road->kind]->shape(road, &line, NULL), DF_OK);
  return line;
}

START_TEST(heights_are_scaled_and_the_line_taken_off)
{
  char text[8192] = "distance_m,height_mm\n";
  for (int i = 0; i < 100; i++) {
    double s = 100 + 0.3*i + 0.1*(i%2); // any spacing
    snprintf(text + strlen(text), sizeof text - strlen(text), "%.3f,%.6f\n", s,
             500 + 20*(s - 100) + 5*sin(s));
  }
  write_bytes(text, strlen(text));
  struct df_road road = recorded_road(2, 0);
  struct df_polyline line = shape_of(&road);
  near(line.s[0], 0, 0, "counted from the first row");
  near(line.z[0], 0, 0, "counted from the first row");
  near(line.z[50], 2e-3*(20*line.s[50] + 5*(sin(115) - sin(100))), 2e-9, "twice the heights");
  near(df_road_kinds[road.kind]->length(&road), line.s[99], 1e-12, "its length");
  df_polyline_finish(&line);

  road = recorded_road(1, 1);
  line = shape_of(&road);
  double sum = 0, moment = 0, rough = 0;
  for (int i = 0; i < line.n; i++) {
    sum += line.z[i];
    moment += line.z[i]*line.s[i];
    rough += line.z[i]*line.z[i];
  }
  near(sum, 0, 1e-12, "normal equations of the straight line");
  near(moment, 0, 1e-10, "normal equations of the straight line");
  near(sqrt(rough/line.n), 5e-3/sqrt(2), 0.5e-3, "what is left is the sine");
  df_polyline_finish(&line);
}
END_TEST

START_TEST(point_rides_straight_between_samples)
{
  struct df_faults faults = {0};
  struct df_tyre tyre = { .radius = 0.3, .contact = DF_CONTACT_DISC };
  struct df_profile profile;
  struct df_polyline line = read_text("distance_m,height_mm\n0,0\n20,0\n20.25,10\n20.5,-5\n30,0\n",
                                      &faults, DF_OK);
  df_polyline_finish(&line);
  struct df_road road = recorded_road(1, 0);
  ck_assert_int_eq(df_profile_init(&profile, &road, &tyre, &faults), DF_OK);
  double w, slope;
  df_profile_at(&profile, 20.1, &w, &slope, NULL);
  near(w, 4e-3, 1e-12, "straight line between samples");
  near(slope, 0.04, 1e-10, "straight line between samples");
  df_profile_at(&profile, 20.4, &w, &slope, NULL);
  near(w, 1e-3, 1e-12, "straight line between samples");
  near(slope, -0.06, 1e-10, "straight line between samples");
  df_profile_finish(&profile);
}
END_TEST

START_TEST(rows_at_one_place_are_no_road)
{
  struct df_faults faults = {0};
  struct df_polyline line = read_text("distance_m,height_mm\n3,0\n3,5\n", &faults, DF_OK);
  df_polyline_finish(&line);
  struct df_road road = recorded_road(1, 1);
  ck_assert_int_eq(df_road_kinds[road.kind]->shape(&road, &line, &faults), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "all rows lie at one place; allowed: distances that rise");
  ck_assert(isnan(df_road_kinds[road.kind]->length(&road)));
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("record");
  TCase *cases = tcase_create("record");
  tcase_set_timeout(cases, 60);
  tcase_add_checked_fixture(cases, NULL, remove_file);
  tcase_add_test(cases, columns_are_found_by_name);
  tcase_add_loop_test(cases, faults_say_where_and_what_is_allowed, 0, sizeof wrong/sizeof *wrong);
  tcase_add_test(cases, all_faults_are_told_at_once);
  tcase_add_test(cases, control_bytes_do_not_reach_the_screen);
  tcase_add_test(cases, what_is_no_file_is_refused);
  tcase_add_test(cases, size_and_rows_are_bounded);
  tcase_add_test(cases, heights_are_scaled_and_the_line_taken_off);
  tcase_add_test(cases, point_rides_straight_between_samples);
  tcase_add_test(cases, rows_at_one_place_are_no_road);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
