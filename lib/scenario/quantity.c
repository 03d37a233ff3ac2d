// From text to SI, and sentences about what does not fit.
#include "scenario/quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_MAX = 60 };     // characters; 17 digits, sign, point and exponent need 24

static int digit(char c)
{
  return c >= '0' && c <= '9';
}

static const char *skip(const char *p)
{
  while (*p == ' ' || *p == '\t') p++;
  return p;
}

const char *df_number_read(const char *text, double *value)
{
  const char *p = text;
  int digits = 0;
  if (*p == '-' || *p == '+') p++;
  for (; digit(*p); p++) digits++;
  if (*p == '.') p++;
  for (; digit(*p); p++) digits++;
  if (!digits || p - text > NUMBER_MAX) return NULL;
  if (*p == 'e' || *p == 'E') {
    const char *power = p + 1;
    if (*power == '-' || *power == '+') power++;
    if (digit(*power)) {
      while (digit(*power)) power++;
      p = power;
    }
  }
  if (p - text > NUMBER_MAX) return NULL;
  char copy[NUMBER_MAX + 1], *end;
  memcpy(copy, text, (size_t)(p - text));
  copy[p - text] = 0;
  *value = strtod(copy, &end);
  return *end || !isfinite(*value) ? NULL : p;
}

const char *df_number_split(const char *text, double *value, char *why, size_t size)
{
  const char *p = skip(text), *end = df_number_read(p, value);
  if (!end) {
    if (digit(*p) || *p == '-' || *p == '+' || *p == '.')
      snprintf(why, size, "'%.40s' is not a number that can be used", p);
    else snprintf(why, size, "'%.40s' is not a number", p);
    return NULL;
  }
  if (*end == ',' && digit(end[1])) {
    snprintf(why, size, "a decimal comma; write %.*s.%.20s", (int)(end - p < 20 ? end - p : 20), p,
             end + 1);
    return NULL;
  }
  return skip(end);
}

// --- Ranges

// Six digits are enough to see what was meant.
static void show(char *text, size_t size, double value, const char *unit)
{
  int bare = !strcmp(unit, "1");
  snprintf(text, size, "%.6g%s%s", value, bare ? "" : " ", bare ? "" : unit);
}

static int questioned(const struct df_param *row)
{
  return row->likely_low != 0 || row->likely_high != 0;
}

static int likely(const struct df_param *row, double value)
{
  if (!questioned(row)) return value >= row->low && value <= row->high;
  return value >= row->likely_low && value <= row->likely_high;
}

// Readings that people mix up, by dimension; the first that fits is offered.
static const char *const families[][8] = {
    {"N/mm", "kgf/mm", "lbf/in", "N/m", "kgf/cm"},
    {"mm", "cm", "in", "m", "um"},
    {"kg", "lb", "g", "t"},
    {"bar", "psi", "kPa", "MPa", "Pa"},
    {"GPa", "MPa", "bar"},
    {"degC", "degF", "K"},
    {"degree", "rad"},
    {"mm2", "cm2", "m2"},
    {"cm3", "l", "ml", "m3"},
    {"m/s", "km/h", "mph", "mm/s"},
    {"mm2/s", "m2/s", "cSt"},
    {"s", "ms", "min"},
    {"N", "kgf", "lbf", "kN"},
    {"kg/m3", "g/cm3"},
    {"N.s/m", "kN.s/m", "N.s/mm"},
    {"%", "1"},
    {"J/K", "kJ/K"},
    {"g", "kg"},
    {"MPa", "GPa"},
    {"kPa", "bar", "Pa"},
    {"mm/s", "m/s"},
    {"N/bar", "N/kPa"},
};
enum { FAMILIES = sizeof families/sizeof families[0] };

// The reading of `value` in another unit that would be plausible; 0: none.
static int other_reading(struct df_units *units, const struct df_param *row,
                         const struct df_quantity *given, char *text, size_t size)
{
  const struct df_unit *wanted = df_unit_find(units, row->unit, text, size);
  if (!questioned(row)) return 0; // a wide range would fit almost any reading
  for (int i = 0; wanted && i < FAMILIES; i++)
    for (int j = 0; j < 8 && families[i][j]; j++) {
      const struct df_unit *unit = df_unit_find(units, families[i][j], text, size);
      if (!unit || !df_unit_same(unit, wanted) || !strcmp(unit->text, given->unit->text)) continue;
      double fits = df_unit_from_si(wanted, df_unit_to_si(unit, given->value));
      if (!likely(row, fits)) continue;
      char theirs[80], ours[80];
      show(theirs, sizeof theirs, given->value, unit->text);
      snprintf(ours, sizeof ours, "%.3g %s", fits, row->unit);
      if (!strcmp(unit->text, row->unit)) snprintf(text, size, "%s?", theirs);
      else snprintf(text, size, "%s is %s?", theirs, ours);
      return 1;
    }
  return 0;
}

