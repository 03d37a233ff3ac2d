// Sentences that follow from figures: each has a condition, a threshold with its reason, and
// carries its condition in its words.
#include "dampfork/compare.h"
#include "dampfork/leg.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *const df_hard_part_names[DF_HARD_PARTS] = {"spring", "air",  "friction",
                                                       "oil",    "cone", "stop"};

// Names of paths as a sentence says them, in the order of df_path_names.
static const char *const path_words[DF_PATHS] = {
    "the rod's holes", "the rebound holes", "the check valve", "the leak round the check valve",
    "the piston ring", "the valve",         "the bleed",       "the return path"};

static int steady(const struct df_compared *c, int fork, double v, struct df_steady *out)
{
  return c->leg[fork] &&
         df_leg_steady(c->leg[fork], c->scenario[fork]->side[0].leg.travel / 2, v, out) == DF_OK;
}

// ---- paths ----
double df_path_share(const struct df_leg_model *leg, double travel, double v, int path)
{
  struct df_steady s;
  double sum = 0;
  if (!leg || df_leg_steady(leg, travel / 2, v, &s) != DF_OK) return NAN;
  for (int i = 0; i < DF_PATHS; i++) sum += s.power[i];
  return sum > 0 ? s.power[path] / sum : NAN;
}

int df_path_governing(const struct df_leg_model *leg, double travel, double v)
{
  struct df_steady s;
  int best = 0;
  if (!leg || df_leg_steady(leg, travel / 2, v, &s) != DF_OK) return -1;
  for (int i = 1; i < DF_PATHS; i++)
    if (s.power[i] > s.power[best]) best = i;
  return s.power[best] > 0 ? best : -1;
}

double df_path_change(const struct df_leg_model *leg, double travel, double low, double high,
                      int *from, int *to)
{
  static const double step = 1.04; // speeds looked at before halving
  *from = df_path_governing(leg, travel, low), *to = *from;
  double before = low, v = low;
  while (*to == *from && v < high)
    before = v, v = fmin(v * step, high), *to = df_path_governing(leg, travel, v);
  if (*to == *from || *to < 0 || *from < 0) return NAN;
  for (int i = 0; i < 30; i++) {
    double middle = 0.5 * (before + v);
    if (df_path_governing(leg, travel, middle) == *from) before = middle;
    else v = middle;
  }
  *to = df_path_governing(leg, travel, v);
  return v;
}

static double share(const struct df_compared *c, int fork, double v, int path)
{
  return df_path_share(c->leg[fork], c->scenario[fork]->side[0].leg.travel, v, path);
}

int df_hard_part(const struct df_compared *c, enum df_hard edge)
{
  const struct df_estimate *e = edge == DF_HARD_SMALL   ? c->small_edge
                                : edge == DF_HARD_LARGE ? c->large_edge
                                                        : c->dive_edge;
  int best = -1;
  double most = 0;
  if (!e) return -1;
  for (int i = 0; i < DF_HARD_PARTS; i++) {
    double change = (c->part[1][edge][i] - c->part[0][edge][i]) * (e->difference < 0 ? -1 : 1);
    if (change > most) most = change, best = i;
  }
  return best;
}

// ---- rules ----
#define RULE(name)                                                                                 \
  static int name(const struct df_compared *c, double figure[4], const char *word[2])
#define NO_WORD ((void)word)

RULE(bottoms)
{
  NO_WORD;
  figure[0] = c->bottoming[0], figure[1] = c->bottoming[1];
  figure[2] = c->scenario[1]->side[0].spring.rate * 1e-3,
  figure[3] = c->scenario[1]->side[0].air.oil_level * 1e3;
  return c->bottoming[1] > 0;
}

RULE(floats)
{
  NO_WORD;
  struct df_steady s;
  if (!steady(c, 0, 0.3, &s)) return 0;
  figure[0] = s.damping, figure[1] = c->statics[0].damping_ratio_compression[2],
  figure[2] = c->statics[1].damping_ratio_compression[2];
  return figure[1] < 0.05;
}

RULE(chokes)
{
  NO_WORD;
  struct df_steady a, b;
  if (!steady(c, 0, 3, &a) || !steady(c, 1, 3, &b)) return 0;
  figure[0] = a.damping, figure[1] = 100 * share(c, 0, 3, DF_PATH_COMPRESSION_HOLES),
  figure[2] = 100 * share(c, 0, 3, DF_PATH_CHECK);
  figure[3] = b.damping;
  return a.damping > 1.25 * b.damping;
}

RULE(check_governs)
{
  NO_WORD;
  figure[0] = 100 * share(c, 1, 3, DF_PATH_CHECK),
  figure[1] = c->scenario[1]->side[0].leg.check_valve.area * 1e6;
  return figure[0] > 50;
}

