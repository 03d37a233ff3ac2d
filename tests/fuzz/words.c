// Changes that keep a text nearly right: keys, units, words and ranges come from the parameter
// table, so that most of what is tried gets past the first check.
#include "fuzz.h"

#include "dampfork/road.h"
#include "base/table.h"
#include "scenario/params.h"

#include <math.h>
#include <string.h>

enum { ROWS_MAX = 700, PIECE = 3000 };
static const struct df_param *rows[ROWS_MAX];
static char paths[ROWS_MAX][64];
static int row_n;
static uint64_t state;

// libFuzzer's own change of bytes, where it is linked in.
__attribute__((weak)) size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most);

static unsigned draw(unsigned n) // 0 .. n - 1: splitmix64 (Steele, Lea and Flood 2014)
{
  uint64_t z = state += 0x9e3779b97f4a7c15u;
  z = (z ^ z >> 30)*0xbf58476d1ce4e5b9u;
  z = (z ^ z >> 27)*0x94d049bb133111ebu;
  return n ? (unsigned)((z ^ z >> 31)%n) : 0;
}

static int keep(const struct df_param *row, const char *path, void *arg)
{
  (void)arg;
  if (row_n == ROWS_MAX) return 0;
  snprintf(paths[row_n], sizeof paths[0], "%s", path);
  rows[row_n++] = row;
  return 0;
}

static void start(void)
{
  if (row_n) return;
  df_section_walk(&df_scenario_section, "", keep, NULL);
  for (int i = 0; i < df_road_kind_count; i++)
    df_section_walk(df_road_kinds[i]->keys, "roads.a", keep, NULL);
}

static const char *const hostile[] = {
  "&a ", "*a", "!!str ", "---\n", "...\n", "|\n", ">\n", "\t", "\r\n", "\r", "\xef\xbb\xbf", "{", "}", "[", "]",
  "none", "based_on: base.yaml\n", "based_on: ../x.yaml\n", "based_on: fork.yaml\n", "\"", "'", "? ", "%YAML 1.2\n",
  "\xe2\x80\xa8", "\xe2\x80\xae", "\x1b[31m", "\xff", "a:\n b:\n  c:\n", "# x\n", ": ", ", ", "~", "null", "<<: *a",
  "right: {", "roads: {", "expect: {town.travel_peak: 92 mm +- 2 %}\n", "[2]", "[0]", "[99999999999]", "=", ".", "+-",
  "<= ", " - ", "1:4:0.5 mm", "1,2,3 mm", "file: road.csv", "kind: recorded", "format: 1\n", "\n\n", "  "};
static const char *const numbers[] = {"0", "-1", "1e308", "1e-308", "1e9", "nan", "inf", "0x10", "25,4", "1e", ".5",
  "-0", "1e400", "00012", "999999999999999999999", "1 2", "+3", "1e-400", "2147483648", "5."};
static const char *const unit_words[] = {"mm", "N/mm", "degC", "%", "turn", "mm2/s", "kg/m3", "N.s/m", "cP", "mph", "in",
  "mm^", "N//m", "m.m.m.m.m.m.m", "\"", "degree", "l", "1", "mm mm", "(", "km/h", "bar", "m/s^2", "parsec", ""};
#define PICK(list) (list)[draw(sizeof (list)/sizeof *(list))]

static int number(const struct df_param *row, char *out, size_t size)
{
  double u = draw(1u << 20)/(double)(1u << 20), low = row->low, high = row->high;
  if (draw(6) == 0) return snprintf(out, size, "%s", PICK(numbers));
  if (row->form == DF_COUNT) return snprintf(out, size, "%d", (int)(low + u*fmin(high - low, 6)));
  double value = draw(3) == 0 && isfinite(row->usual) ? row->usual
                 : draw(8) == 0 ? low : draw(8) == 0 ? high
                 : row->likely_high > row->likely_low && draw(2)
                     ? row->likely_low + u*(row->likely_high - row->likely_low)
                 : low > 0 ? low*pow(high/low, u) : low + u*(high - low);
  return snprintf(out, size, "%.*g", 1 + (int)draw(8), value);
}

static int value_of(const struct df_param *row, char *out, size_t size, int deep);

