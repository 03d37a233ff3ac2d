// The table of methods. Coefficients are the published ones; tests measure their orders.
#include "ride/method.h"

#include <stddef.h>
#include <string.h>

const struct df_method df_methods[] = {
  { .name = "rodas4", .stages = 6, .order = 4, .gamma = 0.25,
    .alpha = { 0, 0.386, 0.21, 0.63, 1, 1 }, .d = { 0.25, -0.1043, 0.1035, -0.03620000000000023, 0, 0 },
    .a = { { 0 },
           { 1.544 },
           { 0.9466785280815826, 0.2557011698983284 },
           { 3.314825187068521, 2.896124015972201, 0.9986419139977817 },
           { 1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950 },
           { 1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1 } },
    .c = { { 0 },
           { -5.6688 },
           { -2.430093356833875, -0.2063599157091915 },
           { -0.1073529058151375, -9.594562251023355, -20.47028614809616 },
           { 7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160 },
           { 8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054 } },
    .m = { 1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1, 1 },
    .e = { 0, 0, 0, 0, 0, 1 }, .fresh = { 1, 1, 1, 1, 1, 1 },
    .dense = { { 10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662 },
               { -0.6762803392806898, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872 } },
    .source = "Hairer & Wanner, Solving Ordinary Differential Equations II, 2nd ed. 1996, section VI.4: RODAS" },
  { .name = "rodas3", .stages = 4, .order = 3, .gamma = 0.5,
    .alpha = { 0, 0, 1, 1 }, .d = { 0.5, 1.5, 0, 0 },
    .a = { { 0 }, { 0 }, { 2 }, { 2, 0, 1 } },
    .c = { { 0 }, { 4 }, { 1, -1 }, { 1, -1, -8.0/3 } },
    .m = { 2, 0, 1, 1 }, .e = { 0, 0, 0, 1 }, .fresh = { 1, 0, 1, 1 },
    .source = "Sandu et al., Benchmarking stiff ODE solvers for atmospheric chemistry problems II, 1997: RODAS3" },
  { .name = "bsimp", .source = "GSL: implicit Bulirsch-Stoer of Bader & Deuflhard" },
  { .name = "msbdf", .source = "GSL: variable-order backward differences" },
};
const int df_method_count = sizeof df_methods/sizeof *df_methods;

int df_method_find(const char *name)
{
  for (int i = 0; i < df_method_count; i++)
    if (!strcmp(df_methods[i].name, name)) return i;
  return -1;
}
