// A lane value is DF_LANES doubles side by side, one ride in each. The same source is compiled once an instruction set;
// width 1 is the plain library. Every operation acts on each lane alone, so a lane's bits do not depend on its neighbours.
#ifndef DF_BASE_LANE_H
#define DF_BASE_LANE_H

#include <stdint.h>

#ifndef DF_LANES
#define DF_LANES 1
#endif

#if DF_LANES > 1
#include <immintrin.h>
#endif

typedef double lane __attribute__((vector_size(8*DF_LANES)));
typedef int64_t mask __attribute__((vector_size(8*DF_LANES)));   // all ones where true
typedef uint64_t bits __attribute__((vector_size(8*DF_LANES)));

#define LANE static inline __attribute__((always_inline))

LANE lane all(double a) { return a - (lane){0}; }
LANE lane zero(void) { return (lane){0}; }
LANE lane choose(mask m, lane yes, lane no) { return (lane)(((mask)yes & m) | ((mask)no & ~m)); }
LANE lane larger(lane a, lane b) { return choose(a > b, a, b); }
LANE lane smaller(lane a, lane b) { return choose(a < b, a, b); }
LANE lane clipped(lane a, lane low, lane high) { return smaller(larger(a, low), high); }
LANE lane magnitude(lane a) { return (lane)((mask)a & INT64_MAX); }
LANE lane signed_as(lane size, lane s) { return (lane)(((mask)size & INT64_MAX) | ((mask)s & INT64_MIN)); }
LANE lane where(mask m, lane yes) { return (lane)((mask)yes & m); }   // yes, or 0

// One number of each lane: f(0), f(1) ... side by side.
#if DF_LANES == 8
#define LANE_OF(f) (lane){ f(0), f(1), f(2), f(3), f(4), f(5), f(6), f(7) }
#elif DF_LANES == 4
#define LANE_OF(f) (lane){ f(0), f(1), f(2), f(3) }
#elif DF_LANES == 2
#define LANE_OF(f) (lane){ f(0), f(1) }
#else
#define LANE_OF(f) (lane){ f(0) }
#endif

// Four numbers that stand side by side in memory, from a place for each lane, turned into four lane values.
LANE void lane_fours(const double *const *from, lane *a, lane *b, lane *c, lane *d)
{
#if DF_LANES >= 4
  typedef double four __attribute__((vector_size(32), aligned(8)));
#if DF_LANES == 8
#define BOTH(i) (lane)_mm512_insertf64x4(_mm512_castpd256_pd512((__m256d)*(const four *)from[i]), (__m256d)*(const four *)from[i + 4], 1)
#define LOW(x, y) __builtin_shufflevector(x, y, 0, 8, 2, 10, 4, 12, 6, 14)
#define HIGH(x, y) __builtin_shufflevector(x, y, 1, 9, 3, 11, 5, 13, 7, 15)
#define FIRST(x, y) __builtin_shufflevector(x, y, 0, 1, 8, 9, 4, 5, 12, 13)
#define LAST(x, y) __builtin_shufflevector(x, y, 2, 3, 10, 11, 6, 7, 14, 15)
#else
#define BOTH(i) (lane)*(const four *)from[i]
#define LOW(x, y) __builtin_shufflevector(x, y, 0, 4, 2, 6)
#define HIGH(x, y) __builtin_shufflevector(x, y, 1, 5, 3, 7)
#define FIRST(x, y) __builtin_shufflevector(x, y, 0, 1, 4, 5)
#define LAST(x, y) __builtin_shufflevector(x, y, 2, 3, 6, 7)
#endif
  lane p = BOTH(0), q = BOTH(1), r = BOTH(2), s = BOTH(3);
  lane pq = LOW(p, q), rs = LOW(r, s);
  *a = FIRST(pq, rs), *c = LAST(pq, rs);
  pq = HIGH(p, q), rs = HIGH(r, s);
  *b = FIRST(pq, rs), *d = LAST(pq, rs);
#undef BOTH
#undef LOW
#undef HIGH
#undef FIRST
#undef LAST
#else
  for (int i = 0; i < DF_LANES; i++) (*a)[i] = from[i][0], (*b)[i] = from[i][1], (*c)[i] = from[i][2], (*d)[i] = from[i][3];
#endif
}