static int section_of(const struct df_section *of, char *out, size_t size, int deep)
{
  size_t n = (size_t)snprintf(out, size, "{");
  for (int i = 0, put = 0; of && i < of->rows && n + 200 < size; i++) {
    const struct df_param *row = &of->row[i];
    if (row->need == DF_REQUIRED ? draw(12) == 0 : draw(4)) continue;
    n += (size_t)snprintf(out + n, size - n, "%s%s: ", put++ ? ", " : "", row->key);
    n += (size_t)value_of(row, out + n, size - n - 60, deep + 1);
  }
  return (int)n + snprintf(out + n, size - n, "}");
}

static int list_of(const struct df_param *row, char *out, size_t size, int deep)
{
  size_t n = (size_t)snprintf(out, size, "[");
  for (int i = 0, most = 1 + (int)draw(3); i < most && n + 200 < size; i++) {
    n += (size_t)snprintf(out + n, size - n, "%s", i ? ", " : "");
    if (row->form == DF_LIST) n += (size_t)section_of(row->of, out + n, size - n - 60, deep + 1);
    else n += (size_t)number(row, out + n, size - n), n += (size_t)snprintf(out + n, size - n, " %s", row->unit);
  }
  return (int)n + snprintf(out + n, size - n, "]");
}

// A road of a kind with that kind's keys.
static int road_of(char *out, size_t size, int deep)
{
  const struct df_road_kind *kind = df_road_kinds[draw((unsigned)df_road_kind_count)];
  char keys[PIECE/2];
  section_of(kind->keys, keys, sizeof keys, deep + 1);
  int n = snprintf(out, size, "{a: {kind: %s, speed: %u km/h, %s}", kind->name, 1 + draw(120), keys + 1);
  return n < (int)size ? n : (int)size - 1;
}

static int value_of(const struct df_param *row, char *out, size_t size, int deep)
{
  if (size < 100 || size > PIECE) return 0;
  if (draw(40) == 0) return snprintf(out, size, "%s", PICK(hostile));
  switch (row->form) {
    case DF_QUANTITY: case DF_COUNT: {
      int n = number(row, out, size);
      if (row->form == DF_COUNT || (row->unit && !strcmp(row->unit, "1"))) return n;
      const char *unit = draw(9) == 0 ? PICK(unit_words) : row->or_unit && draw(2) ? row->or_unit : row->unit;
      return n + snprintf(out + n, size - (size_t)n, " %s", unit ? unit : "");
    }
    case DF_WORD: case DF_WORD_NUMBER: {
      int n = 0;
      while (row->words && row->words[n]) n++;
      return snprintf(out, size, "%s", n && draw(12) ? row->words[draw((unsigned)n)] : "other");
    }
    case DF_SECTION: return deep < 5 ? section_of(row->of, out, size, deep) : snprintf(out, size, "{}");
    case DF_LIST: case DF_NUMBERS: return deep < 5 ? list_of(row, out, size, deep) : snprintf(out, size, "[]");
    case DF_NAMED: return deep < 3 ? road_of(out, size, deep) : snprintf(out, size, "{}");
    case DF_FILE: return snprintf(out, size, "%s", draw(2) ? "road.csv" : "base.yaml");
    default: return snprintf(out, size, "text %u", draw(1000));
  }
}

// Put `n` bytes in the place of `old` bytes at `at`.
static size_t put(uint8_t *data, size_t size, size_t most, size_t at, size_t old, const char *text)
{
  size_t n = strlen(text);
  if (at > size || old > size - at || size - old + n > most) return size;
  memmove(data + at + n, data + at + old, size - at - old);
  memcpy(data + at, text, n);
  return size - old + n;
}

static size_t find(const uint8_t *data, size_t size, const char *any)
{
  size_t from = draw((unsigned)size + 1);
  for (size_t i = from; i < size; i++)
    if (data[i] && strchr(any, data[i])) return i;
  for (size_t i = 0; i < from; i++)
    if (data[i] && strchr(any, data[i])) return i;
  return size;
}

static size_t extent(const uint8_t *data, size_t size, size_t at, const char *stop)
{
  size_t n = 0;
  while (at + n < size && !(data[at + n] && strchr(stop, data[at + n]))) n++;
  return n;
}

