// Three sums of a workbench without any file: blending two oils, a hole through a rod, a stack of shims. In C++.
//   c++ workbench.cpp $(pkg-config --cflags --libs dampfork) -o workbench && ./workbench
#include <dampfork/drill.h>
#include <dampfork/oil.h>
#include <dampfork/shims.h>

#include <cstdio>

// Invented figures, for demonstration only.
static bool blend()
{
  const double thin = 15e-6, thick = 32e-6, wanted = 25e-6; // m2/s at 40 C
  double share = df_oil_blend_share(thin, thick, wanted);
  double parts[] = {thin, thick}, shares[] = {1 - share, share};
  std::printf("share_of_thick_oil_1,%.9g\nviscosity_mm2_per_s,%.9g\n", share, 1e6*df_oil_blend(parts, shares, 2));
  return share > 0 && share < 1;
}

static bool drill()
{
  df_drill_strength strength;
  if (df_drill_check(0.022, 0.014, 0.006, 2, 3000, 240e6, &strength) != DF_OK) return false;
  std::printf("section_left_percent,%.9g\nsafety_1,%.9g\n", 100*strength.share, strength.safety);
  return true;
}

static bool bend()
{
  const df_shim shims[] = {{3, 0.022, 0.00015}, {1, 0.018, 0.00015}, {1, 0.014, 0.0002}}; // count, m, m
  df_shim_stack stack;
  df_status status = df_shim_stack_solve(shims, 3, 0.006, 0.010, 0.007, 206e9, DF_SHIM_POISSON, &stack);
  if (status != DF_OK) {
    std::fprintf(stderr, "workbench: %s\n", df_status_text(status));
    return false;
  }
  double slope;
  double force = df_shim_force(&stack, 0.2e-3, &slope);
  std::printf("shim_force_N,%.9g\nshim_slope_N_per_mm,%.9g\n", force, slope/1e3);
  return true;
}

int main()
{
  return blend() && drill() && bend() ? 0 : 1;
}
