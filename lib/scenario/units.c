// Words of ours -> words of UDUNITS-2 -> scale, offset and dimension, each asked for once.
#include "scenario/units.h"

#include "base/plain.h"
#include "base/table.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <udunits2.h>

enum {
  KNOWN_MAX = 256,            // different units in one program; the parameter table has about 40
  PARENTHESES_MAX = 4
};

struct df_units {
  ut_system *system;
  pthread_mutex_t lock;       // over what comes after the first `fixed`
  int fixed, n;               // units never forgotten and read without the lock; all known ones
  struct df_unit at[KNOWN_MAX];
};

// The closed list. `means` is what UDUNITS-2 is given where it lacks the word or reads it
// otherwise.
static const struct { const char *word, *means;
} words[] = {
    {"m", 0},
    {"cm", 0},
    {"mm", 0},
    {"um", 0},
    {"km", 0},
    {"in", "(0.0254 m)"},
    {"ft", "(0.3048 m)"},
    {"ml", "(cm^3)"},
    {"l", "(dm^3)"},
    {"kg", 0},
    {"g", 0},
    {"t", "(1000 kg)"},
    {"lb", "(0.45359237 kg)"},
    {"N", 0},
    {"kN", 0},
    {"kgf", "(9.80665 N)"},
    {"lbf", "(4.4482216152605 N)"},
    {"Pa", 0},
    {"kPa", 0},
    {"MPa", 0},
    {"GPa", 0},
    {"bar", "(1e5 Pa)"},
    {"psi", "(6894.757293168361 Pa)"},
    {"J", 0},
    {"W", 0},
    {"s", 0},
    {"ms", 0},
    {"min", 0},
    {"h", 0},
    {"Hz", 0},
    {"K", 0},
    {"rad", 0},
    {"degree", 0},
    {"cSt", "(1e-6 m^2/s)"},
    {"cP", "(1e-3 Pa.s)"},
    {"mph", "(0.44704 m/s)"},
    {"%", 0},
};
enum { WORDS = sizeof words/sizeof words[0] };

// Words that stand alone: not to be composed.
static const struct df_unit alone[] = {
    {"1", 1, 0, "1"},
    {"turn", 1, 0, "turn"},
    {"degC", 1, 273.15, "K"},
    {"degF", 5.0 / 9.0, 459.67, "K"},
    {"m/s1.75", 1, 0, "m/s1.75"}, // vibration dose, ISO 2631-1
};
enum { ALONE = sizeof alone/sizeof alone[0] };

// What people write for it elsewhere.
static const struct { const char *theirs, *ours;
} habits[] = {
    {"deg", "degree"},
    {"degrees", "degree"},
    {"\xc2\xb0", "degree"},
    {"\xc2\xb0"
     "C",
     "degC"},
    {"C", "degC"},
    {"F", "degF"},
    {"\xc2\xb0"
     "F",
     "degF"},
    {"Nm", "N.m"},
    {"Ns/m", "N.s/m"},
    {"N*s/m", "N.s/m"},
    {"Nmm", "N.mm"},
    {"kph", "km/h"},
    {"kmh", "km/h"},
    {"kg/mm", "kgf/mm"},
    {"kp/mm", "kgf/mm"},
    {"lb/in", "lbf/in"},
    {"lbs/in", "lbf/in"},
    {"lbs", "lb"},
    {"\"", "in"},
    {"inch", "in"},
    {"inches", "in"},
    {"L", "l"},
    {"cc", "cm3"},
    {"ccm", "cm3"},
    {"turns", "turn"},
    {"cst", "cSt"},
    {"sec", "s"},
    {"hour", "h"},
    {"percent", "%"},
    {"kgs", "kg"},
    {"kilo", "kg"},
    {"kilos", "kg"},
    {"\xc2\xb5m", "um"},
    {"m/s\xc2\xb2", "m/s2"},
    {"mm\xc2\xb2", "mm2"},
    {"cm\xc2\xb3", "cm3"},
    {"m/s^2", "m/s2"},
    {"mm\xc2\xb2/s", "mm2/s"},
    {"Mpa", "MPa"},
    {"mpa", "MPa"},
    {"kpa", "kPa"},
    {"Kg", "kg"},
    {"KG", "kg"},
    {"n/mm", "N/mm"},
};
enum { HABITS = sizeof habits/sizeof habits[0] };

static const char *habit_of(const char *text)
{
  for (int i = 0; i < HABITS; i++)
    if (!strcmp(habits[i].theirs, text)) return habits[i].ours;
  return NULL;
}

// The nearest word of ours for one that is unknown; NULL: none.
static const char *meant(const char *word)
{
  const char *ours = habit_of(word), *list[WORDS + ALONE + 1];
  if (ours) return ours;
  int n = 0;
  for (int i = 0; i < WORDS; i++)
    if (strlen(words[i].word) > 2)
      list[n++] = words[i].word; // every short word is near to every other
  for (int i = 1; i < ALONE - 1; i++) list[n++] = alone[i].text;
  list[n] = NULL;
  return df_word_nearest(word, list);
}

