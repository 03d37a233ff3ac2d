// Constants of the front of the vehicle: included once with `real` as double and once as a lane. Doubles only.
real unsprung_mass, mass;                              // kg: m_u, m_s + m_u
real m11, m12, m22, i11, i12, i22;                     // kg; 1/kg: mass matrix of (z_s, x) and its inverse
real cos_rake, sin_rake;                               // 1
real tyre_stiffness, tyre_damping, tyre_radius, tyre_limit;        // N/m, N s/m, m, m
real brake_mass, grip, transfer_mass;                  // kg (force per deceleration), 1, kg (load transfer per deceleration)
real per_legs;                                         // 1/number of legs on the vehicle
real start_travel, start_place, start_height;          // m: x_0, s_0, z_s at rest
real gravity;                                          // m/s2
// manoeuvre: deceleration rises linearly from brake_start over brake_ramp, falls from release_start over release_time
real speed, deceleration, brake_start, brake_ramp, release_start, release_time, stand_still;  // m/s, m/s2, s (stand_still: INFINITY: never)
real stop_distance;                                    // m travelled until standing still
real lean_gain, lean_start, lean_per_ramp;             // 1 (g times 1 + gain S), s, 1/s
real push_force, push_start, push_per_rise, push_end, push_per_fall; // N, s, 1/s, s, 1/s
