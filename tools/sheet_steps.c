// The page: who and what, what to buy, found / to do / done, then the order of work with its
// figures. Cautions stand directly above the step they are about. Torques, minutes and handling are
// common practice; every other figure comes from a function of dampfork/sheet.h.
#include "sheet_work.h"

#include "complaints.h"
#include "out_text.h"
#include "say.h"
#include "version.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double gravity = 9.80665; // m/s2

const struct sheet_caution sheet_cautions[] = {
    {"stand",
     "Support the frame so that the front cannot drop, and strap it. Do not lift by the exhaust."},
    {"slacken",
     "Loosen the upper clamp before the cap, and the cap before the leg leaves the clamps."},
    {"cap_off", "Let off any air first; press down while turning the last threads, face aside, eye "
                "protection."},
    {"drill",
     "Cannot be undone: keep the old rod. V-block, eye protection, no gloves at the drill. Not "
     "above the limit; leave the small top holes alone."},
    {"chips",
     "One chip scores tube and seal: wash and blow through until a white cloth stays clean."},
    {"rod_bolt",
     "New sealing washer, thread lock and torque by the workshop manual: too tight breaks it, "
     "too loose drops the oil on the tyre."},
    {"oil", "Oil on tyre or brake: clean or renew before moving. Collect the waste."},
    {"test",
     "Vertical in soft jaws, hands clear of the end of travel; never more than 5 kg for a push."},
    {"saw", "Cut square within 0.5 mm, deburred, a washer between spacer and spring."},
    {"cap_on", "Press down while the thread starts, face aside, eye protection."},
    {"refit", "Axle, clamps, calipers, hoses by the manual; steering free lock to lock; pump the "
              "lever until "
              "firm BEFORE the wheel turns."},
    {"ride", "First stop at walking pace on empty, level ground; then 30, then 50 km/h. Lights "
             "need re-aiming."},
    {NULL, NULL},
};

const char *sheet_caution(const char *where)
{
  for (const struct sheet_caution *c = sheet_cautions; c->where; c++)
    if (!strcmp(c->where, where)) return c->text;
  return "";
}

static void caution(struct page *page, const char *where)
{
  page_caution(page, "%s", sheet_caution(where));
}

// What stands in front of a line where the legs differ.
static const char *leg_word(const struct sheet_work *work, int i)
{
  return work->sides == 1 ? "" : i ? "Right: " : "Left: ";
}

// Legs to be told of one part: one where it is the same in both.
static int told(const struct sheet_work *work, const void *left, const void *right, size_t size)
{
  return work->sides > 1 && memcmp(left, right, size) ? DF_SIDES : 1;
}
#define TOLD(work, part)                                                                           \
  told(work, &(work)->scenario->side[0].part, &(work)->scenario->side[1].part,                     \
       sizeof(work)->scenario->side[0].part)

static const char *told_word(const struct sheet_work *work, int legs, int i)
{
  return legs == 1 ? "" : leg_word(work, i);
}

static const struct df_side *leg_of(const struct sheet_work *work, int i)
{
  return &work->scenario->side[work->sides == 1 ? 0 : i];
}

static void drill_text(char *out, size_t size, double diameter)
{
  struct df_drill_size drill = df_drill_nearest(diameter);
  int n = drill.sixty_fourths, of = 64;
  while (n && n%2 == 0) n /= 2, of /= 2;
  if (n) snprintf(out, size, "%s (%d/%d in)", stepped(KIND_LENGTH, drill.diameter, 0.01e-3), n, of);
  else snprintf(out, size, "%s", stepped(KIND_LENGTH, drill.diameter, 0.1e-3));
}

static void holes_short(const struct df_hole_list *list, char *out, size_t size)
{
  *out = 0;
  for (int i = 0; i < list->n; i++) {
    size_t used = strlen(out);
    snprintf(out + used, size - used, "%s%.0fx%s", i ? "+" : "", list->at[i].count,
             shown_bare(KIND_LENGTH, list->at[i].diameter));
  }
}

