// The parameter table: every double of the scenario is named by exactly one row, and every row is
// complete.
#include "near.h"

#include "base/table.h"
#include "dampfork/road.h"
#include "scenario/params.h"
#include "scenario/units.h"

#include <stdio.h>
#include <string.h>

#define REASON "by construction: one row a field"

// How often each byte of the scenario is named.
static unsigned char named[sizeof(struct df_scenario)];

static void name_bytes(size_t at, size_t size)
{
  ck_assert_uint_le(at + size, sizeof named);
  for (size_t i = 0; i < size; i++) named[at + i]++;
}

// Both kinds of holes share a struct: what the other kind alone has is set to NAN by the reader.
static void name_other_place(const struct df_section *section, size_t base)
{
  if (strcmp(section->name, "compression_holes") && strcmp(section->name, "rebound_holes")) return;
  if (!df_section_find(section, "depth"))
    name_bytes(base + offsetof(struct df_hole_group, depth), sizeof(double));
  if (!df_section_find(section, "height"))
    name_bytes(base + offsetof(struct df_hole_group, height), sizeof(double));
}

static void name_section(const struct df_section *section, size_t base)
{
  name_other_place(section, base);
  for (int i = 0; i < section->rows; i++) {
    const struct df_param *row = &section->row[i];
    size_t at = base + (size_t)row->at;
    if (row->has != DF_NO_OFFSET) name_bytes(base + (size_t)row->has, sizeof(int));
    if (row->at == DF_NO_OFFSET) continue;
    if (row->or_unit) name_bytes(base + (size_t)row->or_at, sizeof(double));
    switch (row->form) {
    case DF_QUANTITY: case DF_COUNT: name_bytes(at, sizeof(double)); break;
    case DF_WORD: name_bytes(at, sizeof(int)); break;
    case DF_TEXT: name_bytes(at, (size_t)row->most); break;
    case DF_SECTION: name_section(row->of, at); break;
    case DF_LIST:
    case DF_NAMED:
      for (int k = 0; k < row->most; k++) name_section(row->of, at + (size_t)k * row->of->size);
      break;
    case DF_NUMBERS: name_bytes(at, (size_t)row->most*sizeof(double)); break;
    default: ck_abort_msg("%s: no form for the core's structs", row->key);
    }
  }
}

// Fields that no row names, and why.
static void name_rest(void)
{
  name_bytes(offsetof(struct df_scenario, roads_of_use), sizeof(int)); // set by the reader
  for (int i = 0; i < DF_ROADS_MAX; i++) {
    size_t road = offsetof(struct df_scenario, road) + (size_t)i*sizeof(struct df_road);
    name_bytes(road + offsetof(struct df_road, name), DF_NAME_MAX + 1); // the key itself
    name_bytes(road + offsetof(struct df_road, keys),
               sizeof((struct df_road *)0)->keys);                  // rows of the kinds, below
    name_bytes(road + offsetof(struct df_road, file), DF_PATH_MAX); // row of the kind
  }
}

START_TEST(every_field_has_one_row)
{
  memset(named, 0, sizeof named);
  name_section(&df_scenario_section, 0);
  name_rest();
  size_t run = 0;
  for (size_t i = 0; i < sizeof named; i++) {
    ck_assert_msg(named[i] < 2, "byte %zu of the scenario is named %d times", i, named[i]);
    run = named[i] ? 0 : run + 1;
    ck_assert_msg(run < sizeof(double), "bytes up to %zu of the scenario are named by no row",
                  i); // padding is shorter than a double
  }
}
END_TEST

static struct df_units *units;
static int rows;

static int number(const struct df_param *row)
{
  return row->form == DF_QUANTITY || row->form == DF_COUNT || row->form == DF_NUMBERS;
}

static void check_number(const struct df_param *row, const char *path)
{
  char why[300] = "";
  const struct df_unit *unit = df_unit_find(units, row->unit, why, sizeof why);
  ck_assert_msg(unit != NULL, "%s: unit %s: %s", path, row->unit, why);
  ck_assert_msg(!row->or_unit || df_unit_find(units, row->or_unit, why, sizeof why),
                "%s: second unit", path);
  ck_assert_msg(row->low < row->high || row->low == row->high, "%s: range %g..%g", path, row->low,
                row->high);
  ck_assert_msg(isnan(row->usual) || (row->usual >= row->low && row->usual <= row->high),
                "%s: usual %g outside %g..%g", path, row->usual, row->low, row->high);
  ck_assert_msg(row->need != DF_OPTIONAL || !isnan(row->usual) || row->usual_rule,
                "%s: optional without a usual value", path);
  ck_assert_msg(row->need != DF_REQUIRED || isnan(row->usual), "%s: required with a usual value",
                path);
  if (row->likely_low == 0 && row->likely_high == 0) return;
  ck_assert_msg(row->likely_low >= row->low && row->likely_high <= row->high,
                "%s: likely %g..%g outside %g..%g", path, row->likely_low, row->likely_high,
                row->low, row->high);
  ck_assert_msg(row->likely_low < row->likely_high, "%s: likely %g..%g", path, row->likely_low,
                row->likely_high);
  int fits = isnan(row->usual) || row->usual == 0 ||
             (row->usual >= row->likely_low && row->usual <= row->likely_high);
  ck_assert_msg(fits, "%s: usual %g is not likely", path, row->usual);
  for (int i = 0; row->by_tube && i < DF_TUBE_SIZES; i++)
    ck_assert_msg(row->by_tube[i] >= row->likely_low && row->by_tube[i] <= row->likely_high,
                  "%s: typical %g", path, row->by_tube[i]);
}