// One step of the translation: where it reads, where it writes.
struct translation {
  const char *in;
  char out[4 * DF_UNIT_MAX];
  size_t n;
  int open;
  char word[DF_UNIT_MAX];
};

static int put(struct translation *t, const char *text)
{
  size_t length = strlen(text);
  if (t->n + length >= sizeof t->out) return 0;
  memcpy(t->out + t->n, text, length + 1);
  t->n += length;
  return 1;
}

static int letter(char c)
{
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '%' || (c & 0x80) || c == '"' ||
         c == '*';
}

static int digit(char c)
{
  return c >= '0' && c <= '9';
}

static int translate_word(struct translation *t)
{
  size_t n = 0;
  while (letter(t->in[n])) n++;
  memcpy(t->word, t->in, n);
  t->word[n] = 0;
  t->in += n;
  for (int i = 0; i < WORDS; i++)
    if (!strcmp(words[i].word, t->word))
      return put(t, words[i].means ? words[i].means : words[i].word);
  return 0;
}

// An optional power: "2", "^2", "-1", "^-1"; one digit.
static int translate_power(struct translation *t)
{
  const char *p = t->in;
  if (*p == '^') p++;
  int minus = *p == '-';
  if (!digit(p[minus])) return p == t->in;
  if (digit(p[minus + 1])) return 0;
  char power[4] = { '^', minus ? '-' : p[0], minus ? p[1] : 0, 0 };
  t->in = p + minus + 1;
  return put(t, power);
}

// Words, powers, "." and "/" and parentheses, and a leading "1/". 0: not so; then `word` holds an
// unknown word, or "".
static int translate(struct translation *t)
{
  int wants = 1;              // a word or "(" must come next
  if (t->in[0] == '1' && t->in[1] == '/') put(t, "1/"), t->in += 2;
  while (*t->in) {
    char mark[2] = { *t->in, 0 };
    if (wants && letter(*t->in)) {
      if (!translate_word(t) || !translate_power(t)) return 0;
      wants = 0;
    } else if (wants && *t->in == '(') {
      if (++t->open > PARENTHESES_MAX || !put(t, mark)) return 0;
      t->in++;
    } else if (!wants && *t->in == ')' && t->open) {
      t->open--, t->in++;
      if (!put(t, mark) || !translate_power(t)) return 0;
    } else if (!wants && (*t->in == '.' || *t->in == '/')) {
      if (!put(t, mark)) return 0;
      t->in++;
      wants = 1;
    } else {
      t->word[0] = 0;
      return 0;
    }
    if (!wants) t->word[0] = 0;
  }
  return !wants && !t->open;
}

// --- What UDUNITS-2 makes of it

static ut_status put_product(const ut_unit *unit, int count, const ut_unit *const *basic,
                             const int *powers, void *arg)
{
  (void)unit;
  struct df_unit *to = arg;
  size_t n = 0;
  for (int sign = 1; sign >= -1; sign -= 2)
    for (int i = 0; i < count; i++) {
      if (powers[i]*sign <= 0) continue;
      const char *name = ut_get_symbol(basic[i], UT_ASCII);
      const char *join = sign < 0 ? "/" : n ? "." : "";
      n += (size_t)snprintf(to->base + n, sizeof to->base - n, "%s%s%s", n || sign > 0 ? "" : "1",
                            join, name ? name : "?");
      if (n + 4 >= sizeof to->base) return UT_BAD_ARG;
      if (powers[i] * sign > 1)
        n += (size_t)snprintf(to->base + n, sizeof to->base - n, "%d", powers[i] * sign);
    }
  if (!n) snprintf(to->base, sizeof to->base, "1");
  return UT_SUCCESS;
}

static ut_status put_basic(const ut_unit *unit, void *arg)
{
  const int one = 1;
  return put_product(unit, 1, &unit, &one, arg);
}

static const ut_visitor visitor;

static ut_status put_scaled(const ut_unit *unit, double scale, const ut_unit *underlying,
                            double offset, void *arg)
{
  (void)unit;
  struct df_unit *to = arg;
  to->scale *= scale;
  to->offset += offset;
  return ut_accept_visitor(underlying, &visitor, arg);
}

static ut_status refuse_time(const ut_unit *unit, const ut_unit *time, double origin, void *arg)
{
  (void)unit, (void)time, (void)origin, (void)arg;
  return UT_BAD_ARG;
}

static ut_status refuse_log(const ut_unit *unit, double base, const ut_unit *reference, void *arg)
{
  (void)unit, (void)base, (void)reference, (void)arg;
  return UT_BAD_ARG;
}

static const ut_visitor visitor = { put_basic, put_product, put_scaled, refuse_time, refuse_log };

static int ask(struct df_units *units, const char *translated, struct df_unit *to)
{
  locale_t before = df_plain_enter();
  ut_error_message_handler handler = ut_set_error_message_handler(ut_ignore);
  ut_unit *unit = ut_parse(units->system, translated, UT_ASCII);
  int good = unit && ut_accept_visitor(unit, &visitor, to) == UT_SUCCESS && to->scale > 0 &&
             isfinite(to->scale);
  if (unit) ut_free(unit);
  ut_set_error_message_handler(handler);
  df_plain_leave(before);
  return good;
}