// ---- who and what ----
static void who(const struct sheet_work *work, struct page *page)
{
  static const char *const uses[] = {"commuting", "touring", "brisk road", "gravel"};
  const struct df_scenario *s = work->scenario;
  double load = s->load.luggage.mass + s->load.passenger.mass;
  page_line(
      page, "Bike",
      "%s%s ready to ride, %.0f %% of it on the front wheel; rider %s%s, luggage and passenger %s; "
      "use %s; %s",
      sheet_mark(work, "bike.wet_mass"), shown(KIND_MASS, s->bike.wet_mass),
      100 * s->bike.front_share, sheet_mark(work, "rider.mass"), shown(KIND_MASS, s->rider.mass),
      shown(KIND_MASS, load), uses[s->use],
      work->sides == 1 ? "both legs alike, figures are for one leg" : "the legs differ");
  page_line(page, "Said", "what the rider said before the job: "
            "______________________________________________________");
  for (int i = 0; i < work->rounding_n; i++) {
    const struct df_rounding *r = &work->rounding[i];
    int turns = !strcmp(r->key, "valve.preload");
    page_line(page, "Rounded", "%s%s from %s to %s%s: figures below are for the rounded value",
              leg_word(work, r->side), r->key,
              turns ? figure((char[24]){0}, r->from) : shown_bare(KIND_LENGTH, r->from),
              turns ? figure((char[24]){0}, r->to) : stepped(KIND_LENGTH, r->to, 0.1e-3),
              turns ? " turns" : "");
  }
  for (int i = 0; i < work->refused_n; i++)
    page_refusal(page, "REFUSED, do not build: %s%s.", leg_word(work, work->refused[i].side),
                 work->refused[i].text);
}

// ---- what to buy ----
static void buy(const struct sheet_work *work, struct page *page)
{
  const struct sheet_side *side = work->side;
  const struct df_side *leg = leg_of(work, 0);
  char oil[200] = "oil ____ per leg", spacer[120] = "", drill[60], drills[120] = "";
  double both = 0;
  for (int i = 0; i < 2; i++) both += side[i].fill.volume;
  if (isfinite(both))
    snprintf(oil, sizeof oil, "oil %s for %d legs with 10 %% to spare",
             stepped(KIND_VOLUME,
                     DF_SYRINGE_STEP *
                         ceil(1.1 * both * work->scenario->bike.legs / 2 / DF_SYRINGE_STEP - 1e-6),
                     DF_SYRINGE_STEP),
             (int)work->scenario->bike.legs);
  if (work->has_blend && work->blend.thin < work->blend.thick) {
    double thick = work->blend.share*1.1*both, thin = 1.1*both - thick;
    size_t used = strlen(oil);
    snprintf(
        oil + used, sizeof oil - used, ": %s of the %s, %s of the %s bottle",
        isfinite(thick) ? stepped(KIND_VOLUME, df_rounded(thick, DF_SYRINGE_STEP), DF_SYRINGE_STEP)
                        : "____",
        shown_bare(KIND_VISCOSITY, work->blend.thick),
        isfinite(thin) ? stepped(KIND_VOLUME, df_rounded(thin, DF_SYRINGE_STEP), DF_SYRINGE_STEP)
                       : "____",
        shown(KIND_VISCOSITY, work->blend.thin));
  } else {
    size_t used = strlen(oil);
    snprintf(oil + used, sizeof oil - used, ", %s at 40 degC (data sheet, not the label)",
             shown(KIND_VISCOSITY, side[0].fill.viscosity_40));
  }
  if (side[0].spacer.cut > 0 || isnan(side[0].spacer.cut))
    snprintf(spacer, sizeof spacer, "; spacer tube %s/%s, 2 x %s",
             shown_bare(KIND_LENGTH, leg->spacer.outside), shown(KIND_LENGTH, leg->spacer.inside),
             stepped(KIND_LENGTH, side[0].spacer.cut, DF_SAW_STEP));
  for (int i = 0; i < side[0].plan.n && !*drills; i++) {
    if (side[0].plan.hole[i].work == DF_HOLE_KEPT) continue;
    drill_text(drill, sizeof drill, side[0].plan.hole[i].diameter);
    snprintf(drills, sizeof drills, "; drill %s, countersink, centre punch, white cloth", drill);
  }
  page_line(page, "Buy", "%s; springs %s%s a pair%s; 2 sealing washers for the rod bolts, seals, "
            "O-ring or cable tie%s", oil, sheet_mark(work, "spring.rate"),
            stepped(KIND_RATE, leg->spring.rate, 100), spacer, drills);
}

// ---- found / to do / done ----
enum { FOUND_COLUMNS = 7 };
static const int found_width[FOUND_COLUMNS] = {20, 12, 18, 7, 12, 18, 7};

static void found_row(struct page *page, const char *what, const char *left, const char *right)
{
  const char *cell[FOUND_COLUMNS] = {what, "", left, "", "", right, ""};
  page_row(page, cell, found_width, FOUND_COLUMNS, 0);
}