RULE(rest_is_the_springs)
{
  NO_WORD;
  if (!c->rest) return 0;
  figure[0] = c->rest->value[0] * 1e3, figure[1] = c->rest->value[1] * 1e3;
  const struct df_side *a = &c->scenario[0]->side[0], *b = &c->scenario[1]->side[0];
  return (a->has_valve || b->has_valve) && a->spring.rate == b->spring.rate &&
         fabs(a->air.oil_level - b->air.oil_level) < 5e-4 && fabs(c->rest->difference) < 3e-3;
}

RULE(rebound_weaker)
{
  struct df_steady a, b;
  word[1] = "";
  if (!steady(c, 0, -0.3, &a) || !steady(c, 1, -0.3, &b)) return 0;
  double suction = a.p_column - a.p_lower, left = b.p_column - b.p_lower;
  word[0] = left < 0.7 * suction ? "the wider holes no longer pull suction"
                                 : "rebound holes, ring or oil let more through";
  figure[0] = -a.damping, figure[1] = -b.damping, figure[2] = 100 * (1 - b.damping / a.damping);
  return figure[2] > 5;
}

RULE(friction_doubt)
{
  NO_WORD;
  if (!c->overshoot || c->overshoot->worst < 0) return 0;
  figure[0] = c->overshoot->difference * 1e3, figure[1] = c->overshoot->error * 1e3;
  return !strcmp(df_doubts[c->overshoot->worst].path, "seals.bush_friction");
}

RULE(friction_governs)
{
  NO_WORD;
  struct df_steady s;
  if (!steady(c, 1, 0.1, &s)) return 0;
  figure[0] = fabs(s.friction), figure[1] = s.damping;
  return figure[0] > s.damping;
}

RULE(small_edges_worse)
{
  if (!c->small_edge) return 0;
  int part = df_hard_part(c, DF_HARD_SMALL);
  word[0] = part < 0 ? "unknown" : df_hard_part_names[part];
  figure[0] = c->small_edge->value[0], figure[1] = c->small_edge->value[1];
  figure[2] = part < 0 ? NAN : c->part[0][DF_HARD_SMALL][part],
  figure[3] = part < 0 ? NAN : c->part[1][DF_HARD_SMALL][part];
  return part >= 0 && c->small_edge->difference > 0.02 * c->small_edge->value[0];
}

RULE(slopes)
{
  NO_WORD;
  struct df_steady s[2];
  for (int fork = 0; fork < 2; fork++) {
    if (!steady(c, fork, 1.0 * 1.02, &s[0]) || !steady(c, fork, 1.0 / 1.02, &s[1]) ||
        !(s[0].damping > 0) || !(s[1].damping > 0))
      return 0;
    figure[fork] = log(s[0].damping / s[1].damping) / (2 * log(1.02));
  }
  return figure[0] > 1.5 && figure[1] < figure[0] - 0.3;
}

RULE(takes_over)
{
  int from, to;
  double travel = c->scenario[1]->side[0].leg.travel,
         v = c->leg[1] ? df_path_change(c->leg[1], travel, 0.02, 3, &from, &to) : NAN;
  if (!isfinite(v)) return 0;
  word[0] = path_words[from], word[1] = path_words[to];
  figure[0] = v;
  return 1;
}

RULE(energy_moves)
{
  int most[2] = {0, 0};
  double sum[2] = {0, 0};
  for (int fork = 0; fork < 2; fork++)
    for (int i = 0; i < DF_PATHS; i++) {
      sum[fork] += c->energy[fork][i];
      if (c->energy[fork][i] > c->energy[fork][most[fork]]) most[fork] = i;
    }
  if (!(sum[0] > 0) || !(sum[1] > 0)) return 0;
  word[0] = path_words[most[0]], word[1] = path_words[most[1]];
  figure[0] = 100 * c->energy[0][most[0]] / sum[0],
  figure[1] = 100 * c->energy[1][most[1]] / sum[1];
  return most[0] != most[1];
}

RULE(voids)
{
  NO_WORD;
  figure[0] = c->void_peak[0] * 1e6, figure[1] = c->void_peak[1] * 1e6;
  return fmax(figure[0], figure[1]) > 0.5;
}

RULE(tyre)
{
  NO_WORD;
  const struct df_estimate *edge[2] = {c->large_edge, c->small_edge};
  const double share[2] = {c->tyre[DF_HARD_LARGE], c->tyre[DF_HARD_SMALL]};
  int felt = 0;
  for (int i = 0; i < 2; i++) {
    figure[2 * i] = share[i], figure[2 * i + 1] = edge[i] ? edge[i]->difference : NAN;
    felt |= edge[i] && fabs(share[i]) > 0.02 * fabs(edge[i]->value[0]);
  }
  return felt && edge[0] && edge[1];
}

static int apart(double a, double b)
{
  return fabs(a - b) > 0.01 * fmax(fabs(a), fabs(b));
}

RULE(bikes)
{
  NO_WORD;
  const struct df_bike *a = &c->scenario[0]->bike, *b = &c->scenario[1]->bike;
  figure[0] = a->wet_mass * a->front_share, figure[1] = b->wet_mass * b->front_share;
  figure[2] = a->front_unsprung_mass, figure[3] = b->front_unsprung_mass;
  return apart(figure[0], figure[1]) || apart(figure[2], figure[3]) || apart(a->rake, b->rake) ||
         apart(a->wheelbase, b->wheelbase) || apart(a->mass_height, b->mass_height) ||
         a->legs != b->legs;
}