LANE int any(mask m)
{
#if DF_LANES == 8 && defined(__AVX512DQ__)
  return _mm512_movepi64_mask((__m512i)m) != 0;
#elif DF_LANES == 4 && defined(__AVX2__)
  return _mm256_movemask_pd((__m256d)m) != 0;
#elif DF_LANES == 2
  return _mm_movemask_pd((__m128d)m) != 0;
#else
  int64_t seen = 0;
  for (int i = 0; i < DF_LANES; i++) seen |= m[i];
  return seen != 0;
#endif
}

LANE lane lane_sqrt(lane a)
{
#if DF_LANES == 8
  return (lane)_mm512_sqrt_pd((__m512d)a);
#elif DF_LANES == 4
  return (lane)_mm256_sqrt_pd((__m256d)a);
#elif DF_LANES == 2
  return (lane)_mm_sqrt_pd((__m128d)a);
#else
  return (lane){ __builtin_sqrt(a[0]) };
#endif
}

// Natural logarithm of a positive normal number; within 2 ulp of the result or 1e-16 absolute near 1.
// log m = 2 artanh((m-1)/(m+1)) with m in [sqrt(1/2), sqrt 2).
LANE lane lane_log(lane a)
{
  bits raw = (bits)a;
  bits shift = raw - 0x3fe6a09e667f3bcdull;                      // exponent counted from sqrt(1/2)
  mask exponent = (mask)shift >> 52;
  lane m = (lane)(raw - ((bits)exponent << 52));
  lane e = (lane)((mask)all(6755399441055744.0) + exponent) - 6755399441055744.0;   // 1.5*2^52: int64 to double
  lane f = (m - 1.0)/(m + 1.0), g = f*f;
  lane p = g*(1.0/3 + g*(1.0/5 + g*(1.0/7 + g*(1.0/9 + g*(1.0/11 + g*(1.0/13 + g*(1.0/15 + g*(1.0/17 + g*(1.0/19)))))))));
  lane two_f = f + f;
  return e*0.693147180369123816490 + (two_f + (two_f*p + e*1.90821492927058770002e-10));
}

// Exponential for |a| < 700; within 2 ulp.
LANE lane lane_exp(lane a)
{
  lane shifted = a*1.4426950408889634074 + 6755399441055744.0;
  lane n = shifted - 6755399441055744.0;
  lane r = (a - n*0.693147180369123816490) - n*1.90821492927058770002e-10;
  lane p = 1.0 + r*(1.0 + r*(1.0/2 + r*(1.0/6 + r*(1.0/24 + r*(1.0/120 + r*(1.0/720 + r*(1.0/5040 + r*(1.0/40320
         + r*(1.0/362880 + r*(1.0/3628800 + r*(1.0/39916800 + r*(1.0/479001600))))))))))));
  bits scale = ((bits)shifted + 1023) << 52;
  return p*(lane)scale;
}

LANE lane lane_pow(lane a, lane n) { return lane_exp(n*lane_log(a)); }

// Arc sine on [-1, 1]; absolute error below 1e-15. asin a = 2 asin(a/sqrt(2 (1 + sqrt(1 - a^2)))) brings the argument below 0.71;
// applied twice it stays below 0.383, where the power series converges.
LANE lane lane_asin(lane a)
{
  lane h = a/lane_sqrt(2.0*(1.0 + lane_sqrt(larger(1.0 - a*a, zero()))));
  h = h/lane_sqrt(2.0*(1.0 + lane_sqrt(1.0 - h*h)));
  lane g = h*h;
  lane p = zero();
  static const double c[] = { 1.0/6, 3.0/40, 5.0/112, 35.0/1152, 63.0/2816, 231.0/13312, 143.0/10240, 6435.0/557056, 12155.0/1245184,
    46189.0/5505024, 88179.0/12058624, 676039.0/104857600, 1300075.0/226492416, 5014575.0/973078528, 9694845.0/2080374784.0,
    100180065.0/23622320128.0 };
  for (int i = 15; i >= 0; i--) p = g*(c[i] + p);
  return 4.0*(h + h*p);
}

// Smoothstep u^2 (3 - 2u) of u clipped to 0..1, and its slope in u.
LANE lane smoothstep(lane u)
{
  u = clipped(u, zero(), all(1));
  return u*u*(3.0 - 2.0*u);
}
LANE lane smoothstep_slope(lane u)
{
  u = clipped(u, zero(), all(1));
  return 6.0*u*(1.0 - u);
}

#endif