// What is to be done to one leg, one text a row; row 0..9.
enum { FOUND_ROWS = 9 };
static void to_do(const struct sheet_work *work, int i, char out[FOUND_ROWS][48])
{
  const struct sheet_side *side = &work->side[i];
  const struct df_side *leg = leg_of(work, i);
  char holes[40];
  snprintf(out[0], 48, "%s", stepped(KIND_RATE, leg->spring.rate, 100));
  snprintf(out[1], 48, "%s", stepped(KIND_LENGTH, leg->spring.preload, DF_SAW_STEP));
  snprintf(out[2], 48, "%s", stepped(KIND_LENGTH, side->spacer.cut, DF_SAW_STEP));
  if (leg->has_valve)
    snprintf(out[3], 48, "%.4g turns = %s", side->valve[1].turns,
             stepped(KIND_LENGTH, side->valve[1].preload, 0.1e-3));
  else snprintf(out[3], 48, "no valve");
  holes_short(&leg->rod.holes.compression_holes, holes, sizeof holes);
  snprintf(out[4], 48, "%s", holes);
  holes_short(&leg->rod.holes.rebound_holes, holes, sizeof holes);
  snprintf(out[5], 48, "leave %.30s", holes);
  snprintf(out[6], 48, "%s", shown(KIND_VISCOSITY, side->fill.viscosity_40));
  snprintf(out[7], 48, "%s", stepped(KIND_LENGTH, side->fill.level, DF_PROBE_STEP));
  snprintf(out[8], 48, "%.2f s, %.2f s", side->test.time[DF_PUSH], side->test.time[DF_PULL]);
}

static void found(const struct sheet_work *work, struct page *page)
{
  static const char *const head[FOUND_COLUMNS] = {"", "LEFT found", "to do", "done", "RIGHT found",
                                                  "to do", "done"};
  char compression[40], rebound[40], level[40];
  char left[FOUND_ROWS][48], right[FOUND_ROWS][48];
  snprintf(compression, sizeof compression, "Rod holes, %s", shown_unit(KIND_LENGTH));
  snprintf(rebound, sizeof rebound, "Rebound holes, %s", shown_unit(KIND_LENGTH));
  snprintf(level, sizeof level, "Level from the rim");
  const char *const what[FOUND_ROWS] = {
      "Spring rate", "Spring preload", "Spacer, cut", "Valve preload",   compression,
      rebound,       "Oil at 40 degC", level,         "Timed push, pull"};
  to_do(work, 0, left);
  to_do(work, 1, right);
  page_table(page, found_width, FOUND_COLUMNS);
  page_row(page, head, found_width, FOUND_COLUMNS, 1);
  for (int i = 0; i < FOUND_ROWS; i++) found_row(page, what[i], left[i], right[i]);
  page_table_end(page);
}

// ---- spring and sag ----
static const char *sag_text(const struct df_sag *sag)
{
  static char text[3][100];
  static int next;
  char *out = text[next++%3];
  snprintf(out, 100, "%s (%s from below, %s from above)", stepped(KIND_LENGTH, sag->mean, 1e-3),
           stepped_bare(KIND_LENGTH, sag->from_below, 1e-3),
           stepped_bare(KIND_LENGTH, sag->from_above, 1e-3));
  return out;
}

static void sag(const struct sheet_work *work, struct page *page)
{
  const struct df_scenario *s = work->scenario;
  char full[120] = "";
  if (s->load.luggage.mass + s->load.passenger.mass > 0)
    snprintf(full, sizeof full, ", loaded %s", sag_text(&work->sag[DF_SAG_FULL]));
  page_line(page, "Sag",
            "expected: alone %s, with rider %s%s; %s with %.0f %% of %s, wanted %.0f-%.0f %%. "
            "Zero is where the fork hangs, wheel off the ground",
            sag_text(&work->sag[DF_SAG_ALONE]), sag_text(&work->sag[DF_SAG_RIDER]), full,
            work->aboard == DF_SAG_FULL ? "loaded" : "rider", 100 * work->sag[work->aboard].share,
            shown(KIND_LENGTH, s->side[0].leg.travel), 100 * work->sag_low, 100 * work->sag_high);
}