// --- The object

struct df_units *df_units_create(struct df_faults *faults)
{
  struct df_units *units = calloc(1, sizeof *units);
  if (!units) {
    df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
    return NULL;
  }
  locale_t before = df_plain_enter();
  ut_error_message_handler handler = ut_set_error_message_handler(ut_ignore);
  units->system = ut_read_xml(NULL);
  ut_set_error_message_handler(handler);
  df_plain_leave(before);
  if (units->system && !pthread_mutex_init(&units->lock, NULL)) return units;
  if (units->system) ut_free_system(units->system);
  df_fault_add(faults, DF_CANNOT_READ, "",
               "the data base of units of UDUNITS-2 cannot be read; install udunits2");
  free(units);
  return NULL;
}

void df_units_destroy(struct df_units *units)
{
  if (!units) return;
  pthread_mutex_destroy(&units->lock);
  ut_free_system(units->system);
  free(units);
}

void df_units_fix(struct df_units *units)
{
  units->fixed = units->n;
}

int df_units_fixed(const struct df_units *units)
{
  return units->fixed;
}

static const struct df_unit *among(const struct df_units *units, int from, int to, const char *text)
{
  for (int i = from; i < to; i++)
    if (!strcmp(units->at[i].text, text)) return &units->at[i];
  return NULL;
}

const struct df_unit *df_unit_known(const struct df_units *units, const char *text)
{
  for (int i = 0; i < ALONE; i++)
    if (!strcmp(alone[i].text, text)) return &alone[i];
  return among(units, 0, units->fixed, text);
}

// Say what is wrong with a unit's text.
static void complain(const struct translation *t, const char *text, char *why, size_t size)
{
  const char *whole = habit_of(text), *ours = t->word[0] ? meant(t->word) : NULL;
  if (ours && !strcmp(ours, t->word))
    snprintf(why, size, "'%s' stands alone, it is not part of another unit", ours);
  else if (whole) snprintf(why, size, "'%s' is not a unit known here; write %s", text, whole);
  else if (ours)
    snprintf(why, size, "'%s' is not a unit known here; did you mean %s?", t->word, ours);
  else if (t->word[0])
    snprintf(why, size, "'%s' is not a unit known here; units are written as in N/mm, mm2/s, N.s/m",
             t->word);
  else
    snprintf(why, size, "'%s' cannot be read as a unit; units are written as in N/mm, mm2/s, N.s/m",
             text);
}

// Ask UDUNITS-2 and keep the answer. Called with the lock.
static const struct df_unit *learn(struct df_units *units, const char *text, char *why, size_t size)
{
  struct translation t = { .in = text };
  struct df_unit unit = { .scale = 1 };
  snprintf(unit.text, sizeof unit.text, "%s", text);
  if (!translate(&t) || !ask(units, t.out, &unit)) {
    complain(&t, text, why, size);
    return NULL;
  }
  if (units->n == KNOWN_MAX) {
    snprintf(why, size, "more different units than any scenario needs");
    return NULL;
  }
  units->at[units->n] = unit;
  return &units->at[units->n++];
}

const struct df_unit *df_unit_find(struct df_units *units, const char *text, char *why, size_t size)
{
  const struct df_unit *unit = df_unit_known(units, text);
  if (unit) return unit;
  if (strlen(text) >= DF_UNIT_MAX) {
    snprintf(why, size, "the unit is longer than %d characters", DF_UNIT_MAX - 1);
    return NULL;
  }
  pthread_mutex_lock(&units->lock);
  unit = among(units, units->fixed, units->n, text);
  if (!unit) unit = learn(units, text, why, size);
  pthread_mutex_unlock(&units->lock);
  return unit;
}

double df_unit_to_si(const struct df_unit *unit, double value)
{
  return unit->scale*(value + unit->offset);
}

double df_unit_from_si(const struct df_unit *unit, double si)
{
  return si/unit->scale - unit->offset;
}

int df_unit_same(const struct df_unit *a, const struct df_unit *b)
{
  return !strcmp(a->base, b->base);
}

void df_unit_of_column(const char *column, char *text, size_t size)
{
  size_t n = 0;
  if (!strcmp(column, "percent")) column = "%";
  while (*column && n + 1 < size) {
    int over = !strncmp(column, "_per_", 5);
    text[n++] = over ? '/' : *column == '_' ? '.' : *column;
    column += over ? 5 : 1;
  }
  if (size) text[n] = 0;
}

void df_unit_print(const struct df_unit *unit, double si, int digits, char *text, size_t size)
{
  double value = df_unit_from_si(unit, si);
  int bare = !strcmp(unit->text, "1");
  snprintf(text, size, "%.*g%s%s", digits, value, bare ? "" : " ", bare ? "" : unit->text);
}