// The row whose key stands before this colon or equals sign; any row when there is none.
static const struct df_param *row_before(const uint8_t *data, size_t colon)
{
  size_t n = 0;
  while (n < colon && n < 40 && (data[colon - 1 - n] == '_' || (data[colon - 1 - n] >= '0' && data[colon - 1 - n] <= 'z'))) n++;
  for (int i = 0, first = (int)draw((unsigned)row_n); i < row_n; i++) {
    const struct df_param *row = rows[(first + i)%row_n];
    if (strlen(row->key) == n && !memcmp(row->key, data + colon - n, n)) return row;
  }
  return rows[draw((unsigned)row_n)];
}

static size_t change_value(uint8_t *data, size_t size, size_t most)
{
  char text[PIECE];
  size_t at = find(data, size, ":=");
  if (at == size && size) // a bare value
    return value_of(rows[draw((unsigned)row_n)], text, sizeof text, 2) ? put(data, size, most, 1, size - 1, text) : size;
  if (at == size) return size;
  const struct df_param *row = row_before(data, at);
  at += 1 + (at + 1 < size && data[at + 1] == ' ');
  if (!value_of(row, text, sizeof text, 2)) return size;
  return put(data, size, most, at, extent(data, size, at, ",}]\n"), text);
}

static size_t add_key(uint8_t *data, size_t size, size_t most)
{
  char text[PIECE + 64], value[PIECE];
  int i = (int)draw((unsigned)row_n);
  size_t at = find(data, size, "{,\n");
  if (!value_of(rows[i], value, sizeof value, 2)) return size;
  int flow = at < size && data[at] != '\n';
  snprintf(text, sizeof text, flow ? " %s: %s," : "%s: %s\n", rows[i]->key, value);
  return put(data, size, most, at < size ? at + 1 : at, 0, text);
}

static size_t add_line(uint8_t *data, size_t size, size_t most) // "path=value", an override
{
  char text[PIECE + 80], value[PIECE];
  int i = (int)draw((unsigned)row_n);
  if (!value_of(rows[i], value, sizeof value, 2)) return size;
  char *list = strstr(paths[i], "[]");
  if (list && draw(3)) snprintf(text, sizeof text, "%.*s[%u]%s=%s\n", (int)(list - paths[i]), paths[i], 1 + draw(3), list + 2, value);
  else snprintf(text, sizeof text, "%s=%s\n", paths[i], value);
  return put(data, size, most, 0, 0, text);
}

static size_t move_line(uint8_t *data, size_t size, size_t most)
{
  char text[PIECE];
  size_t at = find(data, size, "\n"), to = find(data, size, "\n");
  if (at == size || to == size) return size;
  size_t n = extent(data, size, ++at, "\n");
  if (n + 2 > sizeof text) return size;
  memcpy(text, data + at, n), text[n] = '\n', text[n + 1] = 0;
  if (memchr(text, 0, n)) return size;
  if (draw(2)) return put(data, size, most, at, n, ""); // taken out
  return put(data, size, most, to + 1, 0, text);        // repeated elsewhere
}

static size_t change_byte(uint8_t *data, size_t size, size_t most)
{
  size_t at = draw((unsigned)size + 1);
  char one[2] = {(char)(1 + draw(255)), 0};
  if (LLVMFuzzerMutate) return LLVMFuzzerMutate(data, size, most);
  return put(data, size, most, at, at < size ? draw(2) : 0, draw(3) ? one : "");
}

static size_t change_number(uint8_t *data, size_t size, size_t most)
{
  size_t at = find(data, size, "0123456789");
  if (at == size) return size;
  return put(data, size, most, at, extent(data, size, at, " ,}]\n\"a"), PICK(numbers));
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed)
{
  static size_t (*const change[])(uint8_t *, size_t, size_t) = {
      change_value, change_value, change_value, add_key, add_key, move_line, change_number,
      change_byte, change_byte, add_line};
  start();
  state = seed;
  unsigned n = 1 + draw(4), overrides = size && data[0] != '#' && !memchr(data, '{', size);
  for (unsigned i = 0; i < n; i++) {
    if (draw(12) == 0) size = put(data, size, most, draw((unsigned)size + 1), 0, PICK(hostile));
    else size = change[draw(overrides ? 10 : 9)](data, size, most);
  }
  return size;
}