static void springs(const struct sheet_work *work, struct page *page)
{
  const struct df_spring_bracket *b = &work->bracket;
  char text[2][220];
  for (int i = 0; i < 2; i++) {
    const struct df_spring_choice *c = &b->choice[i];
    if (isnan(c->preload))
      snprintf(text[i], 220, "%s: no spring preload gives it", stepped(KIND_RATE, c->rate, 100));
    else
      snprintf(
          text[i], 220,
          "%s with %s%s: alone %s, cap %s, end force %s, coils close %s %s full travel",
          stepped(KIND_RATE, c->rate, 100),
          stepped(KIND_LENGTH, df_rounded(c->preload, DF_SAW_STEP), DF_SAW_STEP),
          c->preload <= 0 ? " (LOOSE)" : "", stepped(KIND_LENGTH, c->sag[DF_SAG_ALONE].mean, 1e-3),
          shown(KIND_FORCE, c->cap_force), shown(KIND_FORCE, c->end_force),
          stepped(KIND_LENGTH, fabs(c->coil_room), 1e-3), c->coil_room < 0 ? "BEFORE" : "past");
  }
  page_line(page, "Springs", "for %s (%.0f %%): %s. Or %s. Two steady sags fix both: %s with %s",
            stepped(KIND_LENGTH, work->wanted, 1e-3), 50 * (work->sag_low + work->sag_high),
            text[0], text[1],
            isfinite(b->rate) ? stepped(KIND_RATE, b->rate, 100) : "no spring meets both targets",
            isfinite(b->rate)
                ? stepped(KIND_LENGTH, df_rounded(b->preload, DF_SAW_STEP), DF_SAW_STEP)
                : "any spring preload");
}

// ---- steps ----
static void step_open(const struct sheet_work *work, struct page *page)
{
  double most = fmax(work->side[0].spacer.cap_force, work->side[1].spacer.cap_force);
  caution(page, "stand");
  page_step(
      page,
      "Both sags measured, O-ring over a known hump, tyre pressure noted; front wheel, calipers, "
      "mudguard off. [leg off, drained]");
  caution(page, "slacken");
  page_step(page, "Upper clamps loose, caps loose, legs out.");
  page_caution(page, "Cap pushed up by %s (%.0f kgf). %s", shown(KIND_FORCE, most), most/gravity,
               sheet_caution("cap_off"));
  page_step(page, "Cap, spacer, washers, spring out; fill in \"found\", photograph.");
}

static void step_rod_out(const struct sheet_work *work, struct page *page)
{
  caution(page, "oil");
  page_step(
      page,
      "Drain and pump out; rod bolt out, rod out. Note the oil's colour and amount: ____ %s.%s",
      shown_unit(KIND_VOLUME), work->side[0].plan.worked ? " [rod out]" : " Rod stays as it is.");
}

static void plan_text(const struct df_rod_plan *plan, char *out, size_t size)
{
  *out = 0;
  for (int i = 0; i < plan->n; i++) {
    const struct df_plan_hole *h = &plan->hole[i];
    int n = 1;
    char drill[60], angles[80] = "";
    snprintf(angles, sizeof angles, "%.0f", h->angle*180/M_PI);
    while (i + n < plan->n && plan->hole[i + n].diameter == h->diameter &&
           plan->hole[i + n].work == h->work &&
           (plan->hole[i + n].height == h->height || isnan(h->height))) {
      size_t used = strlen(angles);
      snprintf(angles + used, sizeof angles - used, "/%.0f", plan->hole[i + n].angle*180/M_PI);
      n++;
    }
    drill_text(drill, sizeof drill, h->diameter);
    size_t used = strlen(out);
    snprintf(out + used, size - used, "%s%s %d x %s at %s%s%s deg", *out ? "; " : "",
             h->work == DF_HOLE_KEPT      ? "keep"
             : h->work == DF_HOLE_WIDENED ? "widen to"
                                          : "drill",
             n, drill, stepped(KIND_LENGTH, h->height, 0.5e-3),
             isfinite(h->height) ? ", " : " from the foot, ",
             isfinite(h->height) ? angles
             : n > 2             ? "pairs 10 mm apart, each turned 90"
                                 : angles);
    i += n - 1;
  }
}

static void drilling(const struct sheet_work *work, int legs, int i, struct page *page)
{
  const struct sheet_side *side = &work->side[i];
  const struct df_rod_plan *plan = &side->plan;
  char text[500], cost[120] = "", wall[80] = "wall between holes: check at least 1.5 diameters";
  if (isfinite(side->limit[1]))
    snprintf(cost, sizeof cost, ": a hole above it costs rebound near full travel, %s instead of %s",
             shown_bare(KIND_FORCE, side->limit[1]), shown(KIND_FORCE, side->limit[0]));
  plan_text(plan, text, sizeof text);
  page_step(page, "%sRod, heights of centres from the foot: %s. Limit %s%s",
            told_word(work, legs, i), text,
            isfinite(plan->limit)
                ? stepped(KIND_LENGTH, plan->limit, 0.5e-3)
                : "____ = tube end's height at full travel - half the hole - 1 mm: measure it",
            cost);
  if (isfinite(plan->ligament))
    snprintf(wall, sizeof wall, "wall between holes at least %.1f diameters", plan->ligament);
  page_under(page,
             "Left of the section %.0f %%; %s of rebound and top-out stress it to %.0f MPa, safety "
             "%.1f (at "
             "least %.0f); %s.",
             100 * side->strength.share, shown(KIND_FORCE, side->load.together),
             side->strength.stress * 1e-6, side->strength.safety, DF_ROD_SAFETY, wall);
}

