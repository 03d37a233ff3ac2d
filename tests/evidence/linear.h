// A quarter vehicle of linear parts in the library's right-hand side, taken to pieces by linear algebra.
#ifndef DF_TESTS_EVIDENCE_LINEAR_H
#define DF_TESTS_EVIDENCE_LINEAR_H

struct quarter {
  double sprung, unsprung;    // kg
  double rate, damping;       // N/m, N s/m of the suspension
  double tyre, tyre_damping;  // N/m, N s/m
};

// Rates of (z_s, z_s', z_u, z_u') by these states, by road height (column 4), by road velocity (5), and by a force that
// pushes body and wheel apart (6). Read off the library's front_rates.
struct pieces { double a[4][7]; };
struct pieces quarter_pieces(const struct quarter *quarter);

enum quarter_input { BY_ROAD, BY_ROAD_VELOCITY, BY_FORCE };
enum quarter_output { BODY, BODY_VELOCITY, WHEEL, WHEEL_VELOCITY, BODY_ACCELERATION, TRAVEL, TRAVEL_VELOCITY };

// Complex gain at an angular frequency, rad/s. BY_ROAD: road height with its velocity; BY_ROAD_VELOCITY: the same over road velocity.
struct gain { double re, im; };
struct gain quarter_gain(const struct pieces *pieces, double omega, enum quarter_input in, enum quarter_output out);
double quarter_size(const struct pieces *pieces, double omega, enum quarter_input in, enum quarter_output out);

// Eigenvalue number `which` (0, 1: the slower pair), s^-1, and z_u/z_s of its mode.
struct mode { double re, im, wheel_over_body; };
struct mode quarter_mode(const struct pieces *pieces, int which);

// exp(A t), row by row.
void quarter_transition(const struct pieces *pieces, double t, double st[4][4]);

// Mean square of an output under white road velocity of two-sided intensity q, by quadrature over frequency.
double quarter_mean_square(const struct pieces *pieces, double q, enum quarter_output out);

#endif