static int mirrored(const struct df_param *row, double value, char *text, size_t size)
{
  if (!row->mirror || !likely(row, row->mirror - value)) return 0;
  snprintf(text, size, "%s? %.6g %s", row->mirror_words, row->mirror - value, row->unit);
  return 1;
}

static const char *far_off(const struct df_unit *unit, int low)
{
  if (!strcmp(unit->base, "kg/s2")) return low ? "soft" : "stiff";
  if (!strcmp(unit->base, "kg")) return low ? "light" : "heavy";
  if (!strcmp(unit->base, "K")) return low ? "cold" : "hot";
  return low ? "small" : "large";
}

enum df_verdict df_quantity_check(struct df_units *units, const struct df_param *row,
                                  const struct df_quantity *given, char *why, size_t size)
{
  char written[80], from[80], to[80], offer[200] = "";
  const char *unit = given->other ? row->or_unit : row->unit;
  double low = given->other ? row->or_low : row->low,
         high = given->other ? row->or_high : row->high;
  const struct df_unit *shown = df_unit_find(units, unit, why, size);
  if (!shown) return DF_WRONG;
  double value = given->unit == shown ? given->value : df_unit_from_si(shown, given->si);
  show(written, sizeof written, given->value, given->unit->text);
  show(from, sizeof from, low, "1");
  show(to, sizeof to, high, unit);
  if (!(value >= low && value <= high)) {
    if (!mirrored(row, value, offer, sizeof offer) && !given->other &&
        !other_reading(units, row, given, offer, sizeof offer))
      *offer = 0;
    snprintf(why, size, "%s is far too %s; allowed: %s to %s%s%s", written,
             far_off(shown, value < low), from, to, *offer ? ". " : "", offer);
    return DF_WRONG;
  }
  if (given->other || value == 0 || likely(row, value)) return DF_FINE;
  show(from, sizeof from, row->likely_low, "1");
  show(to, sizeof to, row->likely_high, unit);
  if (!mirrored(row, value, offer, sizeof offer) &&
      !other_reading(units, row, given, offer, sizeof offer))
    *offer = 0;
  snprintf(why, size, "%s is unusual; usual: %s to %s%s%s", written, from, to, *offer ? ". " : "",
           offer);
  return DF_ODD;
}

// --- Quantities

// Replace the mass words of a unit by force words: what "kg/mm" for a spring means.
static int force_reading(struct df_units *units, const struct df_unit *wanted, const char *text,
                         char *out, size_t size)
{
  char scrap[8];
  size_t n = 0;
  for (const char *p = text; *p && n + 4 < size; p++) {
    int kg = p[0] == 'k' && p[1] == 'g' && p[2] != 'f',
        lb = p[0] == 'l' && p[1] == 'b' && p[2] != 'f';
    if (kg || lb) {
      memcpy(out + n, kg ? "kgf" : "lbf", 3);
      n += 3, p++;
    } else {
      out[n++] = *p;
    }
  }
  out[n] = 0;
  const struct df_unit *unit =
      strcmp(out, text) ? df_unit_find(units, out, scrap, sizeof scrap) : NULL;
  return unit && df_unit_same(unit, wanted);
}

static void wrong_dimension(struct df_units *units, const struct df_param *row,
                            const struct df_quantity *given, char *why, size_t size)
{
  char scrap[8], force[DF_UNIT_MAX + 8];
  const struct df_unit *wanted = df_unit_find(units, row->unit, scrap, sizeof scrap);
  if (!wanted) return;
  int bare = !strcmp(row->unit, "1"), turns = !strcmp(given->unit->text, "turn");
  int n =
      turns
          ? snprintf(why, size, "turns count for valve.preload alone; %s is wanted here", row->unit)
          : snprintf(why, size, "%s is %s in base units; %s is wanted here%s%s", given->unit->text,
                     given->unit->base, bare ? "a number without unit" : wanted->text,
                     bare ? "" : ", that is ", bare ? "" : wanted->base);
  if (n < 0 || (size_t)n >= size) return;
  if (force_reading(units, wanted, given->unit->text, force, sizeof force))
    snprintf(why + n, size - (size_t)n, "; %s?", force);
  else if (row->or_unit) snprintf(why + n, size - (size_t)n, ", or %s", row->or_unit);
}