static void opening(const struct sheet_work *work, int i, struct page *page)
{
  const struct sheet_side *side = &work->side[i];
  char before[160] = "";
  if (isfinite(side->now.of_valve))
    page_under(
        page,
        "At 1 m/s the rod keeps %.1f %% of the valve's pressure for itself, %.0f %% of that in the "
        "bore; with 2, 4, 6, 8 holes %.1f, %.1f, %.1f, %.1f %%. Sharp edges would make it %+.1f "
        "%%.",
        100 * side->now.of_valve, 100 * side->now.bore, 100 * side->share[0].of_valve,
        100 * side->share[1].of_valve, 100 * side->share[2].of_valve, 100 * side->share[3].of_valve,
        100 * (side->burr[0] / side->burr[1] - 1));
  if (isfinite(side->rebound[1]))
    snprintf(before, sizeof before,
             ", before opening %s (%+.0f %%): the lower side no longer pulls suction",
             shown(KIND_FORCE, fabs(side->rebound[1])),
             100 * (side->rebound[0] / side->rebound[1] - 1));
  page_under(page, "Rebound at 0.3 m/s after the work %s%s.",
             shown(KIND_FORCE, fabs(side->rebound[0])), before);
}

static void step_drill(const struct sheet_work *work, struct page *page)
{
  if (!work->side[0].plan.worked && !work->side[1].plan.worked) return;
  caution(page, "drill");
  int legs = TOLD(work, rod) == 1 && TOLD(work, leg) == 1 ? 1 : DF_SIDES;
  for (int i = 0; i < legs; i++) {
    drilling(work, legs, i, page);
    sheet_sketch(page, &work->side[i].plan, leg_of(work, i)->leg.rod_outside);
    opening(work, i, page);
  }
  page_under(page, "Punch, pilot 3 mm, drill, chamfer outside 0.5 mm, deburr inside. Rebound "
                   "holes: do not touch.");
  caution(page, "chips");
  page_step(page, "Wash, blow through every hole, white cloth through the bore; count the escape "
                  "ways of chips.");
}

static void step_valve(const struct sheet_work *work, struct page *page)
{
  int legs = TOLD(work, valve);
  for (int i = 0; i < legs; i++) {
    const struct df_valve_setting *v = work->side[i].valve;
    if (!leg_of(work, i)->has_valve) continue;
    page_step(page,
              "%sValve: out until the plate rattles, in until it just stops = 0; then %s%.4g turns "
              "= %s = %s on "
              "the plate; adjuster stands %s. Photograph. [spring out]",
              told_word(work, legs, i), sheet_mark(work, "valve.preload"), v[1].turns,
              stepped(KIND_LENGTH, v[1].preload, 0.1e-3), shown(KIND_FORCE, v[1].force),
              isfinite(v[1].adjuster) ? stepped(KIND_LENGTH, v[1].adjuster, 0.1e-3)
                                      : "____ (note it at 0 and now)");
    page_under(page,
               "Opens at %s across it = fork speed %s. Half a turn out / in: opens at %s / %s; at "
               "0.3 m/s %s / %s "
               "instead of %s.",
               shown(KIND_PRESSURE, v[1].cracking_pressure), shown(KIND_SPEED, v[1].cracking_speed),
               shown_bare(KIND_SPEED, v[0].cracking_speed), shown(KIND_SPEED, v[2].cracking_speed),
               shown_bare(KIND_FORCE, v[0].damping[1]), shown_bare(KIND_FORCE, v[2].damping[1]),
               shown(KIND_FORCE, v[1].damping[1]));
  }
  const struct df_half_turn *h = &work->half;
  if (isfinite(h->shock[2]))
    page_under(page,
               "Half a turn in / out, ridden: overshoot in hard braking %s / %s instead of %s; a 25 mm "
               "edge comes through %+.1f / %+.1f %% harder.",
               stepped_bare(KIND_LENGTH, h->overshoot[2], 0.1e-3),
               stepped_bare(KIND_LENGTH, h->overshoot[0], 0.1e-3),
               stepped(KIND_LENGTH, h->overshoot[1], 0.1e-3),
               100 * (h->shock[2] / h->shock[1] - 1), 100 * (h->shock[0] / h->shock[1] - 1));
}

