// Frequency weighting of vertical vibration, dose, running rms; low-pass filter.
#include <math.h>
#include <stdlib.h>

#include "evidence.h"
#include "measures/filter.h"
#include "measures/weight.h"

static double thousandths(double frequency)
{
  return 1000*df_weight_gain(frequency);
}

static double thousandths_sampled(double frequency)
{
  return 1000*df_weight_gain_sampled(1e-4, frequency);
}

// ---- bursts of saw-tooth, 100 rad/s, each `cycles` long, from 1 s every 10 s, for 60 s; 0: continuous
enum { RATE = 5000, SECONDS = 60, SAMPLES = RATE*SECONDS };
static const double pi = 3.14159265358979323846;

static double saw(double t)
{
  double turn = 100*t/(2*pi) + 0.5;
  return 2*(turn - floor(turn)) - 1;
}

static struct df_weighted burst(int cycles)
{
  struct df_weighted out = {NAN, NAN, NAN, NAN, NAN};
  double *signal = malloc(2*SAMPLES*sizeof *signal);
  if (!signal) return out;
  for (int i = 0; i < SAMPLES; i++) {
    double t = (double)i/RATE, since = t < 1 ? -1 : fmod(t - 1, 10);
    signal[i] = cycles == 0 ? saw(t) : since >= 0 && since < cycles*2*pi/100 ? saw(since) : 0;
  }
  out = df_weight_run(signal, SAMPLES, 1.0/RATE, 0, SAMPLES - 1, signal + SAMPLES);
  free(signal);
  return out;
}

static double burst_rms(double cycles) { return burst((int)cycles).rms; }
static double burst_dose(double cycles) { return burst((int)cycles).dose; }
static double burst_linear(double cycles) { return burst((int)cycles).running_linear; }
static double burst_exponential(double cycles) { return burst((int)cycles).running_exponential; }

// ---- Butterworth, order 2: b0 b1 b2 a1 a2 at a rate of 10 times the corner, and at 100 Hz in 10 kHz
static double coefficient(const struct df_biquad *q, int which)
{
  const double all[] = {q->b0, q->b1, q->b2, q->a1, q->a2};
  return all[which];
}

static double winter(double which)
{
  struct df_analogue low = df_butterworth_low(10);
  struct df_biquad q = df_biquad_bilinear(&low, 1.0/100);
  return coefficient(&q, (int)which);
}

static double low_pass_100(double which)
{
  struct df_analogue low = df_butterworth_low(100);
  struct df_biquad q = df_biquad_bilinear(&low, 1e-4);
  return coefficient(&q, (int)which);
}

static const char iso2631[] = "ISO 2631-1:1997, table 3, weighting Wk";
static const char iso8041[] = "ISO 8041-1:2017, tables 6-8, saw-tooth bursts, Wk";
static const char winter_book[] = "D. A. Winter, Biomechanics and Motor Control of Human "
  "Movement (formula; digits in public code)";
static const char thousand[] = "half of the last digit printed";
static const char three[] = "three digits are printed; the standard itself allows 10 %";

static const struct evidence rows[] = {
  {"weighting", 'P', iso2631, "0.5 Hz", "418 thousandths", thousandths, 0.5, 418, 0.55, "1/1000",
    thousand},
  {"weighting", 'P', iso2631, "2 Hz", "531", thousandths, 2, 531, 0.55, "1/1000", thousand},
  {"weighting", 'P', iso2631, "4 Hz", "967", thousandths, 4, 967, 0.55, "1/1000", thousand},
  {"weighting", 'P', iso2631, "6.3 Hz", "1054", thousandths, 6.3, 1054, 0.55, "1/1000", thousand},
  {"weighting", 'P', iso2631, "12.5 Hz, by the sampled filter", "902", thousandths_sampled, 12.5,
    902, 0.55, "1/1000", thousand},
  {"weighting", 'P', iso2631, "80 Hz, by the sampled filter", "132", thousandths_sampled, 80, 132,
    0.55, "1/1000", thousand},
  {"weighting", 'P', iso8041, "1 cycle", "rms 0.0299 m/s2", burst_rms, 1, 0.0299, 1e-4, "m/s2",
    three},
  {"weighting", 'P', iso8041, "1 cycle", "dose 0.323 m/s1.75", burst_dose, 1, 0.323, 1e-3,
    "m/s1.75", three},
  {"weighting", 'P', iso8041, "1 cycle", "running rms, linear, 0.0944 m/s2", burst_linear, 1,
    0.0944, 3e-4, "m/s2", three},
  {"weighting", 'P', iso8041, "1 cycle", "running rms, exponential, 0.0922 m/s2", burst_exponential,
    1, 0.0922, 3e-4, "m/s2", three},
  {"weighting", 'P', iso8041, "4 cycles", "dose 0.455 m/s1.75", burst_dose, 4, 0.455, 1e-3,
    "m/s1.75", three},
  {"weighting", 'P', iso8041, "continuous", "rms 0.362 m/s2", burst_rms, 0, 0.362, 1e-3, "m/s2",
    three},
  {"weighting", 'P', winter_book, "order 2, sampling at 10 times the corner",
    "b0 0.0674552738890719", winter, 0, 0.0674552738890719, 1e-14, "",
    "all digits printed are good"},
  {"weighting", 'P', winter_book, "order 2, sampling at 10 times the corner",
    "b1 0.1349105477781438", winter, 1, 0.1349105477781438, 1e-14, "",
    "all digits printed are good"},
  {"weighting", 'P', winter_book, "order 2, sampling at 10 times the corner",
    "a1 -1.1429805025399011", winter, 3, -1.1429805025399011, 1e-14, "",
    "all digits printed are good"},
  {"weighting", 'P', winter_book, "order 2, sampling at 10 times the corner",
    "a2 0.4128015980961886", winter, 4, 0.4128015980961886, 1e-14, "",
    "all digits printed are good"},
  {"weighting", 'C', "Butterworth, order 2, bilinear with prewarping, solved apart",
    "100 Hz at 10 kHz", "b0 0.00094469", low_pass_100, 0, 0.00094469, 5.5e-9, "",
    "half of the last digit computed"},
  {"weighting", 'C', "Butterworth, order 2, bilinear with prewarping, solved apart",
    "100 Hz at 10 kHz", "a1 -1.91119707", low_pass_100, 3, -1.91119707, 5.5e-9, "",
    "half of the last digit computed"},
};
EVIDENCE_GROUP(evidence_weighting, "weighting", rows);