static void no_unit(const struct df_param *row, double value, char *why, size_t size)
{
  if (!strcmp(row->unit, "%") && fabs(value) <= 1 && value != 0)
    snprintf(why, size, "no unit; write %.6g %% or, for a share of one, %.6g %%", value, value*100);
  else if (row->or_unit)
    snprintf(why, size, "no unit; write %.6g %s or %.6g %s", value, row->unit, value, row->or_unit);
  else snprintf(why, size, "no unit; write %.6g %s", value, row->unit);
}

// The unit behind the number; NULL and a sentence when it is missing, unknown or of another
// dimension.
static const struct df_unit *unit_for(struct df_units *units, const struct df_param *row,
                                      const char *text, struct df_quantity *out, char *why,
                                      size_t size)
{
  const struct df_unit *wanted = df_unit_find(units, row->unit, why, size);
  if (!*text) {
    if (!strcmp(row->unit, "1")) return wanted;
    no_unit(row, out->value, why, size);
    return NULL;
  }
  const struct df_unit *unit = df_unit_find(units, text, why, size);
  if (!unit || !wanted) return NULL;
  out->unit = unit;
  out->other = row->or_unit && !strcmp(unit->text, row->or_unit);
  if (out->other || df_unit_same(unit, wanted)) return unit;
  wrong_dimension(units, row, out, why, size);
  return NULL;
}

enum df_verdict df_quantity_read(struct df_units *units, const struct df_param *row,
                                 const char *text, struct df_quantity *out, char *why, size_t size)
{
  *out = (struct df_quantity){ 0 };
  const char *rest = df_number_split(text, &out->value, why, size);
  if (!rest) {
    if (!strchr("+-.", text[0]) && !digit(text[0]))
      snprintf(why, size, "'%.40s' is not a number%s%s", text,
               strcmp(row->unit, "1") ? " with a unit, as in 12 " : "",
               strcmp(row->unit, "1") ? row->unit : "");
    return DF_WRONG;
  }
  if (row->form == DF_COUNT && *rest) {
    snprintf(why, size, "a whole number without unit is wanted; '%.40s' is too much", rest);
    return DF_WRONG;
  }
  out->unit = unit_for(units, row, rest, out, why, size);
  if (!out->unit) return DF_WRONG;
  out->si = df_unit_to_si(out->unit, out->value);
  if (!isfinite(out->si)) {
    snprintf(why, size, "'%.40s' is too large a number", text);
    return DF_WRONG;
  }
  if (row->form == DF_COUNT && out->value != floor(out->value)) {
    snprintf(why, size, "%.6g is not a whole number", out->value);
    return DF_WRONG;
  }
  return df_quantity_check(units, row, out, why, size);
}

// --- Claims

// A quantity whose row is not known here. Returns what follows it, up to `stop` or the end.
static int claim_number(struct df_units *units, const char *text, size_t length, double *value,
                        const struct df_unit **unit, char *why, size_t size)
{
  char part[120];
  if (length >= sizeof part) length = sizeof part - 1;
  memcpy(part, text, length);
  part[length] = 0;
  while (length && (part[length - 1] == ' ' || part[length - 1] == '\t')) part[--length] = 0;
  const char *rest = df_number_split(part, value, why, size);
  if (!rest) return 0;
  *unit = NULL;
  if (!*rest) return 1;
  *unit = df_unit_find(units, rest, why, size);
  return *unit != NULL;
}

static int claim_bound(struct df_units *units, const char *text, struct df_claim *out, char *why,
                       size_t size)
{
  double value;
  out->relation = text[0] == '<' ? DF_AT_MOST : DF_AT_LEAST;
  text += text[1] == '=' ? 2 : 1;
  if (!claim_number(units, text, strlen(text), &value, &out->unit, why, size)) return 0;
  if (!out->unit) out->unit = df_unit_find(units, "1", why, size);
  out->low = out->relation == DF_AT_LEAST ? df_unit_to_si(out->unit, value) : NAN;
  out->high = out->relation == DF_AT_MOST ? df_unit_to_si(out->unit, value) : NAN;
  return 1;
}