static void step_oil(const struct sheet_work *work, struct page *page)
{
  caution(page, "rod_bolt");
  page_step(page, "Rod in, bolt: workshop manual ____ %s (typical %s-%s, common practice).",
            shown_unit(KIND_TORQUE), stepped_bare(KIND_TORQUE, 16, 1),
            stepped_bare(KIND_TORQUE, 19, 1));
  caution(page, "oil");
  for (int i = 0; i < work->sides; i++) {
    const struct df_oil_fill *f = &work->side[i].fill;
    const struct df_level_taken *t = &leg_of(work, i)->air.level_taken;
    char volume[80] = "", valve[60] = "";
    if (isfinite(f->volume))
      snprintf(volume, sizeof volume, "pour about %s, ",
               stepped(KIND_VOLUME, df_rounded(f->volume, DF_SYRINGE_STEP), DF_SYRINGE_STEP));
    if (isfinite(f->without_valve))
      snprintf(valve, sizeof valve, ", valve still out %s",
               stepped_bare(KIND_LENGTH, f->without_valve, 1e-3));
    page_step(page,
              "%sOil: %spump until no air comes, 10 min rest, leg collapsed and vertical; level "
              "%s%s from the rim "
              "(smaller = more oil), valve %s, spring %s, spacer %s. [cap off]",
              leg_word(work, i), volume, sheet_mark(work, "air.oil_level"),
              stepped(KIND_LENGTH, f->level, DF_PROBE_STEP),
              !leg_of(work, i)->has_valve ? "none"
              : t->valve == DF_IN         ? "in"
                                          : "out",
              t->spring == DF_IN ? "in" : "out", t->spacer == DF_IN ? "in" : "out");
    if (i && TOLD(work, oil) == 1) continue; // the left leg's figures serve
    page_under(
        page,
        "Same oil, other ways to take it: spring and spacer out %s%s, spring in %s, all in %s. "
        "Poured and "
        "probed must agree within %s. 5 mm more / less oil: end force %s / %s instead of %s.",
        stepped(KIND_LENGTH, f->bare, 1e-3), valve, stepped_bare(KIND_LENGTH, f->with_spring, 1e-3),
        stepped_bare(KIND_LENGTH, f->with_all, 1e-3), shown(KIND_VOLUME, 10e-6),
        shown_bare(KIND_FORCE, work->statics.end_force + f->force_for_more),
        shown_bare(KIND_FORCE, work->statics.end_force + f->force_for_less),
        shown(KIND_FORCE, work->statics.end_force));
    page_under(page,
               "%s at 40 degC, %s on the bench, %s at riding heat. Air at full travel %s at %s; "
               "hot oil (60 degC) "
               "leaves %s at %s.",
               shown(KIND_VISCOSITY, f->viscosity_40),
               shown_bare(KIND_VISCOSITY, f->viscosity_bench),
               shown_bare(KIND_VISCOSITY, f->viscosity_ride), shown(KIND_VOLUME, f->gas_end),
               shown(KIND_PRESSURE, f->pressure_end), shown(KIND_VOLUME, f->gas_hot),
               shown(KIND_PRESSURE, f->pressure_hot));
  }
  if (work->has_blend && work->blend.thin < work->blend.thick)
    page_under(page,
               "Blend by volume: %.0f %% of the %s + %.0f %% of the %s bottle (a straight line "
               "would give %s, "
               "wrong).",
               100 * work->blend.share, shown_bare(KIND_VISCOSITY, work->blend.thick),
               100 * (1 - work->blend.share), shown_bare(KIND_VISCOSITY, work->blend.thin),
               shown(KIND_VISCOSITY, work->blend.linear));
}

// "ring leaking (push 0.66 s, pull 1.36 s)": what is outside the limits in that direction.
static void fault_text(const struct df_acceptance *t, int i, int slow, char *out, size_t size)
{
  *out = 0;
  for (int k = 0; k < 2; k++) {
    double time = t->fault[i].time[k];
    if (slow ? !(time > t->high[k]) : !(time < t->low[k])) continue;
    size_t used = strlen(out);
    char number[24] = "endless";
    if (isfinite(time)) snprintf(number, sizeof number, "%.2f s", time);
    snprintf(out + used, size - used, "%s%s %s", *out ? ", " : "", df_timed_words[k], number);
  }
}

static void faults_of(const struct df_acceptance *t, int slow, char *out, size_t size)
{
  *out = 0;
  for (int i = 0; i < t->fault_n; i++) {
    char which[80];
    fault_text(t, i, slow, which, sizeof which);
    size_t used = strlen(out);
    if (*which)
      snprintf(out + used, size - used, "%s%s (%s)", *out ? "; " : "", t->fault[i].what, which);
  }
}

