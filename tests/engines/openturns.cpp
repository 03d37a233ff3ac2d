// Shares of the variance: the same groups through ours and through OpenTURNS. TAP.
#include <openturns/OT.hxx>

#include "dampfork/study.h"

#include <cmath>
#include <cstdio>
#include <vector>

enum { N = 16384, D = 3 };

static double ishigami(const double *u)
{
  double x[D];
  for (int k = 0; k < D; k++) x[k] = (2*u[k] - 1)*M_PI;
  return std::sin(x[0]) + 7*std::pow(std::sin(x[1]), 2) + 0.1*std::pow(x[2], 4)*std::sin(x[0]);
}

static int failed, cases;

static void judge(const char *what, int k, double got, double want, double tolerance)
{
  bool good = std::fabs(got - want) <= tolerance;
  failed += !good;
  std::printf("%sok %d - %s of x%d: ours %.6f, OpenTURNS %.6f, %.2g apart, allowed %.2g\n",
              good ? "" : "not ", ++cases, what, k + 1, got, want, std::fabs(got - want), tolerance);
}

// Ours: groups of A, B, A with value k of B. Theirs: all A, all B, then all of each k.
static void groups(std::vector<double> &f, OT::Sample &in, OT::Sample &out)
{
  df_sobol *sobol;
  if (df_sobol_create(&sobol, 2*D, 1)) return;
  for (long row = 0; row < static_cast<long>(N)*(D + 2); row++) {
    double u[D];
    df_share_point(sobol, D, row, u);
    long there = row%(D + 2)*N + row/(D + 2);
    f[row] = out(there, 0) = ishigami(u);
    for (int k = 0; k < D; k++) in(there, k) = u[k];
  }
  df_sobol_destroy(sobol);
}

int main()
{
  std::vector<double> f(N*(D + 2));
  OT::Sample in(N*(D + 2), D), out(N*(D + 2), 1);
  groups(f, in, out);
  df_share share[D];
  int used = df_shares(f.data(), N, D, 1, share);
  std::printf("%sok %d - every group was used\n", used == N ? "" : "not ", ++cases);
  failed += used != N;

  // The totals are one formula; variances are over A and B here and over A alone there, which leaves what two
  // halves of these points differ by, some 1e-5. The first orders are different formulas for one number,
  // equal only as the groups become many.
  OT::JansenSensitivityAlgorithm jansen(in, out, N);
  OT::SaltelliSensitivityAlgorithm saltelli(in, out, N);
  for (int k = 0; k < D; k++) {
    judge("total after Jansen", k, share[k].total, jansen.getTotalOrderIndices()[k], 1e-4);
    judge("first order after Saltelli", k, share[k].first, saltelli.getFirstOrderIndices()[k], 0.002);
  }
  std::printf("1..%d\n", cases);
  return failed != 0;
}