const struct df_sentence df_sentences[] = {
    {"bottoms", bottoms, 0,
     "The edge met in the dive still ends in the metal stop (%.1f before, %.1f m/s after): spring "
     "(now %.3g N/mm) and level (%.0f mm) cure "
     "that, "
     "the valve does not.",
     "any touch of the stop is a knock"},
    {"tyre", tyre, 0,
     "The tyres differ: of the change over a 40 mm edge the second's tyre alone brings %+.2f of "
     "%+.2f m/s2, over 15 mm %+.2f of %+.2f; that is not the fork's doing.",
     "2 % of the shock is what a rider can feel, our choice; one ride of the first fork on the "
     "second's tyre"},
    {"bikes", bikes, 0,
     "The bikes differ beyond the fork (%.0f and %.0f kg on the front wheel, %.0f and %.0f kg of "
     "it unsprung): part of every answer is theirs; --explain ROAD.MEASURE says how much.",
     "1 % is what scales tell apart"},
    {"floats", floats, 0,
     "Below 0.3 m/s of fork speed the first fork floats: %.0f N a leg there, damping ratio %.3f "
     "(second %.3f).",
     "a ratio below 0.05 leaves a bounce that takes 13 swings to fade to a hundredth"},
    {"chokes", chokes, 0,
     "At 3 m/s, a sharp edge, the first fork chokes: %.0f N a leg, %.0f %% of it in the rod's "
     "holes, %.0f %% in the check valve; "
     "the second makes %.0f N.",
     "a quarter more force is more than the spread of published hole laws"},
    {"rest", rest_is_the_springs, 0,
     "How deep the braked fork rests does not depend on the valve: %.0f and %.0f mm; spring and "
     "air decide that.",
     "same spring and level; the rest differs by less than 3 mm, which friction hides"},
    {"small_edges", small_edges_worse, 1,
     "A 15 mm edge comes through harder, because %s pushes more at the hardest moment: %.2f "
     "before, %.2f m/s2 after "
     "(%.0f and %.0f N, both legs).",
     "2 % is above the numerical error"},
    {"check_governs", check_governs, 0,
     "At 3 m/s the check valve's passage makes %.0f %% of the second fork's loss (area %.0f mm2): "
     "more passage there would help, "
     "a valve on the rod cannot.",
     "more than half of all the power"},
    {"rebound", rebound_weaker, 1,
     "Because %s, the force coming back up at 0.3 m/s falls from %.0f to %.0f N a leg, %.0f %% "
     "less; thicker oil or smaller rebound holes restore it.",
     "5 % is what 5 K or half a drill size does"},
    {"friction", friction_doubt, 0,
     "The change in overshoot, %.1f mm, is uncertain by %.1f mm, most of it from bush friction: "
     "measure the sag from above and below.",
     "the largest single doubt"},
    {"friction_governs", friction_governs, 0,
     "At 0.1 m/s friction (%.0f N a leg) is more than all damping of the second fork (%.0f N): "
     "free-moving bushes would help "
     "there, a valve cannot.",
     "more friction than damping"},
    {"takes_over", takes_over, 2,
     "In the second fork %s governs until %s takes over at a fork speed of %.2g m/s.",
     "most of the loss, at half the travel"},
    {"slope", slopes, 0,
     "Near 1 m/s force grows with fork speed to the power %.2f in the first fork, %.2f in the "
     "second (2 is a square law).",
     "a fixed hole approaches 2; 0.3 less is a spring-held opening at work"},
    {"energy", energy_moves, 2,
     "Over a 40 mm edge most of the oil's energy is lost in %s in the first fork, in %s in the "
     "second (%.0f and %.0f %%).",
     "another path is the largest"},
    {"voids", voids, 0,
     "Oil vapour: after edges a chamber lacks up to %.1f cm3 of oil in the first fork, %.1f in the "
     "second; rebound acts late there.",
     "0.5 cm3 is half a millimetre of travel in a 37 mm tube"},
};
const int df_sentence_count = sizeof df_sentences / sizeof *df_sentences;

int df_sentence_say(const struct df_sentence *sentence, const struct df_compared *compared,
                    char *text, size_t size)
{
  double f[4] = {0};
  const char *w[2] = {"", ""};
  if (!sentence->holds(compared, f, w)) return 0;
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
#pragma GCC diagnostic ignored "-Wformat-extra-args"
  switch (sentence->word_n) {
  case 0:
    snprintf(text, size, sentence->words, f[0], f[1], f[2], f[3]);
    break;
  case 1:
    snprintf(text, size, sentence->words, w[0], f[0], f[1], f[2], f[3]);
    break;
  default:
    snprintf(text, size, sentence->words, w[0], w[1], f[0], f[1], f[2], f[3]);
    break;
  }
#pragma GCC diagnostic pop
  return 1;
}