static void step_test(const struct sheet_work *work, struct page *page)
{
  caution(page, "test");
  for (int i = 0; i < work->sides; i++) {
    const struct df_acceptance *t = &work->side[i].test;
    char fast[900], slow[900];
    faults_of(t, 0, fast, sizeof fast);
    faults_of(t, 1, slow, sizeof slow);
    page_step(page,
              "%sTest, spring out, cap off, oil at %s: find the weight that just creeps (about %s "
              "with the moving "
              "part; note it), add %s to push and %s to pull; time %s from %s of travel (pull: "
              "back to it).",
              leg_word(work, i), stepped(KIND_TEMPERATURE, t->kelvin, 1),
              shown(KIND_MASS, t->creep / gravity), shown(KIND_MASS, DF_PUSH_ADDED),
              shown(KIND_MASS, DF_PULL_ADDED), shown(KIND_LENGTH, t->distance),
              shown(KIND_LENGTH, t->from));
    page_under(page,
               "Push %.2f s (%.2f-%.2f), pull %.2f s (%.2f-%.2f); one degC more %+.1f %%, %+.1f "
               "%%. Left against "
               "right within %.0f %%.",
               t->time[0], t->low[0], t->high[0], t->time[1], t->low[1], t->high[1],
               100 * t->per_kelvin[0], 100 * t->per_kelvin[1], 100 * DF_LEGS_APART);
    if (i) continue; // the figures of the left leg tell the same faults apart
    page_under(page, "Too fast: %s.", *fast ? fast : "not from the faults known here");
    page_under(page, "Too slow: %s.", *slow ? slow : "not from the faults known here");
  }
}

static void step_spacer(const struct sheet_work *work, struct page *page)
{
  caution(page, "saw");
  int legs = TOLD(work, spacer) == 1 && TOLD(work, spring) == 1 ? 1 : DF_SIDES;
  for (int i = 0; i < legs; i++) {
    const struct df_spacer_sum *p = &work->side[i].spacer;
    const struct df_side *leg = leg_of(work, i);
    char valve[60] = "", cut[80];
    if (p->valve_height > 0)
      snprintf(valve, sizeof valve, " - valve %s",
               stepped_bare(KIND_LENGTH, p->valve_height, 0.1e-3));
    if (isfinite(p->length))
      snprintf(cut, sizeof cut, "%s", stepped(KIND_LENGTH, p->cut, DF_SAW_STEP));
    else
      snprintf(cut, sizeof cut, "____ (depth less %s)",
               stepped(KIND_LENGTH, p->valve_height + p->cap + p->washers - p->preload, 0.1e-3));
    page_step(page,
              "%sSpacer: depth %s (valve %s, leg pulled out)%s - cap %s - washers %s + spring "
              "preload %s%s = cut %s. "
              "[cap off]",
              told_word(work, legs, i), stepped_bare(KIND_LENGTH, p->depth, 0.1e-3),
              !leg->has_valve                          ? "none"
              : leg->spacer.depth_taken_valve == DF_IN ? "in"
                                                       : "out",
              valve, stepped_bare(KIND_LENGTH, p->cap, 0.1e-3),
              stepped_bare(KIND_LENGTH, p->washers, 0.1e-3), sheet_mark(work, "spring.preload"),
              stepped_bare(KIND_LENGTH, p->preload, 0.1e-3), cut);
    double room = df_coil_room(leg);
    page_under(page, "Coils close %s %s full travel; top-out spring %s, %s.",
               stepped(KIND_LENGTH, fabs(room), 1e-3), room < 0 ? "BEFORE" : "past",
               shown(KIND_LENGTH, work->scenario->top_out.length),
               shown(KIND_RATE, work->scenario->top_out.rate));
  }
  const struct df_spacer_sum *p = &work->side[0].spacer;
  page_caution(page,
               "Cap pushed up by %s (%.0f kgf) when home, %s less per mm that it stands proud. %s",
               shown(KIND_FORCE, p->cap_force), p->cap_force / gravity,
               shown(KIND_FORCE, p->per_thread * 1e-3), sheet_caution("cap_on"));
  page_step(page, "Cap on, leg pulled out. No push: spacer short, washer missing or leg not pulled "
                  "out. Far more: washer or "
                  "valve counted twice, wrong spring, coils close.");
}

// "20-30", N m in.
static const char *torques(double low, double high)
{
  static char text[8][48];
  static int next;
  char *out = text[next++%8];
  snprintf(out, sizeof text[0], "%s-%s", stepped_bare(KIND_TORQUE, low, 1),
           stepped_bare(KIND_TORQUE, high, 1));
  return out;
}