static int claim_tolerance(struct df_units *units, const char *text, struct df_claim *out,
                           char *why, size_t size)
{
  const struct df_unit *unit;
  double value;
  if (!claim_number(units, text, strlen(text), &value, &unit, why, size)) return 0;
  int percent = unit && !strcmp(unit->text, "%");
  if (value < 0) return snprintf(why, size, "the tolerance is negative"), 0;
  if (percent) {
    out->tolerance = value/100;
    out->tolerance_share = 1;
    return 1;
  }
  if (!unit) unit = out->unit;
  if (!df_unit_same(unit, out->unit)) {
    snprintf(
        why, size,
        "the tolerance is in %s, the value in %s; give both in the same, or the tolerance in %%",
        unit->text, out->unit->text);
    return 0;
  }
  out->tolerance = value*unit->scale;
  return 1;
}

// "30 - 35 %": where the minus between two numbers stands; NULL: no range.
static const char *range_mark(const char *text)
{
  double value;
  const char *p = df_number_read(skip(text), &value);
  if (!p) return NULL;
  p = skip(p);
  double second;
  return *p == '-' && df_number_read(skip(p + 1), &second) ? p : NULL;
}

static int claim_range(struct df_units *units, const char *text, const char *mark,
                       struct df_claim *out, char *why, size_t size)
{
  double low, high;
  const struct df_unit *none;
  if (!claim_number(units, text, (size_t)(mark - text), &low, &none, why, size)) return 0;
  if (!claim_number(units, mark + 1, strlen(mark + 1), &high, &out->unit, why, size)) return 0;
  if (!out->unit) out->unit = df_unit_find(units, "1", why, size);
  if (low > high)
    return snprintf(why, size, "the range runs backwards; write the smaller value first"), 0;
  out->relation = DF_BETWEEN;
  out->low = df_unit_to_si(out->unit, low);
  out->high = df_unit_to_si(out->unit, high);
  return 1;
}

int df_claim_read(struct df_units *units, const char *text, struct df_claim *out, char *why,
                  size_t size)
{
  *out = (struct df_claim){ 0 };
  text = skip(text);
  if (*text == '<' || *text == '>') return claim_bound(units, text, out, why, size);
  const char *mark = strstr(text, "+-"), *dash = range_mark(text);
  if (dash) return claim_range(units, text, dash, out, why, size);
  double value;
  if (!claim_number(units, text, mark ? (size_t)(mark - text) : strlen(text), &value, &out->unit,
                    why, size))
    return 0;
  if (!out->unit) out->unit = df_unit_find(units, "1", why, size);
  if (!out->unit) return 0;
  out->low = out->high = df_unit_to_si(out->unit, value);
  return mark ? claim_tolerance(units, mark + 2, out, why, size) : 1;
}

// --- Series

static int series_steps(double first, double last, double step, double *values, int most, char *why,
                        size_t size)
{
  double count = floor((last - first)/step + 1e-9) + 1; // 1e-9: 1:4:0.1 reaches 4
  if (!(step != 0) || !(count >= 1))
    return snprintf(why, size, "the step does not lead from the first value to the last"), 0;
  if (count > most) return snprintf(why, size, "%.0f values; at most %d", count, most), 0;
  for (int i = 0; i < (int)count; i++) values[i] = first + i*step;
  return (int)count;
}

int df_series_read(const char *text, double *values, int most, char unit[DF_UNIT_MAX], char *why,
                   size_t size)
{
  double part[3];
  int n = 0;
  const char *p = skip(text), *end;
  for (char join = 0;; p = skip(end + 1), n++) {
    double value;
    end = df_number_read(p, &value);
    if (!end)
      return snprintf(why, size,
                      "'%.40s' is not a number; write FIRST:LAST:STEP UNIT or A,B,... UNIT", p),
             0;
    if (n >= most) return snprintf(why, size, "more than %d values", most), 0;
    values[n] = value;
    if (n < 3) part[n] = value;
    end = skip(end);
    if (*end != ':' && *end != ',') {
      n++;
      if (join == ':' && n != 3) return snprintf(why, size, "write FIRST:LAST:STEP UNIT"), 0;
      if (join == ':') n = series_steps(part[0], part[1], part[2], values, most, why, size);
      break;
    }
    if (join && *end != join)
      return snprintf(why, size,
                      "colons and commas are mixed; write FIRST:LAST:STEP UNIT or A,B,... UNIT"),
             0;
    join = *end;
  }
  if (strlen(end) >= DF_UNIT_MAX) return snprintf(why, size, "'%.40s' is not a unit", end), 0;
  snprintf(unit, DF_UNIT_MAX, "%s", *end ? end : "1");
  return n;
}
