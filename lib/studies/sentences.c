// Sentences that follow from figures: each has a condition, a threshold with its reason, and carries its condition in its words.
#include "dampfork/compare.h"
#include "dampfork/leg.h"

#include <math.h>
#include <stdio.h>

static int steady(const struct df_compared *c, int fork, double v, struct df_steady *out)
{
  return c->leg[fork] && df_leg_steady(c->leg[fork], c->scenario[fork]->side[0].leg.travel/2, v, out) == DF_OK;
}

// Share of one path in the power of all, 1.
static double share_of(const struct df_steady *s, int path)
{
  double sum = 0;
  for (int i = 0; i < DF_PATHS; i++) sum += s->power[i];
  return sum > 0 ? s->power[path]/sum : 0;
}

static int floats(const struct df_compared *c, double figure[4])
{
  struct df_steady s;
  if (!steady(c, 0, 0.3, &s)) return 0;
  figure[0] = s.damping, figure[1] = c->statics[0].damping_ratio_compression[2], figure[2] = c->statics[1].damping_ratio_compression[2];
  return figure[1] < 0.05;
}

static int chokes(const struct df_compared *c, double figure[4])
{
  struct df_steady a, b;
  if (!steady(c, 0, 3, &a) || !steady(c, 1, 3, &b)) return 0;
  figure[0] = a.damping, figure[1] = 100*share_of(&a, DF_PATH_COMPRESSION_HOLES), figure[2] = 100*share_of(&a, DF_PATH_CHECK), figure[3] = b.damping;
  return a.damping > 1.25*b.damping;
}

static int check_governs(const struct df_compared *c, double figure[4])
{
  struct df_steady s;
  if (!steady(c, 1, 3, &s)) return 0;
  figure[0] = 100*share_of(&s, DF_PATH_CHECK), figure[1] = c->scenario[1]->side[0].leg.check_valve.area*1e6;
  return figure[0] > 50;
}

static int rest_is_the_springs(const struct df_compared *c, double figure[4])
{
  if (!c->rest) return 0;
  figure[0] = c->rest->value[0]*1e3, figure[1] = c->rest->value[1]*1e3;
  const struct df_side *a = &c->scenario[0]->side[0], *b = &c->scenario[1]->side[0];
  return a->spring.rate == b->spring.rate && fabs(a->air.oil_level - b->air.oil_level) < 5e-4 && fabs(c->rest->difference) < 3e-3;
}

static int rebound_weaker(const struct df_compared *c, double figure[4])
{
  struct df_steady a, b;
  if (!steady(c, 0, -0.3, &a) || !steady(c, 1, -0.3, &b)) return 0;
  figure[0] = -a.damping, figure[1] = -b.damping, figure[2] = 100*(1 - b.damping/a.damping);
  return figure[2] > 5;
}

static int overshoot_hangs_on_friction(const struct df_compared *c, double figure[4])
{
  if (!c->overshoot || c->overshoot->worst < 0) return 0;
  figure[0] = c->overshoot->difference*1e3, figure[1] = c->overshoot->error*1e3;
  const char *path = df_doubts[c->overshoot->worst].path;
  return path[0] == 's' && path[6] == 'b';             // seals.bush_friction
}

static int small_edges_worse(const struct df_compared *c, double figure[4])
{
  if (!c->small_edge) return 0;
  figure[0] = c->small_edge->value[0], figure[1] = c->small_edge->value[1];
  return c->small_edge->difference > 0.02*c->small_edge->value[0];
}

static int slopes(const struct df_compared *c, double figure[4])
{
  struct df_steady s[2];
  for (int fork = 0; fork < 2; fork++) {
    if (!steady(c, fork, 1.0*1.02, &s[0]) || !steady(c, fork, 1.0/1.02, &s[1]) || !(s[0].damping > 0) || !(s[1].damping > 0)) return 0;
    figure[fork] = log(s[0].damping/s[1].damping)/(2*log(1.02));
  }
  return figure[0] > 1.5 && figure[1] < figure[0] - 0.3;
}

const struct df_sentence df_sentences[] = {
  { "floats", floats, "Below 0.3 m/s of fork speed the first fork floats: %.0f N a leg there, damping ratio %.3f (second %.3f).",
    "a ratio below 0.05 leaves a bounce that takes 13 swings to fade to a hundredth" },
  { "chokes", chokes, "At 3 m/s, a sharp edge, the first fork chokes: %.0f N a leg, %.0f %% of it in the rod's holes, %.0f %% in the check valve; the second makes %.0f N.",
    "a quarter more force is more than the spread of published hole laws" },
  { "slope", slopes, "Near 1 m/s force grows with fork speed to the power %.2f in the first fork, %.2f in the second (2 is a square law).",
    "a fixed hole approaches 2; 0.3 less is a spring-held opening at work" },
  { "check_governs", check_governs, "At 3 m/s the check valve's passage makes %.0f %% of the second fork's loss (area %.0f mm2): more passage there would help, a valve on the rod cannot.",
    "more than half of all the power" },
  { "rest", rest_is_the_springs, "How deep the braked fork rests does not depend on the valve: %.0f and %.0f mm; spring and air decide that.",
    "same spring and level; the rest differs by less than 3 mm, which friction hides" },
  { "friction", overshoot_hangs_on_friction, "The change in overshoot, %.1f mm, is uncertain by %.1f mm, most of it from bush friction, which nobody knows: measure the sag from above and below.",
    "the largest single doubt" },
  { "small_edges", small_edges_worse, "Small edges come through harder: %.2f before, %.2f m/s2 after.", "2 % is above the numerical error" },
  { "rebound", rebound_weaker, "Coming back up at 0.3 m/s the force falls from %.0f to %.0f N a leg, %.0f %% less, because the opened rod no longer pulls suction; thicker oil or smaller rebound holes restore it.",
    "5 % is what 5 K or half a drill size does" },
};
const int df_sentence_count = sizeof df_sentences/sizeof *df_sentences;

int df_sentence_say(const struct df_sentence *sentence, const struct df_compared *compared, char *text, size_t size)
{
  double f[4] = { 0 };
  if (!sentence->holds(compared, f)) return 0;
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
#pragma GCC diagnostic ignored "-Wformat-extra-args"
  snprintf(text, size, sentence->words, f[0], f[1], f[2], f[3]);
#pragma GCC diagnostic pop
  return 1;
}