static void step_refit(const struct sheet_work *work, struct page *page)
{
  caution(page, "refit");
  page_step(page,
            "Legs in at equal height, bounce on the axle, clamps bottom first: lower ____ upper "
            "____ axle ____ pinch "
            "____ caliper ____ cap ____ %s, all by the workshop manual. [leg off, drained]",
            shown_unit(KIND_TORQUE));
  page_under(page, "Typical, common practice from memory: clamps %s, axle %s, pinch %s, caliper %s, "
                   "cap %s %s; the manual decides.",
             torques(20, 30), torques(50, 90), torques(15, 25), torques(30, 40), torques(15, 35),
             shown_unit(KIND_TORQUE));
  page_step(page,
            "Sag, alone and aboard, settled from below and from above: below ____ above ____ %s "
            "alone; ____ ____ with "
            "rider. Expected %s and %s.",
            shown_unit(KIND_LENGTH), stepped(KIND_LENGTH, work->sag[0].mean, 1e-3),
            stepped_bare(KIND_LENGTH, work->sag[1].mean, 1e-3));
  page_under(page,
             "Off by more than %s: sag alone right, with rider wrong = rate; both off alike = "
             "spring preload; below "
             "and above more than 10 mm apart = friction. Then: dampfork sheet --measured.",
             shown(KIND_LENGTH, 4e-3));
}

// Names that advise --complaint takes, in the order of the riders' list.
static void complaint_names(struct page *page)
{
  char list[500] = "";
  for (int i = 0; i < complaint_count; i++)
    snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? ", " : "",
             complaints[i].name);
  page_line(page, "", "complaint: %s", list);
}

// The boxes are what advise --observed takes.
enum { RIDE_BOXES_MAX = 16 };
static void ride_form(struct page *page)
{
  struct page_box box[RIDE_BOXES_MAX];
  int n = 0;
  static const struct page_box said[] = {
      {"date", ""}, {"complaint", ""}, {"verdict", "[better / same / worse]"}, {"note", ""}};
  for (; n < observation_count && n < RIDE_BOXES_MAX; n++)
    box[n] = (struct page_box){observations[n].name, *observations[n].unit ? observations[n].unit
                                                                          : "[left / right]"};
  caution(page, "ride");
  page_step(page, "First ride: slow stop (hold the ring by hand), medium stop, the known hump, one "
                  "rough street. Change one "
                  "thing at a time.");
  page_boxes(page, "Ride", box, n);
  page_boxes(page, "", said, sizeof said/sizeof *said);
  complaint_names(page);
}

static const char *work_class(const struct sheet_work *work)
{
  if (work->side[0].plan.worked || work->side[1].plan.worked) return "rod out, 240 min";
  return work->scenario->side[0].has_valve
             ? "spring out, 60 min; with an oil change leg off, 120 min"
             : "leg off and drained, 120 min";
}

static void foot(const struct sheet_work *work, struct page *page)
{
  page_line(page, "Undo",
            "valve, spacer, spring, oil can be taken out again; holes cannot: only another rod "
            "undoes them.");
  page_line(page, "Not",
            "no second change before the first is ridden; no thicker oil for depth of dive (spring "
            "and level "
            "do that); below 5 degC the first kilometres are much stiffer.");
  page_line(page, "Model",
            "hole laws differ by up to 30 %% in force; %d of %d values are assumed (~). Not a "
            "release to ride: "
            "where life depends on it, a licensed workshop and local rules decide; a changed "
            "vehicle may need approval.",
            work->assumed, work->given + work->assumed);
}

static void solved_page(const struct sheet_work *work, struct page *page)
{
  buy(work, page);
  found(work, page);
  page_columns(page, 1);
  sag(work, page);
  springs(work, page);
  page_section(page, "ORDER OF WORK, left and right in turn: %s for both legs (common practice)",
               work_class(work));
  step_open(work, page);
  step_rod_out(work, page);
  step_drill(work, page);
  step_valve(work, page);
  step_oil(work, page);
  step_test(work, page);
  step_spacer(work, page);
  step_refit(work, page);
  page_columns(page, 0);
  ride_form(page);
  page_line(page, "Later",
            "spacer or level: cap off, 30 min; valve: spring out, 60; oil: leg off, 120; tyre: "
            "outside, 5.");
  foot(work, page);
}

void sheet_page(const struct sheet_work *work, FILE *stream, int html)
{
  struct page page;
  char right[120];
  snprintf(right, sizeof right, "scenario %s  dampfork %s  date __________", work->loaded.hash,
           DAMPFORK_VERSION);
  page_begin(&page, stream, html, work->sides > 1, work->scenario->title, right);
  who(work, &page);
  if (work->solved && !work->refused_n) solved_page(work, &page);
  else if (work->refused_n)
    page_line(&page, "Next",
              "change what is said above; nothing is to be cut, drilled or poured before that.");
  page_end(&page);
}