static int known_word(const struct df_param *row)
{
  for (int i = 0; row->words[i]; i++)
    if (!strcmp(row->words[i], row->usual_word)) return 1;
  return 0;
}

static int check_row(const struct df_param *row, const char *path, void *arg)
{
  (void)arg;
  rows++;
  ck_assert_msg(row->meaning && *row->meaning, "%s: no meaning", path);
  ck_assert_msg(row->source && *row->source, "%s: no source", path);
  ck_assert_msg(row->meaning[strlen(row->meaning) - 1] != '.', "%s: a full stop ends the meaning",
                path);
  ck_assert_msg(!row->tolerance || !isfinite(row->tolerance_share) || !row->tolerance_share,
                "%s: two tolerances", path);
  if (number(row)) check_number(row, path);
  if (row->form == DF_WORD && row->words && row->usual_word)
    ck_assert_msg(known_word(row), "%s: usual word %s is none of its words", path, row->usual_word);
  return 0;
}

START_TEST(every_row_is_complete)
{
  rows = 0;
  units = df_units_create(NULL);
  ck_assert_ptr_nonnull(units);
  df_section_walk(&df_scenario_section, "", check_row, NULL);
  for (int i = 0; i < df_road_kind_count; i++)
    if (df_road_kinds[i]->keys)
      df_section_walk(df_road_kinds[i]->keys, df_road_kinds[i]->name, check_row, NULL);
  df_units_destroy(units);
  ck_assert_msg(rows > 200, "only %d rows", rows);
}
END_TEST

START_TEST(every_measurable_value_says_how_well)
{
  // A value that is measured on the bench carries a tolerance: sensitivities and advice draw on it.
  static const char *const measured[] = {
      "wet_mass", "rake",      "tube_outside", "tube_bore",    "rod_outside", "diameter",
      "rate",     "oil_level", "free_length",  "viscosity_40", "length",      "depth_to_spring",
      NULL};
  const struct df_section *const sections[] = {&df_bike_section,   &df_leg_section,
                                               &df_oil_section,    &df_air_section,
                                               &df_spring_section, &df_spacer_section};
  for (size_t s = 0; s < sizeof sections/sizeof sections[0]; s++)
    for (int i = 0; measured[i]; i++) {
      const struct df_param *row = df_section_find(sections[s], measured[i]);
      if (row)
        ck_assert_msg(row->measure && (row->tolerance > 0 || row->tolerance_share > 0), "%s.%s",
                      sections[s]->name, row->key);
    }
}
END_TEST

START_TEST(keys_are_snake_case_and_unique)
{
  const struct df_section *const all[] = {
      &df_scenario_section, &df_bike_section, &df_leg_section, &df_rod_section,
      &df_valve_section,    &df_oil_section,  &df_air_section, &df_spring_section,
      &df_spacer_section,   &df_tyre_section, &df_run_section, &df_road_section};
  for (size_t s = 0; s < sizeof all/sizeof all[0]; s++)
    for (int i = 0; i < all[s]->rows; i++) {
      const char *key = all[s]->row[i].key;
      ck_assert_uint_eq(strspn(key, "abcdefghijklmnopqrstuvwxyz0123456789_"), strlen(key));
      ck_assert_ptr_eq(df_section_find(all[s], key), &all[s]->row[i]);
    }
}
END_TEST

START_TEST(nearest_word)
{
  static const char *const list[] = { "wheelbase", "wet_mass", "rake", NULL };
  ck_assert_str_eq(df_word_nearest("wheel_base", list), "wheelbase");
  ck_assert_str_eq(df_word_nearest("raek", list), "rake");
  ck_assert_ptr_null(df_word_nearest("colour", list));
  ck_assert_int_eq(df_word_distance("kitten", "sitting"), 3); // the textbook pair
  ck_assert_int_eq(df_word_distance("ab", "ba"), 1);
  ck_assert_int_eq(df_word_distance("", "abc"), 3);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("params");
  TCase *all = tcase_create("all");
  tcase_add_test(all, every_field_has_one_row);
  tcase_add_test(all, every_row_is_complete);
  tcase_add_test(all, every_measurable_value_says_how_well);
  tcase_add_test(all, keys_are_snake_case_and_unique);
  tcase_add_test(all, nearest_word);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
